"""The most valuable pattern of a plate, each shape as often as one likes: exact.

Method: the tables of `dp_tables` (P. C. Gilmore, R. E. Gomory, Operations Research 14 (1966) 1045-1074),
over sizes chosen as below; then the pattern is found back from the values (`rebuilt`). With a limit on
stages there are two tables for each stage.

Cost: (sizes of x) x (sizes of y) x (a quarter of both together) sums (see `work`), more where waste has a
least width, and all that for each stage; memory is 8 bytes for each pair of sizes and table. Plates with
too many sizes are refused (`PlateTooFineError`); a bound is then taken in a coarser unit (`value_bound`).

Which sizes. Say a rectangle's content is *pushed together* along x. What it may be as a whole is then one
size w, or any size from some m on: an item has its own size; waste may be anything from the gap on; side by
side such sizes add, one above the other they must agree; the least ones are always sums of items' sizes and
gaps. So of two pieces beside each other one may be taken at its least size, and the rest goes to the other.
From the whole plate down, every size is a sum, or what a sum leaves of the plate. Where cuts have a
greatest length, a piece may also have to stop at it: it then counts as one more size that sums are made of.
Where any waste may be left, the rest may be taken down to the next smaller sum by a cut parallel to the one
before it, which is as long, so it is legal too. Without limits raster points will do (see `raster.raster`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from stripplan.layout.problem import Way
from stripplan.layout.single_plate.dp_tables import NONE, Axis, fill, free_axis, gapped_axis
from stripplan.layout.single_plate.plate import ItemView, StockView, widened_ways
from stripplan.layout.single_plate.raster import raster, sums, widened
from stripplan.layout.stop_rule import Clock, never
from stripplan.layout.tree import Tree, of_pieces
from stripplan.model.pattern import Direction

if TYPE_CHECKING:
    from stripplan.layout.single_plate.dp_tables import Worths
    from stripplan.layout.single_plate.raster import Points

MOST_CELLS = 40_000_000
"""Sizes along x times sizes along y that a table may have: 320 MB for each table. More would solve finer
plates, where memory is there. Set by trial, not studied.
"""

MOST_WORK = 4_000_000_000
"""Sums that a bound may take: about four seconds where compiled; a coarser unit, and so a looser bound, is
taken beyond it. Set by trial, not studied.
"""


class PlateTooFineError(ValueError):
    """A plate has too many places where cuts must be tried. The way out is a coarser unit."""

    def __init__(self, needed: int, limit: int) -> None:
        super().__init__(f"the plate needs {needed} entries or steps, the limit is {limit}; take a coarser unit")


@dataclass(frozen=True)
class Grounds:
    """The sizes of a plate along both axes, and for each item the ways it lies, as (size of x, of y, turned).

    Ways are given by numbers of sizes. All this does not depend on values: made once, it serves any number
    of tables.
    """

    plate: StockView
    x: Axis
    y: Axis
    ways: tuple[tuple[Way, ...], ...]


@dataclass(frozen=True)
class Table:
    """What every rectangle is worth: one array, or two for each number of stages left, (cut along first, across first).

    Arrays have the shape (sizes of x, sizes of y). `items` is what a rectangle is worth uncut, `kinds` says
    by which item, turned or not. Without a limit on stages both arrays of the one stage are the same.
    """

    grounds: Grounds
    stages: tuple[tuple[Worths, Worths], ...]
    items: Worths
    kinds: dict[tuple[int, int], tuple[int, bool]]

    @property
    def value(self) -> int:
        """What the whole plate is worth."""
        return max(0, *(int(each[-1, -1]) for each in self.stages[-1]))


def grounds(plate: StockView, shapes: Sequence[ItemView], *, most_cells: int = MOST_CELLS) -> Grounds:
    """Where the plate need be cut, for all shapes; leave out those that do not matter. PlateTooFineError.

    Every shape adds its sizes to the sums, so one that is never used makes the table larger for nothing. A
    shape that does not fit has no ways.
    """
    ways = [widened_ways(plate, shape) for shape in shapes]
    extents, sizes = _extents_and_sizes(plate, ways)
    # Asked before the axes are made: their lists of cuts may be larger than the table.
    cells = len(sizes[0][1]) * len(sizes[1][1])
    if cells > most_cells:
        raise PlateTooFineError(cells, most_cells)
    axes, numbers = [], []
    for side, whole in enumerate(plate.sides):
        axis, places = _axis_of(plate, whole, extents[side], *sizes[side])
        axes.append(axis)
        numbers.append(places)
    placed = tuple(tuple((numbers[0][x], numbers[1][y], turned) for x, y, turned in each) for each in ways)
    return Grounds(plate, axes[0], axes[1], placed)


def _extents_and_sizes(
    plate: StockView, ways: Sequence[Sequence[Way]]
) -> tuple[list[list[int]], list[tuple[Points, Points]]]:
    """Along each side: the extents of all ways, and what `_sizes_of` makes of them."""
    extents = [sorted({way[side] for each in ways for way in each}) for side in (0, 1)]
    return extents, [_sizes_of(plate, whole, each) for whole, each in zip(plate.sides, extents, strict=True)]


def work_with_limits(plate: StockView, shapes: Sequence[ItemView]) -> int:
    """About how many sums a table takes with the plate's own gap and longest cut, before its axes are made (`work`).

    A gap is one more size to make sums of: there may be a hundred times as many sizes with it as without.
    """
    _, sizes = _extents_and_sizes(plate, [widened_ways(plate, shape) for shape in shapes])
    x, y = (len(each) for _, each in sizes)
    return x * y * (x + y) // 4


def _sizes_of(plate: StockView, whole: int, extents: list[int]) -> tuple[Points, Points]:
    """Sums that cuts may be placed at, and the sizes that pieces come to have."""
    # A gap is waste at its least size, so it is one more size that sums are made of; and what sums leave
    # must be kept as it is.
    if plate.gap > 1:
        stops = [plate.reach] if plate.reach < max(plate.sides) else []
        points = sums([*extents, plate.gap, *stops], whole)
        return points, np.union1d(points, whole - points)
    points = sums(extents, whole)
    return points, raster(points, whole) if plate.free else np.union1d(points, [whole])


def _axis_of(
    plate: StockView, whole: int, extents: list[int], points: Points, sizes: Points
) -> tuple[Axis, dict[int, int]]:
    """One side, and the number of the size that each item's extent is widened to."""
    if plate.gap > 1:
        axis = gapped_axis(points, whole, plate.gap, plate.reach)
    else:
        axis = free_axis(sizes, plate.reach)
    placed = np.array(extents, dtype=np.int64)
    if plate.free:
        placed = widened(placed, points, whole)
    return axis, dict(zip(extents, np.searchsorted(axis.sizes, placed).tolist(), strict=True))


def table(ground: Grounds, values: Sequence[int], out_of_time: Clock = never) -> Table:
    """Tables for given values of the items; items of value 0 or less are left out. Raises OutOfTimeError.

    `values` has one whole number for each shape that the grounds were made for, in the same order.
    """
    plate = ground.plate
    # Waste is worth 0, and where any may be left so is every empty rectangle. With a gap an axis says which
    # size may be waste, and a rectangle without an item starts as one that must not be left.
    nothing = NONE if plate.gap > 1 else 0
    items = np.full((len(ground.x.sizes), len(ground.y.sizes)), nothing, dtype=np.int64)
    kinds: dict[tuple[int, int], tuple[int, bool]] = {}
    for item, ways in enumerate(ground.ways):
        for x, y, turned in ways:
            # Of items that come to the same sizes the one worth most stands for all.
            if values[item] > max(0, items[x, y]):
                items[x, y] = values[item]
                kinds[x, y] = (item, turned)
    return Table(ground, _stages(ground, items, out_of_time), items, kinds)


def _stages(ground: Grounds, items: Worths, out_of_time: Clock) -> tuple[tuple[Worths, Worths], ...]:
    """Tables for 0, 1, ... stages, or one without limit. What is cut along first is made of what is cut across
    first with a stage less, and the other way about.
    """
    if ground.plate.depth is None:
        worth = items.copy()
        fill(worth, ground.x, ground.y, out_of_time=out_of_time)
        return ((worth, worth),)
    found = [(items, items)]
    for _ in range(ground.plate.depth):
        along, across = found[-1][1].copy(), found[-1][0].copy()
        fill(along, ground.x, ground.y, across=False, out_of_time=out_of_time)
        fill(across, ground.x, ground.y, along=False, out_of_time=out_of_time)
        found.append((along, across))
    return tuple(found)


def value_bound(
    plate: StockView, shapes: Sequence[ItemView], *, most_work: int = MOST_WORK, out_of_time: Clock = never
) -> int:
    """What no pattern is worth more than, whatever its depth, its waste and the length of its cuts.

    Where exact tables would take more than `most_work` sums, sizes are counted in a coarser unit, all
    rounded down: what fits beside each other still does, so the bound still holds. PlateTooFineError where even
    that is too fine, OutOfTimeError where time is over.
    """
    bare, usable = StockView(plate.length, plate.width, plate.kerf), [s for s in shapes if s.value > 0]
    smallest = min((min(way[:2]) + plate.kerf for shape in usable for way in shape.ways), default=1)
    unit = 1
    while work(bare, usable) > most_work:
        unit *= 2
        # A size rounded down to 0 would fit as often as one likes, and bound nothing.
        if unit > smallest:
            raise PlateTooFineError(work(bare, usable), most_work)
        bare, usable = _coarser(plate, shapes, unit)
    return table(grounds(bare, usable), [shape.value for shape in usable], out_of_time).value


def work(plate: StockView, shapes: Sequence[ItemView]) -> int:
    """About how many sums a table takes without limits on cuts: 10^9 are about a second where compiled.

    A size is cut into a first one of at most half of it, and on average half of the sizes are below one:
    hence a quarter.
    """
    x, y = (len(raster(_sums_of(plate, shapes, side), whole)) for side, whole in enumerate(plate.sides))
    return x * y * (x + y) // 4


def _sums_of(plate: StockView, shapes: Sequence[ItemView], side: int) -> Points:
    """All sums of the shapes' extents along one side (0 x, 1 y), one kerf added."""
    ways = [way for shape in shapes for way in widened_ways(plate, shape)]
    return sums((way[side] for way in ways), plate.sides[side])


def _coarser(plate: StockView, shapes: Sequence[ItemView], unit: int) -> tuple[StockView, list[ItemView]]:
    """Plate and shapes with their kerf added, in a larger unit, rounded down; the kerf is then in the sizes,
    and 0 by itself.

    Rounding down keeps sums: floor(a) + floor(b) <= floor(a + b). So what fits side by side in units fits
    in the larger unit.
    """
    length, width = (side // unit for side in plate.sides)
    coarse = []
    for shape in shapes:
        if shape.value > 0:
            ways = tuple((x // unit, y // unit, turned) for x, y, turned in widened_ways(plate, shape))
            coarse.append(ItemView(ways, shape.value, shape.most))
    return StockView(length, width), coarse


def rebuilt(made: Table, shapes: Sequence[ItemView]) -> Tree:
    """The pattern behind a table's value. `shapes` are those of the grounds.

    Nothing was noted while the table was filled; the cuts are found again from the values alone, one
    rectangle after the other. ArithmeticError where no cut is worth what the table says: a fault of the tables.
    """
    last = made.stages[-1]
    ground = made.grounds
    i, j = len(ground.x.sizes) - 1, len(ground.y.sizes) - 1
    direction: Direction = "along" if last[0][-1, -1] >= last[1][-1, -1] else "across"
    return _Rebuilder(made, shapes).cutting(i, j, ground.plate.sides, len(made.stages) - 1, direction)


class _Rebuilder:
    """Goes down from the plate. Rectangles are really larger than their sizes in the table, by what these were
    taken down.
    """

    def __init__(self, made: Table, shapes: Sequence[ItemView]) -> None:
        self.made = made
        self.shapes = shapes
        self.plate = made.grounds.plate

    def cutting(self, i: int, j: int, sides: tuple[int, int], stage: int, came_by: Direction) -> Tree:
        """Pattern of a rectangle of size numbers i, j that is really of size `sides`, one kerf added.

        `stage` is how many stages are left, `came_by` the direction of its first cuts, where stages are
        limited.
        """
        made = self.made
        value = made.stages[stage][came_by == "across"][i, j]
        if value <= max(0, made.items[i, j]):
            return self._leaf(i, j, sides) if value > 0 or (i, j) in made.kinds else self._piece(sides)
        # Fewer stages worth as much are cut instead.
        while stage and made.stages[stage - 1][came_by == "along"][i, j] == value:
            stage, came_by = stage - 1, "across" if came_by == "along" else "along"
        for direction in self._directions(came_by):
            # Waste that can come off at once does: the rectangle is then as small as it is worth as much.
            inner = self._least(i, j, stage, direction)
            if inner != (i, j):
                return self._trimmed(inner, sides, stage, direction)
        for direction in self._directions(came_by):
            pair = self._pair(i, j, value, stage, direction)
            if pair is not None:
                return self._cut(i, j, sides, stage, direction, pair)
        raise ArithmeticError(f"no cut of size {i}, {j} is worth {value}")

    def _directions(self, came_by: Direction) -> tuple[Direction, ...]:
        """Directions to look for a cut in: with stages the table itself says which."""
        return (came_by,) if self.plate.depth is not None else ("across", "along")

    def _line(self, i: int, j: int, stage: int, direction: Direction) -> tuple[Axis, Worths, int, bool]:
        """The sizes along which a cut divides a rectangle, their worths, the number of its own, whether it is legal."""
        ground, worth = self.made.grounds, self.made.stages[stage][direction == "across"]
        if direction == "across":
            return ground.x, worth[:, j], i, j < ground.y.cuttable
        return ground.y, worth[i], j, i < ground.x.cuttable

    def _least(self, i: int, j: int, stage: int, direction: Direction) -> tuple[int, int]:
        """The least rectangle worth as much, where any waste may be cut off."""
        _, line, number, legal = self._line(i, j, stage, direction)
        if self.plate.gap > 1 or not legal:
            return i, j
        least = int(np.searchsorted(line[: number + 1], line[number]))
        return (least, j) if direction == "across" else (i, least)

    def _pair(self, i: int, j: int, value: int, stage: int, direction: Direction) -> tuple[int, int] | None:
        """Size numbers of the two pieces of a cut worth `value`: of halves worth something, else of most waste."""
        axis, line, number, legal = self._line(i, j, stage, direction)
        first, rest = axis.pairs(number)
        if not legal or not len(first):
            return None
        one = line[first] + np.maximum(line[rest], axis.left[rest])
        other = line[rest] + np.maximum(line[first], axis.left[first])
        hits = np.flatnonzero(np.maximum(one, other) == value)
        if not len(hits):
            return None
        # Two pieces worth something before one and waste; of the latter the cut that leaves most waste in one.
        both = hits[np.minimum(line[first[hits]], line[rest[hits]]) > 0]
        waste = np.where(line[first[hits]] > 0, axis.sizes[rest[hits]], axis.sizes[first[hits]])
        at = both[-1] if len(both) else hits[int(waste.argmax())]
        return int(first[at]), int(rest[at])

    def _cut(
        self, i: int, j: int, sides: tuple[int, int], stage: int, direction: Direction, pair: tuple[int, int]
    ) -> Tree:
        """A rectangle cut in two; the second piece takes all that is really there beyond the first."""
        ground = self.made.grounds
        axis = ground.x if direction == "across" else ground.y
        size = int(axis.sizes[pair[0]])

        def part(number: int, extent: int) -> Tree:
            here = (extent, sides[1]) if direction == "across" else (sides[0], extent)
            return self._trimmed((number, j) if direction == "across" else (i, number), here, stage, direction)

        whole = sides[0] if direction == "across" else sides[1]
        return self._joined(sides, direction, part(pair[0], size), part(pair[1], whole - size))

    def _trimmed(self, at: tuple[int, int], sides: tuple[int, int], stage: int, direction: Direction) -> Tree:
        """What is beyond a size is cut off at once, by a cut parallel to the last."""
        ground = self.made.grounds
        side, axis = (0, ground.x) if direction == "across" else (1, ground.y)
        size = int(axis.sizes[at[side]])
        if size in (0, sides[side]) or self.made.stages[stage][direction == "across"][at] <= 0:
            return self.cutting(*at, sides, stage, direction)
        inner = (size, sides[1]) if side == 0 else (sides[0], size)
        waste = (sides[0] - size, sides[1]) if side == 0 else (sides[0], sides[1] - size)
        return self._joined(sides, direction, self.cutting(*at, inner, stage, direction), self._piece(waste))

    def _joined(self, sides: tuple[int, int], direction: Direction, first: Tree, rest: Tree) -> Tree:
        """Two pieces side by side, sizes with a kerf taken back to real ones."""
        kerf = self.plate.kerf
        return of_pieces(sides[0] - kerf, sides[1] - kerf, direction, [first, rest])

    def _piece(self, sides: tuple[int, int]) -> Tree:
        """Metal of these sides, less the kerf that was added."""
        return Tree(sides[0] - self.plate.kerf, sides[1] - self.plate.kerf)

    def _leaf(self, i: int, j: int, sides: tuple[int, int]) -> Tree:
        """An item in its rectangle; only where no limit binds may the rectangle be larger than the item."""
        item, turned = self.made.kinds[i, j]
        kerf = self.plate.kerf
        fits = [way for way in self.shapes[item].ways if way[2] == turned]
        x, y, _ = next(w for w in fits if w[0] + kerf <= sides[0] and w[1] + kerf <= sides[1])
        inner = Tree(x, y, item, turned)
        if x + kerf < sides[0]:
            inner = self._joined((sides[0], y + kerf), "across", inner, self._piece((sides[0] - x - kerf, y + kerf)))
        if y + kerf < sides[1]:
            inner = self._joined(sides, "along", inner, self._piece((sides[0], sides[1] - y - kerf)))
        return inner
