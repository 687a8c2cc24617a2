"""What is left of a plan, once its pieces lie on the rack: there each of them is the piece of that number."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from stripplan.model.plan.plan import Plan
from stripplan.planner.rack.with_rack import OnTheRack


def to_be_cut(left: Plan, numbers: Mapping[str, int]) -> frozenset[int]:
    """Pieces of the rack, of `numbers` by plate of what is `left`, that cuts were still to be made in: as those are
    laid the way the piece lies, it must not be turned."""
    opened = {cut.plate for cut in left.cuts}
    return frozenset(number for plate, number in numbers.items() if plate in opened)


def left_on_rack(left: Plan, numbers: Mapping[str, int], found: OnTheRack) -> Plan:
    """What is `left` of a plan, its plates named as the kinds of the rack that the pieces of those `numbers` are of;
    without those that are not there for the job any more. A plate without a number is one of the job's own.
    """
    kind = {number: name for name, of_kind in found.kinds.items() for number in of_kind}
    own = {plate.name for plate in found.job.plates} - set(found.kinds)
    stock = {
        plate.id: kind.get(numbers[plate.id]) if plate.id in numbers else plate.stock if plate.stock in own else None
        for plate in left.plates
    }
    there = {plate for plate, name in stock.items() if name is not None}
    return replace(
        left,
        plates=tuple(replace(each, stock=stock[each.id] or "") for each in left.plates if each.id in there),
        pieces=tuple(each for each in left.pieces if each.plate in there),
        cuts=tuple(each for each in left.cuts if each.plate in there),
    )
