"""Plates that are used, as the order of work sees them."""

from __future__ import annotations

from dataclasses import dataclass

from ..layout.build import Ware
from ..layout.solve import Layout
from ..model.job import Job
from ..model.part import Rectangle
from ..model.pattern import Pattern
from ..model.realise import Edges, start
from ..model.rig import Rig
from ..sequence.placing import Lay, Stock
from ..sequence.work import BenchPlate
from .layouts import Group
from .trueness import size_limits


@dataclass(frozen=True)
class UsedPlate:
    """A plate to be cut: which of the job's plates, its group's price, as the order sees it."""

    index: int
    ware: Ware
    bench: BenchPlate


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
        stock = Stock(rig, ware.rules, group.processes[index], sized, asked, limits)
        lay = Lay(stock, start(pattern.root, edges), True, (not plate.measured,) * 2)
        for _ in range(pattern.count):
            bench.append(UsedPlate(index, ware, BenchPlate(f"P{len(bench) + 1}", lay, group.processes[index])))
    return bench
