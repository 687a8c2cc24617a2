"""Whether all cuts of a block can be set up on a rig: asked before a layout is made of blocks."""

from __future__ import annotations

from stripplan.model.polygon import Line
from stripplan.model.shapes.block import Freed
from stripplan.model.workpiece import State
from stripplan.sequence.aslant.piece import SlantedPiece
from stripplan.sequence.aslant.ways import first_ways
from stripplan.sequence.conditions import CutConditions


def settable(conditions: CutConditions, tree: Freed) -> Line | None:
    """The first cut of a block, face up, that the rig cannot make; None where it can make all."""
    states: tuple[State, ...] = tuple("fresh" for _ in tree.outline)
    block = SlantedPiece(conditions, tree, tree.outline, states, face_up=True)
    return next((piece.line for piece, way in first_ways(block) if way is None), None)
