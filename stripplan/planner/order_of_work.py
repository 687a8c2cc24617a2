"""Which order of work is taken: the one that a person with a fence would, unless it is clearly dearer.

Parts of a width come off the fence at one setting, the rest pushed up to it each time, and so they are all alike. The other way leaves the rest on the
fence and needs a reading for each cut; at times it is quicker. Both are worked out, and the price of the one not taken is told.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from stripplan.model.plan.plan import OtherOrder
from stripplan.planner.bench_plates import PlateToCut, plates_to_cut
from stripplan.planner.job_layout import JobLayout
from stripplan.planner.order_constraints import pins_of, weights_of
from stripplan.planner.search import Search
from stripplan.planner.settled import Settled
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
class OrderOfWork:
    """A layout with the order that is taken for its plates, worked out, and the one that is not where that would be quicker."""

    layout: JobLayout
    plates: tuple[PlateToCut, ...]
    order: Ordered
    work: Work
    other: OtherOrder | None

    def cost(self, price_per_minute: float) -> float:
        """Plates and, where a minute has a price, time."""
        return sum(each.plate.cost for each in self.plates) + price_per_minute * _minutes(self.work)


def order_of_work(settled: Settled, layout: JobLayout, search: Search) -> OrderOfWork:
    """The order of work of a layout, as the job's aim has it."""
    plates = tuple(plates_to_cut(settled, layout))
    search.tell("ordering the cuts")
    one = _ordered(settled, layout, plates, search)
    aim = settled.job.options.aim
    if aim not in ("one_setting", "time") or not one.order.steps or search.over():
        return one
    return _weighed_with_quickest(settled, one, search)


def _ordered(settled: Settled, layout: JobLayout, plates: tuple[PlateToCut, ...], search: Search) -> OrderOfWork:
    """The order that the job's aim asks for."""
    options = settled.job.options
    order = best_order(
        settled.rig,
        [each.bench.lay for each in plates],
        effort=layout.effort,
        weights=weights_of(options),
        pins=pins_of(settled, plates),
        out_of_time=search.over,
        tell=lambda best, least: search.tell("ordering the cuts", best / 60, least / 60, "min"),
    )
    return OrderOfWork(layout, plates, order, _work(settled, plates, order), None)


def _work(settled: Settled, plates: Sequence[PlateToCut], order: Ordered) -> Work:
    names = [part.name for part in settled.job.parts]
    return Work(settled.rig, names).run([each.bench for each in plates], order)


def _weighed_with_quickest(settled: Settled, one: OrderOfWork, search: Search) -> OrderOfWork:
    """The order that was asked for or the one by seconds alone, with word of the other where that would be quicker."""
    options, effort = settled.job.options, one.layout.effort
    light = effort if options.aim == "time" else replace(effort, steps=FEW_STEPS, seconds=None)
    plates = _freed(one.plates)
    order = best_order(
        settled.rig,
        [each.bench.lay for each in plates],
        effort=light,
        weights=weights_of(options, "time"),
        pins=pins_of(settled, one.plates),
        out_of_time=search.over,
    )
    least = max(one.order.least_setup, order.least_setup)  # both hold for every order
    one = replace(one, order=replace(one.order, least_setup=least))
    order = replace(order, least_setup=least)
    free = OrderOfWork(one.layout, plates, order, _work(settled, plates, order), None)
    longer = _minutes(one.work) - _minutes(free.work)
    if longer < WORTH_A_WORD:
        return one
    taken, left = _summary(one), _summary(free)
    if _loss(free.order) <= _loss(one.order) + JUST and left.fence_settings <= taken.fence_settings + 1:
        return free  # nothing is lost by the quicker way
    much = longer > DEARER_MINUTES and longer > DEARER_SHARE * _minutes(one.work)
    if options.aim == "one_setting" and not (much and left.wrong <= taken.wrong):
        return replace(one, other=left)
    return replace(free, other=taken)


def _freed(plates: Sequence[PlateToCut]) -> tuple[PlateToCut, ...]:
    """The plates with parts that need not come out alike."""
    stocks = {id(each.bench.lay.stock): replace(each.bench.lay.stock, equal=False) for each in plates}

    def freed(lay: Lay) -> Lay:
        return replace(lay, stock=stocks[id(lay.stock)])

    return tuple(replace(each, bench=replace(each.bench, lay=freed(each.bench.lay))) for each in plates)


def _loss(order: Ordered) -> float:
    """What parts are worth less for sizes other than fence settings of their own would make them [s]."""
    return sum(step.way.unequal_seconds + step.way.bowed_seconds for step in order.steps)


def _wrong(order: Ordered) -> int:
    """Cuts that make a part whose size is further off than it may be."""
    return sum(step.way.unequal_seconds >= WRONG_SECONDS for step in order.steps)


def _minutes(work: Work) -> float:
    return sum(cut.minutes.total for cut in work.cuts)


def _summary(one: OrderOfWork) -> OtherOrder:
    return OtherOrder(
        fence_settings=sum(cut.setup.fence for cut in one.work.cuts),
        minutes=_minutes(one.work),
        differ=_differ(one.work),
        wrong=_wrong(one.order),
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
