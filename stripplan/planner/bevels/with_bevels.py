"""A plan with the bevels that its parts ask for, cut after all else: records, sums, what is said of them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import replace

from stripplan.model.bevel import flanks_of, root_faces
from stripplan.model.part import Part
from stripplan.model.plan.bevel import BevelCut, HandBevel
from stripplan.model.plan.plan import PartLine, Plan, PlanWarning, TotalCost
from stripplan.model.plate import Plate
from stripplan.model.rig import Process
from stripplan.planner.bevels.expected import expected_bevels
from stripplan.planner.bevels.on_piece import laid
from stripplan.planner.bevels.order import Bench, in_order, least_minutes, records
from stripplan.planner.bevels.said import bevel_messages
from stripplan.planner.bevels.ways import BevelWay, way_of
from stripplan.planner.warning_records import units_of, warning_records

Sorted = tuple[list[BevelWay], list[HandBevel]]
"""Bevels that are cut, and those that are left for the hand."""


def with_bevels(plan: Plan) -> Plan:
    """The plan with its bevels; as it is where no part has any."""
    wanted = {part.name: part for part in plan.job.parts if part.bevels}
    if not wanted:
        return plan
    some, by_hand = ways_of(plan, wanted)
    plates = {each.id: each for each in plan.plates}
    ways = in_order(some, plates[plan.cuts[-1].plate].process if plan.cuts else "")
    known = {each.name for each in plan.rig.processes}
    new = {way.speed.process.name: way.speed.process for way in ways if way.speed.process.name not in known}
    plan = replace(plan, rig=replace(plan.rig, processes=(*plan.rig.processes, *new.values())))
    bevels = records(plan, ways)
    made = replace(plan, bevels=bevels, hand_bevels=tuple(by_hand))
    made = replace(made, parts=tuple(_with_expected(made, line, wanted.get(line.name)) for line in made.parts))
    return _said(_summed(made, least_minutes(plan.rig, bevels, ways), _least_of_job(made, bevels, ways)))


def ways_of(plan: Bench, wanted: Mapping[str, Part]) -> Sorted:
    """How each bevel of the parts wanted is set up, piece by piece, or why it is left for the hand."""
    plates, processes = {each.id: each for each in plan.plates}, {each.name: each for each in plan.rig.processes}
    ways, by_hand = list[BevelWay](), list[HandBevel]()
    for piece in plan.pieces:
        part = wanted.get(piece.part or "") if piece.kind == "part" else None
        if part is None:
            continue
        plate = plates[piece.plate]
        flanks = flanks_of(part.bevels, plate.thickness)
        roots = root_faces(flanks, plate.thickness)
        stock = Plate(
            name=plate.stock, length=plate.length, width=plate.width, thickness=plate.thickness, material=plate.material
        )
        process: Process = processes[plate.process]
        for edge, flank in laid(part, piece, flanks):
            way = way_of(plan.rig, piece, stock, process, edge, flank, roots[flank.edge])
            if isinstance(way, BevelWay):
                ways.append(way)
            else:
                by_hand.append(
                    HandBevel(
                        plate=piece.plate, piece=piece.id, edge=edge, face_up=flank.first, angle=flank.angle,
                        depth=flank.depth, root_face=roots[flank.edge], why=way,
                    )
                )  # fmt: skip
    return ways, by_hand


def _with_expected(plan: Plan, line: PartLine, part: Part | None) -> PartLine:
    return line if part is None else replace(line, bevels=expected_bevels(plan, line, part))


def _least_of_job(plan: Plan, bevels: tuple[BevelCut, ...], ways: list[BevelWay]) -> float:
    """What the bevels of the job take in any layout and order [min]: those of parts that are wanted and are cut from
    plates of one process, whichever of them; else some other plate might make them quicker.
    """
    processes = {(each.material, each.thickness): set[str]() for each in plan.plates}
    for each in plan.plates:
        processes[each.material, each.thickness].add(each.process)
    one_kind = len(plan.job.plates) == 1 and all(len(names) == 1 for names in processes.values())
    if not one_kind or any(line.made != line.wanted for line in plan.parts if not line.filler):
        return 0.0
    part_of = {piece.id: piece.part for piece in plan.pieces}
    kept = [n for n, each in enumerate(bevels) if part_of[each.piece] not in plan.fillers]
    return least_minutes(plan.rig, [bevels[n] for n in kept], [ways[n] for n in kept])


def _summed(plan: Plan, least: float, of_job: float) -> Plan:
    """The plan's sums with its bevels in them; `least` is what these take in any order, `of_job` those of the job in
    any layout as well [min].
    """
    bevels, totals, proof, total = plan.bevels, plan.totals, plan.proof, plan.total
    more = sum(each.minutes.total for each in bevels)
    totals = replace(
        totals,
        arc_minutes=totals.arc_minutes + sum(each.minutes.arc for each in bevels),
        minutes=totals.minutes + more,
        starts=totals.starts + len(bevels),
        bevel_minutes=more,
        bevel_metres=metres(bevels),
        hand_bevel_metres=metres(plan.hand_bevels),
        tilt_settings=sum(each.setup.tilt for each in bevels),
        bevel_fence_settings=sum(each.setup.fence for each in bevels),
    )
    bound = math.floor((proof.minutes.bound + least) * 1e5) / 1e5
    minutes = replace(proof.minutes, found=totals.minutes, bound=bound)
    other, rectangles = plan.other_order, plan.as_rectangles
    hands = 0.0 if total is None else total.minute * more
    return replace(
        plan,
        totals=totals,
        proof=replace(proof, minutes=minutes),
        other_order=None if other is None else replace(other, minutes=other.minutes + more),
        total=None if total is None else _with_hands(total, hands, total.minute * of_job),
        as_rectangles=None if rectangles is None else replace(rectangles, total=rectangles.total + hands),
    )


def _with_hands(total: TotalCost, hands: float, least: float) -> TotalCost:
    """Plate and hands with those of bevels, and the bound with what they take at the least; 0 is no bound."""
    bound = math.floor((total.bound + least) * 1e5) / 1e5 if total.bound > 0 else total.bound
    return replace(total, hands=total.hands + hands, total=total.total + hands, bound=bound)


def metres(bevels: tuple[BevelCut, ...] | tuple[HandBevel, ...]) -> float:
    """Length of bevelled edges, each face of them counted [m]."""
    return sum(math.dist(*each.edge) for each in bevels) / 1000


def _said(plan: Plan) -> Plan:
    """What the person must know of bevels, after what is said already."""
    return replace(plan, warnings=(*plan.warnings, *_warnings(plan)))


def _warnings(plan: Plan) -> Iterator[PlanWarning]:
    yield from warning_records(bevel_messages(plan), units_of(plan.job))
