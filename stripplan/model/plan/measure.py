"""What is measured after a cut, and what the gauge should say."""

from __future__ import annotations

from dataclasses import dataclass

from stripplan.model.plan.cut import Cut
from stripplan.model.plan.piece import Piece
from stripplan.model.plan.plan import Plan


@dataclass(frozen=True, kw_only=True)
class ToMeasure:
    """A piece to be measured after a cut, at right angles to it: the size to expect as it is cut [mm], what the rounded
    fence reading does counted in. `on_fence`: it lay on the fence, right of the travel.
    """

    cut: int
    piece: str
    expected: float
    on_fence: bool


def to_measure(plan: Plan, cut: Cut) -> ToMeasure | None:
    """The part that falls at a cut, the one on the fence first; where none does, the piece on the fence. None where
    the cut runs aslant."""
    pieces = {piece.id: piece for piece in plan.pieces}
    right, left = (None if name is None else pieces[name] for name in cut.makes)
    sides = [(piece, on_fence) for piece, on_fence in ((right, True), (left, False)) if piece is not None]
    parts = [each for each in sides if each[0].kind == "part"]
    piece, on_fence = (parts or sides)[0]
    across = _across(cut, piece)
    if across is None:
        return None
    error = cut.reading_error or 0.0  # what the nearest mark adds on the fence side it takes away on the other
    return ToMeasure(
        cut=cut.number, piece=piece.id, expected=round(across + (error if on_fence else -error), 6), on_fence=on_fence
    )


def _across(cut: Cut, piece: Piece) -> float | None:
    """The extent of a piece at right angles to a cut along x or y."""
    (x0, y0), (x1, y1) = cut.line
    box = piece.box
    if abs(y1 - y0) <= 1e-6:
        return box[3] - box[1]
    return box[2] - box[0] if abs(x1 - x0) <= 1e-6 else None
