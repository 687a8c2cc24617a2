"""How true the bevelled edges of a part will be, each at its least true piece."""

from __future__ import annotations

import math
from collections.abc import Iterator

from stripplan.model.bevel import Flank, flanks_of
from stripplan.model.part import Part, Shape
from stripplan.model.plan.bevel import BevelCut
from stripplan.model.plan.plan import Accuracy, Doubt, ExpectedBevel, PartLine, Plan
from stripplan.planner.bevels.on_piece import laid
from stripplan.rig.accuracy.bevel import BevelErrors, root_per_line, root_stack, top_stack
from stripplan.rig.machine.bevel import tilt_shift


def expected_bevels(plan: Plan, line: PartLine, part: Part) -> tuple[ExpectedBevel, ...]:
    """A row for each slanted face that the rig cuts on some piece of the part, in the order of the job's bevels."""
    found: dict[tuple[int, bool], ExpectedBevel] = {}
    for flank, cut in _cuts(plan, part):
        made = _expected(plan, line, part, flank, cut)
        known = found.get((flank.edge, flank.first))
        if known is None or _off(made, cut) > _off(known, cut):
            found[flank.edge, flank.first] = made
    flanks = flanks_of(part.bevels, part.thickness or 0.0)
    return tuple(found[each.edge, each.first] for each in flanks if (each.edge, each.first) in found)


def _off(made: ExpectedBevel, cut: BevelCut) -> float:
    return made.likely + abs(made.root_face - cut.root_face)


def _cuts(plan: Plan, part: Part) -> Iterator[tuple[Flank, BevelCut]]:
    """The bevels of a part's pieces, each with what of the part it is."""
    thickness = {each.id: each.thickness for each in plan.plates}
    cuts = {(cut.piece, cut.edge, cut.face_up): cut for cut in plan.bevels}
    for piece in plan.pieces:
        if piece.kind == "part" and piece.part == part.name:
            flanks = flanks_of(part.bevels, thickness[piece.plate])
            for (edge, here), flank in zip(laid(part, piece, flanks), flanks, strict=True):
                cut = cuts.get((piece.id, edge, here.first))
                if cut is not None:
                    yield flank, cut


def _expected(plan: Plan, line: PartLine, part: Part, flank: Flank, cut: BevelCut) -> ExpectedBevel:
    rig = plan.rig
    process = next(each for each in rig.processes if each.name == cut.process)
    plate = next(each for each in plan.plates if each.id == cut.plate)
    size = _size(line, part, flank) if cut.located == "fence" else None
    step = rig.fence_step * rig.fence_scale / 2
    half = math.sqrt(3) * rig.fence_repeat if rig.fence_repeat is not None else step
    errors = BevelErrors(
        half_step=half if cut.located == "fence" else None,
        fence_u=rig.fence_u,
        kerf=cut.kerf,
        kerf_u=process.kerf_u,
        shift_measured=tilt_shift(rig, cut.angle).measured,
        tilt_u=rig.tilt_u,
        thickness=plate.thickness,
        size_likely=None if size is None else size.likely,
        size_worst=None if size is None else size.worst,
    )
    root, top = root_stack(cut.depth, cut.angle, errors), top_stack(cut.angle, errors)
    off = (cut.reading_error or 0.0) * root_per_line(cut.angle)
    doubts = sorted(root.contributions, key=lambda each: -2 * each.u)
    return ExpectedBevel(
        edge=flank.edge,
        first=flank.first,
        angle=flank.angle,
        root_face=round(cut.root_face + off, 3) + 0.0,
        likely=round(root.expanded, 3),
        worst=round(max(root.worst_case, root.expanded), 3),
        top_likely=round(top.expanded + abs(cut.reading_error or 0.0), 3),
        doubts=tuple(
            Doubt(cause=each.name, plus_minus=round(each.half_width, 3), assumed=each.assumed)
            for each in doubts
            if each.half_width > 0
        ),
    )


def _size(line: PartLine, part: Part, flank: Flank) -> Accuracy | None:
    """How true the part is across a bevelled edge, where that is foretold."""
    if isinstance(part, Shape):
        return None
    of = "width" if flank.edge % 2 == 0 else "length"
    return next((each for each in line.accuracy if each.of == of), None)
