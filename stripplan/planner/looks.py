"""Looks at a plan while its search goes on: something better to see now and then, for a little of the search's time.

The search is not begun anew for a look, and none changes what it finds in the end: a look makes a plan of the best
layout so far, its cuts in the first order that there is. Such a plan is sound and can be cut by, but no number of steps
makes it again: `stopped` is "look" in it.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence

from stripplan.model.plan.plan import Plan


class Looks:
    """Looks that are due after so many seconds; `show` gets the plan of each."""

    def __init__(self, after: Sequence[float], show: Callable[[Plan], None]) -> None:
        now = time.monotonic()
        self._due = [now + seconds for seconds in after]
        self.show = show

    def due(self) -> bool:
        """Whether a look is due; each is once, and of several that are late the last alone."""
        late = [each for each in self._due if time.monotonic() >= each]
        self._due = self._due[len(late) :]
        return bool(late)
