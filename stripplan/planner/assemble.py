"""The plan itself: parts, totals, proof and warnings, from the pieces and cuts that were worked out."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping, Sequence

from stripplan.layout.lay_out import Layout
from stripplan.model.effort import Effort
from stripplan.model.job import Job
from stripplan.model.part import Rectangle
from stripplan.model.pattern import Leaf
from stripplan.model.plan.plan import (
    SCHEMA,
    Bound,
    OrderBound,
    PartLine,
    Plan,
    PlanPlate,
    PlanWarning,
    Proof,
    Settings,
    Totals,
)
from stripplan.model.plan.run import runs_of
from stripplan.model.plate import plate_mass
from stripplan.model.rig import Rig
from stripplan.model.size_chain import Size
from stripplan.planner.accuracy import (
    accuracy_of,
    bow_at_fence_warnings,
    bow_of,
    cut_edges_of,
    evenness_warnings,
    finish_metres,
    trueness_warnings,
)
from stripplan.planner.faults_told import told_warnings
from stripplan.planner.order_options import Chosen
from stripplan.planner.plates_used import UsedPlate
from stripplan.planner.settled import same_stock
from stripplan.planner.stop import Clock, Stopped
from stripplan.rig.machine.setting import greatest_end_stop
from stripplan.rig.machine.timing import arc_seconds, dial_for
from stripplan.sequence import BenchPiece, CutOrder, PiecesAndCuts, travel_minutes
from stripplan.version import VERSION

KERF_FAR = 1.5
"""A measured kerf so many times wider or narrower than the profile's is asked about."""
MET = 1e-6
"""A bound so near to what was found meets it: one that comes of a linear programme is rounded down, by less than this."""


def assembled(
    job: Job,
    rig: Rig,
    bench: list[UsedPlate],
    layouts: list[Layout],
    chosen: Chosen,
    warnings: list[PlanWarning],
    clock: Clock,
    made_at: str | None,
) -> Plan:
    """All of the plan; `clock` tells how many steps the search had and what ended it."""
    order, work = chosen.order, chosen.work
    plates = tuple(_plan_plate(each) for each in bench)
    totals = _totals(job, rig, plates, work)
    pieces = {piece.id: piece for piece in work.pieces}
    expected = work.expected_sizes()
    parts = _part_lines(job, rig, work, expected)
    proof = _proof(rig, layouts, parts, totals, order, work)
    effort = job.options.effort
    return Plan(
        schema=SCHEMA,
        stripplan_version=VERSION,
        made_at=made_at,
        job=job,
        rig=rig,
        settings=Settings(
            seed=effort.seed,
            steps=effort.steps,
            steps_done=clock.steps,
            seconds=effort.seconds,
            good_enough=effort.good_enough,
            stopped=what_ended(clock, effort, proof.cost),
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
        other_order=chosen.other,
        warnings=told_warnings(
            job,
            rig,
            warnings
            + _plate_warnings(job, rig, bench, work)
            + trueness_warnings(parts)
            + evenness_warnings(job, rig, work, expected)
            + bow_at_fence_warnings(job, order.cuts),
        ),
    )


def what_ended(clock: Clock, effort: Effort, cost: Bound) -> Stopped:
    """What ended the search; near enough to the bound counts only where nothing better is proven impossible."""
    near = effort.good_enough > 0 and not cost.proven and effort.is_enough(cost.found, cost.bound)
    return "good enough" if clock.stopped == "done" and near else clock.stopped


def _plan_plate(each: UsedPlate) -> PlanPlate:
    plate, process = each.ware.plate, each.bench.process
    assert plate.thickness is not None
    return PlanPlate(
        id=each.bench.id,
        stock=plate.name,
        length=plate.length,
        width=plate.width,
        thickness=plate.thickness,
        material=plate.material or "",
        cost=each.ware.cost,
        mass=plate_mass(plate.length, plate.width, plate.thickness, plate.material),
        kerf=process.kerf,
        process=process.name,
        measured=plate.measured,
        edges=plate.edges,
    )


def _part_lines(job: Job, rig: Rig, work: PiecesAndCuts, expected: Mapping[str, Size]) -> tuple[PartLine, ...]:
    lines = []
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
                accuracy=accuracy_of(rig, part, leaves[index], expected, edges),
                bow=bow_of(part, leaves[index], edges),
            )
        )
    return tuple(lines)


def _totals(job: Job, rig: Rig, plates: Sequence[PlanPlate], work: PiecesAndCuts) -> Totals:
    cuts, metres = work.cuts, finish_metres(work)
    finishing = metres * rig.seconds.finish_per_m / 60 if job.options.finish else 0.0
    whole = sum(plate.length * plate.width for plate in plates)

    def of_kind(kind: str) -> float:
        boxes = (piece.box for piece in work.pieces if piece.kind == kind)
        return sum((x1 - x0) * (y1 - y0) for x0, y0, x1, y1 in boxes)

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


def _proof(
    rig: Rig, layouts: list[Layout], parts: Sequence[PartLine], totals: Totals, order: CutOrder, work: PiecesAndCuts
) -> Proof:
    plates = sum(layout.bound.plates for layout in layouts)
    cost = sum(float(layout.bound.cost) for layout in layouts)
    complete = all(line.made >= line.wanted for line in parts)
    if not complete:  # the bounds are for all parts; of a plan for some of them they say no more than this
        plates, cost = min(plates, totals.plates), min(cost, totals.cost)
    least_minutes = travel_minutes(rig, work.cuts) + order.least_setup / 60
    met = math.isclose(cost, totals.cost)  # the sums are of binary fractions
    proven = math.isclose(cost, totals.cost, rel_tol=MET, abs_tol=MET)
    return Proof(
        plates=Bound(
            found=totals.plates,
            bound=plates,
            how=", ".join(dict.fromkeys(layout.bound.plates_how for layout in layouts)),
            proven=complete and plates == totals.plates,
        ),
        cost=Bound(
            found=totals.cost,
            bound=totals.cost if met else cost,
            how=", ".join(dict.fromkeys(layout.bound.cost_how for layout in layouts)),
            proven=complete and proven,
        ),
        setups=OrderBound(found=totals.fence_settings, bound=order.least_settings),
        minutes=OrderBound(found=totals.minutes, bound=math.floor(least_minutes * 1e5) / 1e5),
    )


def _plate_warnings(job: Job, rig: Rig, bench: list[UsedPlate], work: PiecesAndCuts) -> list[PlanWarning]:
    found = []
    for name, (leaf, lying) in work.finished.items():
        if leaf.part is None:
            continue
        part = job.parts[leaf.part]
        width_rests, length_rests = (lying.unmeasured[1], lying.unmeasured[0]) if not leaf.turned else lying.unmeasured
        if width_rests or (length_rests and isinstance(part, Rectangle)):
            found.append(
                PlanWarning(
                    code="rests_on_plate_size",
                    about=name,
                    text=f"{part.name} ({name}) takes a size from the plate itself: measure the plate first.",
                )
            )
        x, y = lying.workpiece.length, lying.workpiece.width
        want = (part.length_as_cut if isinstance(part, Rectangle) else (y if leaf.turned else x), part.width_as_cut)
        got = (y, x) if leaf.turned else (x, y)
        if got[0] > want[0] + 0.01 or got[1] > want[1] + 0.01:
            found.append(
                PlanWarning(
                    code="left_over_size",
                    about=name,
                    text=f"{part.name} ({name}) stays over size, within its tolerance: what is over could not be cut off.",
                )
            )
    seen = {each.index: each for each in bench}
    for each in seen.values():
        found += _one_plate_warnings(job, rig, each)
    return found


def _one_plate_warnings(job: Job, rig: Rig, each: UsedPlate) -> list[PlanWarning]:
    plate, process = each.ware.plate, each.bench.process
    found: list[PlanWarning] = []
    if plate.out_of_square > job.options.trim:
        found.append(
            PlanWarning(
                code="out_of_square",
                about=plate.name,
                text=f"{plate.name} is {plate.out_of_square:g} mm out of square, and {job.options.trim:g} mm is trimmed off its edges.",
            )
        )
    asked = [part.name for part in job.parts if part.rolling != "free" and same_stock(part, plate)]
    if plate.rolling == "none" and asked:
        found.append(
            PlanWarning(
                code="rolling_unknown",
                about=plate.name,
                text=f"The rolling direction of {plate.name} is not known; {', '.join(asked)} asks for one: look at the plate.",
            )
        )
    before = next((m.before for m in rig.measured if m.key == f"{process.name}, kerf"), None)
    if before is not None and not before / KERF_FAR <= process.kerf <= before * KERF_FAR:
        found.append(
            PlanWarning(
                code="kerf_far",
                about=process.name,
                text=f"The kerf of {process.name} was measured as {process.kerf:g} mm; the profile had {before:g} mm. Was a piece left out of a test?",
            )
        )
    if process.kerf_measured_on is None and not process.estimated:
        found.append(
            PlanWarning(
                code="kerf_not_measured",
                about=process.name,
                text=f"The kerf of {process.name}, {process.kerf:g} mm, was not measured: make a test cut before the first strip.",
            )
        )
    if rig.dial and dial_for(rig, process.travel_speed) is None:
        speeds = [speed for _, speed in rig.dial]
        found.append(
            PlanWarning(
                code="dial_range",
                about=process.name,
                text=f"{process.name} is cut at {process.travel_speed:g} mm/min; the dial was timed from {min(speeds):g} to {max(speeds):g} mm/min: "
                "no mark can be given. Time a run beyond, or set the speed by a test run.",
            )
        )
    lead_seconds = arc_seconds([rig.lead_in], process.travel_speed)
    if lead_seconds > rig.pilot_limit:
        found.append(
            PlanWarning(
                code="pilot",
                about=process.name,
                text=f"The arc burns {lead_seconds:.1f} s in air before the metal; the source allows about {rig.pilot_limit:g} s.",
            )
        )
    return found
