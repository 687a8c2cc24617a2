"""One plate by itself: what is asked, and the pattern that answers it, in units.

`unbounded` finds the most valuable pattern where each shape may be had as often as one likes, `bounded`
where at most so many are wanted, `no_waste` one without any waste.

These records stand between the problem of a job and those searches: a search sees sizes and few limits, and
nothing of parts, prices or the rig. `faults` checks their patterns by a way of its own.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from stripplan.layout.problem import Stock, Way
from stripplan.layout.tree import Tree
from stripplan.model.pattern import Direction


@dataclass(frozen=True)
class ItemView:
    """An item on one stock: the ways it may lie (extent along x, along y, turned), its worth, most copies.

    Items worth 0 or less are never cut. Under a `gap` one could stand in for a sliver that must not be left; so
    give every item that a plan may use a worth of at least 1 where a bound within limits matters.
    """

    ways: tuple[Way, ...]
    value: int
    most: int | None = None


@dataclass(frozen=True)
class StockView:
    """A stock as the exact tables see it: sizes and the limits that they keep, in units; bounds look at it
    with fewer limits.

    `longest` is the greatest length of a cut. `gap` is the least width with one kerf added of what a cut
    may leave over (narrowest offcut + kerf); 0 or 1 = any. `depth` is the greatest number of changes of
    direction, the first cut counted. None = no limit.

    >>> StockView(100, 50, kerf=2, longest=60).sides, StockView(100, 50, kerf=2, longest=60).reach
    ((102, 52), 62)
    """

    length: int
    width: int
    kerf: int = 0
    longest: int | None = None
    gap: int = 0
    depth: int | None = None

    @property
    def sides(self) -> tuple[int, int]:
        """Length and width with one kerf added: with items widened alike, cuts have no width."""
        return self.length + self.kerf, self.width + self.kerf

    @property
    def reach(self) -> int:
        """Greatest extent of a rectangle that can be cut along that extent, one kerf added."""
        return max(self.sides) if self.longest is None else min(self.longest + self.kerf, max(self.sides))

    @property
    def free(self) -> bool:
        """Whether no limit binds: any cut from edge to edge is legal. Then raster points will do, and tables
        are smallest.
        """
        return self.gap <= 1 and self.depth is None and self.reach >= max(self.sides)


@dataclass(frozen=True)
class Best:
    """The best pattern found, what it is worth, and what no pattern exceeds. `steps` says how far the search went.

    `value` and `bound` are in the unit of the values given; `bound` holds whether the search ended or not.
    """

    value: int
    pattern: Tree
    bound: int
    steps: int = 0

    @property
    def proven(self) -> bool:
        """Whether no pattern is worth more."""
        return self.value == self.bound


def plate_of(stock: Stock, depth: int | None = None) -> StockView:
    """A stock as one plate: kerf, narrowest offcut, longest cut and bed.

    Left out: mass, what the fence and the far side reach. A pattern has to be asked about those afterwards.
    """
    limits = stock.limits
    longest = None if limits.longest >= max(stock.length, stock.width) else limits.longest
    return StockView(stock.length, stock.width, stock.kerf, longest, limits.gap if limits.narrowest else 0, depth)


def widened_ways(plate: StockView, shape: ItemView) -> list[Way]:
    """Ways that fit the plate, one kerf added to each extent."""
    length, width = plate.sides
    ways = [(x + plate.kerf, y + plate.kerf, turned) for x, y, turned in shape.ways]
    return [way for way in ways if way[0] <= length and way[1] <= width]


def counted(pattern: Tree) -> Counter[int]:
    """How often each item is in a pattern."""
    return Counter(pattern.items())


def worth(pattern: Tree, shapes: Sequence[ItemView]) -> int:
    """Value of all items in a pattern, copies beyond what is wanted too."""
    return sum(shapes[item].value * times for item, times in counted(pattern).items())


def faults(pattern: Tree, plate: StockView, shapes: Sequence[ItemView], *, bounded: bool = True) -> list[str]:
    """What is not legal about a pattern, in words; empty = legal. Read off the pattern alone, without the
    tables that made it.

    `bounded`: also whether an item is there more often than wanted.
    """
    found = []
    if (pattern.length, pattern.width) != (plate.length, plate.width):
        found.append(f"the pattern is {pattern.length} x {pattern.width}, the plate {plate.length} x {plate.width}")
    todo: list[tuple[Tree, int, Direction | None]] = [(pattern, 0, None)]
    while todo:
        one, depth, came_by = todo.pop()
        if one.item is not None and (one.length, one.width, one.turned) not in shapes[one.item].ways:
            found.append(f"item {one.item} is not {one.length} x {one.width}")
        if one.cut is None:
            continue
        # A stage is a change of direction: cuts that go on in the direction of the last are of the same stage.
        depth += one.cut != came_by
        found += _faults_of_cuts(one, one.cut, plate, depth)
        todo += [(child, depth, one.cut) for child in one.children]
    if bounded:
        for item, times in counted(pattern).items():
            most = shapes[item].most
            if most is not None and times > most:
                found.append(f"item {item} is there {times} times, wanted {most}")
    return found


def _faults_of_cuts(one: Tree, cut: Direction, plate: StockView, depth: int) -> list[str]:
    """What is not legal about the cuts of one rectangle, which are of stage `depth`."""
    travel, pieces = one.travel(cut), list(one.pieces())
    sizes = [each.across(cut) for each in pieces]
    found = []
    # n pieces have n - 1 kerfs between them: with one more on both sides of the sum.
    if sum(size + plate.kerf for size in sizes) != one.across(cut) + plate.kerf:
        found.append(f"cuts of {one.length} x {one.width} do not add up: {sizes}")
    if any(each.travel(cut) != travel for each in pieces):
        found.append(f"not all pieces of {one.length} x {one.width} are {travel} along the cut")
    if plate.longest is not None and travel > plate.longest:
        found.append(f"a cut is {travel} long, the longest may be {plate.longest}")
    if plate.depth is not None and depth > plate.depth:
        found.append(f"a cut is of stage {depth}, the last may be {plate.depth}")
    for each, extent in zip(pieces, sizes, strict=True):
        # Metal may have an extent below 0, where the kerf runs off the edge: legal as long as any waste is.
        if each.is_metal and extent + plate.kerf < max(plate.gap, 0):
            found.append(f"{extent} is left beside a cut, the least is {plate.gap - plate.kerf}")
        if not each.is_metal and extent <= 0:
            found.append(f"a piece of {extent} is cut on")
    return found
