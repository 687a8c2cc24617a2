"""What plans need that does not lie on the rack: a list for the merchant."""

from __future__ import annotations

from collections.abc import Container, Iterable
from dataclasses import dataclass

from stripplan.model.plan.jobs import jobs_on
from stripplan.model.plan.plan import Plan


@dataclass(frozen=True, kw_only=True)
class ToBuy:
    """Plates alike that are to be bought: size [mm], how many, their mass together [kg], their cost together (None
    where a plan knows no prices), and the jobs that they are for."""

    material: str
    thickness: float
    length: float
    width: float
    count: int
    mass: float
    cost: float | None
    jobs: tuple[str, ...]


_Plate = tuple[float, float | None, tuple[str, ...]]
"""Mass and cost of a plate, and the jobs that it is for."""


def to_buy(plans: Iterable[tuple[Plan, Container[str]]]) -> tuple[ToBuy, ...]:
    """What is to be bought for plans; beside each those of its plates that are pieces of the rack, by their ids. What a
    job calls an offcut lies there already.
    """
    found: dict[tuple[str, float, float, float], list[_Plate]] = {}
    for plan, of_rack in plans:
        there = {each.name for each in plan.job.plates if each.offcut}
        money = plan.total is not None and plan.total.currency == "money"
        for plate in plan.plates:
            if plate.id not in of_rack and plate.stock not in there:
                size = max(plate.length, plate.width), min(plate.length, plate.width)
                key = (plate.material, plate.thickness, *size)
                names = jobs_on(plan.jobs, plate.id, plan.job.name)
                found.setdefault(key, []).append((plate.mass, plate.cost if money else None, names))
    return tuple(_line(key, each) for key, each in sorted(found.items()))


def _line(key: tuple[str, float, float, float], plates: list[_Plate]) -> ToBuy:
    material, thickness, length, width = key
    costs = [cost for _, cost, _ in plates if cost is not None]
    return ToBuy(
        material=material,
        thickness=thickness,
        length=length,
        width=width,
        count=len(plates),
        mass=sum(mass for mass, _, _ in plates),
        cost=sum(costs) if len(costs) == len(plates) else None,
        jobs=tuple(dict.fromkeys(job for _, _, jobs in plates for job in jobs)),
    )
