"""Whether jobs share plates: layouts of each by itself and in groups, beside that of all together.

Problem. Plates that several jobs share are used better, but a search is no proof, and a plate that holds parts for
today and for next week is cut to and fro. So plates that are not shared must be among what is compared.

Method. The jobs are laid out once more without each other: each alone, and in two groups parted at a day that some are
due. What one takes of a plate that there are only so many of the next one does not have, the job due first takes first.
Those layouts stand beside the ones of the search for all, and the cheapest with its cuts in order is taken; so the plan
is never dearer than its jobs one by one, as far as a light order tells.

Not exact. Cost: about one more search of all parts, and one for each way of parting them in groups.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from stripplan.errors import CannotMakeError
from stripplan.model.job import OneJob
from stripplan.model.pattern import Pattern
from stripplan.planner.job_layout import JobLayout, group_layout, job_layout, with_fillers_in
from stripplan.planner.order.due import NEVER
from stripplan.planner.order.order_of_work import few_cuts, light_order, order_of_work
from stripplan.planner.search_control import Search
from stripplan.planner.settled import Group, Settled
from stripplan.planner.total.cheapest import Taken, cheapest, offcuts_worth

MOST_GROUPED = 4
"""Up to so many jobs are parted in groups as well: each way to part them takes a search of all parts again."""


def layout_of_jobs(
    settled: Settled,
    search: Search,
    told: Callable[[JobLayout], None] | None = None,
    seen: Callable[[Callable[[], JobLayout]], None] | None = None,
) -> Taken:
    """The layout that is taken; of several jobs with what each would cost alone, and none dearer than that. `told` and
    `seen` as in `layouts_of_jobs`, which says what is raised.
    """
    taken = cheapest(settled, layouts_of_jobs(settled, search, told, seen), search)
    if not any(group.fillers for group in settled.groups):
        return taken
    return Taken(with_fillers_in(settled, taken.layout))


def layouts_of_jobs(
    settled: Settled,
    search: Search,
    told: Callable[[JobLayout], None] | None = None,
    seen: Callable[[Callable[[], JobLayout]], None] | None = None,
    *,
    further: bool = False,
) -> JobLayout:
    """The likeliest layout and what else was found; of several jobs with what each would cost alone. `told` hears of
    the likeliest, `seen` and `further` as in `job_layout`. Raises CannotMakeError where a part is missing that may not.
    """
    found = job_layout(settled, search, seen=seen, further=further)
    if found.faults and not settled.job.options.partial:
        raise CannotMakeError(found.faults)
    if told is not None:
        told(found)
    if len(settled.job.jobs) < 2 or search.at_once or found.faults:
        return found  # of some of the parts nothing is compared: each job alone might make others
    return _with_plates_apart(settled, found, search)


@dataclass(frozen=True)
class _Apart:
    """A group of jobs laid out without the others: the settled job that they are, and its layout."""

    settled: Settled
    layout: JobLayout

    def patterns(self, group: Group) -> list[Pattern]:
        """Those of the plates of a group of the whole job."""
        held = {n for n, _ in group.parts}
        pairs = zip(self.settled.groups, self.layout.by_group, strict=True)
        return [pattern for own, layout in pairs if own.parts[0][0] in held for pattern in layout.patterns]


def _with_plates_apart(settled: Settled, found: JobLayout, search: Search) -> JobLayout:
    """The layout with others beside it in which jobs share no plate, and with what each job would cost alone: nothing
    where time is over, or plates are too few to be taken apart.
    """
    jobs = settled.job.jobs
    alone: tuple[float, ...] = ()
    ways: list[list[_Apart]] = []
    for parted in _ways(jobs):
        if search.over():
            break
        way = _one_after_the_other(settled, parted, search)
        if way is None:
            continue
        ways.append(way)
        if len(parted) == len(jobs):
            costs = {each.settled.job.jobs[0].name: _cost(each, search) for each in way}
            alone = tuple(costs[each.name] for each in jobs)
    by_group = tuple(
        replace(layout, others=(*_together(group, ways), *layout.others))
        for group, layout in zip(settled.groups, found.by_group, strict=True)
    )
    return replace(found, by_group=by_group, alone=alone)


def _together(group: Group, ways: Sequence[Sequence[_Apart]]) -> Iterator[list[Pattern]]:
    """The patterns of one group of plates, for each way of parting the jobs."""
    for way in ways:
        yield [pattern for each in way for pattern in each.patterns(group)]


def _ways(jobs: Sequence[OneJob]) -> Iterator[list[list[OneJob]]]:
    """Each job alone, then two groups, in the order in which they are due."""
    due = sorted(jobs, key=lambda each: each.due or NEVER)
    yield [[each] for each in due]
    if 2 < len(jobs) <= MOST_GROUPED:
        for at in range(1, len(due)):
            yield [due[:at], due[at:]]


def _one_after_the_other(settled: Settled, parted: Sequence[Sequence[OneJob]], search: Search) -> list[_Apart] | None:
    """A layout for each of these groups of jobs from what those before it have left; None where one is short."""
    taken: Counter[int] = Counter()
    found = []
    for jobs in parted:
        some = _only(settled, jobs, taken)
        if some is None:
            return None
        layouts = [group_layout(some, group, search) for group in some.groups]
        if any(each.short for each in layouts):
            return None
        layout = JobLayout(tuple(layouts), settled.job.options.effort, ())
        if len(jobs) == 1:  # what it costs alone is told; of groups the likeliest is enough
            layout = cheapest(some, layout, search).layout
        for pattern in (pattern for each in layout.by_group for pattern in each.patterns):
            taken[pattern.plate] += pattern.count
        found.append(_Apart(some, layout))
    return found


def _only(settled: Settled, jobs: Sequence[OneJob], taken: Mapping[int, int]) -> Settled | None:
    """The settled job with the parts of these jobs alone, and plates less those that are `taken`, by index in the job;
    None where no plate of a material is left.
    """
    names = {name for each in jobs for name in each.parts}
    groups = []
    for group in settled.groups:
        parts = tuple((n, part) for n, part in group.parts if part.name in names)
        plates = tuple(
            replace(each, plate=replace(each.plate, quantity=left, offcut=False)) if taken.get(each.index) else each
            for each in group.plates
            if (left := None if each.limit is None else each.limit - taken.get(each.index, 0)) != 0
        )
        if parts and not plates:
            return None
        if parts:
            groups.append(Group(plates, parts, ()))
    return replace(settled, job=replace(settled.job, jobs=tuple(jobs)), groups=tuple(groups))


def _cost(apart: _Apart, search: Search) -> float:
    """What one job alone costs in plate and hands, as its plan would tell it."""
    settled, layout = apart.settled, apart.layout
    few = few_cuts(layout) and not search.over()
    order = order_of_work(settled, layout, search) if few else light_order(settled, layout, [], search)
    plates = sum(settled.worth.plates[each.plate.index] for each in order.plates)
    patterns = [pattern for each in layout.by_group for pattern in each.patterns]
    offcuts = sum(pattern.count * offcuts_worth(settled, pattern) for pattern in patterns)
    return plates + settled.worth.minute * sum(cut.minutes.total for cut in order.work.cuts) - offcuts
