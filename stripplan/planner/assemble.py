"""The plan itself: parts, totals and proof, from the pieces and cuts that were worked out."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence

from stripplan.model.effort import Effort
from stripplan.model.job import Job
from stripplan.model.part import Rectangle
from stripplan.model.pattern import Leaf
from stripplan.model.plan.plan import SCHEMA, Bound, PartLine, Plan, PlanPlate, Settings, Totals
from stripplan.model.plan.run import runs_of
from stripplan.model.plan.size_chain import Size
from stripplan.model.plate import plate_mass
from stripplan.model.rig import Rig
from stripplan.planner.accuracy import (
    accuracy_of,
    bow_of,
    cut_edges_of,
    finish_metres,
    touch_of,
)
from stripplan.planner.limit_warnings import with_estimates
from stripplan.planner.order.bench_plates import BenchPlate
from stripplan.planner.order.order_of_work import OrderOfWork
from stripplan.planner.plan_warnings import plan_warnings
from stripplan.planner.search_control import Search, Stopped
from stripplan.planner.settled import Settled
from stripplan.planner.total.proof import all_made, proof_of
from stripplan.planner.total.total_cost import total_cost
from stripplan.planner.warning_records import units_of, warning_records
from stripplan.rig.machine.setting import greatest_end_stop
from stripplan.sequence import BenchPiece, PiecesAndCuts
from stripplan.version import VERSION
from stripplan.wording.message import Message


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
    warnings = plan_warnings(settled, best, plates, expected, trueness)
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
        warnings=warning_records(warnings, units_of(job)),
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
