"""How hard to search, and when to stop."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Effort:
    """Seed and stop rules. `steps` counts search steps and decides the plan; `seconds` is a cap on them.

    Same seed and steps: same plan, on any machine. None = the program's own choice.
    """

    seed: int = 1
    steps: int | None = None
    seconds: float | None = None

    def __post_init__(self) -> None:
        if self.steps is not None and self.steps < 0:
            raise ValueError(f"steps {self.steps} must not be below 0")
        if self.seconds is not None and not self.seconds > 0:
            raise ValueError(f"seconds {self.seconds} must be above 0")
