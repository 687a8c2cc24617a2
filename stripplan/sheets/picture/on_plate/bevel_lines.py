"""Bevels on the drawing of a plate: where each ends on its face, its figures beside it, what is read at each step."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from stripplan.model.plan.bevel import BevelCut, HandBevel
from stripplan.model.plan.plan import Plan
from stripplan.model.polygon import chord, line_of
from stripplan.sheets.picture.shapes import BevelLine, Point, Text
from stripplan.sheets.rows.lookup import Bench
from stripplan.sheets.rows.work.bevels import bevel_groups
from stripplan.wording.figures import show_exact


def bevel_lines(plan: Plan, plate_id: str, size: float) -> Iterator[BevelLine]:
    """Where each bevel of a plate's parts ends on its face, parallel to its edge; `size` is the plate's longer
    side [mm]."""
    pieces = {piece.id: piece for piece in plan.pieces}
    by_hand = {id(each) for each in plan.hand_bevels}
    every: tuple[BevelCut | HandBevel, ...] = (*plan.bevels, *plan.hand_bevels)
    for each in every:
        if each.plate != plate_id:
            continue
        (ax, ay), (bx, by) = each.edge
        long = math.dist(*each.edge)
        inward = -(by - ay) / long, (bx - ax) / long  # outlines run counter-clockwise
        back = each.depth * math.tan(math.radians(each.angle))
        inside = chord(pieces[each.piece].outline, line_of(each.edge).moved(-back))
        if inside is None:
            continue
        ends = inside[0]
        short, _ = pieces[each.piece].sides
        high = max(size / 400, min(size / 110, long / 12, short / 8))
        # Those of the other face stand a line further in, so that both can be read.
        off = back + (1.2 if each.face_up else 2.8) * high
        middle = (ax + bx) / 2 + off * inward[0], (ay + by) / 2 + off * inward[1]
        upright = abs(by - ay) > abs(bx - ax)
        words = _words(plan, each, by_hand=id(each) in by_hand)
        yield BevelLine(ends[0], ends[1], _text(middle, words, high, upright=upright), over=each.face_up)


def _text(at: Point, words: str, high: float, *, upright: bool) -> Text:
    return Text("BEVEL", at, words, high, upright=upright)


def _words(plan: Plan, each: BevelCut | HandBevel, *, by_hand: bool) -> str:
    """Angle and root face; from which face; whether the rig does not cut it."""
    units = plan.job.units
    words = f"{each.angle:g}° root {show_exact(each.root_face, units)}"
    return words + ("" if each.face_up else " UNDER") + (" BY HAND" if by_hand else "")


@dataclass(frozen=True)
class BevelStep:
    """A bevel and the facts that stand above the plate while it is cut."""

    cut: BevelCut
    facts: tuple[str, ...]


def bevel_steps(bench: Bench, plate: str) -> Iterator[BevelStep]:
    """The bevels on the parts of a plate, in the order of work."""
    plan = bench.plan
    cuts = {each.number: each for each in plan.bevels}
    for group in bevel_groups(bench):
        for row in group.rows:
            if row.plate != plate:
                continue
            where = f"scribe {group.scribe} from edge {row.edge}" if group.scribe else f"fence {group.fence.text}"
            facts = [f"Bevel {row.number} of {len(plan.arcs)}", f"tilt {group.tilt.text}", where]
            facts.append(f"end stop {group.end_stop.text}")
            if row.on_fence:
                facts.append(f"edge {row.on_fence} on the fence")
            facts += [f"bevel edge {row.edge}", f"piece {row.piece}, {row.face.text}"]
            yield BevelStep(cuts[row.number], tuple(facts))
