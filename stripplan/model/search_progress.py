"""How far a search has come, as the front door tells it while it plans."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Progress:
    """What is going on, the share done (0..1), and the best found beside its bound where they are known.

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
