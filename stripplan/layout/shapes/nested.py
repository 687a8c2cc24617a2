"""Blocks of different shapes: small ones in what falls beside others, and two that share a cut.

Problem. A shape in a rectangle leaves triangles beside its slanted edges, some as large as it is itself. Another shape
may come out of these, or lie along the same cut.

Method. What falls beside the shapes of a block is known from the cuts that free them. A smaller shape is laid into a
corner of such a piece, with one of its edges on one of the piece's; the way with most edges on those of the piece needs
the fewest cuts. Where straight cuts then free all of them, it stays, and the next is tried in what falls now, until
none goes in. Two shapes that share a cut are laid out as two of one shape are (`blocks.pairs`).

Not exact: the largest that goes in is taken, into a corner, and of the ways in only `TRIED`. Cost: for each shape that
is tried in a piece of n edges some 2 n m ways of its m edges, and cuts for the best few.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence

from stripplan.layout.shapes.blocks import ShapeToPlace, block, extents_of, flush, longest_edges, slides, slides_within
from stripplan.layout.shapes.mix import Cost
from stripplan.model.polygon import (
    Line,
    Outline,
    area,
    box,
    cross,
    dot,
    edges,
    line_of,
    mirrored,
    moved,
    turned,
)
from stripplan.model.shapes.block import Block, Freed, Placed, fallen

TRIED = 6
"""So many ways of a shape to lie in what falls are tried, those with most edges on edges first. Chosen, not tuned."""
MOST_IN = 12
"""So many shapes at the most are laid into what falls of one block. Chosen, not tuned."""
INSIDE = 1e-6
"""How far a shape may reach over what it lies in, for the last bits of sums [mm]."""
PARALLEL = 1e-9
"""Cosine of an angle that is none, less than 1 by so much."""

TreeOf = Callable[[Block], Freed | None]
"""The cuts that free the shapes of a block; None where the rig cannot make them."""


def filled(
    host: Block,
    guests: Sequence[ShapeToPlace],
    there: Mapping[int, int],
    tree_of: TreeOf,
    cost: Cost,
    singly: Mapping[int, float],
) -> Block:
    """The block with as many guests as go into what falls beside its shapes, the largest first, where each costs less
    there than `singly`; `there` are how many there are of each, by part. The block as it is where none goes in.
    """
    left = Counter(there)
    some = sorted(guests, key=lambda each: -area(each.outline))
    made: Block | None = host
    while made is not None and len(made.shapes) < len(host.shapes) + MOST_IN:
        host, made = made, None
        # With each guest the cuts are others, and so is what falls: all is asked anew.
        waste = sorted(_waste(tree_of(host)), key=area, reverse=True)
        for guest in some:
            if left[guest.part]:
                made = next((more for piece in waste for more in _with_one(host, piece, guest, tree_of)), None)
            if made is not None and cost(made) - cost(host) >= singly[guest.part]:
                made = None
            if made is not None:
                left[guest.part] -= 1
                break
    return host if made is None else made


def couples(
    one: ShapeToPlace, other: ShapeToPlace, kerf: float, rooms: Sequence[tuple[float, float]] = ()
) -> list[Block]:
    """Two shapes that share a cut, in the least box that each pair of edges gives, and in the least that lies in each
    of some rooms where that is another, with some edge of either on the box; the least of all first.
    """
    found = dict.fromkeys([*_coupled(one, other, kerf, rooms), *_coupled(other, one, kerf, rooms)])
    return sorted(found, key=lambda each: (round(each.length * each.width, 2), -flush(each), each.width))


def _coupled(
    one: ShapeToPlace, other: ShapeToPlace, kerf: float, rooms: Sequence[tuple[float, float]]
) -> Iterator[Block]:
    """The second laid against each edge of the first with each of its own that then runs the other way."""
    turns = one.turns and other.turns
    for first in one.laid():
        for _, edge in longest_edges(first):
            line = line_of(edge)
            for way in dict.fromkeys(_ways_to_lie([line.back], other)):
                for _, (begins, ends) in longest_edges(way):
                    if dot(line_of((begins, ends)).along, line.along) > -1 + PARALLEL:
                        continue
                    x, y = (edge[1][n] - begins[n] + kerf * line.right[n] for n in (0, 1))
                    there = moved(way, x, y)
                    for slid in dict.fromkeys(_places(first, there, line, rooms)):
                        second = moved(there, slid * line.along[0], slid * line.along[1])
                        yield block((Placed(one.part, first), Placed(other.part, second)), turns=turns)


def _places(first: Outline, second: Outline, line: Line, rooms: Sequence[tuple[float, float]]) -> Iterator[float]:
    """How far the second is slid along the line: to the least box, to the least in each room, and amid all in it."""

    def area_at(slid: float) -> float:
        return _box_of(first, second, line, slid)

    yield min(slides(first, second, line.along), key=area_at)
    for room in rooms:
        within = list(slides_within(first, second, line.along, room))
        if within:
            yield min(within, key=area_at)
            # Where the box ends with the room the kerf beside an edge may run half off the metal; amid it does not.
            yield (min(within) + max(within)) / 2


def _box_of(first: Outline, second: Outline, line: Line, slid: float) -> float:
    """Area of the box of both, the second slid along the line so far [mm2]; rounded: of two alike the first stays."""
    long, wide = extents_of(box(first), box(second), line.along, slid)
    return round(long * wide, 2)


def _waste(tree: Freed | None) -> Iterator[Outline]:
    """What falls beside the shapes once all cuts are made."""
    return (each.outline for each in fallen(tree) if each.part is None)


def _with_one(host: Block, piece: Outline, guest: ShapeToPlace, tree_of: TreeOf) -> Iterator[Block]:
    """The block with a guest in a piece that falls, in each of the best ways that straight cuts can free."""
    if area(guest.outline) > area(piece):
        return
    found = dict.fromkeys(_ways_in(piece, guest))
    for outline in sorted(found, key=lambda each: -_edges_on(each, piece))[:TRIED]:
        turns = host.turns and guest.turns
        more = Block(host.length, host.width, (*host.shapes, Placed(guest.part, outline)), turns)
        if tree_of(more) is not None:
            yield more


def _ways_in(piece: Outline, guest: ShapeToPlace) -> Iterator[Outline]:
    """How a guest may lie in the corners of a piece."""
    sides = [line_of(edge) for edge in edges(piece)]
    for way in dict.fromkeys(_ways_to_lie(sides, guest)):
        for n, side in enumerate(sides):
            there = _pushed_into(way, sides[n - 1], side)
            if all(each.beside(point) <= INSIDE for each in sides for point in there):
                yield tuple((round(x, 9) + 0.0, round(y, 9) + 0.0) for x, y in there)


def _ways_to_lie(sides: Sequence[Line], guest: ShapeToPlace) -> Iterator[Outline]:
    """A guest, and its mirror image, turned so that an edge runs along a side; where it may not be turned as it is
    drawn, by half a turn, and both turned over.
    """
    if guest.upright:
        yield guest.outline
        yield turned(guest.outline, 0.0, 1.0)
        return
    for outline in (guest.outline, mirrored(guest.outline)):
        if not guest.turns:
            yield outline
            yield tuple((-x, -y) for x, y in outline)
            continue
        for side in sides:
            for _, edge in longest_edges(outline):
                along = line_of(edge).along
                yield turned(outline, dot(along, side.along), cross(along, side.along))


def _pushed_into(outline: Outline, one: Line, other: Line) -> Outline:
    """The outline moved into the corner of two sides, both of which it then touches."""
    far, wide = (-max(side.beside(point) for point in outline) for side in (one, other))
    (ax, ay), (bx, by) = one.right, other.right
    across = ax * by - ay * bx
    return moved(outline, (far * by - wide * ay) / across, (wide * ax - far * bx) / across)


def _edges_on(outline: Outline, piece: Outline) -> int:
    """How many edges lie on edges of the piece."""
    sides = [line_of(edge) for edge in edges(piece)]
    return sum(any(abs(side.beside(a)) + abs(side.beside(b)) < 2 * INSIDE for side in sides) for a, b in edges(outline))
