"""The mix of blocks with which a plan of before goes on: of what is left of it the blocks stay what they are.

A blank that was to be cut at an angle next is a block of its shapes as they were to fall; blanks that are parted square
first are as many blocks, and are parted as they were to be. What is wanted beyond those, and what was spoilt, is chosen
plate by plate from the others. So the rest is never dearer than going on and making again what went wrong.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from stripplan.layout import Mix
from stripplan.model.plan.cut import Cut
from stripplan.model.plan.piece import Piece
from stripplan.model.plan.plan import Plan, PlanPlate
from stripplan.model.polygon import moved
from stripplan.model.rig import Rig
from stripplan.model.shapes.block import Block, Placed
from stripplan.planner.job_layout import JobLayout, group_layout
from stripplan.planner.kept.layout import kept_layout
from stripplan.planner.order.bench_plates import conditions_of
from stripplan.planner.search_control import Search
from stripplan.planner.settled import Settled, SettledPlate
from stripplan.planner.shapes.blocks_of_job import THOUSANDTHS, ShapesOfJob
from stripplan.planner.shapes.by_plate import blocks_by_plate, fillers
from stripplan.planner.shapes.inner_job import Inner

ALONG = 1e-6
"""How far the ends of a cut along a side of its plate are off each other [mm]."""
JUST = 1e-4
"""Slack for last digits of a plan file [mm]."""


@dataclass(frozen=True)
class GoingOn:
    """The mix of blocks with which a plan goes on: what is `left` of that, and the blocks that stay by their pieces."""

    mix: Mix
    left: Plan
    stays: Mapping[str, Block]

    def layout(self, settled: Settled, inner: Inner, search: Search) -> JobLayout | None:
        """The layout that keeps the blanks as they are; None where other parts find no place beside them."""
        found = kept_layout(
            settled, self._as_rectangles(inner), lambda group: group_layout(settled, group, search), pinned=True
        )
        return None if found is None else found.layout

    def _as_rectangles(self, inner: Inner) -> Plan:
        """What is left of the plan, with each block a part that is not cut further."""
        names = {block: name for name, block in inner.blocks.items()}
        inside: set[str] = set()
        pieces = []
        for piece in self.left.pieces:  # each after what it comes from
            if piece.parent in inside or piece.parent in self.stays:
                inside.add(piece.id)
            elif piece.id in self.stays:
                pieces.append(_as_part(piece, self.stays[piece.id], names))
            else:
                pieces.append(piece)
        gone = inside | set(self.stays)
        return replace(
            self.left, pieces=tuple(pieces), cuts=tuple(cut for cut in self.left.cuts if cut.piece not in gone)
        )


def _as_part(piece: Piece, block: Block, names: Mapping[Block, str]) -> Piece:
    x0, y0, _, _ = piece.box
    return replace(piece, kind="part", part=names[block], outline=moved(block.outline, x0, y0))


def going_on(shapes: ShapesOfJob, rig: Rig, left: Plan) -> GoingOn | None:
    """How what is `left` of a plan is gone on with; None where none of its blocks stays."""
    stays, used = _kept(shapes, left)
    if not stays:
        return None
    blocks = fillers(shapes) + Counter(stays.values())
    made = Counter(n for block in stays.values() for n in block.parts)
    for group in shapes.settled.groups:
        wanted = {n: part.wanted - made[n] for n, part in group.parts}
        blocks.update(blocks_by_plate(shapes, rig, group, wanted, used, singly=False))
    return GoingOn(Mix(tuple(blocks.items())), left, stays)


def _kept(shapes: ShapesOfJob, left: Plan) -> tuple[dict[str, Block], Counter[int]]:
    """The blocks that stay, by their pieces, and how many of each plate of the job, by its index, they come from: no
    more shapes than are wanted, and none that the rig cannot free.
    """
    job, settled = shapes.job, shapes.settled
    numbers = {part.name: n for n, part in enumerate(job.parts)}
    wanted = Counter({n: part.wanted for group in settled.groups for n, part in group.parts})
    stays: dict[str, Block] = {}
    used: Counter[int] = Counter()
    below = _Below(left)
    for plate in left.plates:
        there = next((each for each in settled.plates if each.plate.name == plate.stock and _lasts(each, used)), None)
        roots = [each for each in left.pieces if each.plate == plate.id and each.parent is None]
        if there is None or not roots:
            continue
        conditions, before = conditions_of(settled, there), len(stays)
        for piece in below.blocks(roots[0]):
            if job.options.trim > 0 and _at_mill_edge(piece, plate):
                continue  # in another order another part would lie there, with its mill edge on
            block = _block(piece, list(below.parts(piece)), numbers)
            held = None if block is None else Counter(block.parts)
            if block is not None and held is not None and held <= wanted and shapes.trees.of(block, conditions):
                wanted -= held
                stays[piece.id] = block
        used[there.index] += len(stays) > before
    return stays, used


def _lasts(plate: SettledPlate, used: Counter[int]) -> bool:
    return plate.limit is None or used[plate.index] < plate.limit


def _at_mill_edge(piece: Piece, plate: PlanPlate) -> bool:
    """Whether a piece reaches a mill edge of its plate: what falls in it beside its shapes then holds the trim."""
    x0, y0, x1, y1 = piece.box
    gaps = (y0, plate.length - x1, plate.width - y1, x0)
    return any(state == "mill" and gap < JUST for state, gap in zip(plate.edges, gaps, strict=True))


class _Below:
    """The pieces of a plan by what they come from."""

    def __init__(self, plan: Plan) -> None:
        self._cuts: dict[str, Cut] = {cut.piece: cut for cut in plan.cuts}
        self._made: dict[str, list[Piece]] = defaultdict(list)
        for piece in plan.pieces:
            self._made[piece.parent or ""].append(piece)

    def blocks(self, piece: Piece) -> Iterator[Piece]:
        """The rectangles below a piece, itself among them, that are cut at an angle next."""
        cut = self._cuts.get(piece.id)
        if cut is None:
            return
        (ax, ay), (bx, by) = cut.line
        if min(abs(bx - ax), abs(by - ay)) > ALONG:
            yield piece
            return
        for each in self._made[piece.id]:
            yield from self.blocks(each)

    def parts(self, piece: Piece) -> Iterator[Piece]:
        """The parts that come out of a piece."""
        if piece.kind == "part":
            yield piece
        for each in self._made[piece.id]:
            yield from self.parts(each)


def _block(piece: Piece, parts: list[Piece], numbers: dict[str, int]) -> Block | None:
    """A blank with its parts as a block; None where it is no rectangle, or some are shapes that the job has not."""
    if not piece.is_rectangle or not parts or any(each.part not in numbers for each in parts):
        return None
    x0, y0, x1, y1 = piece.box
    long, wide = (math.floor(round(each * THOUSANDTHS, 3)) / THOUSANDTHS for each in (x1 - x0, y1 - y0))
    if x1 - x0 - long > JUST or y1 - y0 - wide > JUST:
        return None  # what falls beside its shapes would weigh less than it does
    placed = tuple(Placed(numbers[each.part or ""], moved(each.outline, -x0, -y0)) for each in parts)
    return Block(long, wide, placed)
