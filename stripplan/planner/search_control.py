"""How far the search of a plan has come, and what ends it before it is done: the cap on seconds, a number of steps, the
person.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Literal

from stripplan.model.effort import Effort, Progress

AFTER_A_PIECE = 0.05
"""Seconds that a piece of the job takes after its search: its cuts put in order as they come, its sizes and its check.
Measured on shop jobs of some thirty pieces, of which three layouts are compared, and rounded."""
MOST_AFTER = 0.6
"""Share of the cap that is left for that at the most: of a large job the rest would leave no search at all."""

Stopped = Literal["done", "seconds", "steps", "interrupt", "good enough", "look"]


class Search:
    """Asked before each step of a search whether it is over, and told how far it is; `steps` counts those that were let
    go on.

    A search that was ended by seconds or by the person is done again by `stop_after` that many steps: all searches ask
    in the same order whatever the time is. `share` is what is done of the whole, from 0 to 1, set as that of the
    stretch `within` which the plan at hand is made; `total` is what the best plan so far costs in plate and hands, in
    `currency`. The cap is on all of the plan: for so many `pieces` some of it is kept for what must be done after the
    search. `at_once`: something to look at is wanted before any search; so it is where it is to stop after no step.
    `dearer_with`: of plates that the layout taken does not use, by their index, what the cheapest of those that were
    weighed against it and do costs more; `compared`: the plates of groups of which several layouts were weighed.
    """

    def __init__(
        self,
        effort: Effort,
        stop: Callable[[], bool] | None = None,
        progress: Callable[[Progress], None] | None = None,
        *,
        pieces: int = 0,
        at_once: bool = False,
    ) -> None:
        self._end = None if effort.seconds is None else time.monotonic() + search_seconds(effort.seconds, pieces)
        self._most = effort.stop_after
        self._stop = (lambda: True) if at_once else stop
        # Also asked before the first step: who has stopped by then gets what `stop_after` no step gives.
        self.at_once = at_once or effort.stop_after == 0 or (stop is not None and stop())
        self._progress = progress
        self.stopped: Stopped = "done"
        self.steps = 0
        self.within = 0.0, 1.0
        self._share = 0.0
        self.total: float | None = None
        self.currency = ""
        self.dearer_with: dict[int, float] = {}
        self.compared: set[int] = set()
        if self.at_once:
            self.over()

    @property
    def share(self) -> float:
        """What is done of the whole, from 0 to 1."""
        return self._share

    @share.setter
    def share(self, share: float) -> None:
        low, high = self.within
        self._share = low + (high - low) * share

    def over(self) -> bool:
        """Whether to stop; once true it stays true."""
        if self.stopped == "done":
            self.stopped = self._reason()
            self.steps += self.stopped == "done"
        return self.stopped != "done"

    def goes_on_from(self, steps: int, stopped: Stopped) -> None:
        """Count on from an earlier search of the same job; one that was ended by more than seconds stays so."""
        self.steps, self.stopped = steps, stopped

    def _reason(self) -> Stopped:
        if self._most is not None and self.steps >= self._most:
            return "steps"
        if self._stop is not None and self._stop():
            return "interrupt"
        return "seconds" if self._end is not None and time.monotonic() > self._end else "done"

    def tell(self, words: str, best: float | None = None, bound: float | None = None, unit: str | None = None) -> None:
        """Tell whoever listens what is being worked on, with the best so far and its bound where they are known."""
        if self._progress is not None:
            told = Progress(
                words=words,
                share=self.share,
                best=best,
                bound=bound,
                unit=unit,
                total=self.total,
                currency=self.currency,
            )
            self._progress(told)


def search_seconds(cap: float, pieces: int) -> float:
    """What a cap leaves for the search of a job of so many pieces [s].

    >>> search_seconds(30, 100), search_seconds(5, 2000)
    (25.0, 2.0)
    """
    return cap - min(MOST_AFTER * cap, AFTER_A_PIECE * pieces)
