"""How long the bevels of a job will take, told before there is a plan: as if its parts lay there, freshly cut."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from stripplan.model.job import Job
from stripplan.model.material import serves
from stripplan.model.part import Part, Rectangle, Shape
from stripplan.model.plan.cut import Cut
from stripplan.model.plan.piece import Piece
from stripplan.model.plan.plan import PlanPlate
from stripplan.model.plate import plate_mass
from stripplan.model.polygon import Outline, area
from stripplan.model.rig import Rig
from stripplan.planner.bevels.order import in_order, records
from stripplan.planner.bevels.with_bevels import ways_of
from stripplan.planner.settled import SettledPlate


@dataclass(frozen=True)
class Lying:
    """Parts that lie there before any bevel is cut, each on the plate that it may come from."""

    rig: Rig
    plates: tuple[PlanPlate, ...]
    pieces: tuple[Piece, ...]
    cuts: tuple[Cut, ...] = ()


def bevel_minutes(job: Job, rig: Rig, plates: Iterable[SettledPlate]) -> float:
    """Minutes at the rig that the bevels of all parts wanted take, in the order in which they would be cut; 0 where no
    part has any that the rig can cut. Strips, whose length their plate says, are left out.
    """
    wanted = {part.name: part for part in job.parts if part.bevels and not part.filler}
    if not wanted:
        return 0.0
    some = list(plates)
    by_part = {part.name: each for part in wanted.values() if (each := _plate_for(part, some)) is not None}
    lying = Lying(
        rig,
        tuple(_as_planned(each) for each in {each.index: each for each in by_part.values()}.values()),
        tuple(piece for name, each in by_part.items() for piece in _pieces(wanted[name], each)),
    )
    ways = in_order(ways_of(lying, wanted)[0], "")
    return sum(each.minutes.total for each in records(lying, ways))


def _plate_for(part: Part, plates: Iterable[SettledPlate]) -> SettledPlate | None:
    """The first plate that a part may come from."""
    for each in plates:
        plate = each.plate
        thick = part.thickness is None or part.thickness == plate.thickness
        alike = serves(plate.material, part.material)
        if thick and alike and part.plate in (None, plate.name):
            return each
    return None


def _as_planned(each: SettledPlate) -> PlanPlate:
    plate = each.plate
    mass = plate_mass(plate.length, plate.width, plate.thickness or 0.0, plate.material)
    return PlanPlate(
        id=str(each.index), stock=plate.name, length=plate.length, width=plate.width, thickness=plate.thickness or 0.0,
        material=plate.material or "", cost=each.cost, mass=mass, kerf=each.process.kerf, process=each.process.name,
        measured=plate.measured, edges=plate.edges,
    )  # fmt: skip


def _pieces(part: Part, each: SettledPlate) -> Iterator[Piece]:
    outline = _outline(part)
    for n in range(part.wanted if outline else 0):
        yield Piece(
            id=f"{part.name} {n}", plate=str(each.index), parent=str(each.index), kind="part", part=part.name,
            outline=outline, mass=area(outline) * each.rules.areal_mass,
        )  # fmt: skip


def _outline(part: Part) -> Outline:
    """The outline of a part as it is cut, off the edges of its plate; none of one whose length is not known."""
    if isinstance(part, Shape):
        return tuple((x + 1.0, y + 1.0) for x, y in part.outline_as_cut)
    if not isinstance(part, Rectangle):
        return ()
    long, wide = 1.0 + part.length_as_cut, 1.0 + part.width_as_cut
    return (1.0, 1.0), (long, 1.0), (long, wide), (1.0, wide)
