"""Blocks of one shape, of two that share a cut, and rows.

Problem. A shape in a rectangle of its own wastes what its slanted edges leave. Two of them, one turned by half a turn,
often fill a rectangle nearly, and a row of them wastes no more than its two ends do.

Method. One shape lies with some edge on the long side of its box, so that the box is least. Of two, the second is the
first turned by half a turn and laid against it along an edge, a kerf off at right angles, and slid along it to where
the box of both is least. In a row all are equally high; each is pushed against the row from the right until just a
kerf lies between, as it is, turned by half a turn, or turned over, whichever makes the row shortest.

Plane trigonometry, no published source: along an edge at angle b to a row, a kerf k at right angles to it takes
k / sin b of the row's length. The least of one box is exact over turns that lay an edge on it (a least box of a convex
outline has such an edge: Freeman and Shapira 1975), of outlines with no more than `MOST_EDGES`; that of two is the
least over where they are slid, for each shared edge and each turn; a row is made from left to right and not searched.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import chain, pairwise

from stripplan.model.polygon import Outline, Segment, box, dot, edges, line_of, mirrored, moved, turned
from stripplan.model.shapes.block import Block, Placed

UNIT = 1000
"""Sizes of blocks are whole thousandths of a millimetre, rounded up: a tenth of what outlines are checked to."""
SAME_HEIGHT = 1e-3
"""Heights nearer than so lie in one row [mm]."""


MOST_EDGES = 12
"""Only so many edges of an outline are laid below, or shared by two, the longest. Chosen: the work grows with the
cube of their number, and of the many edges of a rounded outline none matters more than another."""


@dataclass(frozen=True)
class ShapeToPlace:
    """A part that is a shape: its index in the job, its outline as it is cut, whether it may be turned at will, and the
    plate that it is bound to. `upright`: it is a rectangle, whose edges run along those of its block.
    """

    part: int
    outline: Outline
    turns: bool
    plate: str | None = None
    upright: bool = False

    def laid(self) -> Iterator[Outline]:
        """The outline with each of its edges below in turn, of many the longest, its box beginning at the origin; as it
        is drawn where it may not be turned.
        """
        if not self.turns:
            yield _at_origin(self.outline)
            return
        for _, edge in longest_edges(self.outline):
            cosine, sine = line_of(edge).along
            yield _at_origin(turned(self.outline, cosine, -sine))


def longest_edges(outline: Outline) -> list[tuple[int, Segment]]:
    """The edges of an outline in order, of more than `MOST_EDGES` the longest, each with its number."""
    numbered = list(enumerate(edges(outline)))
    longest = sorted(numbered, key=lambda each: (-round(math.dist(*each[1]), 3), each[0]))[:MOST_EDGES]
    return sorted(longest)


def singles(shape: ShapeToPlace) -> list[Block]:
    """One shape in a box, the least first; of boxes alike the one that has the most of its edges."""
    found = [block((Placed(shape.part, each),), turns=shape.turns) for each in shape.laid()]
    # An edge that lies on the box needs no cut of its own. Areas are rounded, so that boxes alike but for the last bits
    # of their sums are told apart by what counts, on every machine.
    return sorted(found, key=lambda each: (round(each.length * each.width, 2), -flush(each), -each.length))


def with_a_margin(some: Block, margin: float) -> list[Block]:
    """The block with a margin on one of its sides, on two that meet, or all round, the least first: where a corner of
    the box leaves too little metal for a torch, a strip beside it leaves enough.
    """
    found = []
    for west, south, east, north in MARGINS:
        shapes = tuple(
            Placed(each.part, _rounded(moved(each.outline, margin * west, margin * south))) for each in some.shapes
        )
        length, width = some.length + margin * (west + east), some.width + margin * (south + north)
        found.append(Block(_up(length), _up(width), shapes, some.turns))
    return sorted(found, key=lambda each: round(each.length * each.width, 2))


def stretched(some: Block, length: float, width: float) -> list[Block]:
    """The block as large as this [mm], with its shapes in each of the corners: which one leaves the rig what it needs
    beside its cuts is asked of all four.
    """
    long, wide = round(length, 9), round(width, 9)
    found = []
    for x, y in ((0, 0), (1, 0), (0, 1), (1, 1)):
        east, north = x * (long - some.length), y * (wide - some.width)
        shapes = tuple(Placed(each.part, _rounded(moved(each.outline, east, north))) for each in some.shapes)
        found.append(Block(long, wide, shapes, some.turns))
    return list(dict.fromkeys(found))


MARGINS = (
    (1, 0, 0, 0), (0, 1, 0, 0), (0, 0, 1, 0), (0, 0, 0, 1),
    (1, 1, 0, 0), (0, 1, 1, 0), (0, 0, 1, 1), (1, 0, 0, 1),
    (1, 1, 1, 1),
)  # fmt: skip
"""Sides of a block that get a margin: west, south, east, north."""


def one_alone(shape: ShapeToPlace) -> Block:
    """One shape in its least box."""
    return singles(shape)[0]


def flush(some: Block) -> int:
    """How many edges of the shapes lie on the edges of the block."""
    sides = [line_of(edge) for edge in edges(some.outline)]
    return sum(
        any(abs(side.beside(a)) + abs(side.beside(b)) < 2 / UNIT for side in sides)
        for each in some.shapes
        for a, b in edges(each.outline)
    )


def block(shapes: Sequence[Placed], *, turns: bool) -> Block:
    """The block that shapes lie in, their own box; outlines and sizes in mm.

    What its sides are rounded up by goes between the shapes where one has an edge on a far side: it lies flush with it.
    What reaches there with a corner stays where it is, so that the last of a row is as long as the others.
    """
    points = [point for each in shapes for point in each.outline]
    x0, y0, x1, y1 = box(points)
    length, width = _up(x1 - x0), _up(y1 - y0)
    here = tuple(Placed(each.part, _flush_with(moved(each.outline, -x0, -y0), length, width)) for each in shapes)
    return Block(length, width, here, turns)


def _flush_with(outline: Outline, length: float, width: float) -> Outline:
    """The outline moved to the far sides that an edge of it lies on but for the rounding, unless it lies on the near
    ones too."""
    x, y = (_to_far_side([point[axis] for point in outline], far) for axis, far in ((0, length), (1, width)))
    return _rounded(moved(outline, x, y))


def _to_far_side(places: Sequence[float], far: float) -> float:
    """How far corners of a shape, along one axis, are moved to a far side."""
    most = max(places)
    edge = sum(most - each < 1 / UNIT for each in places) > 1
    return far - most if edge and far - most < 1 / UNIT and min(places) > 1 / UNIT else 0.0


def pairs(
    shape: ShapeToPlace, kerf: float, *, every: bool = False, rooms: Sequence[tuple[float, float]] = ()
) -> list[Block]:
    """Two of a shape that share a cut, in the least box that each shared edge gives; or in `every` box where corners of
    both are level, and where one of some `rooms` just holds both or holds them amid; the least of all first.
    """
    found: list[Block] = []
    for first in shape.laid():
        other = _half_turn(first)
        for n, edge in longest_edges(first):
            line = line_of(edge)
            away, along = line.right, line.along
            # The same edge of the other runs the other way; its begin is laid against this one's end, a kerf off. So
            # the torch runs once where it would run twice, and frees both.
            x, y = (edge[1][i] - other[n][i] + kerf * away[i] for i in (0, 1))
            there = moved(other, x, y)
            within = (ends_within(first, there, along, room) for room in rooms)
            made = [
                block((Placed(shape.part, first), Placed(shape.part, moved(there, *_times(along, slid)))),
                      turns=shape.turns)
                for slid in dict.fromkeys([*slides(first, there, along), *chain.from_iterable(within)])
            ]  # fmt: skip
            found += made if every else [min(made, key=lambda each: (round(each.length * each.width, 2), -flush(each)))]
    return sorted(found, key=lambda each: (round(each.length * each.width, 2), -flush(each), each.width))


def _times(direction: tuple[float, float], far: float) -> tuple[float, float]:
    """A way of so many mm in a direction."""
    return far * direction[0], far * direction[1]


def slides(first: Outline, second: Outline, along: tuple[float, float]) -> Iterator[float]:
    """How far the second may be slid along a direction to where the box of both is least.

    The box's sides are straight in the slide between places where the outermost points change, so its area is least at
    such a place, or where the slope of the parabola between two of them is nothing.
    """
    a, b = box(first), box(second)
    places = {0.0}
    for n in range(4):
        step = along[n % 2]
        if abs(step) > 1e-9:
            places.add((a[n] - b[n]) / step)
    stops = sorted(places)
    yield from stops
    # Between two stops length and width each change by a constant, so their product is a parabola.
    for low, high in pairwise(stops):
        (l0, w0), (l1, w1) = (extents_of(a, b, along, at) for at in (low, high))
        dl, dw = (l1 - l0) / (high - low), (w1 - w0) / (high - low)
        if dl * dw > 1e-12:
            at = low - (dl * w0 + dw * l0) / (2 * dl * dw)
            if low < at < high:
                yield at


def slides_within(
    first: Outline, second: Outline, along: tuple[float, float], room: tuple[float, float]
) -> Iterator[float]:
    """Those of `slides` at which both lie in a room, and the farthest ones both ways; none where there is no place."""
    ends = _ends_within(first, second, along, room)
    if ends is not None:
        low, high = ends
        yield from (low, high, *(each for each in slides(first, second, along) if low < each < high))


def ends_within(
    first: Outline, second: Outline, along: tuple[float, float], room: tuple[float, float]
) -> Iterator[float]:
    """The farthest ways both ways to slide the second at which both lie in a room, and amid: where their box ends with
    the room the kerf beside an edge may run half off the metal, amid it does not.
    """
    ends = _ends_within(first, second, along, room)
    if ends is not None:
        yield from (*ends, sum(ends) / 2)


def _ends_within(
    first: Outline, second: Outline, along: tuple[float, float], room: tuple[float, float]
) -> tuple[float, float] | None:
    a, b = box(first), box(second)
    low, high = -math.inf, math.inf
    for n in range(2):
        most, step = room[n], along[n]
        if max(a[n + 2] - a[n], b[n + 2] - b[n]) > most:
            return None
        ends = a[n + 2] - most - b[n], a[n] + most - b[n + 2]
        if abs(step) > 1e-9:
            ends = min(each / step for each in ends), max(each / step for each in ends)
            low, high = max(low, ends[0]), min(high, ends[1])
        elif ends[0] > 0 or ends[1] < 0:
            return None
    return (low, high) if low <= high else None


def extents_of(
    a: tuple[float, ...], b: tuple[float, ...], along: tuple[float, float], slid: float
) -> tuple[float, float]:
    """Length and width of the box of two boxes, the second slid along a direction so far."""
    x, y = slid * along[0], slid * along[1]
    return max(a[2], b[2] + x) - min(a[0], b[0] + x), max(a[3], b[3] + y) - min(a[1], b[1] + y)


def lying(shape: ShapeToPlace) -> list[tuple[float, tuple[Outline, ...]]]:
    """Heights at which a shape may lie in a row, and how it may lie there: as it is, turned by half a turn, and both
    turned over.
    """
    found: list[tuple[float, tuple[Outline, ...]]] = []
    for first in shape.laid():
        height = box(first)[3]
        ways = (first, _half_turn(first), _at_origin(_half_turn(mirrored(first))), _at_origin(mirrored(first)))
        if not any(abs(height - known) <= SAME_HEIGHT and _same(first, all_[0]) for known, all_ in found):
            found.append((height, tuple(dict.fromkeys(map(_rounded, ways)))))
    return found


Lying = tuple[int, Sequence[Outline]]
"""A part, and how it may lie in a row."""


def pushed_up(placed: Sequence[Placed], following: Lying, kerf: float) -> Placed:
    """The next of a row, pushed up to those that lie there, in the way that makes the row shortest; the first of a row
    in its first way.
    """
    part, ways = following
    if not placed:
        return Placed(part, ways[0])
    # Two, as beside the point of a triangle the one before it is as near; what lies further left is behind these.
    before = [each.outline for each in placed[-2:]]
    pushed = [moved(way, max(_least_shift(each, way, kerf) for each in before), 0.0) for way in ways]
    return Placed(part, min(pushed, key=lambda each: (round(box(each)[2], 6), round(_mean_x(each), 6))))


def row(shapes: Sequence[Lying], kerf: float, *, turns: bool) -> Block:
    """A row of shapes from left to right."""
    placed: list[Placed] = []
    for each in shapes:
        placed.append(pushed_up(placed, each, kerf))
    return block(placed, turns=turns)


def alternating(part: int, one: Outline, other: Outline, count: int, kerf: float, *, turns: bool) -> Block:
    """A row of one shape that lies by turns in two ways."""
    return row([(part, ((one, other)[n % 2],)) for n in range(count)], kerf, turns=turns)


def _least_shift(one: Outline, other: Outline, kerf: float) -> float:
    """The least move to the right at which a kerf along an edge of either lies between them [mm].

    Two outlines without corners that point inward are apart where an edge of either parts them: so each edge that faces
    the other is asked how far it would have to be moved, and the least is enough.
    """
    shifts = []
    for outline, to_right in ((one, 1.0), (other, -1.0)):
        for edge in edges(outline):
            away = line_of(edge).right
            normal = away[0] * to_right, away[1] * to_right
            if normal[0] > 1e-9:
                reach = max(dot(normal, point) for point in one)
                begins = min(dot(normal, point) for point in other)
                shifts.append((reach + kerf - begins) / normal[0])
    return min(shifts)


def _at_origin(outline: Outline) -> Outline:
    """The outline moved so that its box begins at the origin."""
    x0, y0, _, _ = box(outline)
    return moved(outline, -x0, -y0)


def _half_turn(outline: Outline) -> Outline:
    """The outline turned by half a turn, its box at the origin: the same face stays up, no part comes out mirrored."""
    return _at_origin(tuple((-x, -y) for x, y in outline))


def _rounded(outline: Outline) -> Outline:
    """To a millionth of a micrometre, and no -0.0: outlines that are the same are then equal, as blocks are looked up
    by them.
    """
    return tuple((round(x, 9) + 0.0, round(y, 9) + 0.0) for x, y in outline)


def _same(one: Outline, other: Outline) -> bool:
    """Whether two outlines that begin below are one, whichever corner is named first."""
    return {(round(x, 4), round(y, 4)) for x, y in one} == {(round(x, 4), round(y, 4)) for x, y in other}


def _mean_x(outline: Outline) -> float:
    """Mean of the corners along the row [mm]: of ways that end alike the one that lies further left is taken."""
    return sum(x for x, _ in outline) / len(outline)


def _up(size: float) -> float:
    """Rounded up to whole units; the rounding within keeps the last bits of a sum from costing a unit [mm]."""
    return math.ceil(round(size * UNIT, 3)) / UNIT
