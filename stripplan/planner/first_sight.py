"""What a job will look like, before its cuts are in order: plates with the parts on them, found in a moment.

No plan: nothing is numbered, nothing can be set by it, and the plan that follows may lay the parts out otherwise. The
parts of a large job lie on their plates within a second; to put hundreds of cuts in order and check them takes longer.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from stripplan.model.pattern import Leaf, Pattern
from stripplan.model.plan.piece import Piece
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


def in_sight(settled: Settled, found: JobLayout) -> tuple[PlateInSight, ...]:
    """The plates of a layout, pieces of a blank in the order in which it has them."""
    patterns = [pattern for layout in found.by_group for pattern in layout.patterns]
    plates = []
    for number, pattern in enumerate(patterns, 1):
        plate = settled.plates[pattern.plate]
        pieces = tuple(_pieces(settled, f"P{number}", pattern, plate.rules.kerf))
        plates.append(PlateInSight(plate.plate.name, plate.plate.length, plate.plate.width, pattern.count, pieces))
    return tuple(plates)


def _pieces(settled: Settled, plate: str, pattern: Pattern, kerf: float) -> Iterator[Piece]:
    """The pieces that come out of a plate and are cut no more."""
    for each in finished(uncut(pattern.root, ("mill",) * 4), kerf):
        if isinstance(each.node, Leaf) and each.length > 0 and each.width > 0:
            name = None if each.node.part is None else settled.job.parts[each.node.part].name
            kind = each.node.kind
            yield Piece(id="", plate=plate, parent=plate, kind=kind, part=name, outline=each.outline(), mass=0.0)
