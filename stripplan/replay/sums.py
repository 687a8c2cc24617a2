"""What adds up: minutes, totals, proof, and the rest that the power source needs. One function per rule."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator
from typing import Any

from stripplan.model.part import Shape
from stripplan.model.plan.bevel import BevelCut
from stripplan.model.plan.cut import Cut, Segment
from stripplan.model.plan.plan import PlanPlate
from stripplan.model.plan.record import to_record
from stripplan.model.rig import Process, Rig
from stripplan.replay import metal as m
from stripplan.replay.finding import Finding, figures
from stripplan.replay.lookup import Bench, Step, name
from stripplan.replay.metal import NEAR
from stripplan.replay.parts_made import process_of

UNITS = {"arc_minutes": " min", "minutes": " min", "offcut_area": " mm2", "scrap_area": " mm2"}
"""Units of the totals that have one."""

PLATE_EDGE = 1e-5
"""Nearer than so to the plate's edge an edge of a part is the plate's own [mm]."""

WINDOW = 600.0
"""Duty is counted over any ten minutes [s]."""


def agree(one: float, other: float) -> bool:
    """Whether two sums are the same to a millionth."""
    return math.isclose(one, other, rel_tol=1e-6, abs_tol=1e-6)


def check_minutes(bench: Bench, cut: Cut) -> Iterator[Finding]:
    """Arc, return, flows and rest of a cut follow from its stops, speeds and passes; no time is below 0."""
    rig, travel, given = bench.plan.rig, sum(each.end_stop for each in cut.passes), cut.minutes
    wanted = {
        "arc": (travel / cut.travel_speed, given.arc),
        "return": (travel / rig.return_speed, given.return_),
        "pre-flow": (len(cut.passes) * rig.pre_flow / 60, given.pre_flow),
        "post-flow": (_waited_for_air(rig, cut), given.post_flow),
        "rest": (cut.rest_before, given.rest),
    }
    for cause, (true, said) in wanted.items():
        if not agree(true, said):
            right, given_as = figures(true, said)
            text = f"Cut {cut.number}: {cause} takes {right} min, not {given_as} min."
            yield Finding("minutes", f"{name(cut)}, {cause}", text)
    if min(to_record(given).values()) < 0:
        yield Finding("minutes", name(cut), f"Cut {cut.number} has a time below 0.")
    turns = cut.setup.quarter_turns
    if not 0 <= turns <= 3:
        yield Finding("turns", name(cut), f"Cut {cut.number} asks for {turns} quarter turns; 0 to 3 make sense.")


def _waited_for_air(rig: Rig, cut: Cut) -> float:
    """Minutes of air after each pass; where the carriage runs home meanwhile, only what is left when it is there."""
    air = rig.post_flow / 60
    if not rig.post_flow_returning:
        return float(len(cut.passes) * air)
    return float(sum(air - min(air, each.end_stop / rig.return_speed) for each in cut.passes))


def check_totals(bench: Bench) -> Iterator[Finding]:
    """Each total is the sum of what the plan lists."""
    cuts, plates, arcs = bench.plan.cuts, bench.plan.plates, bench.plan.arcs
    areas: dict[str, float] = defaultdict(float)
    for piece in bench.plan.pieces:
        shape = bench.shape(piece)
        areas[piece.kind] += shape.area if shape else 0.0
    whole = sum(plate.length * plate.width for plate in plates)
    sums = {
        "plates": len(plates),
        "cost": sum(plate.cost for plate in plates),
        "arc_minutes": sum(cut.minutes.arc for cut in arcs),
        "minutes": sum(sum(to_record(cut.minutes).values()) for cut in arcs),
        "starts": sum(len(cut.passes) for cut in cuts) + len(bench.plan.bevels),
        "fence_settings": sum(cut.setup.fence for cut in cuts),
        "end_stop_settings": sum(cut.setup.end_stop for cut in cuts),
        "turns": sum(cut.setup.quarter_turns > 0 for cut in cuts),
        "fetches": sum(cut.setup.fetch for cut in cuts),
        "dressings": sum(len(cut.setup.dress) for cut in cuts),
        "plate_used": areas["part"] / whole if whole else 0.0,
        "offcut_area": areas["offcut"],
        "scrap_area": areas["scrap"],
    }
    for key, value in sums.items():
        said = getattr(bench.plan.totals, key)
        if not math.isclose(value, said, rel_tol=_share(bench, key), abs_tol=_rounding(bench, key)):
            right, given = figures(value, said)
            unit = UNITS.get(key, "")
            text = f"The total of {key.replace('_', ' ')} is {right}{unit}; the plan says {given}{unit}."
            yield Finding("totals", f"totals, {key}", text)


def _share(bench: Bench, key: str) -> float:
    """What share of itself a sum may be off: areas of parts that lie aslant rest on roundings of their corners."""
    shapes = any(isinstance(part, Shape) for part in bench.plan.job.parts)
    return 1e-5 if shapes and key in ("plate_used", "offcut_area", "scrap_area") else 1e-6


def _rounding(bench: Bench, key: str) -> float:
    """What a sum may differ by because each of its figures stands in the file to a millionth."""
    rows = {"arc_minutes": 1, "minutes": 16, "cost": 1}.get(key, 0) * (
        len(bench.plan.cuts) + len(bench.plan.bevels) + len(bench.plan.plates)
    )
    return 1e-6 + 5e-7 * rows


def check_areas(bench: Bench, plate: PlanPlate) -> Iterator[Finding]:
    """A plate is its parts, offcuts and scrap, as they are drawn, and what the kerfs took."""
    cut_up = [step for step in bench.steps if step.cut.plate == plate.id]
    if len(cut_up) < sum(cut.plate == plate.id for cut in bench.plan.cuts):
        return  # a cut that could not be followed is a finding already
    left = [piece for piece in bench.plan.pieces if piece.plate == plate.id and piece.id not in bench.is_cut]
    shapes = [shape for shape in map(bench.shapes.get, (piece.id for piece in left)) if shape is not None]
    kerfs = sum(_taken(step) for step in cut_up)
    together, whole = sum(shape.area for shape in shapes) + kerfs, plate.length * plate.width
    slack = NEAR * (sum(shape.length for shape in shapes) + plate.length + plate.width)
    if abs(together - whole) > slack:
        text = f"Pieces and kerfs of plate {plate.id} are {together:.1f} mm2 together; the plate is {whole:.1f} mm2."
        yield Finding("area", plate.id, text)


def _taken(step: Step) -> float:
    """Metal that the kerf of one cut turns to dust [mm2]."""
    right, left = m.parted(step.metal.shape, step.torch, step.cut.kerf)
    return float(step.metal.shape.area - sum(each.area for each in (*right, *left)))


def cut_edges(bench: Bench) -> dict[str, float]:
    """Edges that were cut on the rig, of all pieces of each part together [mm]."""
    found: dict[str, float] = {}
    for piece in bench.plan.pieces:
        shape, plate = bench.shape(piece), bench.plates.get(piece.plate)
        if piece.kind == "part" and piece.part is not None and shape is not None and plate is not None:
            length = sum(math.dist(*edge) for edge in m.edges(shape) if not of_plate(edge, plate))
            found[piece.part] = found.get(piece.part, 0.0) + length
    return found


def of_plate(edge: Segment, plate: PlanPlate) -> bool:
    """Whether an edge lies on the edge of its plate."""
    (ax, ay), (bx, by) = edge
    level = abs(by - ay) < abs(bx - ax)
    at, sides = ((ay + by) / 2, (0.0, plate.width)) if level else ((ax + bx) / 2, (0.0, plate.length))
    return any(abs(at - side) <= PLATE_EDGE for side in sides)


def check_proof(bench: Bench) -> Iterator[Finding]:
    """What was found is the total; no bound lies above it; proven means that they meet."""
    proof, totals = bench.plan.proof, bench.plan.totals
    rows: tuple[tuple[str, Any, float], ...] = (
        ("plates", proof.plates, totals.plates),
        ("cost", proof.cost, totals.cost),
        ("setups", proof.setups, totals.fence_settings),
        ("minutes", proof.minutes, totals.minutes),
    )
    for key, row, total in rows:
        if not agree(row.found, total):
            yield Finding("proof", f"proof, {key}", f"The proof speaks of {row.found:g} {key}; the plan has {total:g}.")
        elif row.bound > row.found and not agree(row.bound, row.found):
            yield Finding(
                "proof", f"proof, {key}", f"The least {key} is said to be {row.bound:g}, but {row.found:g} was found."
            )
        elif row.bound < 0:
            yield Finding("proof", f"proof, {key}", f"The least {key} is said to be {row.bound:g}, which is below 0.")
    complete = all(line.made >= line.wanted for line in bench.plan.parts)
    for key, bound in (("plates", proof.plates), ("cost", proof.cost)):
        met = complete and agree(bound.bound, bound.found)
        if bound.proven != met:
            said = "called proven" if bound.proven else "not called proven"
            why = "parts are missing" if not complete else f"the bound is {bound.bound:g}"
            yield Finding("proof", f"proof, {key}", f"{key} {bound.found:g} is {said}, but {why}.")
    if proof.plates.bound != round(proof.plates.bound) or proof.setups.bound != round(proof.setups.bound):
        yield Finding("proof", "proof", "A bound on plates or settings is no whole number.")
    for key, order in (("setups", proof.setups), ("minutes", proof.minutes)):
        if order.holds_for != "this layout":
            text = f"The bound on {key} is said to hold for {order.holds_for}; it holds for this layout."
            yield Finding("proof", f"proof, {key}, holds_for", text)


def check_duty(bench: Bench) -> Iterator[Finding]:
    """No ten minutes hold more arc than the power source is rated for at this current.

    The fullest window ends with an arc, so one window for each cut is enough. Two passes count as one
    block of arc, flows and returns after it: at most a few seconds away from what happens.
    """
    now = 0.0
    arcs: list[tuple[float, float]] = []
    for cut in bench.plan.arcs:
        seconds = {cause: minutes * 60 for cause, minutes in to_record(cut.minutes).items()}
        total, after = sum(seconds.values()), seconds["post_flow"] + seconds["return"]
        end = now + total - after
        now += total
        arcs = [arc for arc in arcs if arc[1] > end - WINDOW] + [(end - seconds["arc"], end)]
        burnt = sum(stop - max(start, end - WINDOW) for start, stop in arcs)
        allowed = WINDOW * _duty(bench, cut)
        if burnt > allowed + 0.01:
            yield Finding(
                "duty",
                f"cut {cut.number}",
                f"By the end of cut {cut.number} the arc has burnt {burnt:.0f} s of ten minutes; {allowed:.0f} s are "
                "allowed.",
            )


def _duty(bench: Bench, cut: Cut | BevelCut) -> float:
    if isinstance(cut, BevelCut):
        process = next((each for each in bench.plan.rig.processes if each.name == cut.process), None)
    else:
        process = process_of(bench, bench.plates[cut.plate])
    return share(process) if process else 1.0


def share(process: Process) -> float:
    """Share of ten minutes that the arc may burn at a process's current.

    The square law, I^2 X = constant between rating points (IEC 60974-1, from memory), from the next
    rated current above; never more than the next point below gives, nor than all the time. Above the
    greatest rating the power source has none to give. Without ratings or current: no limit is known.
    """
    current, points = process.current, sorted(process.duty)
    if current is None or not points:
        return 1.0
    above = [(amps, percent) for amps, percent in points if amps >= current - 1e-9]
    below = [percent / 100 for amps, percent in points if amps < current - 1e-9]
    if not above:
        return 0.0
    amps, percent = above[0]
    return float(min([1.0, percent / 100 * (amps / current) ** 2, *below[-1:]]))
