"""Whether a rig is still known from its notebook after a row has changed."""

from __future__ import annotations

from dataclasses import replace

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


def _not_worked_out(rig: Rig, notebook: Notebook) -> dict[tuple[str, str], Section]:
    parts = report(replace(rig, notebook=notebook))
    return {(each.topic, each.about): each for each in parts if each.problem is not None}
