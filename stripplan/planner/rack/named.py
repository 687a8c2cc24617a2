"""A plan whose plates carry the names of the very pieces that are to be cut, not of the kind that was planned with."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType

from stripplan.model.plan.plan import Plan, PlanPlate
from stripplan.model.rack.piece import kind_name, piece_name

NOWHERE: Mapping[int, str] = MappingProxyType({})


def named_pieces(plan: Plan, taken: Mapping[str, int], places: Mapping[int, str] = NOWHERE) -> Plan:
    """The plan with each kind that is used called after its pieces that are: of "R1-R8" "R1, R2"; each plate with the
    very piece that it is, and where that lies (`places`, by its number).
    """
    used: dict[str, list[int]] = defaultdict(list)
    for plate in plan.plates:
        if plate.id in taken:
            used[plate.stock].append(taken[plate.id])
    new = {kind: kind_name(numbers) for kind, numbers in used.items()}
    others = {each.name for each in plan.job.plates} - set(new)
    new = {kind: name for kind, name in new.items() if name not in others}
    options = plan.job.options
    before = tuple((new.get(one, one), new.get(other, other)) for one, other in options.before)
    job = replace(
        plan.job,
        plates=tuple(replace(each, name=new.get(each.name, each.name)) for each in plan.job.plates),
        options=replace(options, before=before),
    )
    plates = tuple(replace(each, stock=new.get(each.stock, each.stock)) for each in plan.plates)
    return of_pieces(replace(plan, job=job, plates=plates), taken, places)


def of_pieces(plan: Plan, taken: Mapping[str, int], places: Mapping[int, str] = NOWHERE) -> Plan:
    """The plan with those plates known as the very pieces that they are, and where these lie; kinds keep names."""
    return replace(plan, plates=tuple(_known(each, taken.get(each.id), places) for each in plan.plates))


def _known(plate: PlanPlate, number: int | None, places: Mapping[int, str]) -> PlanPlate:
    return plate if number is None else replace(plate, piece=piece_name(number), lies=places.get(number, ""))
