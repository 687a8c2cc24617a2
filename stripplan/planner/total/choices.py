"""Several plans to choose from: none of them is beaten in plate, minutes and offcuts at once.

Problem. One currency for plate and hands makes one plan the cheapest, but its prices are often assumed, and a person
may be short of time, or of plate. Wanted are a few plans that differ, each with what it gains and what that costs.

Method. Layouts of each group are searched by several prices of a minute (`job_layout`) and put in a light order
(`cheapest`). Along a sweep of that price, from nothing to all that counts, the cheapest layout of each group is picked,
and once more with offcuts at the full price of plate: these are the corners of what all groups together can give.
Around what `plan` makes, each group is also changed by itself. What another beats in plate, time and metal used is
dropped, and of those too much alike one stays.

Not exact: layouts are searched, and minutes are those of a light order. Cost: the search of a plan, and one by total
more for each further price of a minute.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from stripplan.errors import CannotMakeError, Fault, InputError
from stripplan.model.job import Job
from stripplan.model.pattern import leaves
from stripplan.model.plan.choice import Choice
from stripplan.model.rig import Rig
from stripplan.planner.bevels.foretold import bevel_minutes
from stripplan.planner.job_layout import JobLayout, job_layout, with_fillers_in
from stripplan.planner.search_control import Search, Stopped
from stripplan.planner.settled import Settled
from stripplan.planner.total.cheapest import Weighed, all_weighed, as_weighed, cheapest_in_earnest
from stripplan.sequence import CutConditions
from stripplan.wording.message import Facts, Message, Quantity

SWEEP = (0.0, 0.25, 0.5, 1.0, 2.0, 4.0, math.inf)
"""Prices of a minute that layouts are picked by, times the job's own."""
LEAST, MOST = 3, 6
"""So many choices where there are so many, and at the most: more are no help."""
ALIKE_SHARE, ALIKE_MINUTES = 0.03, 0.5
"""Plans whose figures differ by no more than this share, or these minutes, or one fence setting, are one to a person.
"""
TRIFLE = 0.005
"""Share of the total that is nothing to choose a dearer plan for."""
SAME = 1e-9
"""Figures nearer to each other are the same but for the last bits of sums."""


@dataclass(frozen=True)
class LaidOut:
    """A job with the layouts that were found for it; there are several where shapes can come out of other blocks.

    `more` is what each group costs beside its cuts across, which no layout changes: the cuts that free shapes. `of` is
    what it was made of, and of use to its maker alone.
    """

    settled: Settled
    layout: JobLayout
    more: tuple[More, ...] = ()
    of: object = None


@dataclass(frozen=True)
class More:
    """What comes on top of a weighed layout: minutes, cuts, fence settings, and what more offcuts are worth."""

    minutes: float
    cuts: int
    fence_settings: int
    offcuts: float


@dataclass(frozen=True)
class Found:
    """What a choice is made from: its layout, what that is `of`, and the search that found it."""

    job: Job
    rig: Rig
    layout: JobLayout
    steps: int
    stopped: Stopped
    of: object = None


@dataclass(frozen=True)
class Combination:
    """A layout for each group, and what they come to together; `laid_out` is the place of what they are layouts of."""

    groups: tuple[Weighed, ...]
    laid_out: int = 0

    @cached_property
    def plates(self) -> float:
        """What the plates are worth, in the job's currency."""
        return sum(each.total.plates for each in self.groups)

    @cached_property
    def minutes(self) -> float:
        """Minutes at the rig."""
        return sum(each.minutes for each in self.groups)

    @cached_property
    def offcuts(self) -> float:
        """What the offcuts kept are worth, in the job's currency."""
        return sum(each.total.offcuts for each in self.groups)

    @cached_property
    def fence_settings(self) -> int:
        """Fence settings of all cuts."""
        return sum(each.fence_settings for each in self.groups)

    @cached_property
    def largest_offcut(self) -> tuple[float, float] | None:
        """Length and width of the largest offcut [mm]; None where nothing is kept."""
        patterns = [pattern for group in self.groups for pattern in group.layout.patterns]
        kept = [leaf for pattern in patterns for leaf in leaves(pattern.root) if leaf.kind == "offcut"]
        sizes = [(leaf.length, leaf.width) for leaf in kept]
        return max(sizes, key=lambda size: size[0] * size[1], default=None)

    @property
    def offcut_area(self) -> float:
        """Area of the largest offcut [mm2]."""
        return math.prod(self.largest_offcut or (0.0,))

    def total(self, minute: float) -> float:
        """Plates and minutes, less the offcuts, at a price of a minute."""
        return self.plates + minute * self.minutes - self.offcuts

    def metal(self, price: float) -> float:
        """What is left of plate after the offcuts, these at so many times their worth."""
        return self.plates - price * self.offcuts

    def like(self, other: Combination) -> bool:
        """Whether a person would find no difference worth choosing by."""
        pairs = [
            (self.plates, other.plates, 0.0),
            (self.minutes, other.minutes, ALIKE_MINUTES),
            (self.offcut_area, other.offcut_area, 0.0),
            (self.fence_settings, other.fence_settings, 1.0),
        ]
        return all(abs(a - b) <= max(least, ALIKE_SHARE * max(a, b)) for a, b, least in pairs)


def offered(given: tuple[Job, Rig], settled: Settled, search: Search) -> tuple[Choice, ...]:
    """The choices that a settled job gives, the one that `plan` makes first, then from least plate to least time.

    `given` are job and rig as they came. Raises CannotMakeError where a part is missing that may not.
    """
    found = job_layout(settled, search, further=True)
    if found.faults and not settled.job.options.partial:
        raise CannotMakeError(found.faults)
    return chosen_from(given, [LaidOut(settled, found)], search)


def chosen_from(given: tuple[Job, Rig], laid: Sequence[LaidOut], search: Search) -> tuple[Choice, ...]:
    """The choices that layouts of a job give, all of them with as many of its parts."""
    settled = laid[0].settled
    conditions = [list[CutConditions]() for _ in laid]
    likeliest = search.over() or settled.job.options.aim == "plate"  # as `plan` has it
    every: list[Combination] = []
    defaults: list[Combination] = []
    for n, each in enumerate(laid):
        groups, best = [], []
        for at, group in enumerate(each.layout.by_group):
            known = each.layout, conditions[n], search
            weighed = all_weighed(each.settled, group, *known)
            groups.append([_with_more(one, each, at) for one in weighed])
            first = weighed[0] if likeliest else cheapest_in_earnest(each.settled, weighed, *known)
            best.append(_with_more(first, each, at))
        default = Combination(tuple(best), n)
        defaults.append(default)
        every += _combinations(groups, default, each.settled)
    default = min(defaults, key=_dearness(settled))
    kept = _kept(default, [*defaults, *every] if len(laid) > 1 else every, settled)
    made = [_with_fillers(laid[each.laid_out], each, conditions[each.laid_out], search) for each in kept]
    made = [made[0], *sorted(made[1:], key=lambda each: (each[1].plates, each[1].minutes))]
    some = [each for _, each in made]
    bevels = bevel_minutes(*given, settled.plates)
    return tuple(
        _choice(settled, n, some, Found(*given, layout, search.steps, search.stopped, laid[each.laid_out].of), bevels)
        for n, (layout, each) in enumerate(made)
    )


def _dearness(settled: Settled) -> Callable[[Combination], tuple[float, ...]]:
    """What combinations are compared by, as the job's aim has it."""
    if settled.job.options.aim == "plate":
        return lambda each: (each.plates, -each.offcuts, each.minutes)
    return lambda each: (sum(group.total.sum for group in each.groups),)


def _with_more(one: Weighed, laid: LaidOut, group: int) -> Weighed:
    """A layout with what comes on top of it."""
    if not laid.more:
        return one
    more, total = laid.more[group], one.total
    return replace(
        one,
        total=replace(total, minutes=total.minutes + more.minutes, offcuts=total.offcuts + more.offcuts),
        minutes=one.minutes + more.minutes,
        cuts=one.cuts + more.cuts,
        fence_settings=one.fence_settings + more.fence_settings,
    )


def chosen(job: Job, rig: Rig, choose: Choice) -> Found:
    """What a choice is made from. Raises InputError where it is one of another job or rig."""
    found = choose.found
    if not isinstance(found, Found) or (found.job, found.rig) != (job, rig):
        raise InputError(Fault("choice_of_another_job", "choose"))
    return found


def choice_of_number(some: Sequence[Choice], number: int) -> Choice:
    """The choice of a number. Raises InputError where there is none."""
    for each in some:
        if each.number == number:
            return each
    raise InputError(Fault("no_choice_of_that_number", "choose", facts=Facts(number=number, most=len(some))))


def _full_price(settled: Settled) -> float:
    """How many times its worth the largest offcut would cost as new plate."""
    share = settled.worth.share
    return 1 / share if share else 1.0


def _combinations(groups: Sequence[Sequence[Weighed]], default: Combination, settled: Settled) -> Iterator[Combination]:
    """What the sweep picks, and what `plan` takes with one group changed."""
    dear = _full_price(settled)
    rules = [_by(times * settled.worth.minute, 1.0) for times in SWEEP] + [
        _by(0.0, dear),
        _by(settled.worth.minute, dear),
    ]
    for rule in rules:
        yield replace(default, groups=tuple(min(group, key=rule) for group in groups))
    for n, group in enumerate(groups):
        for each in group:
            yield replace(default, groups=(*default.groups[:n], each, *default.groups[n + 1 :]))


def _by(minute: float, offcuts: float) -> Callable[[Weighed], tuple[float, float]]:
    """What layouts are compared by at a price of a minute, and offcuts times their worth; at an endless one by minutes,
    and of as many by the rest.
    """

    def compared(each: Weighed) -> tuple[float, float]:
        metal = each.total.plates - offcuts * each.total.offcuts
        return (each.minutes, metal) if math.isinf(minute) else (metal + minute * each.minutes, each.minutes)

    return compared


def _kept(default: Combination, some: Iterable[Combination], settled: Settled) -> list[Combination]:
    """Those that differ and are not beaten: the default, then the best in each respect, then the cheapest.

    Nobody buys plate to have an offcut: that counts where there would be too little to choose from, and then alone.
    """
    found, kept = sorted(some, key=lambda each: each.total(settled.worth.minute)), [default]
    unbeaten = _unbeaten(found, settled, lambda each: each.metal(_full_price(settled)))
    firsts = (min(unbeaten, key=figure) for figure in _figures(settled.worth.minute).values())
    _add(kept, [*firsts, *unbeaten], MOST)
    _add(kept, _unbeaten(found, settled, lambda each: -each.offcuts), LEAST)
    return kept


def _add(kept: list[Combination], more: Iterable[Combination], most: int) -> None:
    for each in more:
        if len(kept) < most and not any(each.like(other) for other in kept):
            kept.append(each)


def _unbeaten(
    found: Sequence[Combination], settled: Settled, left: Callable[[Combination], float]
) -> list[Combination]:
    """Those that no other beats in plate, time and what is `left`: by as little of each, and less of one; or by a lower
    total, and none of these so much dearer that anybody would pay the difference.
    """
    figures = [(each.plates, settled.worth.minute * each.minutes, left(each)) for each in found]
    totals = [each.total(settled.worth.minute) for each in found]

    def beats(one: int, other: int) -> bool:
        cheaper = [b - a for a, b in zip(figures[one], figures[other], strict=True)]
        slack = TRIFLE * abs(totals[one])
        return min(cheaper) >= 0 < max(cheaper) or (min(cheaper) >= -slack and totals[other] - totals[one] > slack)

    return [each for n, each in enumerate(found) if not any(beats(one, n) for one in range(len(found)))]


def _figures(minute: float) -> dict[str, Callable[[Combination], float]]:
    """What a plan may be the best in, by its code: the less the better."""
    return {
        "total": lambda each: each.total(minute),
        "plate": lambda each: each.plates,
        "time": lambda each: each.minutes,
        "offcut": lambda each: -each.offcut_area,
        "settings": lambda each: each.fence_settings,
    }


def _with_fillers(
    laid: LaidOut, each: Combination, conditions: list[CutConditions], search: Search
) -> tuple[JobLayout, Combination]:
    """The layout of a combination with fillers in what it leaves, and what it then comes to."""
    settled, found = laid.settled, laid.layout
    layout = replace(found, by_group=tuple(group.layout for group in each.groups))
    if not any(group.fillers for group in settled.groups):
        return layout, each
    layout = with_fillers_in(settled, layout)
    weighed = [as_weighed(settled, group, found, conditions, search) for group in layout.by_group]
    return layout, replace(each, groups=tuple(_with_more(one, laid, n) for n, one in enumerate(weighed)))


def _choice(settled: Settled, n: int, every: Sequence[Combination], found: Found, bevels: float) -> Choice:
    """A choice by its number, with the minutes of the job's bevels, which are the same in all of them."""
    each, worth = every[n], settled.worth
    best = tuple(_best_in(each, every, worth.minute))
    return Choice(
        number=n + 1,
        default=n == 0,
        currency=worth.currency,
        total=each.total(worth.minute) + worth.minute * bevels,
        plates=sum(group.plates for group in each.groups),
        plate_cost=each.plates,
        minute=worth.minute,
        minutes=each.minutes + bevels,
        offcuts=each.offcuts,
        cuts=sum(group.cuts for group in each.groups),
        fence_settings=each.fence_settings,
        largest_offcut=each.largest_offcut,
        best=best,
        buys=_buys(settled, each, every[0], best),
        found=found,
    )


def _buys(settled: Settled, each: Combination, first: Combination, best: tuple[str, ...]) -> Message:
    """What one of the choices is best in, and how it differs from the first."""
    facts = Facts(
        best=best,
        minutes=Quantity(each.minutes - first.minutes, "minutes"),
        plates=each.plates - first.plates,
        offcuts=each.offcuts - first.offcuts,
        settings=each.fence_settings - first.fence_settings,
        unit=settled.job.currency if settled.worth.currency == "money" else "kg",
        aim=settled.job.options.aim,
    )
    return Message("choice_default" if each is first else "choice", facts=facts)


def _best_in(each: Combination, every: Sequence[Combination], minute: float) -> Iterator[str]:
    """In what one is the best, and not all are alike: as codes."""
    for name, figure in _figures(minute).items():
        figures = [figure(one) for one in every]
        if figure(each) <= min(figures) + SAME and (name == "total" or max(figures) > min(figures) + SAME):
            yield name
