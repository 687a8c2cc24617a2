"""Whether a plan that is to be kept is: what changing it would save, beside what that takes of who works by it.

A cut that changes has to be read anew, its marks are chalked anew, and what was laid ready for it is in the way. So
another plan is taken only where it saves more than so much for each cut that would change, and enough to speak of.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from stripplan.model.plan.plan import Plan
from stripplan.planner.kept.order import what_was_kept
from stripplan.wording.figures import unit_of_costs
from stripplan.wording.message import Fact, Facts, Message, Quantity

MINUTES_A_CUT = 0.5
"""What a cut that changes takes of who works by the plan [min]. Chosen, not measured."""
MOST_FREED = 4
"""So many plates are set free, one by one."""
LEAST_MINUTES = 5.0
"""Where all that another plan saves is worth less than so many minutes, nothing is changed for it [min]. Chosen."""


@dataclass(frozen=True)
class Again:
    """A plan for what is left of another, what of that stays in it and why, and whether it is the one that keeps most
    (`kept`); `other` is the cheapest of those that were not taken.
    """

    plan: Plan
    kept: bool
    said: tuple[Message, ...]
    other: Plan | None = None


def weighed(left: Plan, kept: Plan, others: Sequence[Plan]) -> Again:
    """Which is taken of a plan that keeps what is `left` of one before, and others that keep less."""
    every = (kept, *others)
    best = min(every, key=lambda each: _total(each) + MINUTES_A_CUT * _minute(kept) * _changed(left, each))
    if not enough_to_speak_of(kept, best) and _changed(left, best) > _changed(left, kept):
        best = kept
    cheapest = min((each for each in every if each is not best), key=_total, default=None)
    said = [what_was_kept(left, best)]
    if best is not kept and _changed(left, best):
        said.append(_compared("again_changed", left, best, kept, best))
    elif cheapest is not None and _total(cheapest) < _total(best) - 0.005:
        said.append(_compared("again_not_worth", left, cheapest, best, cheapest))
    return Again(best, best is kept, tuple(said), cheapest)


def enough_to_speak_of(kept: Plan, other: Plan) -> bool:
    """Whether another plan saves what anything may be changed for."""
    return _total(kept) - _total(other) >= LEAST_MINUTES * _minute(kept)


def with_a_plate_free(left: Plan) -> Iterator[Plan]:
    """What is left without one of its plates, the one with most cuts first: its parts may come from anywhere, and
    others from it.
    """
    count = Counter(cut.plate for cut in left.cuts)
    for plate, _ in count.most_common(MOST_FREED):
        yield replace(
            left,
            plates=tuple(each for each in left.plates if each.id != plate),
            pieces=tuple(each for each in left.pieces if each.plate != plate),
            cuts=tuple(each for each in left.cuts if each.plate != plate),
        )


def _compared(says: str, left: Plan, best: Plan, kept: Plan, cheaper: Plan) -> Message:
    """What a cheaper plan saves beside the one that keeps most, and how many cuts change for it."""
    assert kept.total is not None
    unit, one = unit_of_costs(kept.total.currency, kept.job.currency, kept.job.units)
    facts: dict[str, Fact] = {
        "saved": round((_total(kept) - _total(cheaper)) / one, 2),
        "unit": unit,
        "minutes": Quantity(round(kept.totals.minutes - cheaper.totals.minutes, 1), "minutes"),
        "plates": kept.totals.plates - cheaper.totals.plates,
        "settings": kept.totals.fence_settings - cheaper.totals.fence_settings,
        "changed": _changed(left, best),
        "cuts": len(left.cuts),
    }
    return Message(says, "", Facts(**facts))


def _changed(left: Plan, made: Plan) -> int:
    """How many of the cuts that are left do not stay as they were, in their order."""
    stays = what_was_kept(left, made).facts["kept"]
    assert isinstance(stays, int)
    return len(left.cuts) - stays


def _total(made: Plan) -> float:
    """Plate and hands in one currency; a part that is missing is dearer than any."""
    short = sum(max(0, line.wanted - line.made) for line in made.parts)
    return 1e9 * short + (0.0 if made.total is None else made.total.total)


def _minute(made: Plan) -> float:
    return 0.0 if made.total is None else made.total.minute
