"""Which edges of a piece are those that its part is to have bevelled, however it came to lie on its plate."""

from __future__ import annotations

import math
from collections.abc import Sequence

from stripplan.model.bevel import Flank
from stripplan.model.part import Part, Rectangle, Shape
from stripplan.model.plan.piece import Piece
from stripplan.model.polygon import Outline, Point, Segment, cross, dot, edges, from_edge, line_of

FITS = 0.05
"""An edge of a piece lies so near to where its part has it [mm]: outlines are rounded, and laid aslant."""
LENGTHS_OFF = 1.0
"""An edge of a piece is so much longer or shorter than it is wanted [mm]: a little beside a blunt corner is much on
it."""
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
        upon = _upon(there, list(edges(outline)))
        if upon is not None:
            # Mirrored, the outline runs the other way round: edge n lies between corners that have changed places.
            numbers = [(count - 2 - flank.edge) % count if over else flank.edge for flank in flanks]
            return [
                (there[upon[number]], Flank(flank.edge, flank.first != over, flank.angle, flank.depth))
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


def _upon(made: Sequence[Segment], wanted: Sequence[Segment]) -> list[int] | None:
    """For each edge of an outline the edge of a piece that it lies on, the longest laid upon one about as long; None
    where it does not fit. A piece may have a corner more: a hair's breadth off a blunt one makes two.
    """
    first = max(wanted, key=lambda edge: math.dist(*edge))
    for edge in made:
        if abs(math.dist(*edge) - math.dist(*first)) > LENGTHS_OFF:
            continue
        for share in (0.0, 1.0, 0.5):  # whichever end of it is as it is wanted
            found = [_nearest(laid, made) for laid in _laid_upon(wanted, first, edge, share)]
            if all(off <= FITS for off, _ in found):
                return [n for _, n in found]
    return None


def _laid_upon(wanted: Sequence[Segment], first: Segment, edge: Segment, share: float) -> list[Segment]:
    """Edges turned and moved so that the first has the direction of another, and the point at a share of its length."""
    one, other = line_of(first).along, line_of(edge).along
    cosine, sine = dot(one, other), cross(one, other)
    (mx, my), (ex, ey) = _point(first, share), _point(edge, share)

    def there(point: Point) -> Point:
        x, y = point[0] - mx, point[1] - my
        return ex + cosine * x - sine * y, ey + sine * x + cosine * y

    return [(there(a), there(b)) for a, b in wanted]


def _nearest(edge: Segment, made: Sequence[Segment]) -> tuple[float, int]:
    """How far an edge is off the nearest edge of a piece that runs as it does, at both ends at right angles to that
    and with its middle [mm], and the number of that edge.
    """
    along, middle = line_of(edge).along, _point(edge, 0.5)
    off = []
    for n, each in enumerate(made):
        line = line_of(each)
        if dot(line.along, along) > 0:
            off.append((max(from_edge(each, middle), *(abs(line.beside(end)) for end in edge)), n))
    return min(off, default=(math.inf, 0))


def _point(edge: Segment, share: float) -> Point:
    (ax, ay), (bx, by) = edge
    return ax + share * (bx - ax), ay + share * (by - ay)
