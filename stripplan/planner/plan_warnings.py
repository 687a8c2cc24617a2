"""What a person must know of a plan, each as a code with its facts: parts and plates here, the rig in `limit_warnings`,
how true parts will be in `accuracy`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from stripplan.errors import Fault
from stripplan.model.job import Job
from stripplan.model.part import Rectangle
from stripplan.model.plan.plan import PlanPlate
from stripplan.model.plan.size_chain import Size
from stripplan.model.rig import Process, Rig
from stripplan.planner.accuracy import (
    bow_at_fence_warnings,
    evenness_warnings,
    speed_warnings,
)
from stripplan.planner.limit_warnings import limit_warnings
from stripplan.planner.order.bench_plates import BenchPlate
from stripplan.planner.order.order_of_work import OrderOfWork
from stripplan.planner.settled import Settled
from stripplan.planner.settling.fixed_fences import fixed_fences_told
from stripplan.rig.machine.timing import arc_seconds, dial_for
from stripplan.sequence import PiecesAndCuts
from stripplan.wording.message import Facts, Message, Quantity, length, speed

KERF_FAR = 1.5
"""A measured kerf so many times wider or narrower than the profile's is asked about."""


def plan_warnings(
    settled: Settled,
    best: OrderOfWork,
    plates: Sequence[PlanPlate],
    expected: Mapping[str, Size],
    trueness: Sequence[Message],
) -> list[Message | Fault]:
    """All warnings of a plan, in the order in which they are said; `trueness` are those of sizes and strips that will
    not be true enough, by `expected` sizes.
    """
    job, work = settled.job, best.work
    return [
        *_not_planned(job),
        *fixed_fences_told(job),
        *limit_warnings(settled, best),
        *settled.warnings,
        *best.layout.faults,
        *speed_warnings(settled.rig_as_given, {each.plate.process.name for each in best.plates}),
        *drill_later(job),
        *_piece_warnings(job, work),
        *_not_used(job, plates),
        *_process_warnings(settled, best.plates),
        *trueness,
        *evenness_warnings(settled, work, expected),
        *bow_at_fence_warnings(settled, work),
    ]


def _not_planned(job: Job) -> Iterator[Message]:
    """What lists hold beside the parts: it must not be missed at the rig only."""
    for each in job.left_out:
        facts = Facts(quantity=each.quantity, why=each.why, count=each.count)
        yield Message("not_planned", each.name, facts)


def _not_used(job: Job, plates: Sequence[PlanPlate]) -> Iterator[Message]:
    """Plates that were to be used first and are not."""
    used = {each.stock for each in plates}
    for plate in job.plates:
        if plate.first and plate.name not in used:
            yield Message("first_not_used", plate.name)


def drill_later(job: Job) -> Iterator[Message]:
    """Parts of which the plan makes the outer rectangle alone."""
    for part in job.parts:
        if part.holes:
            yield Message("drill_later", part.name, Facts(count=len(part.holes)))


def _piece_warnings(job: Job, work: PiecesAndCuts) -> Iterator[Message]:
    """Finished pieces that take a size from the plate itself, and those that stay over size."""
    for name, (leaf, lying) in work.finished.items():
        if leaf.part is None:
            continue
        part = job.parts[leaf.part]
        width_rests, length_rests = (lying.unmeasured[1], lying.unmeasured[0]) if not leaf.turned else lying.unmeasured
        if width_rests or (length_rests and isinstance(part, Rectangle)):
            yield Message("rests_on_plate_size", name, Facts(part=part.name))
        x, y = lying.workpiece.length, lying.workpiece.width
        want = (part.length_as_cut if isinstance(part, Rectangle) else (y if leaf.turned else x), part.width_as_cut)
        got = (y, x) if leaf.turned else (x, y)
        if got[0] > want[0] + 0.01 or got[1] > want[1] + 0.01:
            yield Message("left_over_size", name, Facts(part=part.name))


def _process_warnings(settled: Settled, plates: Sequence[BenchPlate]) -> Iterator[Message]:
    """What is not known of the plates that are used, and of the processes that cut them."""
    rig = settled.rig
    for each in {plate.plate.index: plate.plate for plate in plates}.values():
        plate, process, trim = each.plate, each.process, settled.job.options.trim
        if plate.out_of_square > trim:
            facts = Facts(out_of_square=length(plate.out_of_square), trim=length(trim))
            yield Message("out_of_square", plate.name, facts)
        asked = tuple(part.name for part in settled.parts_of(plate) if part.rolling != "free")
        if plate.rolling == "none" and asked:
            yield Message("rolling_unknown", plate.name, Facts(parts=asked))
        yield from _kerf_warnings(rig, process)
        if rig.dial and dial_for(rig, process.travel_speed) is None:
            speeds = [timed for _, timed in rig.dial]
            facts = Facts(speed=speed(process.travel_speed), low=speed(min(speeds)), high=speed(max(speeds)))
            yield Message("dial_range", process.name, facts)
        lead_seconds = arc_seconds([rig.lead_in], process.travel_speed)
        if lead_seconds > rig.pilot_limit:
            facts = Facts(burns=Quantity(lead_seconds, "seconds"), limit=Quantity(rig.pilot_limit, "seconds"))
            yield Message("pilot", process.name, facts)


def _kerf_warnings(rig: Rig, process: Process) -> Iterator[Message]:
    before = next((m.before for m in rig.measured if m.key == f"{process.name}, kerf"), None)
    if before is not None and not before / KERF_FAR <= process.kerf <= before * KERF_FAR:
        yield Message("kerf_far", process.name, Facts(kerf=length(process.kerf), before=length(before)))
    if process.kerf_measured_on is None and not process.estimated:
        yield Message("kerf_not_measured", process.name, Facts(kerf=length(process.kerf)))
