"""Whether a rig is still known from its notebook after a row has changed, and as much of it as before."""

from __future__ import annotations

from dataclasses import fields, replace
from typing import Any

from stripplan.errors import Fault, InputError
from stripplan.model.notebook import Notebook
from stripplan.model.report import Section
from stripplan.model.rig import Rig
from stripplan.planner import report
from stripplan.wording.message import Facts
from stripplan.wording.show import Units, worded

_MAY_WAIT = ("bow",)
"""Parts of the report whose rows stop no plan: until they make a figure, the model serves."""
_USED = ("profile", "")
"""The part that says again what the others have said."""


def check_change(rig: Rig, before: Notebook, after: Notebook) -> None:
    """InputError where a part of the report that could be worked out before the change cannot be any more."""
    could_not = _not_worked_out(rig, before)
    spoilt = {
        key: part
        for key, part in _not_worked_out(rig, after).items()
        if key not in could_not and part.topic not in _MAY_WAIT
    }
    if len(spoilt) > 1:
        spoilt.pop(_USED, None)
    if spoilt:
        faults = [
            Fault("does_not_fit", worded(part.title).text, facts=Facts(problem=part.problem or ""))
            for part in spoilt.values()
        ]
        raise InputError(faults, Units(after.units, decimal=True))


def check_kept(rig: Rig, before: Notebook, after: Notebook) -> None:
    """InputError where a figure that was known before the change would not be any more, though nothing is wrong with
    any row by itself: named with it are the rows without which it would be known again.

    A mistyped run can do so: marks that contradict each other are levelled, and a dial of one speed is none.
    """
    lost = _known(rig, before) - _known(rig, after)
    if not lost:
        return
    named = [
        _row_words(kind, number, row)
        for kind, number, row in _rows(after)
        if kind not in _untouched(before, after) and lost <= _known(rig, _without(after, kind, number))
    ]
    facts = Facts(figures=tuple(sorted(lost)), rows=tuple(named[-MOST_NAMED:]) or ("the new row",))
    raise InputError(Fault("takes_away", "the notebook", facts=facts))


MOST_NAMED = 3
"""So many rows are named where any of several would do, the last ones: the row that is new is among them."""


def _known(rig: Rig, notebook: Notebook) -> frozenset[str]:
    """Keys of the figures that the rig has from a notebook."""
    from stripplan.rig.notebook.calibrate import calibrated  # few plans ask for it

    try:
        found = calibrated(replace(rig, notebook=notebook)).measured
    except InputError:
        return frozenset()
    return frozenset(each.key.removesuffix(", top speed") for each in found)


def _rows(notebook: Notebook) -> list[tuple[str, int, Any]]:
    """All rows: their kind as the notebook calls it, number from 0, and what they hold."""
    kinds = {each.name: getattr(notebook, each.name) for each in fields(notebook)}
    return [(k, n, row) for k, rows in kinds.items() if isinstance(rows, tuple) for n, row in enumerate(rows)]


def _untouched(before: Notebook, after: Notebook) -> set[str]:
    return {each.name for each in fields(after) if getattr(before, each.name) == getattr(after, each.name)}


def _without(notebook: Notebook, kind: str, number: int) -> Notebook:
    rows = getattr(notebook, kind)
    changed: dict[str, Any] = {kind: (*rows[:number], *rows[number + 1 :])}
    return replace(notebook, **changed)


def _row_words(kind: str, number: int, row: Any) -> str:
    """A row by its kind, its number from 1 and its plain figures, lengths in mm."""
    values = ((each.name, getattr(row, each.name)) for each in fields(row))
    told = [f"{key.replace('_', ' ')} {value:g}" for key, value in values if type(value) in (int, float)]
    return f"{kind.replace('_', ' ').removesuffix('s')} {number + 1} ({', '.join(told)})"


def _not_worked_out(rig: Rig, notebook: Notebook) -> dict[tuple[str, str], Section]:
    parts = report(replace(rig, notebook=notebook))
    return {(each.topic, each.about): each for each in parts if each.problem is not None}
