"""A plan of before kept in another: its plates, then its cuts in their order; and what of it stayed, in words."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from stripplan.model.plan.cut import Cut
from stripplan.model.plan.plan import Plan
from stripplan.planner.job_layout import group_layout
from stripplan.planner.kept.layout import KeptLayout, kept_layout
from stripplan.planner.order.bench_plates import bench_plates
from stripplan.planner.order.order_constraints import weights_of
from stripplan.planner.order.order_of_work import OrderOfWork, order_of_work
from stripplan.planner.search_control import Search
from stripplan.planner.settled import Settled
from stripplan.sequence import RecordedCut, kept_order, pieces_and_cuts
from stripplan.wording.message import Facts, Message


def kept_order_of_work(settled: Settled, before: Plan, search: Search, *, order_too: bool = True) -> OrderOfWork | None:
    """The layout and order of a job that keep a plan as far as it goes; None where nothing of it can stay. Without
    `order_too` its layout alone stays, and the cuts are ordered afresh.
    """
    found = kept_layout(settled, before, lambda group: group_layout(settled, group, search), pinned=True)
    if found is None:
        return None
    search.tell("ordering the cuts")
    if not order_too:
        return order_of_work(settled, found.layout, search)
    plates = tuple(bench_plates(settled, found.layout))
    recorded = recorded_cuts(before, found)
    options = settled.job.options
    pieces = [each.to_cut.piece for each in plates]
    try:
        order = kept_order(
            settled.rig, pieces, recorded, weights=weights_of(options), effort=options.effort, end_stop=options.end_stop
        )
    except ValueError:  # what is left of some row has no cut that can be located
        return None
    names = [part.name for part in settled.job.parts]
    work = pieces_and_cuts(settled.rig, names, [each.to_cut for each in plates], order)
    return OrderOfWork(found.layout, plates, order, work, None)


def recorded_cuts(before: Plan, found: KeptLayout) -> list[RecordedCut]:
    """The cuts of a plan on the plates of it that stay, in their order."""
    numbers = {each.id: number for number, each in found.plates.items()}
    boxes = {piece.id: piece.box for piece in before.pieces}
    recorded = []
    for cut in before.cuts:
        if cut.plate in numbers:
            number = numbers[cut.plate]
            parts = found.plates[number].parts
            right, left = (Counter[int]() if name is None else parts[name] for name in cut.makes)
            recorded.append(RecordedCut(number, boxes[cut.piece], cut, right, left))
    return recorded


def what_was_kept(before: Plan, after: Plan) -> Message:
    """How many cuts of a plan stay in another, in their order, and how many there are new."""
    stays = cuts_that_stay(before, after)
    facts = Facts(kept=stays, before=len(before.cuts), new=len(after.cuts) - stays)
    return Message("kept", "", facts, "kept" if stays else "kept_nothing")


def cuts_that_stay(before: Plan, after: Plan) -> int:
    """How many cuts of a plan are in another, in their order."""
    one, other = (list(_told_apart(plan)) for plan in (before, after))
    stays, at = 0, 0
    for each in one:
        if each in other[at:]:
            at = other.index(each, at) + 1
            stays += 1
    return stays


def _told_apart(plan: Plan) -> Iterator[tuple[object, ...]]:
    """What tells the cuts of a plan apart: stock, line and setting; of plates alike cuts may stand for one another."""
    stock = {plate.id: plate.stock for plate in plan.plates}
    for cut in plan.cuts:
        yield stock[cut.plate], _rounded(cut), cut.located, cut.fence_reading


def _rounded(cut: Cut) -> tuple[float, ...]:
    return tuple(round(each, 2) for point in cut.line for each in point)
