"""Plates that are used, as the order of work sees them."""

from __future__ import annotations

from dataclasses import dataclass

from stripplan.layout.lay_out import Layout
from stripplan.layout.to_problem import Ware
from stripplan.model.job import Job
from stripplan.model.part import Rectangle
from stripplan.model.pattern import Pattern
from stripplan.model.rig import Process, Rig
from stripplan.model.workpiece import Edges, uncut
from stripplan.planner.accuracy import size_limits
from stripplan.planner.layouts import Group
from stripplan.rig.accuracy.forecast import bow_constant, bow_known
from stripplan.sequence import BenchPiece, CutConditions, PlateToCut


def _bow_constant(process: Process) -> float:
    """C of one hot edge [mm] as measured, else as the model has it; 0 where neither says anything."""
    if not bow_known(process):
        return 0.0
    constant = bow_constant(process)
    return constant if isinstance(constant, float) else constant.value


@dataclass(frozen=True)
class UsedPlate:
    """A plate to be cut: which of the job's plates, its group's price, as the order sees it."""

    index: int
    ware: Ware
    bench: PlateToCut


def used_plates(job: Job, rig: Rig, groups: list[Group], layouts: list[Layout]) -> list[UsedPlate]:
    """All plates that are used, in the order of the job's plates, each as the order of work sees it."""
    sized = tuple((True, isinstance(part, Rectangle)) for part in job.parts)
    asked = tuple(part.plus_minus is not None for part in job.parts)
    limits = tuple(size_limits(part, job.options.general_class) for part in job.parts)
    uses: list[tuple[int, Pattern, Group]] = []
    for group, layout in zip(groups, layouts, strict=True):
        uses += [(pattern.plate, pattern, group) for pattern in layout.patterns]
    uses.sort(key=lambda use: use[0])
    bench: list[UsedPlate] = []
    for index, pattern, group in uses:
        plate = job.plates[index]
        ware = next(w for w in group.wares if w.index == index)
        edges: Edges = tuple("fresh" if state == "cut" else state for state in plate.edges)  # type: ignore[assignment]
        conditions = CutConditions(
            rig, ware.rules, group.processes[index], sized, asked, limits, _bow_constant(group.processes[index])
        )
        piece = BenchPiece(conditions, uncut(pattern.root, edges), True, (not plate.measured,) * 2)
        for _ in range(pattern.count):
            bench.append(UsedPlate(index, ware, PlateToCut(f"P{len(bench) + 1}", piece)))
    return bench
