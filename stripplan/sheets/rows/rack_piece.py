"""A piece of the rack in words: its size, and its shape where that is no rectangle."""

from __future__ import annotations

from stripplan.model.polygon import box
from stripplan.model.rack.piece import RackPiece
from stripplan.wording.quantity import show_length


def size_shown(piece: RackPiece, units: str) -> str:
    """Length, width and thickness.

    >>> size_shown(RackPiece(length=600, width=400.5, thickness=6, material="S235"), "mm")
    '600 × 400.5 × 6'
    """
    return " × ".join(show_length(each, units) for each in (piece.length, piece.width, piece.thickness))


def shape_shown(piece: RackPiece, units: str) -> str:
    """Of a piece with slanted edges how many it has, and how far it reaches; the size is then the largest rectangle.

    >>> corners = ((0.0, 0.0), (400.0, 0.0), (0.0, 300.0))
    >>> shape_shown(RackPiece(length=200, width=150, thickness=6, material="S235", outline=corners), "mm")
    'triangle, 400 × 300'
    """
    if not piece.outline:
        return ""
    sides = {3: "triangle", 4: "four sides"}.get(len(piece.outline), f"{len(piece.outline)} sides")
    return f"{sides}, {' × '.join(show_length(each, units) for each in box(piece.outline)[2:])}"
