"""One part out of one rectangle of metal: which cuts free it, scrap cut off first where nothing else can be located.

Exact. A cut's limits, but for its length, ask only for sizes at right angles to it, so each direction is solved by
itself (`slices`). The length of a cut is what the other direction has left, which cuts only lessen, and so they do
the mass: where any order of cuts is legal, all of one direction and then all of the other is. (Where a piece is too
heavy to be turned over, the first cut is one in a single pass; once all in its direction are made, the others are
shortest, and the piece is lightest.) Only square edges on the far side, which want cuts in one pass, could gain by a
third turn; that is not built, and not called impossible either (`Cutter.beside`).

Why so much for one part: it answers "can this be made at all?", where a search that finds nothing proves nothing.
Cost: at most two ways to lie, two orders, and four answers of `slices`, most of them known.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from stripplan.layout.feasible import ANY
from stripplan.layout.grid import exact
from stripplan.layout.problem import Stock, may_lie
from stripplan.layout.unplaced.one_direction import End, Ends, Slice, Task, slices
from stripplan.model.part import Part, Rectangle
from stripplan.model.pattern import Direction
from stripplan.model.plate import EdgeState

CUTS: tuple[Direction, Direction] = ("across", "along")
"""By axis: a cut across brings the extent along x to size, a cut along that along y. The engines for rectangles have
the same order (`DIRECTIONS` in `rectangles.search_task`)."""


@dataclass(frozen=True)
class Metal:
    """A rectangle in units, its edges (west, east), (south, north), how often the direction of cutting has changed.

    `came_by` is the axis of the cuts that made it; None = a whole plate, of which the first cut is a change too.
    """

    size: tuple[int, int]
    ends: tuple[Ends, Ends]
    depth: int = 0
    came_by: int | None = None

    def part(self, axis: int, size: int, ends: Ends) -> Metal:
        """What a cut leaves of it: `size` on that axis, with these edges.

        >>> Metal((100, 50), (("cut", "cut"), ("cut", "cut"))).part(0, 60, ("cut", "cut")).depth
        1
        """
        depth = self.depth + (self.came_by != axis)
        if axis == 0:
            return Metal((size, self.size[1]), (ends, self.ends[1]), depth, axis)
        return Metal((self.size[0], size), (self.ends[0], ends), depth, axis)


@dataclass(frozen=True)
class Lie:
    """One way a part may lie. By axis: its size, how much over it may stay, whether its ends must be square."""

    turned: bool
    size: tuple[int, int]
    over: tuple[int, int]
    square: tuple[bool, bool]

    def across(self) -> Lie:
        """The same, turned."""
        return Lie(not self.turned, self.size[::-1], self.over[::-1], self.square[::-1])


@dataclass(frozen=True)
class Freed:
    """A part lying in one way, and the cuts (axis, slice) that free it, in order."""

    lie: Lie
    cuts: tuple[tuple[int, Slice], ...]


class Cutter:
    """Cuts parts out of plates of one kind; `depth` is the job's.

    >>> from stripplan.layout.problem import Stock
    >>> from stripplan.model.cut_rules import CutRules
    >>> from stripplan.model.plate import Plate
    >>> rules = CutRules(kerf=2, longest_one_pass=999, longest_two_pass=999, narrowest_offcut=10, fence_min=0,
    ...                  fence_max=999, marked=True)
    >>> stock = Stock(0, Plate(name="p", length=100, width=50, thickness=5, material="steel"), rules, cost=1.0)
    >>> cutter, part = Cutter(stock), Rectangle(name="a", length=60, width=50)
    >>> [(axis, each.off) for axis, each in cutter.freed(part, cutter.plate()).cuts]
    [(0, 40)]
    """

    def __init__(self, stock: Stock, depth: int | None = None) -> None:
        self.stock, self.depth = stock, depth
        limits = stock.limits
        # Length and mass depend on the other direction too: `_legal` asks for them.
        self.limits = replace(
            limits, longest=ANY, one_pass=ANY, piece_max=None, turnable=None
        )  # one direction asks less
        self.longest_square = limits.one_pass if limits.square_side == "far" else ANY

    def beside(self, narrowest: float) -> Cutter:
        """The same plate with every limit loosened that other parts, down to so narrow [mm], might meet in its stead.

        What it refuses cannot be made in any layout. A part that may lie beside it does the work of scrap: so it counts
        as a narrowest offcut if it is narrower than that. A trim that is too wide to lie beside the torch may come off
        with a part on it, and a cut that is to be square may be shorter on a piece that another part has shortened.
        """
        loose = Cutter(self.stock, self.depth)
        least = min(self.limits.narrowest, math.floor(exact(narrowest) / self.stock.grid.unit))
        trim = self.limits.trim if self.limits.beside_ok(self.limits.trim) else 1
        loose.limits = replace(self.limits, narrowest=least, trim=trim)
        loose.longest_square = ANY
        return loose

    def plate(self) -> Metal:
        """A whole plate."""
        south, east, north, west = (_end(edge) for edge in self.stock.plate.edges)
        return Metal(self.stock.full, ((west, east), (south, north)))

    def possible(self, part: Part) -> bool:
        """Whether a plate, if there is one, yields the part."""
        return self.stock.limit != 0 and self.freed(part, self.plate()) is not None

    def freed(self, part: Part, metal: Metal) -> Freed | None:
        """The part by the fewest cuts, or None where no cuts free it."""
        return min(self._all(part, metal), key=lambda each: len(each.cuts), default=None)

    def _all(self, part: Part, metal: Metal) -> Iterator[Freed]:
        """Every way the part may lie and every order of the two directions that frees it.

        All and not the first: they differ in the number of cuts.
        """
        for lie in self._lies(part):
            rows = [self._row(lie, metal, axis) for axis in (0, 1)]
            x, y = rows
            # An empty row is an answer (the size is there already), None is not.
            if x is None or y is None:
                continue
            for order in ((0, 1), (1, 0)):
                if self._legal(metal, (x, y), order):
                    yield Freed(lie, tuple((axis, each) for axis in order for each in (x, y)[axis]))

    def _lies(self, part: Part) -> list[Lie]:
        """The one or two ways a part may lie; a strip is as long as what the trims leave of the whole plate.

        Of the plate and not of the metal asked about: from a shorter rest no strip can come. It may not stay over its
        length, as its length is whatever is there.
        """
        units = self.stock.grid.units
        tolerance = part.tolerance if part.square == "none" and part.tolerance else 0.0
        over = int(tolerance / float(self.stock.grid.unit) + 1e-9)
        rectangle = isinstance(part, Rectangle)
        length = units(part.length_as_cut) if isinstance(part, Rectangle) else self._usable(self.plate(), 0)
        lie = Lie(
            False,
            (length, units(part.width_as_cut)),
            (over if rectangle else 0, over),
            (part.square == "all", part.square != "none"),
        )
        return [each for each in (lie, lie.across()) if may_lie(part, self.stock.plate, turned=each.turned)]

    def _usable(self, metal: Metal, axis: int) -> int:
        """What the trims of mill edges leave; compared with in `_legal`, to tell trims from cuts of the layout."""
        trim = self.limits.trim
        # Each mill edge costs its trim and one kerf.
        trimmed = metal.ends[axis].count("mill") if trim else 0
        return metal.size[axis] - trimmed * (trim + self.limits.kerf)

    def _row(self, lie: Lie, metal: Metal, axis: int) -> tuple[Slice, ...] | None:
        """The slices of one direction, or None where there are none."""
        if lie.size[axis] > metal.size[axis]:
            return None
        task = Task(metal.size[axis], lie.size[axis], lie.over[axis], metal.ends[axis], lie.square[axis], self.limits)
        return slices(task)

    def _legal(self, metal: Metal, rows: tuple[tuple[Slice, ...], tuple[Slice, ...]], order: tuple[int, int]) -> bool:
        """Whether the cuts are short enough, one direction after the other, the pieces light enough, and the direction
        changes seldom enough.
        """
        left, depth, came_by = list(metal.size), metal.depth, metal.came_by
        for axis in order:
            if not rows[axis]:
                continue
            travel = left[1 - axis]
            square = any(each.square for each in rows[axis])
            # The first cut of a direction is on the heaviest piece; the later ones are as long.
            if not self.stock.limits.travel_ok(travel, left[axis]) or (square and travel > self.longest_square):
                return False
            # The cuts of the other direction are this much shorter, which is why the order matters.
            left[axis] -= sum(each.off for each in rows[axis])
            if left[axis] != self._usable(metal, axis):  # trims are no change of direction
                depth, came_by = depth + (axis != came_by), axis
        return self.depth is None or depth <= self.depth


def _end(edge: EdgeState) -> End:
    """Only mill edges are square and have a trim to come off."""
    return "mill" if edge == "mill" else "cut"
