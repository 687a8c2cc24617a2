"""How far the search of a plan has come, and what ends it before it is done: the cap on seconds, a number of steps, the
person.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Literal

from stripplan.model.effort import Effort
from stripplan.model.search_progress import Progress

Stopped = Literal["done", "seconds", "steps", "interrupt", "good enough"]


class Search:
    """Asked before each step of a search whether it is over, and told how far it is; `steps` counts those that were let
    go on.

    A search that was ended by seconds or by the person is done again by `stop_after` that many steps: all
    searches ask in the same order whatever the time is. `share` is what is done of the whole, from 0 to 1.
    """

    def __init__(
        self,
        effort: Effort,
        stop: Callable[[], bool] | None = None,
        progress: Callable[[Progress], None] | None = None,
    ) -> None:
        self._end = None if effort.seconds is None else time.monotonic() + effort.seconds
        self._most = effort.stop_after
        self._stop = stop
        self._progress = progress
        self.stopped: Stopped = "done"
        self.steps = 0
        self.share = 0.0

    def over(self) -> bool:
        """Whether to stop; once true it stays true."""
        if self.stopped == "done":
            self.stopped = self._reason()
            self.steps += self.stopped == "done"
        return self.stopped != "done"

    def _reason(self) -> Stopped:
        if self._most is not None and self.steps >= self._most:
            return "steps"
        if self._stop is not None and self._stop():
            return "interrupt"
        return "seconds" if self._end is not None and time.monotonic() > self._end else "done"

    def tell(self, words: str, best: float | None = None, bound: float | None = None, unit: str | None = None) -> None:
        """Tell whoever listens what is being worked on, with the best so far and its bound where they are known."""
        if self._progress is not None:
            self._progress(Progress(words=words, share=self.share, best=best, bound=bound, unit=unit))
