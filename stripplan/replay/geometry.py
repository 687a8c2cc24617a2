"""The rules of order and bench: one function per rule, each yielding what it finds about one cut or piece.

None stops at a first fault; what a rule cannot read at all is noted by `verdict`.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator

from shapely.geometry import Point as ShapelyPoint
from shapely.geometry import Polygon

from stripplan.model.plan.cut import Cut, Pass
from stripplan.model.plan.piece import Piece
from stripplan.model.rig import Rig
from stripplan.replay import metal as m
from stripplan.replay.aslant.exits import beyond, far_edge
from stripplan.replay.finding import Finding
from stripplan.replay.lookup import Bench, Step, clean, name
from stripplan.replay.metal import NEAR

SMALL = 1e-6
"""Slack for figures that are copied, not measured [mm]."""

HALFWAY = 1e-3
"""So near to halfway between two quarter turns, either is right: 45 degrees count as none or as one."""

UNCUT = ("part", "offcut", "scrap")


def check_numbers(bench: Bench) -> Iterator[Finding]:
    """Cuts are numbered 1, 2, 3 ... in the order of work; no two things share a name."""
    if [cut.number for cut in bench.plan.cuts] != list(range(1, len(bench.plan.cuts) + 1)):
        yield Finding("numbers", "cuts", "The cuts are not numbered 1, 2, 3 ... in the order of work.")
    if not bench.plan.plates and not bench.plan.job.options.partial:
        yield Finding("empty", "plates", "The plan uses no plate.")
    names = [plate.id for plate in bench.plan.plates], [piece.id for piece in bench.plan.pieces]
    for what, ids in zip(("plates", "pieces"), names, strict=True):
        for each, count in Counter(ids).items():
            if count > 1:
                yield Finding("same_id", each, f"{count} {what} are called {each}.")
    for piece, count in Counter(cut.piece for cut in bench.plan.cuts).items():
        if count > 1:
            yield Finding("cut_twice", piece, f"Piece {piece} is cut {count} times, but after one cut it is no more.")


def check_tree(bench: Bench, cut: Cut) -> Iterator[Finding]:
    """What a cut makes names the piece it comes from, and all lie on the cut's plate."""
    if cut.plate not in bench.plates:
        yield Finding("plate", name(cut), f"Cut {cut.number} is made on {cut.plate}, which is no plate of the plan.")
    for each in (cut.piece, *cut.makes):
        piece = bench.pieces.get(each or "")
        if piece is not None and piece.plate != cut.plate:
            yield Finding(
                "plate", piece.id, f"{piece.id} is on plate {piece.plate}, but cut {cut.number} on {cut.plate}."
            )
        if piece is not None and each != cut.piece and piece.parent != cut.piece:
            yield Finding("parent", piece.id, f"{piece.id} comes out of {cut.piece}, but names {piece.parent}.")


def check_kind(bench: Bench, piece: Piece) -> Iterator[Finding]:
    """Plates and blanks are cut, parts, offcuts and scrap are not; only the first piece is a plate."""
    cut = piece.id in bench.is_cut
    if cut and piece.kind in UNCUT:
        yield Finding("cut_again", piece.id, f"{piece.id} is {piece.kind} and yet is cut again.")
    if not cut and piece.kind not in UNCUT:
        yield Finding("not_cut", piece.id, f"{piece.id} is a {piece.kind} still to be cut, but no cut is made in it.")
    if cut and (piece.kind == "plate") != (piece.parent is None):
        yield Finding("kind", piece.id, f"{piece.id} is called {piece.kind}, which its place in the plan gainsays.")
    if piece.plate not in bench.plates:
        yield Finding("plate", piece.id, f"{piece.id} lies on {piece.plate}, which is no plate of the plan.")


def check_line(bench: Bench, step: Step) -> Iterator[Finding]:
    """The line runs inside the metal from edge to edge; only a kerf that half misses may run beside it."""
    cut, shape = step.cut, step.metal.shape
    half_missed = None in cut.makes
    crossing = m.inside(shape, step.torch)
    if crossing is None and half_missed and m.gap(shape, step.torch) <= cut.kerf / 2 + NEAR:
        crossing = m.beside(shape, step.torch)
    if crossing is None:
        yield Finding("line", name(cut), f"In cut {cut.number} the torch misses the metal of {cut.piece}.")
    elif max(math.dist(*ends) for ends in zip(crossing, cut.line, strict=True)) > NEAR:
        said, true = math.dist(*cut.line), math.dist(*crossing)
        yield Finding(
            "line",
            name(cut),
            f"The line of cut {cut.number} ({said:.2f} mm) does not run through {cut.piece} from edge to edge "
            f"({true:.2f} mm).",
        )
    elif abs(math.dist(*cut.line) - cut.length) > NEAR:
        yield Finding(
            "length", name(cut), f"Cut {cut.number} is {math.dist(*cut.line):.2f} mm long, not {cut.length:.2f} mm."
        )
    if half_missed and bench.plan.rig.narrowest_offcut > 0 and not _slants_away(shape, step):
        yield Finding(
            "sliver",
            name(cut),
            f"Cut {cut.number} runs half off the metal: beside the kerf there must be "
            f"{bench.plan.rig.narrowest_offcut:g} mm.",
        )


def _slants_away(shape: Polygon, step: Step) -> bool:
    """Whether the kerf takes a corner of the metal, behind which no edge runs along the cut."""
    one, other = (shape.intersection(side) for side in m.halves(step.torch))
    taken = min(one, other, key=lambda each: float(each.area))
    return m.inside(shape, step.torch) is not None and far_edge(taken, step.torch) is None


def check_datum(_: Bench, step: Step) -> Iterator[Finding]:
    """The edge on the fence is a whole, clean edge of the piece, parallel to the cut."""
    cut, edge = step.cut, step.cut.edge_on_fence
    if cut.located != "fence" or edge is None:
        return
    if not m.full_edge(step.metal.shape, edge):
        yield Finding("datum", name(cut), f"Cut {cut.number} is set from an edge that {cut.piece} does not have.")
    elif not m.parallel(edge, step.torch):
        yield Finding("datum", name(cut), f"The edge on the fence is not parallel to cut {cut.number}.")
    elif not clean(step, edge):
        yield Finding("datum_fresh", name(cut), f"Cut {cut.number} puts a freshly cut edge on the fence, undressed.")


def check_marks(_: Bench, step: Step) -> Iterator[Finding]:
    """Marks: allowed by the rig, from a corner of the piece along one of its edges, far enough apart, at the line."""
    cut, marks = step.cut, step.cut.marks
    if cut.located != "marked" or marks is None:
        return
    if not m.full_edge(step.metal.shape, marks.edge):
        yield Finding("marks", name(cut), f"Cut {cut.number} is marked from an edge that {cut.piece} does not have.")
        return
    if min(math.dist(marks.from_, end) for end in marks.edge) > NEAR:
        yield Finding("marks", name(cut), f"The marks of cut {cut.number} are not measured from an end of their edge.")
    if not all(-NEAR <= along <= math.dist(*marks.edge) + NEAR for along in marks.along):
        yield Finding("marks", name(cut), f"The marks of cut {cut.number} lie beyond the ends of their edge.")
    if not m.parallel(marks.edge, cut.line):
        yield from _scribed(step, cut)
    for away in marks.distance:
        middle = (m.leftward(marks.edge, cut.line[0]) + m.leftward(marks.edge, cut.line[1])) / 2
        if m.parallel(marks.edge, cut.line) and abs(abs(middle) - away) > NEAR:
            yield Finding(
                "marks",
                name(cut),
                f"Cut {cut.number} is {abs(middle):.2f} mm from its edge, but is marked at {away:.2f} mm.",
            )


def _scribed(step: Step, cut: Cut) -> Iterator[Finding]:
    """Marks of a line that slants to their edge lie on the metal, far enough apart to lay the torch by them."""
    assert cut.marks is not None
    ends = m.scribed(cut.marks, step.metal.shape)
    if any(step.metal.shape.distance(ShapelyPoint(end)) > NEAR for end in ends):
        yield Finding("marks", name(cut), f"A mark of cut {cut.number} lies beside the metal.")
    if math.dist(*ends) < cut.length / 2 - NEAR:
        text = f"The marks of cut {cut.number} are {math.dist(*ends):.1f} mm apart, less than half of {cut.length:.1f}."
        yield Finding("marks", name(cut), text)


def check_located(bench: Bench, cut: Cut) -> Iterator[Finding]:
    """A cut has the figures of the way it is located, and no others."""
    fence = (cut.edge_on_fence, cut.fence_offset, cut.fence_reading, cut.reading_error)
    if cut.located == "mitre" or cut.mitre is not None:
        others = cut.marks is not None or any(each is not None for each in fence)
        if cut.located != "mitre" or cut.mitre is None or others:
            text = f"Cut {cut.number} has figures of the mitre bar and of another way to set it, or lacks them."
            yield Finding("located", name(cut), text)
    elif cut.located == "fence" and (None in fence or cut.marks is not None):
        yield Finding(
            "located", name(cut), f"Cut {cut.number} is set by the fence, but lacks a figure of it or has marks."
        )
    elif cut.located == "marked" and (cut.marks is None or any(each is not None for each in fence)):
        yield Finding(
            "located", name(cut), f"Cut {cut.number} is marked out, but has no marks or a fence setting as well."
        )
    if cut.located == "marked" and not bench.plan.rig.marked:
        yield Finding("marked", name(cut), f"Cut {cut.number} is marked out, which this rig does not allow.")


def check_reading(bench: Bench, cut: Cut) -> Iterator[Finding]:
    """The reading is the mark of the scale nearest to the offset, its error is said, the offset is within reach."""
    rig, offset, reading = bench.plan.rig, cut.fence_offset, cut.fence_reading
    if cut.located != "fence" or offset is None or reading is None or cut.reading_error is None:
        return
    off = rig.fence_zero + rig.fence_scale * reading - offset
    if abs(off) > rig.fence_step * rig.fence_scale / 2 + SMALL:
        yield Finding(
            "reading",
            name(cut),
            f"Cut {cut.number}: reading {reading:g} puts the torch {off:.2f} mm off {offset:g} mm.",
        )
    elif abs(off - cut.reading_error) > SMALL:
        yield Finding(
            "reading_error",
            name(cut),
            f"Cut {cut.number}: reading {reading:g} is {off:.3f} mm off, not {cut.reading_error:.3f} mm.",
        )
    marks = reading / rig.fence_step
    if abs(marks - round(marks)) > SMALL:
        yield Finding(
            "scale",
            name(cut),
            f"Cut {cut.number}: {reading:g} is no mark of a scale that goes in steps of {rig.fence_step:g}.",
        )
    if not rig.fence_min - SMALL <= offset <= rig.fence_max + SMALL:
        yield Finding(
            "reach",
            name(cut),
            f"Cut {cut.number}: offset {offset:g} mm is outside the fence's {rig.fence_min:g} to {rig.fence_max:g} mm.",
        )


def check_entry(_: Bench, step: Step) -> Iterator[Finding]:
    """Each pass enters through a whole, clean edge of the piece, square across the travel, at the line's end."""
    cut = step.cut
    miss = cut.kerf / 2 if None in cut.makes else 0.0
    for number, each in enumerate(cut.passes[:2]):
        which = f"Cut {cut.number}" if len(cut.passes) == 1 else f"Pass {number + 1} of cut {cut.number}"
        if not m.full_edge(step.metal.shape, each.leading):
            yield Finding("leading", name(cut), f"{which} enters through an edge that {cut.piece} does not have.")
            continue
        place = m.ahead(each.leading, cut.line[number])
        beyond = max(-place, place - math.dist(*each.leading))
        if abs(m.leftward(each.leading, cut.line[number])) > NEAR or beyond > miss + NEAR:
            yield Finding("entry", name(cut), f"{which} does not begin on its leading edge.")
        elif not clean(step, each.leading):
            yield Finding("leading_fresh", name(cut), f"{which} enters through a freshly cut edge, undressed.")
        if abs(each.corner_at - _corner(step, number)) > NEAR:
            yield Finding(
                "corner",
                name(cut),
                f"{which}: the corner on the fence is {_corner(step, number):.2f} mm ahead, not "
                f"{each.corner_at:.2f} mm.",
            )


def _corner(step: Step, number: int) -> float:
    """From the start line forward to the corner on the fence, in the direction of this pass [mm]."""
    cut = step.cut
    if cut.edge_on_fence is None:
        return 0.0
    way = m.ahead(cut.line, cut.edge_on_fence[number]) - m.ahead(cut.line, cut.line[number])
    return -way if number else way


def check_stops(bench: Bench, cut: Cut) -> Iterator[Finding]:
    """End stops can be set, lie within the stroke, and carry the torch through the metal but not far beyond."""
    for each in cut.passes:
        least, step, greatest = _places(bench)
        places = (each.end_stop - least) / step
        if abs(places - round(places)) > SMALL or places < -SMALL:
            yield Finding(
                "end_stop",
                name(cut),
                f"Cut {cut.number}: the end stop cannot be set to {each.end_stop:g} mm (from {least:g} in steps of "
                f"{step:g}).",
            )
        if each.end_stop > greatest + SMALL:
            yield Finding(
                "stroke",
                name(cut),
                f"Cut {cut.number}: end stop {each.end_stop:g} mm is beyond the stroke, {greatest:g} mm.",
            )
    if len(cut.passes) == 1:
        yield from _one_pass(bench, cut, cut.passes[0])
    elif len(cut.passes) == 2:
        yield from _two_passes(bench, cut)
    else:
        yield Finding("pass", name(cut), f"Cut {cut.number} has {len(cut.passes)} passes; one or two can be made.")


def _places(bench: Bench) -> tuple[float, float, float]:
    """Least end stop, step, and the greatest that can be set within the stroke [mm]."""
    rig = bench.plan.rig
    least, step = rig.end_stop_min, rig.end_stop_step
    return least, step, least + math.floor((rig.stroke - least) / step + SMALL) * step


def _settable(bench: Bench, wanted: float) -> float:
    """The least end stop that can be set and is no less than wanted [mm]."""
    least, step, _ = _places(bench)
    return float(least + max(0, math.ceil((wanted - least) / step - SMALL)) * step)


def _one_pass(bench: Bench, cut: Cut, only: Pass) -> Iterator[Finding]:
    rig = bench.plan.rig
    least, greatest = _beyond(bench, cut)
    need, wide = (rig.lead_in + cut.length + each + rig.overrun for each in (least, greatest))
    most = max(rig.lead_in + cut.length + greatest + rig.overrun_max, _settable(bench, wide))
    if only.end_stop < need - (SMALL if least <= NEAR else NEAR):
        yield Finding(
            "end_stop",
            name(cut),
            f"Cut {cut.number}: end stop {only.end_stop:g} mm is short of {need:g} mm (lead-in, cut and overrun).",
        )
    if only.end_stop > most + SMALL:
        yield Finding(
            "overrun",
            name(cut),
            f"Cut {cut.number}: end stop {only.end_stop:g} mm runs on too far; {most:g} mm is the most.",
        )
    if abs(only.length - cut.length) > NEAR:
        yield Finding(
            "pass", name(cut), f"The pass of cut {cut.number} is {only.length:g} mm, the cut {cut.length:g} mm."
        )


def _beyond(bench: Bench, cut: Cut) -> tuple[float, float]:
    """What the kerf still has to cut when the torch's centre is out of a slanted edge, at least and at most [mm]."""
    shape = bench.shape(bench.pieces[cut.piece]) if cut.piece in bench.pieces else None
    return (0.0, 0.0) if shape is None else beyond(shape, cut)


def _two_passes(bench: Bench, cut: Cut) -> Iterator[Finding]:
    rig, (one, two) = bench.plan.rig, cut.passes
    if not rig.two_pass:
        yield Finding("two_pass", name(cut), f"Cut {cut.number} is made in two passes, which this rig does not allow.")
    if rig.lead_in + cut.length + rig.overrun <= _places(bench)[2] + SMALL:
        yield Finding(
            "two_pass", name(cut), f"Cut {cut.number} is made in two passes, though one of {cut.length:g} mm would do."
        )
    overlap = one.length + two.length - cut.length
    if overlap < rig.two_pass_overlap - SMALL:
        yield Finding(
            "overlap",
            name(cut),
            f"The passes of cut {cut.number} overlap {overlap:g} mm; {rig.two_pass_overlap:g} mm are asked.",
        )
    if one.face_up == two.face_up:
        yield Finding("face", name(cut), f"In cut {cut.number} the piece is not turned over between the passes.")
    for each in cut.passes:
        need = rig.lead_in + each.length
        if not need - SMALL <= each.end_stop <= _settable(bench, need) + SMALL:
            yield Finding(
                "end_stop",
                name(cut),
                f"Cut {cut.number}: end stop {each.end_stop:g} mm does not fit a pass of {each.length:g} mm.",
            )
        if each.length > cut.length + NEAR or each.length <= 0:
            yield Finding(
                "pass", name(cut), f"A pass of cut {cut.number} is {each.length:g} mm in a cut of {cut.length:g} mm."
            )


def check_speed(bench: Bench, cut: Cut) -> Iterator[Finding]:
    """Kerf and travel speed are those of the plate's process, and the rig can travel so."""
    rig, plate = bench.plan.rig, bench.plates[cut.plate]
    if abs(cut.kerf - plate.kerf) > SMALL:
        yield Finding(
            "kerf",
            name(cut),
            f"Cut {cut.number} reckons with a kerf of {cut.kerf:g} mm, its plate with {plate.kerf:g} mm.",
        )
    if not rig.travel_min - SMALL <= cut.travel_speed <= rig.travel_max + SMALL:
        yield Finding(
            "travel_speed",
            name(cut),
            f"Cut {cut.number}: {cut.travel_speed:g} mm/min is outside the rig's {rig.travel_min:g} to "
            f"{rig.travel_max:g} mm/min.",
        )


def _turned_at_most(rig: Rig) -> float | None:
    """Mass that people turn over [kg]; rigs of the first edition, which say nothing of a hoist, have no such limit."""
    if rig.hoist:
        return None
    most = rig.turn_over_mass_max
    return float(2 * rig.two_person_mass if most is None else most)


def check_handling(bench: Bench, step: Step) -> Iterator[Finding]:
    """No piece on the bed is heavier, longer, or reaches further beside the torch than the rig bears."""
    rig, cut = bench.plan.rig, step.cut
    mass, length = bench.pieces[cut.piece].mass, math.dist(*m.beside(step.metal.shape, step.torch))
    if rig.piece_mass_max is not None and mass > rig.piece_mass_max + SMALL:
        yield Finding(
            "piece_mass", cut.piece, f"{cut.piece} weighs {mass:.1f} kg; the rig bears {rig.piece_mass_max:g} kg."
        )
    most = _turned_at_most(rig)
    if len(cut.passes) == 2 and most is not None and mass > most + SMALL:
        yield Finding(
            "turn_over_mass",
            cut.piece,
            f"{cut.piece} weighs {mass:.1f} kg and is turned over between two passes; without a hoist {most:g} kg is "
            "the most.",
        )
    if rig.bed_length is not None and length > rig.bed_length + NEAR:
        yield Finding("bed", cut.piece, f"{cut.piece} is {length:.1f} mm long on a bed of {rig.bed_length:g} mm.")
    far = bench.metals.get(cut.makes[1] or "")
    if rig.far_max is not None and far is not None:
        offs = [m.leftward(step.torch, corner) for corner in m.corners(far.shape)]
        width = max(offs) - min(offs)
        if width > rig.far_max + NEAR:
            yield Finding(
                "far",
                name(cut),
                f"Cut {cut.number} leaves {width:.1f} mm beside the torch; {rig.far_max:g} mm is the most.",
            )


def check_flags(bench: Bench) -> Iterator[Finding]:
    """Fence and end stop are flagged exactly where they change."""
    reading: float | None = None
    stop: float | None = None
    for cut in bench.plan.cuts:
        moved = cut.located == "fence" and cut.fence_reading != reading
        if cut.setup.fence != moved:
            yield Finding(
                "fence_flag", name(cut), f"Cut {cut.number}: the fence {_flag(moved)}, the plan says otherwise."
            )
        if cut.located == "fence":
            reading = cut.fence_reading
        stops = [stop, *(each.end_stop for each in cut.passes)]
        changed = len(set(stops)) > 1
        if cut.setup.end_stop != changed:
            yield Finding(
                "stop_flag", name(cut), f"Cut {cut.number}: the end stop {_flag(changed)}, the plan says otherwise."
            )
        stop = stops[-1]


def _flag(changed: bool) -> str:
    return "is moved" if changed else "stays where it is"


def check_lie(bench: Bench) -> Iterator[Finding]:
    """A piece is fetched if it is not on the bed, turned over if it is to lie on its other face, turned as far as it
    must."""
    last: Cut | None = None
    face_up: dict[str | None, bool] = {}
    for cut in bench.plan.cuts:
        if not cut.passes:
            continue
        stays = last is not None and cut.piece in last.makes
        if cut.setup.fetch == stays:
            yield Finding(
                "fetch",
                name(cut),
                f"Cut {cut.number}: {cut.piece} is {'' if stays else 'not '}on the bed, the plan says otherwise.",
            )
        over = face_up.get(cut.piece, True) != cut.passes[0].face_up
        if cut.setup.turn_over != over:
            yield Finding(
                "turn_over",
                name(cut),
                f"Cut {cut.number}: {cut.piece} is {'' if over else 'not '}to be turned over, the plan says otherwise.",
            )
        elif stays and last is not None and not over:
            quarters = _quarters(last, cut)
            nearest = {round(quarters + near) % 4 for near in (-HALFWAY, HALFWAY)}
            if cut.setup.quarter_turns not in nearest:
                yield Finding(
                    "turns",
                    name(cut),
                    f"Cut {cut.number}: {cut.piece} takes {round(quarters) % 4} quarter turns, not "
                    f"{cut.setup.quarter_turns}.",
                )
        face_up.update(dict.fromkeys(cut.makes, cut.passes[-1].face_up))
        last = cut


def _quarters(before: Cut, cut: Cut) -> float:
    """Quarters of a turn to the left, seen from above, that bring the new direction where the last pass ran."""
    start = before.line if len(before.passes) == 1 else before.line[::-1]
    (ax, ay), (bx, by) = m.direction((start[0], start[1])), m.direction(cut.line)
    angle = math.atan2(ax * by - ay * bx, ax * bx + ay * by)
    return (-angle if cut.passes[0].face_up else angle) / (math.pi / 2)
