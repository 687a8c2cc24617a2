"""Fillers: parts that are always useful, cut from what the wanted parts leave. A pass over finished patterns.

Problem: each rectangle that is left becomes fillers worth most, cut by straight cuts that the rig can make.
Method: a batch of alike fillers goes into one corner of the rectangle; what remains beside and beyond it is split
off by one of two cuts and filled in turn; the best choice for each size is kept (dynamic programming, after
P. Gilmore and R. Gomory, Operations Research 13 (1965) 94-120, from memory). Batches are as long and as wide
as they may be, or up to two rows shorter: exact among layouts in which every cut runs beside a filler while at most
three go side by side, near beyond. After `MOST_SIZES` sizes of rectangle only the first choice that fits is taken.
Cost: sizes x fillers x 36.

A pass at the end and not items among the others: a filler may never cost a plate, and a search that knew it would have
to be told at every step that it counts for nothing against a wanted part.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from stripplan.layout.problem import Problem
from stripplan.model.job import Fill
from stripplan.model.pattern import Blank, Direction, Leaf, Node, Pattern
from stripplan.model.rack.offcut import worth_keeping

MOST_SIZES = 3000
"""So many sizes of rectangle are searched through on plates of one stock: better fillings against time and memory.
Set by trial, not studied."""

Sides = tuple[bool, bool, bool, bool]
"""South, east, north, west."""

Path = tuple[int, ...]
"""Where a node is in a pattern: numbers of children from the root down. The high end comes after the last child."""


@dataclass(frozen=True)
class Spot:
    """A rectangle left on one plate: where in its pattern, how deep, and on which sides a mill edge must come off.

    `at_mill_end` says that it is the high end of its blank and holds the trim of the plate's edge there: it must stay
    at that end.
    """

    plate: int
    path: Path
    leaf: Leaf
    depth: int
    came_by: Direction | None
    mill: Sides
    at_mill_end: bool = False


@dataclass(frozen=True)
class Room:
    """A rectangle to fill, in units; `depth` and `came_by` as in the layout of rectangles.

    Frozen, so that it can be looked up: rooms of one size come up over and over, and each is solved once.
    """

    length: int
    width: int
    depth: int
    came_by: Direction | None

    def part(self, cut: Direction, size: int) -> Room:
        """What a cut in that direction leaves of it, `size` across."""
        depth = self.depth + (self.came_by != cut)
        return Room(self.length, size, depth, cut) if cut == "along" else Room(size, self.width, depth, cut)

    def across(self, cut: Direction) -> int:
        """Size at right angles to a cut."""
        return self.width if cut == "along" else self.length

    def travel(self, cut: Direction) -> int:
        """Length of a cut."""
        return self.length if cut == "along" else self.width


@dataclass(frozen=True)
class Batch:
    """`columns` x `rows` of one item in the corner of a room, and the cuts that free it, in order.

    Batches instead of single pieces: a large rest takes hundreds of small fillers, which one by one would be as many
    sizes of room, and lines of cuts that stop short of one another.
    """

    item: int
    length: int
    width: int
    turned: bool
    columns: int
    rows: int
    cuts: tuple[tuple[Direction, int], ...]

    @property
    def count(self) -> int:
        """How many fillers it holds."""
        return self.columns * self.rows


def with_fillers(
    problem: Problem, patterns: Sequence[Pattern], *, fill: Fill, value: Callable[[float, float], float]
) -> list[Pattern]:
    """The patterns with fillers in what was left. All wanted parts stay where they are.

    The items of `problem` are the fillers: demand is how many at most, 0 as many as fit. `value` tells what an
    offcut (length, width [mm]) is worth. Scrap is filled first, small before large; then, if `fill` allows it,
    offcuts, the least valuable first; with "offcuts" the most valuable one is spared.
    """
    plates = [replace(pattern, count=1) for pattern in patterns for _ in range(pattern.count)]
    cutters = {stock.index: _Cutter(problem, number) for number, stock in enumerate(problem.stocks)}
    left: list[int | None] = [item.demand or None for item in problem.items]
    # Changes are gathered first and made at once: paths must stay valid while spots are filled.
    changes: list[dict[Path, tuple[Node, bool]]] = [{} for _ in plates]
    left_over = [spot for n, each in enumerate(plates) for spot in spots(n, each.root, cutters[each.plate].trims)]
    for spot in _chosen(left_over, fill, value):
        node = cutters[plates[spot.plate].plate].node(spot, left)
        if node is not None:
            changes[spot.plate][spot.path] = node, spot.at_mill_end
    made = Counter(replace(plate, root=changed(plate.root, new)) for plate, new in zip(plates, changes, strict=True))
    return [replace(pattern, count=count) for pattern, count in made.items()]


def _chosen(spots: list[Spot], fill: Fill, value: Callable[[float, float], float]) -> list[Spot]:
    """What may be filled, in order: where fillers are few, scrap takes them first, and the best offcut stays whole.

    An offcut is worth something as it is. Small before large, as what a small rest takes is metal that nobody stores.
    """

    def worth(spot: Spot) -> tuple[float, float]:
        leaf = spot.leaf
        return value(leaf.length, leaf.width), leaf.length * leaf.width

    ordered = sorted(spots, key=worth)
    scrap = [spot for spot in ordered if spot.leaf.kind == "scrap"]
    offcuts = [spot for spot in ordered if spot.leaf.kind == "offcut"]
    return scrap + {"scrap": [], "offcuts": offcuts[:-1], "all": offcuts}[fill]


# --- what is left in a pattern ------------------------------------------------------------------------------------


def spots(plate: int, root: Node, trims: tuple[int, int, int, int]) -> Iterator[Spot]:
    """What is left in a pattern of one plate (by number).

    >>> left = Leaf("offcut", 100, 28)
    >>> plate = Blank(100, 50, "along", (Leaf("part", 100, 20, part=0),), high=left)
    >>> [(spot.path, spot.depth) for spot in spots(0, plate, trims=(0, 0, 0, 0))]
    [((1,), 1)]
    """
    south, east, north, west = (trim > 0 for trim in trims)
    return _below(Spot(plate, (), Leaf("scrap", 0, 0), 0, None, (south, east, north, west)), root, trims)


def _below(at: Spot, node: Node, trims: tuple[int, int, int, int]) -> Iterator[Spot]:
    """Spots in a node; `at` says where the node lies. Trims off the plate do not count as a change of direction."""
    if isinstance(node, Leaf):
        if node.kind != "part" and node.length > 0 and node.width > 0:
            yield replace(at, leaf=node)
        return
    # Spacers must stay as they are: cut into, they would no longer make the edge beside them square.
    if node.square:
        return
    low, high = (0, 2) if node.direction == "along" else (3, 1)
    is_trim = at.came_by is None and len(node.children) == 1 and (trims[low] > 0 or trims[high] > 0)
    south, east, north, west = (0 if n in (low, high) else trim for n, trim in enumerate(trims))
    trims = (south, east, north, west)
    deeper = replace(at, depth=at.depth + (at.came_by != node.direction), came_by=node.direction)
    for n, child in enumerate(node.children):
        mill = _without(_without(at.mill, low, node.low is not None), high, node.high is not None)
        yield from _below(replace(at if is_trim else deeper, path=(*at.path, n), mill=mill), child, trims)
    if node.high is not None:
        path, mill = (*at.path, len(node.children)), _without(at.mill, low, True)
        yield from _below(replace(deeper, path=path, mill=mill, at_mill_end=mill[high]), node.high, trims)


def _without(sides: Sides, side: int, covered: bool) -> Sides:
    """The sides, one of them cleared where what lies there (`covered`) takes the mill edge with it.

    >>> _without((True, True, True, True), 2, covered=True)
    (True, True, False, True)
    """
    south, east, north, west = (each and not (covered and n == side) for n, each in enumerate(sides))
    return south, east, north, west


def changed(node: Node, new: dict[Path, tuple[Node, bool]], path: Path = ()) -> Node:
    """The node with what is left at some paths cut further; the high end is the child after the last.

    What held the trim of the plate's edge there joins the node's own children, and its trim becomes the high end.
    """
    if path in new:
        return new[path][0]
    if isinstance(node, Leaf) or not new:
        return node
    children = tuple(changed(child, new, (*path, n)) for n, child in enumerate(node.children))
    end, at_mill_end = new.get((*path, len(children)), (None, False))
    if end is None:
        return replace(node, children=children)
    if at_mill_end and isinstance(end, Blank) and end.direction == node.direction:
        return replace(node, children=(*children, *end.children), high=end.high)
    return replace(node, children=(*children, end), high=None)


# --- filling one rectangle ----------------------------------------------------------------------------------------


class _Cutter:
    """Fills rectangles left on plates of one stock; what is known of one rectangle serves all that are left of them.

    Ways are sorted from large to small, so that the first batch that fits, which is all that is taken beyond
    `MOST_SIZES`, is one of large fillers.
    """

    def __init__(self, problem: Problem, number: int) -> None:
        self.problem = problem
        self.stock = problem.stocks[number]
        self.trims = self.stock.trims
        self._ways = sorted(
            ((n, way) for n, item in enumerate(problem.items) for way in item.sizes[number]),
            key=lambda each: (-each[1][0] * each[1][1], each),
        )
        self._best_known: dict[tuple[Room, tuple[int | None, ...]], tuple[int, Batch | None]] = {}
        self._order_fixed = self.stock.limits.order_fixed

    def node(self, spot: Spot, left: list[int | None]) -> Node | None:
        """What a spot becomes, or None where no filler fits.

        `left` tells how many of each there may still be, and is lowered by what was placed.
        """
        grid, kerf = self.problem.grid, self.stock.kerf
        if not (grid.holds(spot.leaf.length) and grid.holds(spot.leaf.width)):
            return None  # beside a block that stays of a plan before, and that no unit holds
        whole = Room(grid.units(spot.leaf.length), grid.units(spot.leaf.width), spot.depth, spot.came_by)
        south, east, north, west = (trim if mill else 0 for trim, mill in zip(self.trims, spot.mill, strict=True))
        lost_along, lost_across = (sum(trim + kerf for trim in pair if trim) for pair in ((south, north), (west, east)))
        inner = replace(whole, length=whole.length - lost_across, width=whole.width - lost_along)
        # Trims along are the outer ones, but where the trim beyond a line of cuts across has to stay at the end of it.
        outer: Direction = "across" if spot.at_mill_end and spot.came_by == "across" else "along"
        if inner.length <= 0 or inner.width <= 0:
            return None
        if not self._trims_legal(whole, inner, (south, east, north, west), outer):
            return None
        if self._best(inner, tuple(left))[1] is None:
            return None
        filled = self._filled(inner, left)
        if outer == "across":
            node = self._trimmed(filled, replace(whole, length=inner.length), "along", south, north)
            return self._trimmed(node, whole, "across", west, east)
        node = self._trimmed(filled, replace(whole, width=inner.width), "across", west, east)
        return self._trimmed(node, whole, "along", south, north)

    def _trims_legal(self, whole: Room, inner: Room, trims: tuple[int, int, int, int], outer: Direction) -> bool:
        """Whether all trims can be cut, the outer ones first: the others are then as much shorter."""
        south, east, north, west = trims
        along = whole if outer == "along" else replace(whole, length=inner.length)
        across = whole if outer == "across" else replace(whole, width=inner.width)
        cuts: tuple[tuple[Direction, Room, int], ...] = (
            ("along", along, south), ("along", along, north), ("across", across, west), ("across", across, east),
        )  # fmt: skip
        return all(not trim or self._legal(room, cut, trim) for cut, room, trim in cuts)

    def _trimmed(self, node: Node, whole: Room, cut: Direction, low: int, high: int) -> Node:
        """A node with scrap at its low and high ends, as wide as the trims there; 0 = no trim.

        Left over metal that still has its mill edge is trimmed only where a filler is cut from it.
        """
        if not low and not high:
            return node
        mm, extent = self.problem.grid.mm, whole.travel(cut)

        def scrap(trim: int) -> Leaf | None:
            x, y = (extent, trim) if cut == "along" else (trim, extent)
            return Leaf("scrap", mm(x), mm(y)) if trim else None

        return Blank(mm(whole.length), mm(whole.width), cut, (node,), scrap(low), scrap(high))

    def _filled(self, room: Room, left: list[int | None]) -> Node:
        """The room with its best batch, and what remains filled in turn.

        `left` is lowered first: what remains is then filled with what there really is still to be had.
        """
        batch = self._best(room, tuple(left))[1]
        if batch is None:
            return self._left(room)
        here = left[batch.item]
        left[batch.item] = None if here is None else here - batch.count
        return self._freed(room, batch, batch.cuts, left)

    def _freed(self, room: Room, batch: Batch, cuts: tuple[tuple[Direction, int], ...], left: list[int | None]) -> Node:
        """The room cut as a batch's cuts say, in order; last the batch itself."""
        if not cuts:
            return self._grid(room, batch)
        (cut, size), *further = cuts
        first = self._freed(room.part(cut, size), batch, tuple(further), left)
        rest = self._filled(room.part(cut, room.across(cut) - size - self.stock.kerf), left)
        return self._line(room, cut, [first], rest)

    def _grid(self, room: Room, batch: Batch) -> Node:
        """The batch parted into its fillers, first in the direction that the last cut had: one change of depth less."""
        mm = self.problem.grid.mm
        one: Node = Leaf("part", mm(batch.length), mm(batch.width), self.problem.items[batch.item].part, batch.turned)
        outer: Direction = room.came_by or "along"
        inner: Direction = "across" if outer == "along" else "along"
        line = self._line(room.part(outer, batch.width if outer == "along" else batch.length), inner,
                          [one] * (batch.columns if inner == "across" else batch.rows), None)  # fmt: skip
        return self._line(room, outer, [line] * (batch.rows if outer == "along" else batch.columns), None)

    def _line(self, room: Room, cut: Direction, pieces: list[Node], rest: Node | None) -> Node:
        """Pieces of one line of cuts, and what remains at its high end."""
        mm, kerf = self.problem.grid.mm, self.stock.kerf
        length, width = room.length, room.width
        if rest is None and len(pieces) == 1:
            return pieces[0]
        if self._order_fixed and len(pieces) > 1:  # one by one, lest another order cannot be located
            size = (room.across(cut) + kerf) // len(pieces)
            return self._line(
                room, cut, pieces[:1], self._line(room.part(cut, room.across(cut) - size), cut, pieces[1:], None)
            )
        inner: tuple[Node, ...] = ()
        high = rest if isinstance(rest, Leaf) and rest.kind != "part" else None
        if isinstance(rest, Blank) and rest.direction == cut and rest.low is None and not self._order_fixed:
            # A rest cut in the same direction goes on with this line of cuts, and is no blank of its own.
            inner, high = rest.children, rest.high
        elif rest is not None and high is None:
            inner = (rest,)
        return Blank(mm(length), mm(width), cut, (*pieces, *inner), None, high)

    def _left(self, room: Room) -> Leaf:
        """Metal left over: an offcut where it is large enough to keep, else scrap."""
        keep = worth_keeping(room.length, room.width, self.problem.keep)
        mm = self.problem.grid.mm
        return Leaf("offcut" if keep else "scrap", mm(room.length), mm(room.width))

    # --- which batch ----------------------------------------------------------------------------------------------

    def _best(self, room: Room, left: tuple[int | None, ...]) -> tuple[int, Batch | None]:
        """The greatest worth of fillers from a room, and the batch to begin with; of equals what leaves most in one
        piece.

        Worth is area, in square units. How many of each filler are left is part of what is looked up: without it a
        room would be promised fillers that its neighbour has taken. Numbers that are not limited stay None, and then
        rooms of one size are one entry.
        """
        # Without a limit on depth all depths are alike: one entry serves them all.
        if self.problem.depth is None:
            room = replace(room, depth=0)
        known = self._best_known.get((room, left))
        if known is None:
            best: tuple[tuple[int, int], Batch | None] = ((0, 0), None)
            for batch in self._batches(room, left):
                rests = self._rests(room, batch)
                # Each rest is valued as if it had all that is left: too well where fillers are few, never too badly.
                worth = batch.count * batch.length * batch.width + sum(self._best(each, left)[0] for each in rests)
                rank = (worth, max((each.length * each.width for each in rests), default=0))
                best = max(best, (rank, batch), key=lambda each: each[0])
                # From here on the first batch is taken as it is; what is known stays in use.
                if len(self._best_known) > MOST_SIZES:
                    break
            known = self._best_known[room, left] = (best[0][0], best[1])
        return known

    def _rests(self, room: Room, batch: Batch) -> list[Room]:
        """What a batch's cuts leave beside and beyond it."""
        rests = []
        for cut, size in batch.cuts:
            rests.append(room.part(cut, room.across(cut) - size - self.stock.kerf))
            room = room.part(cut, size)
        return [each for each in rests if each.length > 0 and each.width > 0]

    def _batches(self, room: Room, left: tuple[int | None, ...]) -> Iterator[Batch]:
        """Blocks that may be cut from a room, large fillers and large batches first.

        The order decides among equals, and what is taken beyond `MOST_SIZES`.
        """
        for item, (length, width, turned) in self._ways:
            most = left[item]
            for columns in self._numbers(room.length, length, most):
                for rows in self._numbers(room.width, width, None if most is None else most // columns):
                    for cuts in self._cuts(room, (length, columns), (width, rows)):
                        yield Batch(item, length, width, turned, columns, rows, cuts)

    def _numbers(self, room: int, size: int, most: int | None) -> list[int]:
        """How many may go side by side: what stays beyond them is nothing, or kerf and the narrowest offcut.

        Up to two fewer than fit are tried too: those leave room for another filler beyond. Fewer still would multiply
        the sizes of rooms, and what they leave is mostly met again as a room of its own.
        """
        pitch, whole = size + self.stock.kerf, room + self.stock.kerf
        top = whole // pitch if most is None else min(most, whole // pitch)
        return [n for n in range(top, max(0, top - 3), -1) if self.stock.limits.rest_ok(whole - n * pitch)]

    def _cuts(self, room: Room, x: tuple[int, int], y: tuple[int, int]) -> Iterator[tuple[tuple[Direction, int], ...]]:
        """The one or two ways to free a batch by legal cuts; `x`, `y` are size and number of its fillers."""
        kerf = self.stock.kerf
        length, width = x[1] * (x[0] + kerf) - kerf, y[1] * (y[0] + kerf) - kerf
        along: tuple[tuple[Direction, int], ...] = (("along", width),) if width < room.width else ()
        across: tuple[tuple[Direction, int], ...] = (("across", length),) if length < room.length else ()
        # A dict, not a set: the order is that of writing, and where one cut is enough the two are the same.
        for cuts in {along + across: 0, across + along: 0}:
            inner, legal = room, True
            for cut, size in cuts:
                legal = legal and self._legal(inner, cut, size)
                inner = inner.part(cut, size)
            if legal and self._grid_legal(inner, x, y):
                yield cuts

    def _grid_legal(self, room: Room, x: tuple[int, int], y: tuple[int, int]) -> bool:
        """Whether the batch itself can be cut apart, lines along first if the last cut ran along or there was none."""
        outer: Direction = room.came_by or "along"
        lines: tuple[tuple[Direction, tuple[int, int]], ...] = (("along", y), ("across", x))
        for cut, (size, count) in lines if outer == "along" else lines[::-1]:
            total = room.across(cut)
            # Where the order is free one cut stands for all: the later ones have the same length on a smaller piece.
            for _ in range(count - 1 if self._order_fixed else min(count - 1, 1)):
                if not self._legal(room, cut, size):
                    return False
                total -= size + self.stock.kerf
                room = replace(room, width=total) if cut == "along" else replace(room, length=total)
            room = room.part(cut, size) if count > 1 else room
        return True

    def _legal(self, room: Room, cut: Direction, size: int) -> bool:
        """Whether the rig can cut `size` off a room, and the direction may change once more."""
        depth = room.depth + (room.came_by != cut)
        if self.problem.depth is not None and depth > self.problem.depth:
            return False
        return self.stock.limits.cut_ok(room.travel(cut), room.across(cut), size)
