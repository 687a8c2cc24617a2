"""What must be said of bevels, and whether a bevel is rightly left for the hand."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping

from shapely.geometry import LineString

from stripplan.replay.bevels.cuts import across, axis_of
from stripplan.replay.bevels.section import band, section
from stripplan.replay.finding import Finding
from stripplan.replay.lookup import Bench

Due = Iterator[tuple[str, str]]


def _by_hand(bench: Bench) -> Due:
    for each in bench.plan.hand_bevels:
        yield "bevel_by_hand", str(bench.pieces[each.piece].part)


def _estimated(bench: Bench) -> Due:
    for cut in bench.plan.bevels:
        if cut.estimated:
            yield "bevel_estimated", str(bench.pieces[cut.piece].part)


def _thin(bench: Bench) -> Due:
    """Bevels whose kerf, as wide as it is across the upper face, is not all on it."""
    for cut in bench.plan.bevels:
        piece = bench.pieces[cut.piece]
        shape = bench.shape(piece)
        if shape is None:
            continue
        axis, wide = axis_of(cut, across(cut, shape))
        made = section(wide, bench.plates[cut.plate].thickness, axis, cut.angle, cut.kerf)
        x0, _, x1, _ = band(0.0, cut.angle, cut.kerf).intersection(LEVEL).bounds
        if wide - made.top < x1 - x0 - 1e-6:
            yield "bevel_thin", str(piece.part)


LEVEL = LineString([(-400.0, 0.0), (400.0, 0.0)])
"""The upper face, in a section."""


def _shifts(bench: Bench) -> Due:
    greatest = max((angle for angle, _ in bench.plan.rig.tilt_shift), default=0.0)
    for cut in bench.plan.bevels:
        if cut.located == "fence" and cut.angle > greatest + 1e-9:
            yield "tilt_shift_assumed", f"tilt {cut.angle:g}"


RULES: Mapping[str, Callable[[Bench], Due]] = {
    "bevel_by_hand": _by_hand,
    "bevel_estimated": _estimated,
    "bevel_thin": _thin,
    "tilt_shift_assumed": _shifts,
}
"""Codes of warnings about bevels, and on what each is due."""


def check_by_hand(bench: Bench) -> Iterator[Finding]:
    """What is left for the hand is left for a reason that holds, as far as the plan tells."""
    rig = bench.plan.rig
    most = rig.stroke - rig.lead_in - rig.overrun
    for each in bench.plan.hand_bevels:
        long = math.dist(*each.edge)
        piece = bench.pieces.get(each.piece)
        heavy = (
            piece is not None
            and not rig.hoist
            and piece.mass > (2 * rig.two_person_mass if rig.turn_over_mass_max is None else rig.turn_over_mass_max)
        )
        wrong = {
            "tilt": each.angle <= rig.tilt_max,
            "stroke": long + 2 * each.depth + 2 * rig.end_stop_step <= most and _square(bench, each.piece),
            "reach": rig.marked,
            "turn_over": each.face_up or not heavy,
            "bed": rig.bed_length is None and rig.bed_before is None,
        }.get(each.why, each.angle > rig.tilt_max + 1e-9)
        if wrong:
            text = f"An edge of {each.piece} is left for the hand ({each.why}) without a ground."
            yield Finding("by_hand", each.piece, text)


def _square(bench: Bench, name: str) -> bool:
    """Whether a piece is a rectangle: of others a face may be longer than its edge."""
    piece = bench.pieces.get(name)
    shape = None if piece is None else bench.shape(piece)
    return shape is not None and shape.area > 0.999999 * shape.envelope.area
