"""How hard to search, when to stop, and how far a search has come."""

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


@dataclass(frozen=True, kw_only=True)
class Progress:
    """How far a search has come, as the front door tells it while it plans.

    What is going on, the share done (0..1), and the best found beside its bound where they are known.

    They are in `unit`; None = cost of plates: money, or m2 where nobody gave a price. `total` is what the best plan so
    far costs in plate and hands, in `currency`, once one is known.
    """

    words: str
    share: float
    best: float | None = None
    bound: float | None = None
    unit: str | None = None
    total: float | None = None
    currency: str = ""

    @property
    def gap(self) -> float | None:
        """By what share of the bound the best lies above it; None where that is not known.

        >>> Progress(words="laying out", share=0.5, best=102, bound=100).gap
        0.02
        """
        if self.best is None or self.bound is None or self.bound <= 0:
            return None
        return (self.best - self.bound) / self.bound
