"""Holes that are made after a part is cut: where they lie on its plate."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from stripplan.model.part import Hole, Part
from stripplan.model.plan.piece import Piece
from stripplan.model.plan.plan import Plan
from stripplan.sheets.picture.shapes import Drilled, Point


def parts_with_holes(plan: Plan) -> dict[str, Part]:
    """The parts that have any, by name."""
    return {part.name: part for part in plan.job.parts if part.holes}


def holes_of(parts: Mapping[str, Part], piece: Piece) -> tuple[Drilled, ...]:
    """The holes of a piece, in the frame of its plate; none of a piece that is no part, or of a part without any.

    A part that lies across is turned a quarter to the left, so that its lower left corner is the piece's lower right
    one. Holes are told from the finished part, which lies inside the piece by the allowance.
    """
    part = parts.get(piece.part or "") if piece.kind == "part" else None
    return tuple(_placed(part, piece)) if part is not None else ()


def _placed(part: Part, piece: Piece) -> Iterator[Drilled]:
    x0, y0, x1, y1 = piece.box
    length = getattr(part, "length", None)
    level = lies_level(part, x1 - x0, y1 - y0)
    along = part.allowance if length is not None else 0.0  # a strip ends where its plate does
    for each in part.holes:
        from_start, from_side = along + each.x, part.allowance + each.y
        at = (x0 + from_start, y0 + from_side) if level else (x1 - from_side, y0 + from_start)
        yield _lying(each, at, level=level)


def _lying(hole: Hole, at: Point, *, level: bool) -> Drilled:
    wide, high = (hole.length, hole.width) if level else (hole.width, hole.length)
    return Drilled(at, wide, high, hole.round)


def lies_level(part: Part, x: float, y: float) -> bool:
    """Whether the length of a part lies along x of the plate, by the extents of its piece [mm]: of both sides the one
    nearer to the wanted width is the width. A square lies level."""
    length, width = getattr(part, "length_as_cut", None), part.width_as_cut
    off_level = abs(y - width) + (abs(x - length) if length is not None else 0.0)
    off_turned = abs(x - width) + (abs(y - length) if length is not None else 0.0)
    return off_level <= off_turned
