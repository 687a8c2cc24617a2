"""Tables of what every rectangle of a plate is worth, by dynamic programming over its sizes.

Method: a rectangle is worth the item that it is, or the best of all ways to cut it in two (P. C. Gilmore,
R. E. Gomory, Operations Research 14 (1966) 1045-1074). `Axis` says which sizes there are and how each may
be cut; which those must be for the table to be exact is told in `unbounded` and `raster`. The table knows
no demands: each item may be had as often as fits.

Exact on the sizes given. Values are whole numbers of 64 bits. Cost: (sizes of x) x (sizes of y) x (ways to
cut a size of x, and of y).

Sizes have one kerf added, so that cuts have no width: a first size and a rest are together the whole.

The compiled functions of kernel/dp_tables.c do the same as the ones here, value for value; these are what
is used where nothing could be compiled.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from stripplan.kernel import api, available
from stripplan.layout.single_plate.raster import rounded_down
from stripplan.layout.stop_rule import Clock, go_on, never

if TYPE_CHECKING:
    import numpy.typing as npt

    from stripplan.layout.single_plate.raster import Points

    Worths = npt.NDArray[np.int64]
    Numbers = npt.NDArray[np.int32]

NONE = -(1 << 60)
"""Worth of a rectangle that must not be left over, and holds no item. So far below 0 that no value makes up
for it, and the sum of two of them is still within 64 bits.
"""

AT_ONCE = 50_000_000
"""Sums after which the clock is asked; some twentieth of a second where compiled. More would come late, fewer
would cut the table into many short calls.
"""


@dataclass(frozen=True)
class Axis:
    """Sizes along one axis, rising, from 0, one kerf added; how to cut each; what may be waste.

    Size number n may be cut into sizes `first[k]` and `rest[k]`, for k from `start[n]` to `start[n + 1]`. `left` is
    0 for a size that may be waste, else NONE. The first `cuttable` sizes may be cut along their own extent.
    """

    sizes: Points
    left: Worths
    cuttable: int
    start: Worths
    first: Numbers
    rest: Numbers

    def pairs(self, number: int) -> tuple[Numbers, Numbers]:
        """Numbers of the sizes into which a size may be cut."""
        these = slice(int(self.start[number]), int(self.start[number + 1]))
        return self.first[these], self.rest[these]

    def in_c(self) -> api.Axis:
        """As the kernel reads it, while this lasts."""
        return api.axis(self.left, self.start, self.first, self.rest)

    def number(self, size: int) -> int:
        """Number of the largest size not above `size`."""
        return int(np.searchsorted(self.sizes, size, side="right")) - 1


def free_axis(sizes: Points, reach: int) -> Axis:
    """Any waste may be left: what remains beside a first size is taken down to the next size.

    `sizes` rise from 0, one kerf added; a size above `reach` is longer than the longest cut.

    >>> axis = free_axis(np.array([0, 3, 5, 6]), reach=6)
    >>> [each.tolist() for each in axis.pairs(3)]
    [[1, 2], [1, 0]]
    """
    pairs = [_free_pairs(sizes, number) for number in range(len(sizes))]
    return _axis(sizes, np.zeros(len(sizes), dtype=np.int64), reach, pairs)


def _free_pairs(sizes: Points, number: int) -> tuple[Points, Points]:
    """Half the sizes will do, and the next smaller size with pure waste.

    The other half are the same cuts mirrored. The next smaller size makes a worth never less than that of a
    smaller rectangle.
    """
    if number == 0:
        return sizes[:0], sizes[:0]
    whole = int(sizes[number])
    half = int(np.searchsorted(sizes, whole // 2, side="right"))
    first = np.arange(1, half, dtype=np.int64)
    rest = np.searchsorted(sizes, whole - sizes[1:half], side="right") - 1
    last = np.array([number - 1] if number > 1 else [], dtype=np.int64)
    # Of first sizes with the same rest only the largest: where any waste may be left, a smaller one is worth no more.
    largest = np.concatenate([rest[:-1] != rest[1:], [True]]) if len(rest) else np.zeros(0, dtype=bool)
    return np.concatenate([first[largest], last]), np.concatenate([rest[largest], np.zeros_like(last)])


def gapped_axis(sums: Points, whole: int, gap: int, reach: int) -> Axis:
    """Waste is at least `gap` wide. Sizes are sums, and what sums leave of the whole: see `unbounded`.

    `left` is then NONE for sizes below the gap: such a sliver may be an item, or part of one, but not
    waste.
    """
    sizes = np.union1d(sums, whole - sums)
    pairs = [_gapped_pairs(sizes, sums, number) for number in range(len(sizes))]
    return _axis(sizes, np.where(sizes >= gap, 0, NONE).astype(np.int64), reach, pairs)


def _gapped_pairs(sizes: Points, sums: Points, number: int) -> tuple[Points, Points]:
    """First sizes are sums, and first and rest make up the whole exactly: to take the rest down would leave a
    sliver.
    """
    whole = int(sizes[number])
    first = sums[(sums > 0) & (sums < whole)]
    there = rounded_down(sizes, whole - first) == whole - first
    first = first[there]
    rest = whole - first
    # Where the rest is a sum, too, the same cut is there mirrored: once is enough.
    once = (first <= rest) | (rounded_down(sums, rest) != rest)
    return np.searchsorted(sizes, first[once]), np.searchsorted(sizes, rest[once])


def _axis(sizes: Points, left: Worths, reach: int, pairs: list[tuple[Points, Points]]) -> Axis:
    """The cuts of all sizes one after the other, as the compiled functions read them."""
    start = np.concatenate([[0], np.cumsum([len(first) for first, _ in pairs])]).astype(np.int64)
    first = np.concatenate([each for each, _ in pairs]).astype(np.int32)
    rest = np.concatenate([each for _, each in pairs]).astype(np.int32)
    return Axis(sizes, left, int(np.searchsorted(sizes, reach, side="right")), start, first, rest)


def fill(
    worth: Worths, x: Axis, y: Axis, *, along: bool = True, across: bool = True, out_of_time: Clock = never
) -> None:
    """Raise the worth of each rectangle to that of its best cut, smaller ones first. In place; shape (sizes of
    x, of y).

    Cuts along run along x and part y; cuts across part x. `along` and `across` say which are allowed. On
    entry `worth` holds each rectangle's worth without a cut. Raises OutOfTimeError, with the table half
    filled.
    """
    # Where nothing can be NONE the compiled function need not ask for each pair whether one may be waste.
    free = not x.left.any() and not y.left.any() and bool((worth >= 0).all())
    # A cut along is as long as the rectangle: only lengths up to the longest cut can be cut so.
    most_along = x.cuttable if along else 0
    most_across = y.cuttable if across else 0
    compiled = (x.in_c(), y.in_c()) if available() else None
    for rows in _portions(x, y, most_across, most_along):
        if rows.start:
            go_on(out_of_time)
        if compiled is None:
            _fill(worth, x, y, most_across, most_along, rows)
        else:
            api.fill(worth, *compiled, rows, across=most_across, along=most_along, free=free)


def _portions(x: Axis, y: Axis, across: int, along: int) -> list[range]:
    """The rows of a table, in portions of so many sums that the clock is asked some times a second."""
    rows = np.arange(1, len(x.sizes) + 1)
    sums = x.start[1:] * across + np.minimum(rows, along) * len(y.first)
    ends = np.unique(np.searchsorted(sums, np.arange(AT_ONCE, int(sums[-1]), AT_ONCE)) + 1).tolist()
    return [range(start, end) for start, end in zip([0, *ends], [*ends, len(rows)], strict=True) if start < end]


def _fill(worth: Worths, x: Axis, y: Axis, across: int, along: int, rows: range) -> None:
    """What kernel/dp_tables.c does, for some rows. A row needs only rows before it, and within a row only
    smaller columns.
    """
    halves = [y.pairs(j) for j in range(len(y.sizes))]
    for i in rows:
        row = worth[i]
        first, rest = x.pairs(i)
        if len(first) and across:
            left = (x.left[first][:, None], x.left[rest][:, None])
            made = _joined(worth[first, :across], worth[rest, :across], *left).max(axis=0)
            np.maximum(row[:across], made, out=row[:across])
        if i >= along:
            continue
        for j, (low, high) in enumerate(halves):
            if len(low):
                row[j] = max(row[j], _joined(row[low], row[high], y.left[low], y.left[high]).max())


def _joined(one: Worths, other: Worths, left_one: Worths, left_other: Worths) -> Worths:
    """Two pieces, of which one may be waste where that is legal; below 0 = must not be left."""
    return np.maximum(one + np.maximum(other, left_other), other + np.maximum(one, left_one))


def outside(worth: Worths, x: Axis, y: Axis) -> Worths:
    """The most that can be had from the plate round a rectangle that lies in its corner, by sizes of the rectangle.

    K. V. Viswanathan, A. Bagchi, Operations Research 41 (1993) 768-776: the rectangle grows to the plate by
    what is put beside or beyond it. Only for tables where any waste may be left. Shape and values as
    `worth`; 0 for the plate itself. Cost as that of filling the table.
    """
    room_x, room_y = _rooms(x.sizes), _rooms(y.sizes)
    result = np.zeros_like(worth)
    (api.outside if available() else _outside)(worth, result, room_x, room_y)
    return result


def _rooms(sizes: Points) -> Numbers:
    """Number of the size that lies between two sizes; rows the smaller. Shape (sizes, sizes); what lies
    between is taken down.
    """
    between = np.maximum(sizes[None, :] - sizes[:, None], 0)
    numbers: Numbers = (np.searchsorted(sizes, between, side="right") - 1).astype(np.int32)
    return numbers


def _outside(worth: Worths, result: Worths, room_x: Numbers, room_y: Numbers) -> None:
    """From the plate down: a rectangle first grows along one side to a larger one, whose outside is known."""
    nx, ny = worth.shape
    for i in reversed(range(nx)):
        row = result[i]
        if i + 1 < nx:
            row[:] = (result[i + 1 :] + worth[room_x[i, i + 1 :]]).max(axis=0)
        for j in reversed(range(ny - 1)):
            row[j] = max(row[j], (row[j + 1 :] + worth[i, room_y[j, j + 1 :]]).max())
