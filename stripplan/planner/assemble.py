"""The plan itself: parts, totals, proof and warnings, from the pieces and cuts that were worked out."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence

from stripplan.errors import Fault
from stripplan.model.effort import Effort
from stripplan.model.job import Job
from stripplan.model.part import Rectangle
from stripplan.model.pattern import Leaf
from stripplan.model.plan.plan import SCHEMA, Bound, PartLine, Plan, PlanPlate, Settings, Totals
from stripplan.model.plan.run import runs_of
from stripplan.model.plan.size_chain import Size
from stripplan.model.plate import plate_mass
from stripplan.model.rig import Process, Rig
from stripplan.planner.accuracy import (
    accuracy_of,
    bow_at_fence_warnings,
    bow_of,
    cut_edges_of,
    evenness_warnings,
    finish_metres,
    speed_warnings,
    touch_of,
)
from stripplan.planner.limit_warnings import limit_warnings, with_estimates
from stripplan.planner.order.bench_plates import BenchPlate
from stripplan.planner.order.order_of_work import OrderOfWork
from stripplan.planner.plan_warnings import plan_warnings, units_of
from stripplan.planner.search_control import Search, Stopped
from stripplan.planner.settled import Settled
from stripplan.planner.settling.fixed_fences import fixed_fences_told
from stripplan.planner.total.proof import all_made, proof_of
from stripplan.planner.total.total_cost import total_cost
from stripplan.rig.machine.setting import greatest_end_stop
from stripplan.rig.machine.timing import arc_seconds, dial_for
from stripplan.sequence import BenchPiece, PiecesAndCuts
from stripplan.version import VERSION
from stripplan.wording.message import Facts, Message, Quantity, length, speed

KERF_FAR = 1.5
"""A measured kerf so many times wider or narrower than the profile's is asked about."""


def assemble(settled: Settled, best: OrderOfWork, search: Search, made_at: str | None = None) -> Plan:
    """All of the plan; `search` tells how many steps there were and what ended them."""
    job, rig, work = settled.job, with_estimates(settled.rig, best.plates), best.work
    plates = tuple(_plan_plate(each) for each in best.plates)
    totals = _totals(job, rig, plates, work)
    pieces = {piece.id: piece for piece in work.pieces}
    expected = work.expected_sizes()
    parts, trueness = _part_lines(job, rig, work, expected)
    proof = proof_of(rig, best, parts, totals)
    effort = job.options.effort
    warnings: list[Message | Fault] = [
        *_not_planned(job),
        *fixed_fences_told(job),
        *limit_warnings(settled, best),
        *settled.warnings,
        *best.layout.faults,
        *speed_warnings(settled.rig_as_given, {each.plate.process.name for each in best.plates}),
        *_drill_later(job),
        *_piece_warnings(job, work),
        *_not_used(job, plates),
        *_process_warnings(settled, best.plates),
        *trueness,
        *evenness_warnings(settled, work, expected),
        *bow_at_fence_warnings(settled, work),
    ]
    return Plan(
        schema=SCHEMA,
        stripplan_version=VERSION,
        made_at=made_at,
        job=job,
        rig=rig,
        settings=Settings(
            seed=effort.seed,
            steps=effort.steps,
            steps_done=search.steps,
            seconds=effort.seconds,
            good_enough=effort.good_enough,
            stopped=what_ended(search, effort, proof.cost),
            trim=job.options.trim,
            keep=job.options.keep,
            end_stop_greatest=greatest_end_stop(rig),
        ),
        plates=plates,
        pieces=tuple(work.pieces),
        cuts=tuple(work.cuts),
        parts=parts,
        totals=totals,
        proof=proof,
        runs=runs_of(work.cuts, pieces, {plate.id: plate.process for plate in plates}),
        other_order=best.other,
        total=total_cost(settled, best.plates, work.pieces, totals, complete=all_made(parts)),
        warnings=plan_warnings(warnings, units_of(job)),
    )


def what_ended(search: Search, effort: Effort, cost: Bound) -> Stopped:
    """What ended the search; near enough to the bound counts only where nothing better is proven impossible."""
    near = effort.good_enough > 0 and not cost.proven and effort.is_enough(cost.found, cost.bound)
    return "good enough" if search.stopped == "done" and near else search.stopped


def _plan_plate(each: BenchPlate) -> PlanPlate:
    plate, process = each.plate.plate, each.plate.process
    assert plate.thickness is not None
    return PlanPlate(
        id=each.to_cut.id,
        stock=plate.name,
        length=plate.length,
        width=plate.width,
        thickness=plate.thickness,
        material=plate.material or "",
        cost=each.plate.cost,
        mass=plate_mass(plate.length, plate.width, plate.thickness, plate.material),
        kerf=process.kerf,
        process=process.name,
        measured=plate.measured,
        edges=plate.edges,
    )


def _part_lines(
    job: Job, rig: Rig, work: PiecesAndCuts, expected: Mapping[str, Size]
) -> tuple[tuple[PartLine, ...], list[Message]]:
    """A line for each part of the job, and what is said of sizes and strips that will not be true enough."""
    lines, warnings = [], []
    edges = cut_edges_of(work)
    leaves: dict[int | None, dict[str, tuple[Leaf, BenchPiece]]] = defaultdict(dict)
    for name, (leaf, lying) in work.finished.items():
        leaves[leaf.part][name] = leaf, lying
    for index, part in enumerate(job.parts):
        sizes, spreads = [], []
        for name, (leaf, _) in leaves[index].items():
            size = expected[name]
            width, length = size.of_part(leaf.turned)
            wide, long = (size.off_x, size.off_y) if leaf.turned else (size.off_y, size.off_x)
            off = 2 * part.allowance
            sizes.append((round(width - off, 3), round(length - (off if isinstance(part, Rectangle) else 0), 3)))
            spreads.append((wide, long))
        accuracy, size_warnings = accuracy_of(rig, part, leaves[index], expected, edges)
        bow, bow_warnings = bow_of(part, leaves[index], edges)
        warnings += [*size_warnings, *bow_warnings]
        lines.append(
            PartLine(
                name=part.name,
                wanted=part.wanted,
                made=len(sizes),
                size_wanted=(part.width, part.length if isinstance(part, Rectangle) else None),
                size_expected=tuple(sorted(set(sizes))),
                tolerance_expected=(
                    round(max((s[0] for s in spreads), default=0.0), 3),
                    round(max((s[1] for s in spreads), default=0.0), 3),
                ),
                filler=part.filler,
                accuracy=accuracy,
                bow=bow,
                touch_minutes=touch_of(leaves[index], edges),
            )
        )
    return tuple(lines), warnings


def _totals(job: Job, rig: Rig, plates: Sequence[PlanPlate], work: PiecesAndCuts) -> Totals:
    cuts, metres = work.cuts, finish_metres(work)
    finishing = metres * rig.seconds.finish_per_m / 60 if job.options.finish else 0.0
    whole = sum(plate.length * plate.width for plate in plates)

    def of_kind(kind: str) -> float:
        return sum(piece.area for piece in work.pieces if piece.kind == kind)

    return Totals(
        plates=len(plates),
        cost=sum(plate.cost for plate in plates),
        arc_minutes=sum(cut.minutes.arc for cut in cuts),
        minutes=sum(cut.minutes.total for cut in cuts),
        starts=sum(len(cut.passes) for cut in cuts),
        fence_settings=sum(cut.setup.fence for cut in cuts),
        end_stop_settings=sum(cut.setup.end_stop for cut in cuts),
        turns=sum(cut.setup.quarter_turns > 0 for cut in cuts),
        fetches=sum(cut.setup.fetch for cut in cuts),
        dressings=sum(len(cut.setup.dress) for cut in cuts),
        plate_used=of_kind("part") / whole if whole else 0.0,
        offcut_area=of_kind("offcut"),
        scrap_area=of_kind("scrap"),
        process_changes=max(0, sum(cut.setup.process for cut in cuts) - 1),
        finish_metres=metres,
        finish_minutes=finishing,
    )


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


def _drill_later(job: Job) -> Iterator[Message]:
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
