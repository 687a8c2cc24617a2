"""Where cuts need be tried: sums of sizes, and raster points.

Problem: a plate of some thousand units could be cut at each of them; all but few of those cuts are never
needed. Pieces can be pushed together until each lies against another or the edge, and then every cut is at
a sum of sizes (J. C. Herz, 1972; also N. Christofides, C. Whitlock, Operations Research 25 (1977) 30-44,
from memory). Raster points (G. Scheithauer, J. Terno, 1996) are fewer still.

Exact: some best pattern has all its cuts at these points. That holds where any waste may be left, and for
raster points where no other limit binds; else `unbounded` says which sizes are needed. Cost: a few shifts of a
number with as many bits as the plate has units.

All sizes here have one kerf added, so that cuts have no width.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    import numpy.typing as npt

    Points = npt.NDArray[np.int64]


def sums(sizes: Iterable[int], most: int) -> Points:
    """All sums of sizes, each as often as one likes, up to `most`; rising, from 0 (J. C. Herz, 1972).

    Sizes are whole units; sizes of 0 or less, and above `most`, add nothing. Each sum is one bit of a large
    whole number.

    >>> sums([3, 5], 10).tolist()
    [0, 3, 5, 6, 8, 9, 10]
    """
    bits, everything = 1, (1 << (most + 1)) - 1
    for size in sorted(set(sizes)):
        # Shifts by 1, 2, 4, ... times the size: every number of copies in as many shifts as that number has bits.
        shift = size
        while 0 < shift <= most:
            bits |= (bits << shift) & everything
            shift *= 2
    return _places_of_ones(bits, most)


def _places_of_ones(bits: int, most: int) -> Points:
    """Which bits of a number are 1, up to bit `most`; rising."""
    raw = np.frombuffer(bits.to_bytes(most // 8 + 1, "little"), dtype=np.uint8)
    return np.flatnonzero(np.unpackbits(raw, bitorder="little")).astype(np.int64)


def rounded_down(points: Points, sizes: Points) -> Points:
    """For each size the largest point not above it. Points rise from 0; sizes are not below 0.

    >>> rounded_down(np.array([0, 3, 5]), np.array([4, 5, 2])).tolist()
    [3, 5, 0]
    """
    return points[np.searchsorted(points, sizes, side="right") - 1]


def raster(points: Points, most: int) -> Points:
    """Raster points of a plate of size `most` (G. Scheithauer, J. Terno, 1996): each sum widened as far as it
    does no harm.

    `points` are all sums up to `most`. For a sum p let r(p) be the largest sum that still leaves room for
    the longest sum fitting beside p. Then a + b <= c makes r(a) + r(b) <= r(c), for r(a) + b + rest(c) <=
    most, and r(r(c)) = r(c). So widening every rectangle of a pattern from its size to r(size) gives a
    pattern again: only raster points need be tried.

    >>> raster(sums([3, 5], 7), 7).tolist()
    [0, 3, 6]
    """
    beside = rounded_down(points, most - points)
    return np.unique(rounded_down(points, most - beside))


def widened(sizes: Points, points: Points, most: int) -> Points:
    """r(size) of each size: see `raster`.

    >>> widened(np.array([3, 5]), sums([3, 5], 7), 7).tolist()
    [3, 6]
    """
    return rounded_down(points, most - rounded_down(points, most - sizes))
