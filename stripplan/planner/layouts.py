"""Layout of a whole job: one problem for each material and thickness, and which parts cannot be made."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass

from ..errors import Fault
from ..layout.build import Ware, build_problem, why_not
from ..layout.grid import common_grid
from ..layout.solve import Layout, lay_out
from ..model.effort import Effort
from ..model.job import Job
from ..model.part import Part
from ..model.plate import Plate
from ..model.rig import Process, Rig
from ..rig.rules import cut_rules, process_for, word
from .settle import all_lengths, same_stock


@dataclass(frozen=True)
class Group:
    """One material and thickness: its plates with their processes, its parts by index in the job."""

    wares: list[Ware]
    processes: dict[int, Process]
    parts: list[tuple[int, Part]]


def lay_out_all(
    job: Job, rig: Rig, groups: list[Group], effort: Effort, out_of_time: Callable[[], bool]
) -> tuple[list[Layout], list[Fault]]:
    """A layout for each group, and a fault for each part that cannot be made."""
    grid = common_grid(*all_lengths(job, rig))
    assert grid is not None
    layouts, faults = [], _without_plate(job, groups)
    for group in groups:
        problem = build_problem(grid, group.wares, group.parts, job.options.keep, job.options.depth)
        layout = lay_out(problem, job.parts, effort=effort, out_of_time=out_of_time)
        faults += [_short_fault(group, number, count, layout) for number, count in layout.short.items()]
        layouts.append(layout)
    return layouts, faults


def groups_of(job: Job, rig: Rig) -> list[Group]:
    """The job's plates and parts by material and thickness; groups without parts are left out."""
    groups: list[Group] = []
    for index, plate in enumerate(job.plates):
        process = process_for(rig, plate, job.options.process)
        ware = Ware(index, plate, cut_rules(rig, plate, process, trim=job.options.trim), plate_cost(plate))
        group = next((g for g in groups if _alike(g.wares[0].plate, plate)), None)
        if group is None:
            group = Group([], {}, [(n, part) for n, part in enumerate(job.parts) if same_stock(part, plate)])
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


def _without_plate(job: Job, groups: list[Group]) -> list[Fault]:
    grouped = {index for group in groups for index, _ in group.parts}
    return [
        Fault("cannot_make", f"part {part.name}", *why_not(part, []))
        for index, part in enumerate(job.parts)
        if index not in grouped
    ]


def _short_fault(group: Group, number: int, count: int, layout: Layout) -> Fault:
    part = group.parts[number][1]
    if count < part.quantity or _stock_used_up(group, layout):
        stock = "; ".join(f"{w.plate.name}: {w.plate.limit}" for w in group.wares if w.plate.limit is not None)
        return Fault(
            "stock_used_up",
            f"part {part.name}",
            f"{count} of {part.quantity} cannot be made: the stock is used up ({stock or 'no plate serves'})",
            "add plates, or make fewer",
        )
    return Fault("cannot_make", f"part {part.name}", *why_not(part, group.wares))


def _stock_used_up(group: Group, layout: Layout) -> bool:
    used = Counter({ware.index: 0 for ware in group.wares})
    for pattern in layout.patterns:
        used[pattern.plate] += pattern.count
    return all(w.plate.limit is not None and used[w.index] >= w.plate.limit for w in group.wares)
