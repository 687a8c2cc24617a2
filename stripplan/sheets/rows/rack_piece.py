"""A piece of the rack in words: its size, its shape where that is no rectangle, and what happened to it."""

from __future__ import annotations

from stripplan.model.polygon import box
from stripplan.model.rack.piece import RackPiece
from stripplan.wording.quantity import show_length

WHAT = {
    "added": "put in", "changed": "changed", "written_off": "written off", "keep_set": "worth keeping, set",
    "keep_forgotten": "worth keeping, taken out", "reserved": "reserved", "released": "released", "planned": "planned",
    "done": "done", "undone": "done, taken back", "forgotten": "plan taken back", "ticked": "ticked",
    "unticked": "ticks taken back", "restored": "restored from a copy",
}  # fmt: skip
"""What happened to a piece or with a plan, in words."""


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


def happened(made: str, what: str, plan: str, note: str) -> str:
    """A line of the book's history: when (ISO 8601), what, with which plan, and what was noted.

    >>> happened("2026-03-31T10:04:05+02:00", "written_off", "", "sold")
    '2026-03-31 written off: sold'
    >>> happened("2026-03-31T10:04:05+02:00", "planned", "0a1b2c3d", "gate")
    '2026-03-31 planned, plan 0a1b2c3d: gate'
    """
    words = f"{made[:10]} {WHAT.get(what, what)}" + (f", plan {plan}" if plan else "")
    return f"{words}: {note}" if note else words
