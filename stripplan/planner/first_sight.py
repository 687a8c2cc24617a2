"""What a job will look like, before its cuts are in order: plates with the parts on them, found in a moment.

No plan: nothing is numbered, nothing can be set by it, and the plan that follows may lay the parts out otherwise. The
parts of a large job lie on their plates within a second; to put hundreds of cuts in order and check them takes longer.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from stripplan.errors import CannotMakeError
from stripplan.model.job import Job
from stripplan.model.pattern import Blank, Node, across
from stripplan.model.plan.piece import Piece
from stripplan.model.rig import Rig
from stripplan.planner.job_layout import job_layout
from stripplan.planner.search_control import Search
from stripplan.planner.settled import Settled, settle


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
    settled = settle(job, rig)
    found = job_layout(settled, Search(job.options.effort, lambda: True))
    if found.faults and not job.options.partial:
        raise CannotMakeError(found.faults)
    patterns = [pattern for layout in found.by_group for pattern in layout.patterns]
    plates = []
    for number, pattern in enumerate(patterns, 1):
        plate = settled.plates[pattern.plate]
        pieces = tuple(_pieces(settled, f"P{number}", pattern.root, 0.0, 0.0, plate.rules.kerf))
        plates.append(PlateInSight(plate.plate.name, plate.plate.length, plate.plate.width, pattern.count, pieces))
    return tuple(plates)


def _pieces(settled: Settled, plate: str, node: Node, x: float, y: float, kerf: float) -> Iterator[Piece]:
    """The leaves below a node whose lower left corner is at x, y; siblings with a kerf between them."""
    if not isinstance(node, Blank):
        if node.length > 0 and node.width > 0:
            x1, y1 = x + node.length, y + node.width
            name = None if node.part is None else settled.job.parts[node.part].name
            outline = ((x, y), (x1, y), (x1, y1), (x, y1))
            yield Piece(id="", plate=plate, parent=plate, kind=node.kind, part=name, outline=outline, mass=0.0)
        return
    at = 0.0
    for child in (node.low, *node.children, node.high):
        if child is None:
            continue
        along = node.direction == "along"
        yield from _pieces(settled, plate, child, x + (0.0 if along else at), y + (at if along else 0.0), kerf)
        at += across(child, node.direction) + kerf
