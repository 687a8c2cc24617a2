"""Which order of work is taken: the one that a person with a fence would, unless it is clearly dearer.

Parts of a width come off the fence at one setting, the rest pushed up to it each time, and so they are all alike. The other way leaves the rest on the
fence and needs a reading for each cut; at times it is quicker. Both are worked out, and the price of the one not taken is told.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from stripplan.model.effort import Effort
from stripplan.model.job import Job
from stripplan.model.plan.plan import OtherOrder
from stripplan.model.rig import Rig
from stripplan.planner.plates_used import UsedPlate
from stripplan.planner.wishes import pins_of, weights_of
from stripplan.sequence.best_order import Ordered, best_order
from stripplan.sequence.cut_options import WRONG_SECONDS, Lay
from stripplan.sequence.to_plan import Work

DEARER_SHARE, DEARER_MINUTES = 0.1, 5.0
"""One setting for a width is given up where it takes more than this share of the minutes longer, and more than so many minutes."""
JUST = 1.0
"""Parts that are worth so much less for their sizes are as good [s]."""
WORTH_A_WORD = 0.1
"""Where the other way is quicker by less [min], it is not spoken of."""
FEW_STEPS = 20
"""Steps of the search for the other way, which is there to be compared with."""


@dataclass(frozen=True)
class Chosen:
    """The order that is taken, worked out, and the one that is not where that would be quicker."""

    order: Ordered
    work: Work
    other: OtherOrder | None


def chosen_order(
    job: Job,
    rig: Rig,
    plates: Sequence[UsedPlate],
    effort: Effort,
    out_of_time: Callable[[], bool],
    tell: Callable[[float, float], None],
) -> Chosen:
    """The order of work of plates that are used, as the job's aim has it."""
    lays = [each.bench.lay for each in plates]
    weights, pins, aim = weights_of(job), pins_of(job, plates), job.options.aim

    def worked(order: Ordered, roots: Sequence[Lay]) -> Work:
        bench = [replace(each.bench, lay=lay) for each, lay in zip(plates, roots, strict=True)]
        return Work(rig, [part.name for part in job.parts]).run(bench, order)

    one = best_order(rig, lays, effort=effort, weights=weights, pins=pins, out_of_time=out_of_time, tell=tell)
    work = worked(one, lays)
    if aim not in ("one_setting", "time") or not one.steps or out_of_time():
        return Chosen(one, work, None)
    light = effort if aim == "time" else replace(effort, steps=FEW_STEPS, seconds=None)
    stocks = {id(lay.stock): replace(lay.stock, equal=False) for lay in lays}
    freed = [replace(lay, stock=stocks[id(lay.stock)]) for lay in lays]
    quick = weights_of(replace(job, options=replace(job.options, aim="time")))
    free = best_order(rig, freed, effort=light, weights=quick, pins=pins, out_of_time=out_of_time)
    least = max(one.least_setup, free.least_setup)  # both hold for every order
    one, free = replace(one, least_setup=least), replace(free, least_setup=least)
    other = worked(free, freed)
    longer = _minutes(work) - _minutes(other)
    if longer < WORTH_A_WORD:
        return Chosen(one, work, None)
    taken, left = _other(one, work), _other(free, other)
    if _loss(free) <= _loss(one) + JUST and left.fence_settings <= taken.fence_settings + 1:
        return Chosen(free, other, None)  # nothing is lost by the quicker way
    much = longer > DEARER_MINUTES and longer > DEARER_SHARE * _minutes(work)
    if aim == "one_setting" and not (much and left.wrong <= taken.wrong):
        return Chosen(one, work, left)
    return Chosen(free, other, taken)


def _loss(order: Ordered) -> float:
    """What parts are worth less for sizes other than fence settings of their own would make them [s]."""
    return sum(step.way.unequal_seconds + step.way.bowed_seconds for step in order.steps)


def _wrong(order: Ordered) -> int:
    """Cuts that make a part whose size is further off than it may be."""
    return sum(step.way.unequal_seconds >= WRONG_SECONDS for step in order.steps)


def _minutes(work: Work) -> float:
    return sum(cut.minutes.total for cut in work.cuts)


def _other(order: Ordered, work: Work) -> OtherOrder:
    return OtherOrder(
        fence_settings=sum(cut.setup.fence for cut in work.cuts),
        minutes=_minutes(work),
        differ=_differ(work),
        wrong=_wrong(order),
    )


def _differ(work: Work) -> float:
    """By how much pieces of one part differ at the most, in width or length [mm]."""
    expected = work.expected_sizes()
    sizes: dict[int, list[tuple[float, float]]] = {}
    for name, (leaf, _) in work.leaves.items():
        if leaf.part is not None:
            sizes.setdefault(leaf.part, []).append(expected[name].of_part(leaf.turned))
    return round(
        max((max(along) - min(along) for each in sizes.values() for along in zip(*each, strict=True)), default=0.0), 3
    )
