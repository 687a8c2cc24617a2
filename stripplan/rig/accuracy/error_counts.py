"""How often each error of the rig counts in a dimension, by the way of working that makes it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from stripplan.rig.process.kerf import Way, strip_error


@dataclass(frozen=True)
class ErrorCounts:
    """What lies between the two edges of a dimension.

    `settings`: independent fence settings in it; `common`: how often each one's error counts; `zero_count`: how often
    the fence zero's error counts; `half_kerfs`: how many half-kerfs are taken from it (- = a wider kerf makes it
    narrower); `marked`: cuts set by a mark.
    """

    settings: int = 1
    common: float = 1.0
    zero_count: float = 1.0
    half_kerfs: float = -1.0
    marked: int = 0

    def __post_init__(self) -> None:
        faults = [
            f"{name} {value} must not be below 0"
            for name, value in (("settings", self.settings), ("common", self.common), ("zero_count", self.zero_count))
            if not (math.isfinite(value) and value >= 0)
        ]
        if self.marked < 0:
            faults.append(f"marked {self.marked} must not be below 0")
        if not math.isfinite(self.half_kerfs):
            faults.append(f"half_kerfs {self.half_kerfs} must be a number")
        if faults:
            raise ValueError("; ".join(faults))


def chain(way: Way, n: int = 1, *, marked: bool = False) -> ErrorCounts:
    """The chain of a way of working, after `n` strips where it tells of what is left; `marked` where scribed marks take
    the fence's place.

    On the fence: one reading, one zero, half a kerf. Between two settings from one edge: two readings, the zero
    cancels, a whole kerf. What is left on a fixed edge: as on the fence. On a moving edge one setting serves all: its
    error and the zero's count n times, and n half-kerfs. The same with the fence corrected by a measured strip: the
    correction counts n times, and n whole kerfs.

    >>> chain("between_settings")
    ErrorCounts(settings=2, common=1.0, zero_count=0.0, half_kerfs=-2.0, marked=0)
    >>> chain("left_moving_edge", 10).half_kerfs
    -10.0
    """
    half_kerfs = 2 * strip_error(1.0, way, n)
    if marked:
        if way in ("left_moving_edge", "left_corrected"):
            raise ValueError(f"{way} rests on one fence setting: it cannot be marked")
        edges = 2 if way == "between_settings" else 1
        return ErrorCounts(0, 1.0, 0.0, half_kerfs, edges)
    if way == "between_settings":
        return ErrorCounts(2, 1.0, 0.0, half_kerfs)
    if way == "left_moving_edge":
        return ErrorCounts(1, float(n), float(n), half_kerfs)
    if way == "left_corrected":
        return ErrorCounts(1, float(n), 0.0, half_kerfs)
    return ErrorCounts(1, 1.0, 1.0, half_kerfs)


ON_FENCE = ErrorCounts()
"""A strip between the fence and one cut."""
