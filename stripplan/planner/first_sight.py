"""What a job will look like, before its cuts are in order: plates with the parts on them, found in a moment.

No plan: nothing is numbered, nothing can be set by it, and the plan that follows may lay the parts out otherwise. The
parts of a large job lie on their plates within a second; to put hundreds of cuts in order and check them takes longer.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from stripplan.errors import CannotMakeError
from stripplan.model.job import Job
from stripplan.model.part import Shape
from stripplan.model.pattern import Blank, Node, across
from stripplan.model.plan.piece import Piece
from stripplan.model.rig import Rig
from stripplan.model.shapes.block import Block
from stripplan.planner.job_layout import job_layout
from stripplan.planner.search_control import Search
from stripplan.planner.settled import Settled, settle
from stripplan.planner.shapes.blocks_of_job import shapes_of_job
from stripplan.planner.shapes.with_shapes import with_blocks_in


@dataclass(frozen=True)
class PlateInSight:
    """A plate of a first layout: its name in the job, its sizes [mm], how many are cut alike, and the pieces that are
    cut no more."""

    stock: str
    length: float
    width: float
    count: int
    pieces: tuple[Piece, ...]


def first_sight(job: Job, rig: Rig) -> tuple[PlateInSight, ...]:
    """The plates of the first layout that is found, pieces of a blank in the order in which it has them.

    Raises InputError and CannotMakeError as `plan` does.
    """
    if any(isinstance(part, Shape) for part in job.parts):
        shapes = shapes_of_job(job, rig)
        if shapes.faults and not job.options.partial:
            raise CannotMakeError(list(shapes.faults))
        inner = with_blocks_in(shapes.job, shapes.mixes[min(1, len(shapes.mixes) - 1)])
        return _laid_out(settle(inner.job, rig), shapes.job, inner.blocks)
    return _laid_out(settle(job, rig), job, {})


def _laid_out(settled: Settled, job: Job, blocks: Mapping[str, Block]) -> tuple[PlateInSight, ...]:
    """The plates of a job in which each of these parts is a block that holds shapes of the `job`."""
    found = job_layout(settled, Search(job.options.effort, lambda: True))
    if found.faults and not job.options.partial:
        raise CannotMakeError(found.faults)
    patterns = [pattern for layout in found.by_group for pattern in layout.patterns]
    plates = []
    for number, pattern in enumerate(patterns, 1):
        plate = settled.plates[pattern.plate]
        leaves = _pieces(settled, f"P{number}", pattern.root, 0.0, 0.0, plate.rules.kerf)
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


def _pieces(settled: Settled, plate: str, node: Node, x: float, y: float, kerf: float) -> Iterator[tuple[Piece, bool]]:
    """The leaves below a node whose lower left corner is at x, y, and whether each lies a quarter turn round; siblings
    with a kerf between them."""
    if not isinstance(node, Blank):
        if node.length > 0 and node.width > 0:
            x1, y1 = x + node.length, y + node.width
            name = None if node.part is None else settled.job.parts[node.part].name
            outline = ((x, y), (x1, y), (x1, y1), (x, y1))
            piece = Piece(id="", plate=plate, parent=plate, kind=node.kind, part=name, outline=outline, mass=0.0)
            yield piece, node.turned
        return
    at = 0.0
    for child in (node.low, *node.children, node.high):
        if child is None:
            continue
        along = node.direction == "along"
        yield from _pieces(settled, plate, child, x + (0.0 if along else at), y + (at if along else 0.0), kerf)
        at += across(child, node.direction) + kerf
