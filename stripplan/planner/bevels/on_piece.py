"""Which edges of a piece are those that its part is to have bevelled, however it came to lie on its plate."""

from __future__ import annotations

import math
from collections.abc import Sequence

from stripplan.model.bevel import Flank
from stripplan.model.part import Part, Rectangle, Shape
from stripplan.model.plan.piece import Piece
from stripplan.model.polygon import Outline, Point, Segment, edges

FITS = 0.02
"""Corners of a piece lie so near to where its part has them [mm]: outlines are rounded, and laid aslant."""
Laid = list[tuple[Segment, Flank]]
"""Edges of a piece, counter-clockwise, each with what is to be made of it; `first` speaks of the face of the plate."""


def laid(part: Part, piece: Piece, flanks: Sequence[Flank]) -> Laid:
    """The flanks of a part on the edges of a piece of it. Raises ValueError for a piece that is none of it."""
    there = list(edges(piece.outline))
    if not isinstance(part, Shape):
        return [(_side(piece, part, flank.edge), flank) for flank in flanks]
    wanted = part.outline_as_cut
    for over in (False, True):
        count, outline = len(wanted), _mirrored(wanted) if over else wanted
        first = _first_corner(piece.outline, outline)
        if first is not None:
            # Mirrored, the outline runs the other way round: edge n lies between corners that have changed places.
            numbers = [(count - 2 - flank.edge) % count if over else flank.edge for flank in flanks]
            return [
                (there[(number + first) % count], Flank(flank.edge, flank.first != over, flank.angle, flank.depth))
                for number, flank in zip(numbers, flanks, strict=True)
            ]
    raise ValueError(f"{piece.id} does not have the outline of {part.name}")


def _side(piece: Piece, part: Part, edge: int) -> Segment:
    """An edge of a rectangular piece: turned, its length lies across the plate, a quarter turn anticlockwise."""
    x0, y0, x1, y1 = piece.box
    corners = ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
    number = (edge + lies_across(piece, part)) % 4
    return corners[number], corners[(number + 1) % 4]


def lies_across(piece: Piece, part: Part) -> bool:
    """Whether the length of a rectangular part lies across the plate: it fits better so."""
    if not isinstance(part, Rectangle):
        return False
    x0, y0, x1, y1 = piece.box
    x, y, long, wide = x1 - x0, y1 - y0, part.length_as_cut, part.width_as_cut
    return abs(y - long) + abs(x - wide) < abs(x - long) + abs(y - wide) - 1e-9


def _mirrored(outline: Outline) -> Outline:
    """The outline turned over, counter-clockwise again."""
    return tuple((-x, y) for x, y in reversed(outline))


def _first_corner(made: Sequence[Point], wanted: Sequence[Point]) -> int | None:
    """The corner of a piece that the first corner of an outline lies on; None where it does not fit, however turned."""
    count = len(wanted)
    if len(made) != count:
        return None
    for first in range(count):
        pairs = [(made[(n + first) % count], wanted[n]) for n in range(count)]
        if _turned_onto(pairs):
            return first
    return None


def _turned_onto(pairs: Sequence[tuple[Point, Point]]) -> bool:
    """Whether the second points, turned and moved, lie on the first: along the line of the first edge of each."""
    (a, p), (b, q) = pairs[0], pairs[1]
    turn = math.atan2(b[1] - a[1], b[0] - a[0]) - math.atan2(q[1] - p[1], q[0] - p[0])
    cosine, sine = math.cos(turn), math.sin(turn)
    for (x, y), (u, v) in pairs:
        du, dv = u - p[0], v - p[1]
        if math.dist((x, y), (a[0] + cosine * du - sine * dv, a[1] + sine * du + cosine * dv)) > FITS:
            return False
    return True
