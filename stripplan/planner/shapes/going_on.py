"""The mix of blocks with which a plan of before goes on: of what is left of it the blocks stay what they are.

A blank that was to be cut at an angle next is a block of its shapes as they were to fall; blanks that are parted square
first are as many blocks. What is wanted beyond those, and what was spoilt, is chosen plate by plate from the others. So
the rest is never dearer than going on and making again what went wrong, as far as the layout finds it again.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterator

from stripplan.layout import Mix
from stripplan.model.part import Shape
from stripplan.model.plan.cut import Cut
from stripplan.model.plan.piece import Piece
from stripplan.model.plan.plan import Plan
from stripplan.model.polygon import moved
from stripplan.model.rig import Rig
from stripplan.model.shapes.block import Block, Placed
from stripplan.planner.order.bench_plates import conditions_of
from stripplan.planner.settled import SettledPlate
from stripplan.planner.shapes.blocks_of_job import THOUSANDTHS, ShapesOfJob
from stripplan.planner.shapes.by_plate import blocks_by_plate

ALONG = 1e-6
"""How far the ends of a cut along a side of its plate are off each other [mm]."""


def mix_going_on(shapes: ShapesOfJob, rig: Rig, left: Plan) -> Mix | None:
    """The blocks of what is `left` of a plan, and others for what those do not make; None where none of them stays."""
    stays, used = _kept(shapes, left)
    if not stays:
        return None
    blocks = Counter(stays)
    made = Counter(n for block, count in stays.items() for n in block.parts * count)
    for group in shapes.settled.groups:
        wanted = {n: part.wanted - made[n] for n, part in group.parts}
        blocks.update(blocks_by_plate(shapes, rig, group, wanted, used, singly=False))
    return Mix(tuple(blocks.items()))


def _kept(shapes: ShapesOfJob, left: Plan) -> tuple[Counter[Block], Counter[int]]:
    """The blocks that stay, and how many of each plate of the job, by its index, they come from: no more shapes than
    are wanted, and none that the rig cannot free.
    """
    job, settled = shapes.job, shapes.settled
    numbers = {part.name: n for n, part in enumerate(job.parts) if isinstance(part, Shape)}
    wanted = Counter({n: part.wanted for group in settled.groups for n, part in group.parts})
    stays: Counter[Block] = Counter()
    used: Counter[int] = Counter()
    below = _Below(left)
    for plate in left.plates:
        there = next((each for each in settled.plates if each.plate.name == plate.stock and _lasts(each, used)), None)
        roots = [each for each in left.pieces if each.plate == plate.id and each.parent is None]
        if there is None or not roots:
            continue
        conditions = conditions_of(settled, there)
        for piece in below.blocks(roots[0]):
            block = _block(piece, list(below.parts(piece)), numbers)
            held = None if block is None else Counter(block.parts)
            if block is not None and held is not None and held <= wanted and shapes.trees.of(block, conditions):
                wanted -= held
                stays[block] += 1
        used[there.index] += 1
    return stays, used


def _lasts(plate: SettledPlate, used: Counter[int]) -> bool:
    return plate.limit is None or used[plate.index] < plate.limit


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
    placed = tuple(Placed(numbers[each.part or ""], moved(each.outline, -x0, -y0)) for each in parts)
    return Block(long, wide, placed)
