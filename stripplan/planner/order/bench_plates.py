"""The plates that a layout uses, as they come to the bench."""

from __future__ import annotations

from dataclasses import dataclass

from stripplan.model.part import Rectangle
from stripplan.model.pattern import Pattern
from stripplan.model.rig import Process
from stripplan.model.workpiece import Edges, uncut
from stripplan.planner.job_layout import JobLayout
from stripplan.planner.settled import Settled, SettledPlate
from stripplan.rig.accuracy.forecast import bow_constant, bow_known
from stripplan.rig.accuracy.size_limits import size_limits
from stripplan.sequence import BenchPiece, CutConditions, PlateToCut


@dataclass(frozen=True)
class BenchPlate:
    """A plate that is used: which of the job's plates it is, and how it goes to the bench."""

    plate: SettledPlate
    to_cut: PlateToCut


def bench_plates(settled: Settled, layout: JobLayout, known: list[CutConditions] | None = None) -> list[BenchPlate]:
    """All plates that are used, in the order of the job's plates.

    `known` are the conditions of other layouts of the job, and gets those of this one: pieces alike then share what is
    worked out for them.
    """
    patterns = sorted((p for group in layout.by_group for p in group.patterns), key=lambda pattern: pattern.plate)
    found: list[BenchPlate] = []
    conditions = list[CutConditions]() if known is None else known
    for pattern in patterns:
        plate = settled.plates[pattern.plate]
        new = conditions_of(settled, plate)
        # Plates that are cut by the same rules share one record of them: pieces alike are then of one kind, whichever
        # plate they come from, and are looked at once.
        same = next((each for each in conditions if each == new), new)
        if same is new:
            conditions.append(new)
        piece = _uncut(plate, pattern, same)
        for _ in range(pattern.count):
            found.append(BenchPlate(plate, PlateToCut(f"P{len(found) + 1}", piece)))
    return found


def _uncut(plate: SettledPlate, pattern: Pattern, conditions: CutConditions) -> BenchPiece:
    """A plate before its first cut; plates of one pattern share it, and what is worked out for their cuts."""
    edges: Edges = tuple("fresh" if state == "cut" else state for state in plate.plate.edges)  # type: ignore[assignment]
    return BenchPiece(conditions, uncut(pattern.root, edges), True, (not plate.plate.measured,) * 2)


def conditions_of(settled: Settled, plate: SettledPlate) -> CutConditions:
    """What the cuts of a plate depend on besides the metal."""
    job = settled.job
    return CutConditions(
        settled.rig,
        plate.rules,
        plate.process,
        tuple((True, isinstance(part, Rectangle)) for part in job.parts),
        tuple(part.plus_minus is not None for part in job.parts),
        tuple(size_limits(part, job.options.general_class) for part in job.parts),
        _bow_constant(plate.process),
        tuple(part.fence_width for part in job.parts) if any(part.fence_width for part in job.parts) else (),
    )


def _bow_constant(process: Process) -> float:
    """C of one hot edge [mm] as measured, else as the model has it; 0 where neither says anything."""
    if not bow_known(process):
        return 0.0
    constant = bow_constant(process)
    return constant if isinstance(constant, float) else constant.value
