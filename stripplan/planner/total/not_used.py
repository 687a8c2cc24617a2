"""Plates that were there and are not used, and why: no part comes out of them, or what plans with them cost more.

Nothing is searched for it. The search weighs a few layouts against each other, each with its cuts in order; the
cheapest of those that hold the plate says what it costs more, and is an upper bound of that: a plan with it that was
not tried may be cheaper.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from stripplan.layout import excluded
from stripplan.model.plan.plan import Plan
from stripplan.planner.search_control import Search
from stripplan.planner.settled import Group, Settled, SettledPlate
from stripplan.wording.figures import unit_of_costs
from stripplan.wording.message import Fact, Facts, Message

MOST_ASKED = 24
"""So many plates of a group are asked about at the most: as many kinds are handed over of a rack."""


def not_used(settled: Settled, made: Plan, search: Search) -> tuple[Message, ...]:
    """A message for each reason, with the plates that it holds for; those that are as good as any other to buy are not
    asked about, nor those that a warning tells of.
    """
    used = {plate.stock for plate in made.plates}
    told = []
    for group in settled.groups:
        dearest = max((each.cost for each in group.plates if each.plate.name in used), default=0.0)
        there = [each for each in group.plates if each.plate.name not in used and not each.plate.first
                 and (each.limit is not None or each.cost < dearest)]  # fmt: skip
        told += [(_why(settled, group, each, search), each.plate.name) for each in there[:MOST_ASKED]]
    known = [(why, name) for why, name in told if why is not None]
    return tuple(_messages(settled, known))


_Why = tuple[str, float]
"""The word for a reason, and what a plan with the plate costs more."""


def _why(settled: Settled, group: Group, plate: SettledPlate, search: Search) -> _Why | None:
    """Why a plate is not used; None where that is not known."""
    parts = [part for _, part in group.parts if part.plate in (None, plate.plate.name)]
    depth = settled.job.options.depth
    if all(excluded(each, [plate], depth=depth, parts=parts, rounding=settled.rounding) for each in parts):
        return "no_part_fits", 0.0
    if plate.index in search.dearer_with:
        return "dearer_with", search.dearer_with[plate.index]
    return ("none_near", 0.0) if plate.index in search.compared else None


def _messages(settled: Settled, known: list[tuple[_Why, str]]) -> Iterator[Message]:
    unit, one = unit_of_costs(settled.worth.currency, settled.job.currency, settled.job.units)
    for (says, more), some in groupby(sorted(known), key=lambda each: each[0]):
        facts: dict[str, Fact] = {"plates": tuple(name for _, name in some), "unit": unit}
        if says == "dearer_with":
            facts["more"] = round(more / one, 2)
        yield Message("not_used", "", Facts(**facts), says=f"not_used.{says}")
