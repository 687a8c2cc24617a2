"""Dual feasible functions: sizes made larger on paper so that no more of them fit than before.

A function f of whole sizes is dual feasible for a capacity C when any sizes that sum to at most C have
values that sum to at most f(C), the `top`. Each row of `Functions` is one such function, tabulated for the
sizes of a job in whole numbers. Families, with e a threshold and k a whole number:

- u(k) and the threshold function U(e): S. P. Fekete, J. Schepers, Mathematical Programming 91 (2001)
  11-31, after G. S. Lueker (1983);
- staircase with a mirrored upper half, and counting of the small sizes that are really there (data-
  dependent: it holds for the sizes of this job only): J. Carlier, F. Clautiaux, A. Moukrim, Computers &
  Operations Research 34 (2007) 2223-2250, the second after M. A. Boschetti, A. Mingozzi, 4OR 1 (2003) 27-42;
- rounding with a share of the remainder: C. A. Burdett, E. L. Johnson (1977), and rounding up less one:
  F. Vanderbeck (2000); both as in F. Clautiaux, C. Alves, J. Valerio de Carvalho, Annals of Operations
  Research 179 (2010) 317-342.

The papers are cited from memory; that each function is dual feasible is tried out in the tests.
Cost: (functions) x (sizes).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    import numpy.typing as npt

    Array = npt.NDArray[np.int64]

MOST_THRESHOLDS = 80
"""Thresholds tried in each family; of more they are taken evenly, which can only weaken the bound. The pairs
made of them are tried by the square of their number. Set by trial, not studied."""
MOST_PARTS = 40
"""u(k) and Vanderbeck's function are tried up to this k: strength of the bound against pairs to try. Set by
trial, not studied."""

Pieces = Sequence[tuple[tuple[int, ...], int]]
"""(The sizes that one piece may show along an edge, how many of it there are)."""


@dataclass(frozen=True)
class Functions:
    """Rows: functions; columns: the sizes. `tops` holds each function's value of the capacity, above 0."""

    values: Array
    tops: Array

    def shares(self) -> npt.NDArray[np.float64]:
        """Values as shares of the capacity's value (functions x sizes); for choosing only, sums are checked in whole
        numbers.
        """
        shares: npt.NDArray[np.float64] = self.values / self.tops[:, None]
        return shares


def functions(sizes: Sequence[int], capacity: int, pieces: Pieces) -> Functions:
    """Dual feasible functions of `sizes`, all from 1 to `capacity`.

    Columns are in the order of `sizes`. In one row of pieces each piece counts once; only the data-dependent
    family reads `pieces`. Sizes are divided by their greatest common divisor, so the unit they are counted in
    makes no difference. Nothing of 50 fits beside 60, so that may count as a whole plate:

    >>> functions([60, 50], 100, [((60,), 1), ((50,), 2)]).shares().max(axis=0).tolist()
    [1.0, 0.5]
    """
    divisor = int(np.gcd.reduce(np.array([*sizes, capacity], dtype=np.int64)))
    # The capacity takes part in the divisor, so that it stays whole too.
    x, top = np.array(sizes, dtype=np.int64) // divisor, capacity // divisor
    scaled = [(tuple(each // divisor for each in shown), count) for shown, count in pieces]
    found = [family(x, top) for family in FAMILIES] + [_counted(x, top, scaled)]
    return _distinct(Functions(np.concatenate([f.values for f in found]), np.concatenate([f.tops for f in found])))


def _distinct(found: Functions) -> Functions:
    """One of each set of functions that agree on all sizes, as shares of their tops.

    Families meet for many thresholds, and the cost of pricing pairs goes by the square of what is kept.
    Comparing floats is safe here: at worst two that agree are both kept, or one of two that differ by less than
    a float shows is dropped.
    """
    keep: dict[bytes, int] = {}
    for row, shares in enumerate(found.shares()):
        keep.setdefault(shares.tobytes(), row)
    rows = sorted(keep.values())
    return Functions(found.values[rows], found.tops[rows])


def _sample(values: Array) -> Array:
    """All values, or so many of them spread evenly; rising, each once."""
    distinct: Array = np.unique(values)
    if len(distinct) <= MOST_THRESHOLDS:
        return distinct
    return distinct[np.linspace(0, len(distinct) - 1, MOST_THRESHOLDS).astype(np.int64)]


def _steps(x: Array, capacity: int) -> Array:
    """Thresholds worth trying: small sizes, and what just does not fit beside a large one; a column."""
    small, large = x[2 * x <= capacity], x[2 * x > capacity]
    return _sample(np.concatenate([small, capacity - large + 1]))[:, None]


def _thresholds(x: Array, capacity: int) -> Functions:
    """U(e): below e nothing, above C - e the whole plate, else the size itself; e = 1 is the size itself."""
    e = _sample(np.append(capacity - x[2 * x > capacity] + 1, 1))[:, None]
    values = np.where(x > capacity - e, capacity, np.where(x >= e, x, 0))
    return Functions(values, np.full(len(e), capacity, dtype=np.int64))


def _equal_parts(x: Array, capacity: int) -> Functions:
    """u(k): (k + 1) x / C rounded down to a whole number of k-ths; x / C itself where that is whole."""
    k = np.arange(1, MOST_PARTS + 1, dtype=np.int64)[:, None]
    whole, rest = (k + 1) * x // capacity, (k + 1) * x % capacity
    return Functions(np.where(rest == 0, x * k, whole * capacity), k[:, 0] * capacity)


def _mirrored(x: Array, capacity: int, lower: Array, middle: Array, top: Array) -> Functions:
    """`lower` holds, for each x, the value of the smaller of x and C - x; sizes above half take top less that."""
    values = np.where(2 * x < capacity, lower, np.where(2 * x == capacity, middle, top - lower))
    return Functions(values, top[:, 0])


def _rounded_up(x: Array, capacity: int) -> Functions:
    """Sizes in k-ths of the plate, rounded up, less one; values are doubled, so that half a plate counts half."""
    k = np.arange(2, MOST_PARTS + 1, dtype=np.int64)[:, None]
    lower = 2 * np.maximum(0, -(-k * np.minimum(x, capacity - x) // capacity) - 1)
    return _mirrored(x, capacity, lower, k - 1, 2 * (k - 1))


def _staircase(x: Array, capacity: int) -> Functions:
    """Sizes in whole multiples of e, rounded down."""
    e = _steps(x, capacity)
    # A step above half a plate would count every size below half as nothing.
    e = e[2 * e[:, 0] <= capacity]
    return _mirrored(x, capacity, 2 * (np.minimum(x, capacity - x) // e), capacity // e, 2 * (capacity // e))


def _remainders(x: Array, capacity: int) -> Functions:
    """Whole multiples of e, and of the remainder what exceeds the plate's own remainder.

    Where e divides the plate this is the size itself.
    """
    e = _sample(np.append(_steps(x, capacity)[:, 0], x))[:, None]
    left = capacity % e
    values = (e - left) * (x // e) + np.maximum(0, x % e - left)
    return Functions(values, ((e - left) * (capacity // e))[:, 0])


FAMILIES = (_thresholds, _equal_parts, _rounded_up, _staircase, _remainders)
"""Families that hold whatever pieces there are."""


def _counted(x: Array, capacity: int, pieces: Pieces) -> Functions:
    """Small sizes from e count 1; a large one counts as many small ones as it crowds out of a full row.

    Dual feasible for rows of these pieces: beside a large size x lie at most as many small ones as fit into
    C - x, smallest first.
    """
    rows, tops = [], []
    for e in _steps(x, capacity)[:, 0].tolist():
        smallest = sorted(_least_between(pieces, e, capacity))
        # Without small sizes of at least e there is nothing to count.
        if smallest:
            # How many small ones fill an empty row, and how many fit beside each size: what it crowds out is
            # the difference.
            full, *beside = _most(smallest, np.append(capacity, capacity - x))
            rows.append(np.where(2 * x > capacity, full - np.array(beside), np.where(x >= e, 1, 0)))
            tops.append(full)
    values = np.array(rows, dtype=np.int64).reshape(len(rows), len(x))
    return Functions(values, np.array(tops, dtype=np.int64))


def _least_between(pieces: Pieces, least: int, capacity: int) -> list[tuple[int, int]]:
    """For each kind of piece that can show a small size of at least `least`: the smallest such, and how many fit.

    A piece that may turn is taken at the smallest of these: then no row holds more of them than are counted.
    """
    found = []
    for shown, count in pieces:
        small = [size for size in shown if least <= size and 2 * size <= capacity]
        if small:
            found.append((min(small), min(count, capacity // min(small))))
    return found


def _most(smallest: Sequence[tuple[int, int]], room: Array) -> list[int]:
    """How many of the sizes (size, count), smallest first, go into each room.

    To take the smallest first is what lets most go in. Of 2, 2 and 5, a room of 9 holds all, one of 8 the two
    small ones:

    >>> _most([(2, 2), (5, 1)], np.array([9, 8, 3]))
    [3, 2, 1]
    """
    size = np.array([each for each, _ in smallest], dtype=np.int64)
    count = np.array([n for _, n in smallest], dtype=np.int64)
    filled = np.append(0, np.cumsum(size * count))
    whole = np.searchsorted(filled[1:], room, side="right")
    in_part = np.where(whole < len(size), (room - filled[whole]) // np.append(size, 1)[whole], 0)
    most: list[int] = (np.append(0, np.cumsum(count))[whole] + in_part).tolist()
    return most
