"""Lower bounds on plates of one stock without a linear programme: dual feasible functions, in whole numbers.

Problem: at least how many plates of one capacity do so many strips of these sizes need? A dual feasible
function turns sizes into other sizes such that every set that fits a plate still fits. What the turned sizes
need of turned plates, rounded up, is then a bound for the sizes themselves. Exact in the sense that it always
holds; it may be below the least number. Cost: sizes squared, as each function is tried on each size.

S. Martello, P. Toth, Discrete Applied Mathematics 28 (1990) 59-70 (bound L2); S. P. Fekete, J. Schepers,
Mathematical Programming 91 (2001) 11-31 (u); J. Carlier, F. Clautiaux, A. Moukrim, Computers & OR 34 (2007)
2223-2250 (f1). Formulas from memory; the tests check each against all sets that fit.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    import numpy.typing as npt

    Array = npt.NDArray[np.int64]

MOST_K = 40
"""u(k) is tried up to this k: a greater k may bound better and costs one more pass over the sizes. Set by
trial, not studied."""
MOST_THRESHOLDS = 400
"""Thresholds tried; of more every so manieth is taken, which can only weaken the bound: time against strength.
Set by trial, not studied."""


def least_plates(sizes: Sequence[int], demands: Sequence[int], capacity: int) -> int:
    """The best of the bounds below. Sizes at most the capacity, all in units; one demand for each size.

    Sizes hold the kerf after each strip and the capacity one more kerf, as everywhere among strips. Two strips
    of more than half a plate never lie together, and nothing of half a plate fits beside one of them:

    >>> least_plates([51, 50], [4, 1], 100)
    5
    """
    wanted = np.array(demands, dtype=np.int64)
    best = 0
    for turned, plate in turned_sizes(np.array(sizes, dtype=np.int64), capacity):
        best = max(best, int((-(-(turned @ wanted) // plate)).max()))
    return best


def turned_sizes(sizes: Array, capacity: int) -> list[tuple[Array, Array]]:
    """(functions x sizes, their plates) for each family: L2's, u and f1.

    Each family gives a table with a row for each function and a column for each size, and for each row the
    turned plate.
    """
    thresholds = _thresholds(sizes, capacity)
    return [_large_up(sizes, capacity, thresholds), _steps(sizes, capacity), _halves(sizes, capacity, thresholds)]


def _thresholds(sizes: Array, capacity: int) -> Array:
    """Where the functions can change: sizes, and what is left beside them, up to half a plate."""
    marks = np.unique(np.concatenate([[1], sizes, capacity - sizes, capacity - sizes + 1]))
    marks = marks[(marks > 0) & (2 * marks <= capacity)]
    # Empty only for a plate of one unit: a threshold of 1 then leaves the sizes as they are.
    return marks[:: -(-len(marks) // MOST_THRESHOLDS)] if len(marks) else np.ones(1, dtype=np.int64)


def _large_up(sizes: Array, capacity: int, thresholds: Array) -> tuple[Array, Array]:
    """Sizes above capacity - t count as whole plates, sizes below t as nothing (t at most half a plate).

    Beside a size above capacity - t there is room for less than t only, and that counts as nothing: so it may
    count as all.

    >>> _large_up(np.array([51, 50]), 100, np.array([50]))
    (array([[100,  50]]), array([100]))
    """
    t = thresholds[:, None]
    turned = np.where(sizes > capacity - t, capacity, np.where(sizes < t, 0, sizes))
    return turned, np.full(len(thresholds), capacity, dtype=np.int64)


def _steps(sizes: Array, capacity: int) -> tuple[Array, Array]:
    """u: (k + 1) x / C rounded down, over k; where it is whole, x / C itself (all times k C).

    Times k C all values are whole: no fraction is rounded on the way to the bound.
    """
    k = np.arange(1, MOST_K + 1, dtype=np.int64)[:, None]
    product = (k + 1) * sizes
    turned = np.where(product % capacity == 0, k * sizes, product // capacity * capacity)
    return turned, k[:, 0] * capacity


def _halves(sizes: Array, capacity: int, thresholds: Array) -> tuple[Array, Array]:
    """f1: in steps of t, sizes up to half a plate rounded down, larger ones by rounding down what is beside them.

    At most one size of a plate is above half: its value and those beside it then sum to at most twice the whole
    steps of a plate. Values are doubled, so that exactly half a plate counts half.
    """
    t = thresholds[:, None]
    whole = capacity // t
    above = 2 * (whole - (capacity - sizes) // t)
    turned = np.where(2 * sizes > capacity, above, np.where(2 * sizes == capacity, whole, 2 * (sizes // t)))
    return turned, 2 * whole[:, 0]
