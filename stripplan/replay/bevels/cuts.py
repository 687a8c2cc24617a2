"""Each bevel on its own: where the torch runs by what is set, and what that leaves of the edge."""

from __future__ import annotations

import math
from collections.abc import Iterator

from shapely.geometry import Polygon

from stripplan.model.plan.bevel import BevelCut
from stripplan.model.plan.cut import Segment
from stripplan.model.rig import Process, Rig
from stripplan.replay import metal as m
from stripplan.replay.bevels.section import section
from stripplan.replay.finding import Finding, figures
from stripplan.replay.lookup import Bench
from stripplan.replay.metal import NEAR
from stripplan.replay.set_ups import dial_mark

SMALL = 1e-6
THICKNESS_LAW = 1.82
"""Speed goes with the metal's thickness to the power of minus so much: the law that the guide names for estimates."""
SAME_METAL = 0.05
"""So much more metal than the plate is thick is cut as the plate is [mm]."""
WIDE = 400.0
"""Width of the section where no edge lies on the fence [mm]: any would do."""


def about(cut: BevelCut) -> str:
    """What a finding about a bevel is about."""
    return f"cut {cut.number}"


def named(cut: BevelCut) -> str:
    """The same at the beginning of a sentence."""
    return f"Bevel {cut.number}"


def check_bevel(bench: Bench, cut: BevelCut) -> Iterator[Finding]:
    """Everything of one bevel that does not hang on the others."""
    piece = bench.pieces.get(cut.piece)
    shape = bench.shape(piece) if piece is not None else None
    if piece is None or shape is None or piece.kind != "part" or piece.plate != cut.plate:
        yield Finding(
            "bevel_piece", about(cut), f"{named(cut)} is made in {cut.piece}, which is no part of that plate."
        )
        return
    if not m.full_edge(shape, cut.edge):
        yield Finding("bevel_edge", about(cut), f"{named(cut)} runs along no edge of {cut.piece}.")
        return
    yield from _tilt(bench, cut)
    yield from _lies(cut, shape)
    yield from _reading(bench, cut)
    yield from _made(bench, cut, shape)
    yield from _travel(bench, cut)


def _tilt(bench: Bench, cut: BevelCut) -> Iterator[Finding]:
    rig = bench.plan.rig
    if cut.angle > rig.tilt_max + SMALL or cut.angle <= 0:
        text = f"{named(cut)} asks for a tilt of {cut.angle:g} degrees; the rig's torch tilts to {rig.tilt_max:g}."
        yield Finding("tilt", about(cut), text)
    wanted = struck(rig, cut.angle)
    if abs(wanted - cut.shift) > 1e-5:
        right, said = figures(wanted, cut.shift)
        yield Finding(
            "tilt_shift", about(cut), f"{named(cut)}: the tilted torch strikes {right} mm off, not {said} mm."
        )


def struck(rig: Rig, angle: float) -> float:
    """How much farther from the fence a tilted torch strikes: as measured, between two tilts as a pivot would have it,
    beyond them by the height of the pivot [mm]."""
    rows = sorted(rig.tilt_shift)
    below = max((row for row in rows if row[0] <= angle + SMALL), default=(0.0, 0.0))
    above = min((row for row in rows if row[0] >= angle - SMALL), default=None)
    lean = math.tan(math.radians(angle))
    if above is None:
        return rig.tilt_pivot * lean
    low, high = (math.tan(math.radians(row[0])) for row in (below, above))
    if high - low < SMALL:
        return above[1]
    return above[1] - (above[1] - below[1]) * (high - lean) / (high - low)


def travel(cut: BevelCut, shape: Polygon) -> Segment:
    """The bevelled edge in the direction of travel: the part lies right of it, as it lies."""
    middle = shape.centroid
    right_of = m.leftward(cut.edge, (middle.x, middle.y)) < 0
    return cut.edge if right_of == cut.face_up else (cut.edge[1], cut.edge[0])


def across(cut: BevelCut, shape: Polygon) -> float:
    """How far the part reaches from its bevelled edge [mm]."""
    return max(abs(m.leftward(cut.edge, corner)) for corner in m.corners(shape))


def _lies(cut: BevelCut, shape: Polygon) -> Iterator[Finding]:
    """What is on the fence is a whole edge, alike to the bevelled one and farthest from it, in the direction of travel;
    the torch comes by the edge beside the bevelled one."""
    along = travel(cut, shape)
    if (
        not m.full_edge(shape, cut.leading)
        or math.dist(*cut.leading) < NEAR
        or not any(math.dist(end, along[0]) <= NEAR for end in cut.leading)
    ):
        yield Finding("leading", about(cut), f"{named(cut)}: the carriage does not come to the leading edge first.")
    datum = cut.edge_on_fence
    if cut.located == "marked":
        if datum is not None:
            yield Finding("datum", about(cut), f"{named(cut)} follows a line, and yet an edge is named for the fence.")
        return
    if datum is None or not m.full_edge(shape, datum):
        yield Finding("datum", about(cut), f"{named(cut)}: no whole edge of {cut.piece} lies on the fence.")
        return
    (ax, ay), (bx, by) = m.direction(along), m.direction(datum)
    offs = [abs(m.leftward(cut.edge, end)) for end in datum]
    if ax * bx + ay * by < 1 - 1e-6 or min(offs) < across(cut, shape) - 2 * NEAR:
        text = f"{named(cut)}: the edge on the fence does not run beside the bevelled one, in the direction of travel."
        yield Finding("datum", about(cut), text)


def _reading(bench: Bench, cut: BevelCut) -> Iterator[Finding]:
    """The reading is the mark nearest to what the fence must be set to, the upper one halfway; within reach."""
    rig, title = bench.plan.rig, named(cut)
    of_fence = cut.fence_offset, cut.fence_reading, cut.reading_error
    if cut.located == "marked":
        if not rig.marked:
            yield Finding("marked", about(cut), f"{title} is marked out, which this rig does not allow.")
        if any(each is not None for each in of_fence):
            yield Finding("reading", about(cut), f"{title} follows a line, and yet the fence is set for it.")
        return
    offset, reading, error = of_fence
    if offset is None or reading is None or error is None:
        yield Finding("reading", about(cut), f"{title} has no reading of the fence.")
        return
    if not rig.fence_min - SMALL <= offset <= rig.fence_max + SMALL:
        text = f"{title}: the fence would stand at {offset:g} mm, beyond {rig.fence_min:g} to {rig.fence_max:g} mm."
        yield Finding("reach", about(cut), text)
    means = rig.fence_zero + rig.fence_scale * reading
    if abs(means - offset - error) > SMALL or abs(reading / rig.fence_step - round(reading / rig.fence_step)) > 1e-6:
        yield Finding(
            "reading", about(cut), f"{title}: reading {reading:g} and its error do not go with {offset:g} mm."
        )
    marks = (means - offset) / rig.fence_scale / rig.fence_step
    if not -0.5 + 1e-7 <= marks <= 0.5 + 1e-5:
        yield Finding("reading", about(cut), f"{title}: {reading:g} is not the mark nearest to {offset:g} mm.")


def axis_of(cut: BevelCut, wide: float) -> tuple[float, float]:
    """Where the axis meets the upper face, by what is set, and the width of the section that it is in [mm]."""
    if cut.located == "fence" and cut.fence_offset is not None:
        return cut.fence_offset + cut.shift, wide
    return WIDE - cut.axis, WIDE


def _made(bench: Bench, cut: BevelCut, shape: Polygon) -> Iterator[Finding]:
    """The section that comes of it, and what of the piece along the travel lies in it."""
    plate, title = bench.plates[cut.plate], named(cut)
    axis, wide = axis_of(cut, across(cut, shape))
    found = section(wide, plate.thickness, axis, cut.angle, cut.kerf)
    if cut.located == "fence" and abs(axis - cut.axis) > 1e-5:
        right, said = figures(axis, cut.axis)
        text = f"{title}: as the fence is set the axis meets the face at {right} mm, not at {said} mm."
        yield Finding("axis", about(cut), text)
    if cut.located == "marked" and not cut.axis > 0:
        yield Finding("axis", about(cut), f"{title} follows a line that lies beside the metal.")
    if abs(found.depth - cut.depth) > NEAR:
        right, said = figures(found.depth, cut.depth)
        text = f"{title}: as the torch is set the bevel comes {right} mm deep at the edge, not {said} mm."
        yield Finding("bevel_depth", about(cut), text)
    if found.greatest < wide - NEAR:
        text = f"{title} takes {wide - found.greatest:.2f} mm off the edge itself: nothing of it stays."
        yield Finding("bevel_depth", about(cut), text)
    if abs(found.slanted - cut.through) > NEAR:
        right, said = figures(found.slanted, cut.through)
        yield Finding("through", about(cut), f"{title} goes through {right} mm of metal, not {said} mm.")
    yield from _along(bench, cut, shape, wide - found.top)


def _along(bench: Bench, cut: BevelCut, shape: Polygon, back: float) -> Iterator[Finding]:
    """Entry on the start line, length of metal, end stop."""
    rig, along, title = bench.plan.rig, m.lengthened(travel(cut, shape)), named(cut)
    near = m.halves(m.moved_left(along, -back if cut.face_up else back))[1 if cut.face_up else 0]
    places = [m.ahead(travel(cut, shape), point) for point in m.corners(shape.intersection(near))]
    start, length = min(places), max(places) - min(places)
    corner = cut.edge_on_fence[0] if cut.edge_on_fence is not None else travel(cut, shape)[0]
    at = m.ahead(travel(cut, shape), corner) - start
    if abs(at - cut.corner_at) > 2 * NEAR:
        right, said = figures(at, cut.corner_at)
        yield Finding("entry", about(cut), f"{title}: its corner is {right} mm beyond the start line, not {said} mm.")
    if abs(length - cut.length) > 2 * NEAR:
        right, said = figures(length, cut.length)
        yield Finding("length", about(cut), f"{title} is {right} mm long, not {said} mm.")
    need = rig.lead_in + cut.length + rig.overrun
    marks = (cut.end_stop - rig.end_stop_min) / rig.end_stop_step
    most = max(rig.lead_in + cut.length + rig.overrun_max, need + rig.end_stop_step, rig.end_stop_min)
    sound = need - 1e-4 <= cut.end_stop <= min(most + 1e-4, rig.stroke + SMALL)
    if not sound or abs(marks - round(marks)) > 1e-6:
        yield Finding(
            "end_stop", about(cut), f"{title}: end stop {cut.end_stop:g} mm does not serve {cut.length:g} mm."
        )
    before = start - min(m.ahead(travel(cut, shape), point) for point in m.corners(shape))
    whole = [m.ahead(travel(cut, shape), point) for point in m.corners(shape)]
    long = max(whole) - min(whole)
    if (rig.bed_length is not None and long > rig.bed_length + NEAR) or (
        rig.bed_before is not None and before > rig.bed_before + NEAR
    ):
        yield Finding("bed", about(cut), f"{title}: {cut.piece} does not lie on the bed.")


def _travel(bench: Bench, cut: BevelCut) -> Iterator[Finding]:
    """Speed, kerf and dial go with a process that cuts so much metal."""
    rig, plate, title = bench.plan.rig, bench.plates[cut.plate], named(cut)
    process = process_named(bench, cut.process)
    if process is None:
        yield Finding("process", about(cut), f"{title}: the rig has no process {cut.process}.")
        return
    if abs(process.kerf - cut.kerf) > SMALL:
        yield Finding("kerf", about(cut), f"{title} reckons with a kerf of {cut.kerf:g} mm, not {process.kerf:g} mm.")
    speed, estimated = _speed(cut, process, own=cut.process == plate.process)
    if speed is None:
        text = f"{title}: {cut.process} is for {process.thickness:g} mm, and {cut.through:g} mm are cut."
        yield Finding("process", about(cut), text)
    elif abs(speed - cut.travel_speed) > (1 + SMALL if estimated and cut.process == plate.process else SMALL):
        text = f"{title} travels at {cut.travel_speed:g} mm/min where {speed:.0f} mm/min go with so much metal."
        yield Finding("travel_speed", about(cut), text)
    if estimated != cut.estimated:
        yield Finding("estimated", about(cut), f"{title} does not say rightly whether its speed is an estimate.")
    if not rig.travel_min - SMALL <= cut.travel_speed <= rig.travel_max + SMALL:
        yield Finding("travel_speed", about(cut), f"{title}: the rig does not travel at {cut.travel_speed:g} mm/min.")
    mark = dial_mark(rig, cut.travel_speed)
    if (mark is None) != (cut.dial is None) or (mark is not None and abs(mark - (cut.dial or 0.0)) > 0.005 + 1e-6):
        yield Finding(
            "dial", about(cut), f"{title}: {cut.dial} is not the dial's mark for {cut.travel_speed:g} mm/min."
        )


def _speed(cut: BevelCut, process: Process, *, own: bool) -> tuple[float | None, bool]:
    """The speed that a process has for that much metal [mm/min], and whether it is an estimate."""
    if not own:
        fits = abs(process.thickness - cut.through) <= SAME_METAL + 0.011
        return (process.travel_speed if fits else None), True
    if cut.through <= process.thickness + SAME_METAL + SMALL:
        return process.travel_speed, process.estimated
    return process.travel_speed / (cut.through / process.thickness) ** THICKNESS_LAW, True


def process_named(bench: Bench, name: str) -> Process | None:
    """A process of the rig."""
    return next((each for each in bench.plan.rig.processes if each.name == name), None)
