"""How hard to search, and when to stop."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Effort:
    """Seed and stop rules. `steps` counts search steps and decides the plan; `seconds` is a cap on them.

    `good_enough` ends the search once the cost is within that share of its bound (0.02 = 2 %; 0 = search on).
    `stop_after` ends it after so many steps of all kinds together: what a plan that was stopped calls
    `steps_done`. Same seed, steps, good_enough and stop_after: same plan, on any machine. None = no such limit;
    of `steps`: the program's own choice.
    """

    seed: int = 1
    steps: int | None = None
    seconds: float | None = None
    good_enough: float = 0.0
    stop_after: int | None = None

    def __post_init__(self) -> None:
        for key, count in (("steps", self.steps), ("stop_after", self.stop_after)):
            if count is not None and count < 0:
                raise ValueError(f"{key} {count} must not be below 0")
        if self.seconds is not None and not self.seconds > 0:
            raise ValueError(f"seconds {self.seconds} must be above 0")
        if not 0 <= self.good_enough < 1:
            raise ValueError(f"good_enough {self.good_enough} must be a share from 0 to below 1: 0.02 is 2 %")

    def is_enough(self, found: float, bound: float) -> bool:
        """Whether a cost is near enough to its bound to stop searching.

        >>> Effort(good_enough=0.02).is_enough(102, 100), Effort().is_enough(102, 100), Effort().is_enough(100, 100)
        (True, False, True)
        """
        return found <= bound + self.good_enough * bound + 1e-9 * abs(bound)
