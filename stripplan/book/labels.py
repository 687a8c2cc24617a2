"""Labels of pieces: which piece of the book carries one, and which offcut of a plan one is stuck on."""

from __future__ import annotations

import re
from dataclasses import dataclass

from stripplan.book.database import Database
from stripplan.book.pieces import number_of_code, numbered
from stripplan.errors import Fault, InputError
from stripplan.model.plan.plan import Plan
from stripplan.model.rack.keep import KeepRule
from stripplan.model.rack.outcome import outcome
from stripplan.model.rack.piece import RackPiece
from stripplan.wording.message import Fact, Facts

_ANY = (KeepRule(size=(0.001, 0.001)),)
"""A rule by which any offcut that has a label is worth keeping."""


@dataclass(frozen=True)
class Label:
    """What the code of a label of ours says: the id of a plan, and a piece of it."""

    plan: str
    piece: str


def label_of(code: str) -> Label:
    """What a code says. Raises InputError for one that is not ours.

    >>> label_of("stripplan:0a1b2c3d:P1-3")
    Label(plan='0a1b2c3d', piece='P1-3')
    """
    found = re.fullmatch(r"stripplan:([0-9a-f]{8}):(.+)", code.strip())
    if found is None:
        raise _refused("code", given=code[:60])
    return Label(found[1], found[2])


def labelled(book: Database, code: str) -> RackPiece | None:
    """The piece that carries a label, also one that is gone; None where the book knows none."""
    with book.reading() as connection:
        number = number_of_code(connection, code.strip())
        return None if number is None else numbered(book, connection, [number])[0]


def offcut_of(plan: Plan, label: Label) -> RackPiece:
    """The offcut that a label is stuck on, by its plan. Raises InputError where that has no such offcut."""
    left = outcome(plan, label.plan, _ANY).left
    offcuts = {each.piece: each.offcut for each in left if each.offcut is not None}
    if label.piece not in offcuts:
        raise _refused("code_no_piece", plan=label.plan, piece=label.piece, offcuts=tuple(offcuts))
    return offcuts[label.piece]


def _refused(says: str, **facts: Fact) -> InputError:
    return InputError(Fault("option", "", Facts(**facts), says=f"book.{says}"))
