"""What a job will look like, before its cuts are in order: plates with the parts on them, found in a moment.

No plan: nothing is numbered, nothing can be set by it, and the plan that follows may lay the parts out otherwise. The
parts of a large job lie on their plates within a second; to put hundreds of cuts in order and check them takes longer.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from stripplan.model.job import Job
from stripplan.model.pattern import Leaf, Pattern
from stripplan.model.plan.piece import Piece
from stripplan.model.shapes.block import Block
from stripplan.model.workpiece import finished, uncut
from stripplan.planner.job_layout import JobLayout
from stripplan.planner.settled import Settled


@dataclass(frozen=True)
class PlateInSight:
    """A plate of a first layout: its name in the job, its sizes [mm], how many are cut alike, and the pieces that are
    cut no more."""

    stock: str
    length: float
    width: float
    count: int
    pieces: tuple[Piece, ...]


def in_sight(settled: Settled, found: JobLayout, job: Job, blocks: Mapping[str, Block]) -> tuple[PlateInSight, ...]:
    """The plates of a layout, pieces of a blank in the order in which it has them; some parts by their names are blocks
    that hold shapes of the `job`.
    """
    patterns = [pattern for layout in found.by_group for pattern in layout.patterns]
    plates = []
    for number, pattern in enumerate(patterns, 1):
        plate = settled.plates[pattern.plate]
        leaves = _pieces(settled, f"P{number}", pattern, plate.rules.kerf)
        pieces = tuple(each for leaf, turned in leaves for each in _opened(leaf, turned, job, blocks))
        plates.append(PlateInSight(plate.plate.name, plate.plate.length, plate.plate.width, pattern.count, pieces))
    return tuple(plates)


def _opened(leaf: Piece, turned: bool, job: Job, blocks: Mapping[str, Block]) -> Iterator[Piece]:
    """A leaf, or the shapes that come out of it; `turned`: it lies a quarter turn round."""
    block = blocks.get(leaf.part or "")
    if block is None:
        yield leaf
        return
    x0, y0, x1, _ = leaf.box
    for each in block.shapes:
        points = (((x1 - y, y0 + x) if turned else (x0 + x, y0 + y)) for x, y in each.outline)
        yield replace(leaf, part=job.parts[each.part].name, outline=tuple(points))


def _pieces(settled: Settled, plate: str, pattern: Pattern, kerf: float) -> Iterator[tuple[Piece, bool]]:
    """The pieces that come out of a plate and are cut no more, and whether each lies a quarter turn round."""
    for each in finished(uncut(pattern.root, ("mill",) * 4), kerf):
        leaf = each.node
        if isinstance(leaf, Leaf) and each.length > 0 and each.width > 0:
            name = None if leaf.part is None else settled.job.parts[leaf.part].name
            piece = Piece(id="", plate=plate, parent=plate, kind=leaf.kind, part=name, outline=each.outline(), mass=0.0)
            yield piece, leaf.turned
