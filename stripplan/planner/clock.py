"""The cap on seconds."""

from __future__ import annotations

import time


class Clock:
    """The cap on seconds; `stopped` tells whether it ended a search."""

    def __init__(self, seconds: float | None) -> None:
        self._end = None if seconds is None else time.monotonic() + seconds
        self.stopped = False

    def over(self) -> bool:
        self.stopped |= self._end is not None and time.monotonic() > self._end
        return self.stopped
