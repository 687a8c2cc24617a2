"""A plan that keeps one of before beside the one that is made afresh: keeping can cost a plate, and must say so."""

from __future__ import annotations

from stripplan.model.plan.plan import Plan
from stripplan.planner.kept.order import cuts_that_stay
from stripplan.wording.figures import unit_of_costs
from stripplan.wording.message import Fact, Facts, Message

WORTH_A_WORD = 0.01
"""Keeping is told to be dearer where it is by more than this share: less is within what a search finds."""


def dearer_than_afresh(before: Plan, kept: Plan, afresh: Plan) -> Message | None:
    """What both come to in all, and how much of the plan before each keeps; None where keeping costs no more."""
    if kept.total is None or afresh.total is None:
        return None
    more = kept.total.total - afresh.total.total
    if more <= WORTH_A_WORD * abs(afresh.total.total):
        return None
    unit, one = unit_of_costs(kept.total.currency, kept.job.currency, kept.job.units)
    facts: dict[str, Fact] = {
        "unit": unit,
        "kept_total": round(kept.total.total / one, 2),
        "afresh_total": round(afresh.total.total / one, 2),
        "kept_plates": len(kept.plates),
        "afresh_plates": len(afresh.plates),
        "kept_stay": cuts_that_stay(before, kept),
        "afresh_stay": cuts_that_stay(before, afresh),
        "cuts": len(before.cuts),
    }
    return Message("kept_dearer", "", Facts(**facts))
