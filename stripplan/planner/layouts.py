"""Layout of a whole job: one problem for each material and thickness, and which parts cannot be made."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from stripplan.errors import Fault
from stripplan.layout.bounds.material import layout_bound, plates_missing
from stripplan.layout.grid import common_grid
from stripplan.layout.lay_out import Layout, lay_out
from stripplan.layout.problem import Problem, Stock, build_problem, loosened
from stripplan.layout.unplaced.diagnose import excluded, not_found, used_up, why_not
from stripplan.layout.unplaced.place_singly import OneByOne
from stripplan.model.effort import Effort
from stripplan.model.job import Job
from stripplan.model.material import word
from stripplan.model.part import Part, Rectangle
from stripplan.model.plate import Plate
from stripplan.model.rig import Process, Rig
from stripplan.planner.settled import all_lengths, same_stock
from stripplan.rig.machine.duty import serving_current
from stripplan.rig.machine.limits import cut_rules, least_part, process_for
from stripplan.rig.machine.setting import greatest_end_stop
from stripplan.rig.machine.timing import arc_seconds


@dataclass(frozen=True)
class Group:
    """One material and thickness: its plates with their processes, its parts by index in the job."""

    wares: list[Stock]
    processes: dict[int, Process]
    parts: list[tuple[int, Part]]


def lay_out_all(
    job: Job,
    rig: Rig,
    groups: list[Group],
    effort: Effort,
    out_of_time: Callable[[], bool],
    report: Callable[[float, float], None] = lambda _cost, _bound: None,
) -> tuple[list[Layout], list[Fault]]:
    """A layout for each group, and a fault for each part that cannot be made; `report` hears of cost and bound."""
    grid = common_grid(*all_lengths(job, rig))
    assert grid is not None
    layouts, faults = [], _without_plate(job, rig, groups)
    cost = bound = 0.0
    for group in groups:
        problem = build_problem(grid, group.wares, group.parts, job.options.keep, job.options.depth)
        layout = lay_out(
            problem,
            job.parts,
            effort=effort,
            out_of_time=out_of_time,
            weights=job.options.offcut_weights,
            report=lambda more, least, done=(cost, bound): report(done[0] + more, done[1] + least),  # type: ignore[misc]
        )
        loose = loosened(problem, group.parts)
        layout = _completed(job, group, layout, problem, loose)
        cost += sum(pattern.count * plate_cost(job.plates[pattern.plate]) for pattern in layout.patterns)
        bound += float(layout.bound.cost)
        faults += [_short_fault(job, rig, group, number, layout, loose) for number in layout.short]
        layouts.append(layout)
    return layouts, faults


def groups_of(job: Job, rig: Rig) -> list[Group]:
    """The job's plates and parts by material and thickness; groups without parts are left out."""
    groups: list[Group] = []
    for index, plate in enumerate(job.plates):
        process = process_for(rig, plate, job.options.process)
        ware = Stock(index, plate, cut_rules(rig, plate, process, trim=job.options.trim), plate_cost(plate))
        group = next((g for g in groups if _alike(g.wares[0].plate, plate)), None)
        if group is None:
            wanted = ((n, part) for n, part in enumerate(job.parts) if same_stock(part, plate))
            group = Group([], {}, [(n, part) for n, part in wanted if too_narrow(job, rig, part) is None])
            groups.append(group)
        group.wares.append(ware)
        group.processes[index] = process
    return [group for group in groups if group.parts]


def _alike(one: Plate, other: Plate) -> bool:
    return word(one.material) == word(other.material) and one.thickness == other.thickness


def plate_cost(plate: Plate) -> float:
    """Cost of one plate: as given, by its mass, or its area in m2 where no price is known."""
    if plate.cost is not None:
        return plate.cost
    if plate.price_per_kg is not None:
        return plate.price_per_kg * plate.mass
    return plate.length * plate.width * 1e-6


def too_narrow(job: Job, rig: Rig, part: Part) -> tuple[str, str] | None:
    """(What is wrong, what would help) with a part that is narrower than may be cut from its plates; None where it is wide enough."""
    processes = [process_for(rig, plate, job.options.process) for plate in job.plates if same_stock(part, plate)]
    if not processes or part.thickness is None:
        return None
    width = min(part.width_as_cut, part.length_as_cut) if isinstance(part, Rectangle) else part.width_as_cut
    kerf = min(process.kerf for process in processes)
    least = least_part(rig, part.thickness, kerf)
    if width >= least - 1e-6:
        return None
    why = f"1.5 times {part.thickness:g} mm of thickness and two kerfs of {kerf:g} mm"
    limit = f"{least:g} mm, {f'the greater of {why}' if rig.narrowest_part is None else 'narrowest_part of the rig'}"
    more = math.ceil(10 * (least - width) / 2) / 10
    hint = (
        f"cut it {least:g} mm wide and dress it down: {more:g} mm more of allowance on each edge; or saw it; or, where test cuts bear it out, set "
        "narrowest_part in the rig file"
    )
    return f"{width:g} mm wide as cut is narrower than a torch can part: the least is {limit}", hint


def _without_plate(job: Job, rig: Rig, groups: list[Group]) -> list[Fault]:
    grouped = {index for group in groups for index, _ in group.parts}
    return [
        Fault("cannot_make", f"part {part.name}", *(too_narrow(job, rig, part) or why_not(part, [])))
        for index, part in enumerate(job.parts)
        if index not in grouped
    ]


def _completed(job: Job, group: Group, layout: Layout, problem: Problem, loose: Problem) -> Layout:
    """The layout with parts that found no place put there one by one.

    If they may come from plates that the search took for useless, a bound that did so too is put aside.
    """
    if not layout.short:
        return layout
    one_by_one = OneByOne(problem.grid, group.wares, group.parts, keep=job.options.keep, depth=job.options.depth)
    added = one_by_one.added(layout.patterns, layout.short)
    if added.short == layout.short:
        return layout
    alike = all(one.bound_sizes == other.bound_sizes for one, other in zip(problem.items, loose.items, strict=True))
    bound = layout.bound if alike else layout_bound(loose)
    return replace(layout, patterns=added.patterns, short=added.short, bound=bound)


def _short_fault(job: Job, rig: Rig, group: Group, number: int, layout: Layout, loose: Problem) -> Fault:
    """What is said of a part that is short: "cannot" only where that is shown."""
    part, count, depth, about = group.parts[number][1], layout.short[number], job.options.depth, "part "
    about += part.name
    if excluded(part, group.wares, depth=depth, parts=[each for _, each in group.parts]):
        others = [*_two_passes(job, rig, group), *_less_current(job, rig, group)]
        return Fault("cannot_make", about, *why_not(part, group.wares, depth=depth, others=others))
    everywhere = loose.items[number].bound_sizes
    scarce = all(stock.limit is not None for stock, ways in zip(loose.stocks, everywhere, strict=True) if ways)
    missing = plates_missing(loose) if scarce else 0
    if missing:
        return Fault("stock_used_up", about, *used_up(part, count, group.wares, missing))
    return Fault("not_found", about, *not_found(part, count, group.wares, layout.steps, depth=depth))


def _two_passes(job: Job, rig: Rig, group: Group) -> list[tuple[str, list[Stock]]]:
    """The same plates with cuts in two passes, where the rig does not allow them."""
    if rig.two_pass:
        return []
    both = replace(rig, two_pass=True)
    wares = [
        replace(w, rules=cut_rules(both, w.plate, group.processes[w.index], trim=job.options.trim)) for w in group.wares
    ]
    return [("allow two passes", wares)]


def _less_current(job: Job, rig: Rig, group: Group) -> list[tuple[str, list[Stock]]]:
    """The same plates at a current at which the power source may burn for the longest cut that the stroke allows."""
    processes = {}
    for index, process in group.processes.items():
        serves = serving_current(process, arc_seconds([greatest_end_stop(rig)], process.travel_speed))
        if serves is not None:
            processes[index] = replace(process, current=serves)
    if not processes:
        return []
    wares = [
        replace(w, rules=cut_rules(rig, w.plate, processes[w.index], trim=job.options.trim))
        if w.index in processes
        else w
        for w in group.wares
    ]
    most = min(float(each.current or 0) for each in processes.values())
    return [(f"cut at {most:g} A or less: the power source must rest, and a pause is no help within a cut", wares)]
