"""Layout of a whole job: one problem for each material and thickness, fillers in what is left, and which parts cannot
be made.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from stripplan.errors import Fault
from stripplan.layout import (
    Layout,
    Objective,
    OneByOne,
    Problem,
    build_problem,
    excluded,
    lay_out,
    layout_bound,
    loosened,
    not_found,
    objective_of,
    plates_missing,
    used_up,
    why_not,
    with_fillers,
)
from stripplan.model.effort import Effort
from stripplan.model.pattern import Pattern
from stripplan.model.rack.offcut import offcut_value
from stripplan.planner.hand_times import cause_weights, hand_times
from stripplan.planner.plates.first_plates import first_plates_filled
from stripplan.planner.plates.in_pieces import Heard, layout_in_pieces
from stripplan.planner.search_control import Search
from stripplan.planner.settled import Group, Settled, SettledPlate
from stripplan.rig.machine.duty import serving_current
from stripplan.rig.machine.limits import cut_rules
from stripplan.rig.machine.setting import greatest_end_stop
from stripplan.rig.machine.timing import arc_seconds
from stripplan.wording.message import Facts, Message, current

LAYING_OUT = 0.1, 0.6
"""What is done of the whole before and after layouts are searched."""
TIME_FIRST = 20.0
"""How much dearer a minute is reckoned where the aim is time: plates count so little then that they break ties."""
FURTHER = (0.25, 1.0, 4.0)
"""Prices of a minute, times the job's own, that layouts are searched by as well where there is a choice to be given."""


@dataclass(frozen=True)
class JobLayout:
    """A layout for each group of a settled job, how it was searched, and a fault for each part that is not made.

    The layouts of groups bring others along that may be as good (`Layout.others`). `alone`: what each of several jobs
    would cost by itself, in plate and hands; empty where that was not looked for.
    """

    by_group: tuple[Layout, ...]
    effort: Effort
    faults: tuple[Fault, ...]
    alone: tuple[float, ...] = ()

    @property
    def bound(self) -> float:
        """Least cost of plates that any layout of the wanted parts can have."""
        return sum(float(layout.bound.cost) for layout in self.by_group)


def job_layout(
    settled: Settled,
    search: Search,
    *,
    further: bool = False,
    seen: Callable[[Callable[[], JobLayout]], None] | None = None,
) -> JobLayout:
    """The layout of a job that is likely to be the best, with others of each group that may be as good; `further`: and
    those that would be, were a minute dearer or cheaper. `seen` hears of what there is already, while the last group is
    searched: a layout of the job, for the asking.
    """
    search.share = LAYING_OUT[0]
    search.tell("laying out")
    layouts, faults = list[Layout](), list(_without_plate(settled))
    cost = bound = 0.0
    options = settled.job.options
    for at, group in enumerate(settled.groups):
        search.share = LAYING_OUT[0] + (LAYING_OUT[1] - LAYING_OUT[0]) * at / len(settled.groups)
        problem = build_problem(settled.grid, group.plates, group.parts, options.keep, options.depth)

        def report(more: float, least: float, done: tuple[float, float] = (cost, bound)) -> None:
            search.tell("laying out", done[0] + more, done[1] + least)

        layout = first_plates_filled(settled, group, lambda some: group_layout(settled, some, search, silent))
        if layout is None:
            heard = None
            if seen is not None and at == len(settled.groups) - 1:
                heard = _so_far(settled, group, tuple(layouts), tuple(faults), seen)
            layout = group_layout(settled, group, search, report, further=further, heard=heard)
        loose = loosened(problem, group.parts)
        layout = _completed(settled, group, layout, problem, loose)
        cost += sum(pattern.count * settled.plates[pattern.plate].cost for pattern in layout.patterns)
        bound += float(layout.bound.cost)
        faults += [_short_fault(settled, group, number, layout, loose) for number in layout.short]
        layouts.append(layout)
    return JobLayout(tuple(layouts), options.effort, tuple(faults))


def silent(_cost: float, _bound: float) -> None:
    """Nobody is told."""


def _so_far(
    settled: Settled,
    group: Group,
    before: tuple[Layout, ...],
    faults: tuple[Fault, ...],
    seen: Callable[[Callable[[], JobLayout]], None],
) -> Heard:
    """What hears of patterns of the last group and tells of the layout that they make with those `before`."""

    def found(patterns: Callable[[], list[Pattern]]) -> JobLayout:
        last = Layout(patterns(), {}, settled.bound_of(group), 0)
        return JobLayout((*before, last), settled.job.options.effort, faults)

    return lambda patterns: seen(lambda: found(patterns))


def group_layout(
    settled: Settled,
    group: Group,
    search: Search,
    report: Callable[[float, float], None] = silent,
    *,
    further: bool = False,
    heard: Heard | None = None,
) -> Layout:
    """The layout that a search finds for a group; plates that must be cut across first are laid out as pieces."""

    def lay(settled: Settled, group: Group, *, heard: Heard | None) -> Layout:
        return _searched(settled, group, search, silent, further=further, heard=heard)

    found = layout_in_pieces(settled, group, lay, search, heard)
    return _searched(settled, group, search, report, further=further, heard=heard) if found is None else found


def _searched(
    settled: Settled,
    group: Group,
    search: Search,
    report: Callable[[float, float], None],
    *,
    further: bool,
    heard: Heard | None,
) -> Layout:
    """The layout that a search finds for the plates of a group as they are."""
    options = settled.job.options
    problem = build_problem(settled.grid, group.plates, group.parts, options.keep, options.depth)
    return lay_out(
        problem,
        settled.wanted,
        effort=options.effort,
        out_of_time=search.over,
        weights=options.offcut_weights,
        report=report,
        objective=_objective(settled, group, problem, price_of_minute(settled)),
        instead=_objective(settled, group, problem, settled.worth.minute),
        hasty=search.at_once,
        heard=heard,
        further=list(_further(settled, group, problem)) if further else (),
    )


def with_fillers_in(settled: Settled, layout: JobLayout) -> JobLayout:
    """The layout with fillers in what was left; all else stays as it is."""
    complete = (_filled(settled, group, each) for group, each in zip(settled.groups, layout.by_group, strict=True))
    return replace(layout, by_group=tuple(complete))


def price_of_minute(settled: Settled) -> float:
    """What a minute is reckoned at in a search; 0 where plate alone is to count."""
    aim, minute = settled.job.options.aim, settled.worth.minute
    return 0.0 if aim == "plate" else minute * (TIME_FIRST if aim == "time" else 1.0)


def _further(settled: Settled, group: Group, problem: Problem) -> Iterator[Objective]:
    """What plates and hands cost together at prices of a minute that are not the one that is searched by anyway."""
    for price in (settled.worth.minute * times for times in FURTHER):
        objective = None if price == price_of_minute(settled) else _objective(settled, group, problem, price)
        if objective is not None:
            yield objective


def _objective(settled: Settled, group: Group, problem: Problem, minute: float) -> Objective | None:
    """What plates and hands cost together in a group at a price of a minute; None where that is 0."""
    if not minute:
        return None
    worth, weights = settled.worth, cause_weights(settled.job.options)
    return objective_of(
        problem,
        [hand_times(settled.rig, each.process, each.rules.areal_mass, weights) for each in group.plates],
        [worth.plates[each.index] for each in group.plates],
        minute=minute,
        share=worth.share,
        share_of_others=worth.share_of_others,
    )


def _filled(settled: Settled, group: Group, layout: Layout) -> Layout:
    """The layout with fillers in what was left; all else stays as it is."""
    if not group.fillers:
        return layout
    options = settled.job.options
    problem = build_problem(settled.filler_grid, group.plates, group.fillers, options.keep, options.depth)
    patterns = with_fillers(
        problem,
        layout.patterns,
        fill=options.fill,
        value=lambda length, width: offcut_value(length, width, options.keep, options.offcut_weights),
    )
    return replace(layout, patterns=patterns)


def _without_plate(settled: Settled) -> Iterator[Fault]:
    """Wanted parts that are in no group: too narrow to be cut, or of a plate that is not there."""
    grouped = {index for group in settled.groups for index, _ in group.parts}
    for index, part in enumerate(settled.wanted):
        if index not in grouped:
            yield fault_of(part.name, settled.too_narrow.get(index) or why_not(part, []))


def fault_of(part: str, why: Message, pin: str | None = None) -> Fault:
    """Why a part is not made; of one that is bound to a plate by name (`pin`), that as well."""
    if pin is not None:
        return Fault(why.code, f"part {part}", Facts(plate=pin, why=why), "pinned")
    return Fault(why.code, f"part {part}", facts=why.facts, says=why.says)


def _completed(settled: Settled, group: Group, layout: Layout, problem: Problem, loose: Problem) -> Layout:
    """The layout with parts that found no place put there one by one.

    If they may come from plates that the search took for useless, a bound that did so too is put aside.
    """
    if not layout.short:
        return layout
    options = settled.job.options
    one_by_one = OneByOne(problem.grid, group.plates, group.parts, keep=options.keep, depth=options.depth)
    added = one_by_one.added(layout.patterns, layout.short)
    if added.short == layout.short:
        return layout
    alike = all(one.bound_sizes == other.bound_sizes for one, other in zip(problem.items, loose.items, strict=True))
    bound = layout.bound if alike else layout_bound(loose)
    return replace(layout, patterns=added.patterns, short=added.short, bound=bound)


def _short_fault(settled: Settled, group: Group, number: int, layout: Layout, loose: Problem) -> Fault:
    """What is said of a part that is short: "cannot" only where that is shown."""
    part, count, depth = group.parts[number][1], layout.short[number], settled.job.options.depth
    beside = [each for _, each in group.parts]
    group = replace(group, plates=tuple(each for each in group.plates if part.plate in (None, each.plate.name)))
    if excluded(part, group.plates, depth=depth, parts=beside, rounding=settled.rounding):
        others = [*_two_passes(settled, group), *_less_current(settled, group)]
        return fault_of(part.name, why_not(part, group.plates, depth=depth, others=others), part.plate)
    everywhere = loose.items[number].bound_sizes
    scarce = all(stock.limit is not None for stock, ways in zip(loose.stocks, everywhere, strict=True) if ways)
    missing = plates_missing(loose) if scarce else 0
    if missing:
        return fault_of(part.name, used_up(part, count, group.plates, missing), part.plate)
    return fault_of(part.name, not_found(part, count, group.plates, layout.steps, depth=depth), part.plate)


def _two_passes(settled: Settled, group: Group) -> Iterator[tuple[Message, list[SettledPlate]]]:
    """The same plates with cuts in two passes, where the rig does not allow them."""
    if settled.rig.two_pass:
        return
    both, trim = replace(settled.rig, two_pass=True), settled.job.options.trim
    ruled = (replace(each, rules=cut_rules(both, each.plate, each.process, trim=trim)) for each in group.plates)
    yield Message("allow_two_passes"), list(ruled)


def _less_current(settled: Settled, group: Group) -> Iterator[tuple[Message, list[SettledPlate]]]:
    """The same plates at a current at which the power source may burn for the longest cut that the stroke allows."""
    rig, trim, currents, plates = settled.rig, settled.job.options.trim, [], []
    for each in group.plates:
        serves = serving_current(each.process, arc_seconds([greatest_end_stop(rig)], each.process.travel_speed))
        if serves is not None:
            process = replace(each.process, current=serves)
            each = replace(each, rules=cut_rules(rig, each.plate, process, trim=trim))
            currents.append(float(serves or 0))
        plates.append(each)
    if currents:
        yield Message("less_current", facts=Facts(current=current(min(currents)))), plates
