"""How a part lies for a bevel: on the fence with the edge away from it, either face up."""

from __future__ import annotations

import math

from stripplan.model.plan.bevel import BevelCut, HandBevel
from stripplan.model.polygon import Line, Point, Segment, line_of
from stripplan.sheets.rows.forms import edges_of
from stripplan.sheets.rows.lookup import SAME, Bench
from stripplan.sheets.rows.row_types import LieBevel

ROUND = 2
"""Parts whose corners lie alike to so many places of a millimetre lie alike."""


def lie_for_bevel(bench: Bench, cut: BevelCut) -> LieBevel:
    """How its part lies for a bevel, seen from above with the carriage running up the page.

    The part lies right of the travel. With the first face up the carriage runs against the way of the outline, which is
    counter-clockwise; turned over the part is seen in mirror image, and it runs along the edge.
    """
    piece, along = bench.pieces[cut.piece], line_of(_along(cut))
    inward = set_back_of(cut) - cut.kerf / 2 / math.cos(math.radians(cut.angle))
    corner = first_corner(cut)
    start = along.ahead(corner) - cut.corner_at

    def at(point: Point) -> Point:
        return _at(along, point, start, inward, turned_over=not cut.face_up)

    edges = edges_of(piece.outline)
    return LieBevel(
        outline=tuple(at(edge[0]) for edge in edges),
        letters=tuple(bench.letter(piece, edge) for edge in edges),
        edge=bench.letter(piece, cut.edge),
        right="" if cut.edge_on_fence is None else bench.letter(piece, cut.edge_on_fence),
        start=bench.letter(piece, cut.leading),
        face_up=cut.face_up,
        inward=round(inward, ROUND),
        set_back=round(set_back_of(cut), ROUND),
        length=round(cut.length, ROUND),
        corner=None if abs(cut.corner_at) <= SAME else at(corner),
    )


def _along(cut: BevelCut) -> Segment:
    """The bevelled edge as the carriage runs."""
    return cut.edge[::-1] if cut.face_up else cut.edge


def first_corner(cut: BevelCut) -> Point:
    """The corner that comes first of the edge on the fence, where one lies there, else of the bevelled one."""
    return (_along(cut) if cut.edge_on_fence is None else cut.edge_on_fence)[0]


def _at(travel: Line, point: Point, start: float, inward: float, *, turned_over: bool) -> Point:
    """A point right of the axis and ahead of the start line."""
    right = -travel.beside(point) if turned_over else travel.beside(point)
    return round(right - inward, ROUND) + 0.0, round(travel.ahead(point) - start, ROUND) + 0.0


def set_back_of(cut: BevelCut | HandBevel) -> float:
    """How far the face ends before the edge once it is bevelled [mm]."""
    return cut.depth * math.tan(math.radians(cut.angle))
