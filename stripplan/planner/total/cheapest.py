"""Which of several layouts is taken: the one that costs least in plate and hands together, its cuts in order.

The search of layouts goes by an estimate of minutes. Here the cuts of each layout that may be the cheapest are put in
order, and its true minutes decide: those of few cuts in earnest, as a light order is off by more than layouts differ,
others lightly. Groups of plates are judged one by one: what an order can spare between
plates of different materials is a change of the fence at most.
"""

from __future__ import annotations

import math
import sys
from collections.abc import Sequence
from dataclasses import dataclass, replace

from stripplan.layout import Layout
from stripplan.model.pattern import Pattern, leaves
from stripplan.planner.hand_times import cause_weights
from stripplan.planner.job_layout import TIME_FIRST, JobLayout
from stripplan.planner.order.order_of_work import (
    IN_A_HURRY,
    IN_EARNEST,
    OrderOfWork,
    few_cuts,
    light_order,
    order_in_earnest,
)
from stripplan.planner.search_control import Search
from stripplan.planner.settled import Settled
from stripplan.sequence import CutConditions
from stripplan.wording.figures import unit_of_costs

WRONG_MINUTES = 10.0
"""What a part counts that is further off than it may be: about what making it again takes, from metal and with settings
of its own. Chosen, not measured."""
HURRIED, OF_MANY_CUTS = 3, 5
"""Layouts that are compared where time is over, and where a light order takes seconds for its many cuts. Chosen, not
tuned."""
HOPELESS = 0.01
"""A layout that is dearer by more than this share after a round of its order is not searched on. On 38 drawn jobs a
round more seldom gained as much: plans are 0.01 % dearer, a fifth of the time of comparing is spared."""
COMPARING = 0.6, 0.8
"""What is done of the whole before and after layouts are compared."""


@dataclass(frozen=True)
class Total:
    """What a layout costs, in the job's one currency; `minutes` are weighted as the person asks, and hold
    what it takes to mend parts that come out further off their sizes than they may be.
    """

    plates: float
    minutes: float
    offcuts: float
    minute: float

    @property
    def sum(self) -> float:
        """Plates and minutes, less the offcuts kept."""
        return self.plates + self.minute * self.minutes - self.offcuts


@dataclass(frozen=True)
class Weighed:
    """A layout of one group with what it costs once its cuts are in an `order`.

    `minutes` are those of the clock; `plates`, `cuts` and `fence_settings` are counts.
    """

    layout: Layout
    order: OrderOfWork
    total: Total
    plates: int
    minutes: float
    cuts: int
    fence_settings: int


@dataclass(frozen=True)
class Taken:
    """The layout that is taken, and the order of all its cuts where that was found in earnest on the way."""

    layout: JobLayout
    order: OrderOfWork | None = None


def cheapest(settled: Settled, found: JobLayout, search: Search) -> Taken:
    """The layout with, for each group, the cheapest of those that were found.

    Where time is over or cuts are many the likeliest few are compared, none where both is so: an order of a few dozen
    cuts takes some tenths of a second, which the search has left for it.
    """
    if search.at_once:  # the likeliest of each
        return Taken(found)
    in_earnest = few_cuts(found, IN_A_HURRY if search.over() else IN_EARNEST)
    chosen, conditions, order = [], list[CutConditions](), None
    for of, group in zip(settled.groups, found.by_group, strict=True):
        group = replace(group, others=group.others[: _most_compared(found, search) - 1])
        if group.others:
            weighed = all_weighed(settled, group, found, conditions, search, in_earnest=in_earnest)
            best = cheapest_of(weighed)
            group, order = best.layout, best.order
            search.compared |= {plate.index for plate in of.plates}
            search.dearer_with |= _dearer_with(weighed)
        chosen.append(group)
    alone = len(chosen) == 1 and in_earnest
    return Taken(replace(found, by_group=tuple(chosen)), order if alone else None)


def _most_compared(found: JobLayout, search: Search) -> int:
    """How many layouts of a group there is time to compare."""
    if few_cuts(found):
        return HURRIED if search.over() else sys.maxsize
    return 1 if search.over() else OF_MANY_CUTS


def _dearer_with(weighed: Sequence[Weighed]) -> dict[int, float]:
    """By plates that the cheapest of these layouts does not use, what the cheapest that does costs more."""
    best = cheapest_of(weighed)
    used = {pattern.plate for pattern in best.layout.patterns}
    found: dict[int, float] = {}
    for each in sorted(weighed, key=lambda each: each.total.sum):
        for plate in {pattern.plate for pattern in each.layout.patterns} - used:
            found.setdefault(plate, each.total.sum - best.total.sum)
    return found


def cheapest_of(some: Sequence[Weighed]) -> Weighed:
    """The cheapest of the layouts of one group, of those that cost the same the likeliest."""
    return min(some, key=lambda each: each.total.sum)


def cheapest_in_earnest(
    settled: Settled, some: Sequence[Weighed], found: JobLayout, conditions: list[CutConditions], search: Search
) -> Weighed:
    """The cheapest of the layouts of one group, the likeliest few by their light orders ordered in earnest; by the
    light ones alone where cuts are many.
    """
    if not few_cuts(found, IN_EARNEST):
        return cheapest_of(some)
    weighed: list[Weighed] = []
    for each in sorted(some, key=lambda each: each.total.sum)[:HURRIED]:
        weighed.append(_in_earnest(settled, each.layout, found, conditions, search, weighed))
    return cheapest_of(weighed)


def all_weighed(
    settled: Settled,
    group: Layout,
    found: JobLayout,
    conditions: list[CutConditions],
    search: Search,
    *,
    in_earnest: bool = False,
) -> list[Weighed]:
    """The layout of a group and the others found with it, each by itself and with its cuts in order, lightly or
    `in_earnest`, then the likeliest few once time is over; `conditions` are kept from one to the next.
    """
    layouts = [replace(group, patterns=patterns, others=()) for patterns in (group.patterns, *group.others)]
    weighed: list[Weighed] = []
    for number, each in enumerate(layouts):
        if in_earnest and number >= HURRIED and search.over():
            break
        search.share = COMPARING[0] + (COMPARING[1] - COMPARING[0]) * number / len(layouts)
        if in_earnest:
            weighed.append(_in_earnest(settled, each, found, conditions, search, weighed))
        else:
            weighed.append(as_weighed(settled, each, found, conditions, search))
        if len(found.by_group) == 1:  # of several kinds of plates one group tells nothing of the whole
            search.currency, one = unit_of_costs(settled.worth.currency, settled.job.currency, settled.job.units)
            search.total = min(_told_total(settled, layout) for layout in weighed) / one
    return weighed


def _in_earnest(
    settled: Settled,
    group: Layout,
    found: JobLayout,
    conditions: list[CutConditions],
    search: Search,
    before: Sequence[Weighed],
) -> Weighed:
    """The layout of one group with its cuts in order, as far as it may still be cheaper than those `before`."""
    search.tell("comparing layouts")
    layout = replace(found, by_group=(group,), faults=())
    least = min((each.total.sum for each in before), default=math.inf)

    def promising(order: OrderOfWork) -> bool:
        total = _weighed(settled, group, order).total.sum
        return total <= least + HOPELESS * abs(least)

    return _weighed(settled, group, order_in_earnest(settled, layout, conditions, search, promising))


def _told_total(settled: Settled, one: Weighed) -> float:
    """What a plan by a layout would cost by the clock, as its person is told."""
    return one.total.plates + settled.worth.minute * one.minutes - one.total.offcuts


def as_weighed(
    settled: Settled, group: Layout, found: JobLayout, conditions: list[CutConditions], search: Search
) -> Weighed:
    """The layout of one group with its cuts in a light order."""
    search.tell("comparing layouts")
    return _weighed(
        settled, group, light_order(settled, replace(found, by_group=(group,), faults=()), conditions, search)
    )


def _weighed(settled: Settled, group: Layout, order: OrderOfWork) -> Weighed:
    """What a layout costs by an order of its cuts."""
    plates = sum(settled.worth.plates[each.plate.index] for each in order.plates)
    offcuts = sum(pattern.count * offcuts_worth(settled, pattern) for pattern in group.patterns)
    minute = settled.worth.minute * (TIME_FIRST if settled.job.options.aim == "time" else 1.0)
    wrong = WRONG_MINUTES * order.order.wrong_sizes
    total = Total(plates, _weighted_minutes(settled, order) + wrong, offcuts, minute)
    cuts = order.work.cuts
    minutes, settings = sum(cut.minutes.total for cut in cuts), sum(cut.setup.fence for cut in cuts)
    return Weighed(group, order, total, len(order.plates), minutes, len(cuts), settings)


def _weighted_minutes(settled: Settled, order: OrderOfWork) -> float:
    """The minutes of all cuts, each cause times the weight that the person gives it."""
    weights = cause_weights(settled.job.options)
    more = {cause: weight - 1 for cause, weight in weights.items() if weight != 1}
    return float(
        sum(
            cut.minutes.total + sum(each * getattr(cut.minutes, cause) for cause, each in more.items())
            for cut in order.work.cuts
        )
    )


def offcuts_worth(settled: Settled, pattern: Pattern) -> float:
    """What the offcuts of one plate are worth: the largest its share of the plate's price by area, others half of
    it.
    """
    plate, worth = settled.plates[pattern.plate].plate, settled.worth
    areas = [leaf.length * leaf.width for leaf in leaves(pattern.root) if leaf.kind == "offcut"]
    return worth.of_offcuts(worth.plates[pattern.plate], plate.length * plate.width, areas)
