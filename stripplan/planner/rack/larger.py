"""What the next larger sheets would spare: the same job, planned once more with them in place of those that it buys."""

from __future__ import annotations

from collections.abc import Container
from dataclasses import dataclass, replace

from stripplan.errors import CannotMakeError, InputError
from stripplan.model.part import Strip
from stripplan.model.plan.plan import Plan
from stripplan.model.plate import Plate
from stripplan.planner.job_to_plan import plan as planned

SHEETS = ((2000.0, 1000.0), (2500.0, 1250.0), (3000.0, 1500.0), (4000.0, 2000.0), (6000.0, 2000.0))
"""Sizes in which merchants keep plate [mm]: common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class Larger:
    """What sheets one size larger come to beside the plan: plates, kilograms bought, what is bought (money, None where
    there are no prices), and the total of plate, hands and offcuts in the plan's currency. `total` below that of the
    plan: they spare the difference.
    """

    sizes: tuple[tuple[float, float], ...]
    plates: tuple[int, int]
    mass: tuple[float, float]
    cost: tuple[float, float] | None
    total: tuple[float, float]


def one_larger(plan: Plan, of_rack: Container[str]) -> Larger | None:
    """The plan beside one of the same job with each plate that it buys one size larger, at the same price by area; None
    where nothing is bought, no larger size is known, parts are as long as their plate, or it cannot be made.
    """
    bought = {plate.stock for plate in plan.plates if plate.id not in of_rack}
    kinds = [each for each in plan.job.plates if each.name in bought and not each.offcut]
    new = {each.name: larger for each in kinds if (larger := _next(each)) is not None}
    if not new or plan.total is None or any(isinstance(part, Strip) for part in plan.job.parts):
        return None
    rest = tuple(new.get(each.name, each) for each in plan.job.plates)
    try:
        other = planned(replace(plan.job, plates=rest), plan.rig)
    except (InputError, CannotMakeError):
        return None
    if other.total is None:
        return None
    names = {each.name for each in kinds}
    one, two = ([each for each in some.plates if each.stock in names] for some in (plan, other))
    money = plan.total.currency == "money"
    return Larger(
        sizes=tuple((each.length, each.width) for each in new.values()),
        plates=(len(one), len(two)),
        mass=(sum(each.mass for each in one), sum(each.mass for each in two)),
        cost=(sum(each.cost for each in one), sum(each.cost for each in two)) if money else None,
        total=(plan.total.total, other.total.total),
    )


def _next(plate: Plate) -> Plate | None:
    """The smallest sheet that the plate lies on and is not, the same way round."""
    long, short = max(plate.length, plate.width), min(plate.length, plate.width)
    for length, width in SHEETS:
        if length >= long and width >= short and (length, width) != (long, short):
            size = (length, width) if plate.length >= plate.width else (width, length)
            share = length * width / (long * short)
            cost = None if plate.cost is None else plate.cost * share
            return replace(plate, length=size[0], width=size[1], cost=cost)
    return None
