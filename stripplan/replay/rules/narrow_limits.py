"""Warnings of what a rig bears only just: whether each is due follows from the plan's own pieces and its rig."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from stripplan.model.plan.cut import Segment
from stripplan.model.plan.piece import Piece
from stripplan.model.plan.plan import PlanPlate
from stripplan.model.rig import Process
from stripplan.replay import metal as m
from stripplan.replay.aslant.outlines import longest, narrowest
from stripplan.replay.finding import Finding
from stripplan.replay.lookup import Bench
from stripplan.replay.parts_made import family, process_of
from stripplan.replay.set_ups import mass_on_bed
from stripplan.replay.warnings_of_all_editions import Due, Rules

NARROW = 3.0
"""Parts narrower than so many times their thickness are warned of: shop rule, common practice, no source."""
LIGHT = 0.1
"""Parts lighter than so may be blown off the bed [kg]: common practice, no source."""
SLENDER = 4.0
"""Parts so many times as long as wide are looked at for their bow."""
SHARP = 30.0
"""Corners sharper than so are warned of [deg]: common practice, no source."""
SHARP_CLOSE = 0.05
"""So near to it a warning may stand there or not [deg]."""
ON_MARK, MARK_CLOSE = 0.005, 1e-4
"""An angle of the mitre bar so near to a mark is on it, and how near to that a warning may stand there or not [deg]."""
CLOSE = 1e-5
"""So near to a limit [mm, kg] a warning may stand there or not: figures stand in the file to a millionth."""

Sides = tuple[float, float]
"""The lesser and the greater side [mm]; of what is no rectangle its least width and its greatest extent."""


def _parts(bench: Bench) -> Iterator[tuple[Piece, PlanPlate, Sides]]:
    for piece in bench.plan.pieces:
        shape = bench.shape(piece)
        if piece.kind == "part" and piece.part is not None and piece.plate in bench.plates and shape is not None:
            x0, y0, x1, y1 = shape.bounds
            least, most = sorted((x1 - x0, y1 - y0))
            if shape.area < 0.999999 * least * most:
                least, most = narrowest(shape), longest(shape)
            yield piece, bench.plates[piece.plate], (least, most)


def _stroke(bench: Bench) -> Due:
    if "stroke" in bench.plan.rig.assumed:
        yield "stroke_assumed", "stroke"


def _estimated(bench: Bench) -> Due:
    for process in (process_of(bench, plate) for plate in bench.plan.plates):
        if process is not None and process.estimated:
            yield "estimated", process.name


def check_narrowest(bench: Bench) -> Iterator[Finding]:
    """No part is narrower than the torch can part: 1.5 times the thickness and two kerfs, or what the rig says."""
    for piece, plate, (narrow, _) in _parts(bench):
        least = bench.plan.rig.narrowest_part
        least = max(1.5 * plate.thickness, 2 * plate.kerf) if least is None else least
        if narrow < least - CLOSE:
            text = f"{piece.part} ({piece.id}) is {narrow:.2f} mm narrow as cut; {least:g} mm is the least."
            yield Finding("narrowest_part", piece.id, text)


def _two_pass_heavy(bench: Bench, by: float = CLOSE) -> Due:
    for cut in bench.plan.cuts:
        heavy = cut.piece in bench.pieces and mass_on_bed(bench, cut.piece) > bench.plan.rig.two_person_mass + by
        if heavy and len(cut.passes) == 2 and cut.plate in bench.plates:
            yield "two_pass_heavy", bench.plates[cut.plate].stock


def _narrow(bench: Bench, by: float = CLOSE) -> Due:
    for piece, plate, (least, _) in _parts(bench):
        if least < NARROW * plate.thickness - by:
            yield "narrow", str(piece.part)


def _hold_down(bench: Bench, by: float = CLOSE) -> Due:
    slot = bench.plan.rig.slot_width or 0.0
    for piece, _, (_, most) in _parts(bench):
        if most < slot - by or mass_on_bed(bench, piece.id) < LIGHT - by:
            yield "hold_down", str(piece.part)


def bow_known(process: Process) -> bool:
    """Whether anything says how far strips bow: a constant of the process, or the model, which is for mild steel."""
    return process.bow_constant is not None or family(process.material) == "mild steel"


def _bow_not_known(bench: Bench, by: float = CLOSE) -> Due:
    for _, plate, (least, most) in _parts(bench):
        process = process_of(bench, plate)
        if process is not None and most > SLENDER * least + by and not bow_known(process):
            yield "bow_not_known", process.name


def _sharp(bench: Bench, by: float = SHARP_CLOSE) -> Due:
    """Parts with a corner so sharp that its point is thinner than the kerf for a good way."""
    for piece, _, _ in _parts(bench):
        shape = bench.shape(piece)
        if shape is not None and min(_angles(m.edges(shape)), default=180.0) < SHARP - by:
            yield "sharp_point", str(piece.part)


def _angles(edges: Sequence[Segment]) -> Iterator[float]:
    """Angles at the corners between edges that follow one another [deg]."""
    for before, after in zip((edges[-1], *edges), edges, strict=False):
        (ax, ay), (bx, by) = m.direction(before), m.direction(after)
        yield 180.0 - abs(math.degrees(math.atan2(ax * by - ay * bx, ax * bx + ay * by)))


def _between_marks(bench: Bench, by: float = MARK_CLOSE) -> Due:
    """Angles of the mitre bar that none of its marks is at."""
    for cut in bench.plan.cuts:
        bar = cut.mitre
        if bar is not None and bar.reading is not None and abs(bar.reading - bar.angle) > ON_MARK + by:
            yield "mitre_between_marks", f"{round(bar.angle, 2):g}"


RULES: Rules = {
    "stroke_assumed": _stroke,
    "estimated": _estimated,
    "two_pass_heavy": _two_pass_heavy,
    "narrow": _narrow,
    "hold_down": _hold_down,
    "bow_not_known": _bow_not_known,
    "sharp_point": _sharp,
    "mitre_between_marks": _between_marks,
}
"""Codes that are due exactly where their rule says, in plans of this edition."""


def allowed(bench: Bench) -> set[tuple[str, str]]:
    """Code and thing of warnings that may stand there though they are not due: just at a limit, and of fillers too
    narrow to be made."""
    near = [rule(bench, -CLOSE) for rule in (_two_pass_heavy, _narrow, _hold_down, _bow_not_known)]
    narrow = {("narrow", line.name) for line in bench.plan.parts if line.filler and not line.made}
    sharp = set(_sharp(bench, -SHARP_CLOSE))
    marks = set(_between_marks(bench, -MARK_CLOSE))
    return {each for some in near for each in some} | narrow | sharp | marks
