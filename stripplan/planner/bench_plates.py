"""The plates that a layout uses, as they come to the bench."""

from __future__ import annotations

from dataclasses import dataclass

from stripplan.model.part import Rectangle
from stripplan.model.pattern import Pattern
from stripplan.model.rig import Process
from stripplan.model.workpiece import Edges, start
from stripplan.planner.accuracy import size_limits
from stripplan.planner.job_layout import JobLayout
from stripplan.planner.settled import Settled, SettledPlate
from stripplan.rig.accuracy.forecast import bow_constant, bow_known
from stripplan.sequence.cut_options import Lay, Stock
from stripplan.sequence.to_plan import BenchPlate


@dataclass(frozen=True)
class PlateToCut:
    """A plate that is used: which of the job's plates it is, and how it comes to the bench."""

    plate: SettledPlate
    bench: BenchPlate


def plates_to_cut(settled: Settled, layout: JobLayout) -> list[PlateToCut]:
    """All plates that are used, in the order of the job's plates."""
    patterns = sorted((p for group in layout.by_group for p in group.patterns), key=lambda pattern: pattern.plate)
    found: list[PlateToCut] = []
    for pattern in patterns:
        plate = settled.plates[pattern.plate]
        lay = _as_it_comes(settled, plate, pattern)
        for _ in range(pattern.count):
            found.append(PlateToCut(plate, BenchPlate(f"P{len(found) + 1}", lay, plate.process)))
    return found


def _as_it_comes(settled: Settled, plate: SettledPlate, pattern: Pattern) -> Lay:
    """A plate before its first cut; plates of one pattern share it, and what is worked out for their cuts."""
    job = settled.job
    stock = Stock(
        settled.rig,
        plate.rules,
        plate.process,
        tuple((True, isinstance(part, Rectangle)) for part in job.parts),
        tuple(part.plus_minus is not None for part in job.parts),
        tuple(size_limits(part, job.options.general_class) for part in job.parts),
        _bow_constant(plate.process),
    )
    edges: Edges = tuple("fresh" if state == "cut" else state for state in plate.plate.edges)  # type: ignore[assignment]
    return Lay(stock, start(pattern.root, edges), True, (not plate.plate.measured,) * 2)


def _bow_constant(process: Process) -> float:
    """C of one hot edge [mm] as measured, else as the model has it; 0 where neither says anything."""
    if not bow_known(process):
        return 0.0
    constant = bow_constant(process)
    return constant if isinstance(constant, float) else constant.value
