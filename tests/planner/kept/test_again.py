"""The rest of a plan that was begun changes as little as the saving justifies, and says what and why."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import pytest

from stripplan.files.rig.read import load_rig
from stripplan.model.job import Job
from stripplan.model.plan.plan import Plan
from stripplan.model.plan.progress import CutProgress
from stripplan.planner import left_to_cut, plan, plan_again, rest_of_job, unsound, what_was_kept
from stripplan.planner.kept.weighed import LEAST_MINUTES, MINUTES_A_CUT, weighed
from stripplan.wording.show import worded
from tests.planner.test_rest_of_job import read

TABLE: dict[str, Any] = {
    "name": "shelf",
    "plate": [
        {"name": "sheet", "length": 1000, "width": 500, "thickness": 6, "material": "mild steel", "quantity": 2},
    ],
    "part": [
        {"name": "bar", "width": 50, "length": 900, "quantity": 3},
        {"name": "foot", "width": 120, "length": 300, "quantity": 4},
    ],
    "options": {"steps": 2},
}  # fmt: skip
RIG = load_rig()


@cache
def before() -> Plan:
    """The shelf, planned."""
    return plan(read(TABLE).job, RIG)


def rest_after(*, number: int, side: str | None) -> tuple[Job, Plan]:
    """The job for the rest once so many cuts are made, the piece on one side of the last lost, and what is left."""
    spoilt = {} if side is None else {number: frozenset((side,))}
    progress = CutProgress(done=frozenset(range(1, number + 1)), spoilt=spoilt)  # type: ignore[arg-type]
    return read(rest_of_job(before(), TABLE, progress)).job, left_to_cut(before(), TABLE, progress)


@pytest.mark.long
@pytest.mark.parametrize("number", [1, 4])
def test_a_plan_that_is_only_interrupted_goes_on_as_it_was(number: int) -> None:
    """Nothing is spoilt: every cut that was left is made as it was to be made, and none is new."""
    job, left = rest_after(number=number, side=None)
    assert len(left.cuts) == len(before().cuts) - number
    again = plan_again(job, RIG, left)
    assert again.kept
    assert what_was_kept(left, again.plan).facts["kept"] == len(left.cuts) == len(again.plan.cuts)
    assert not unsound(again.plan)
    settings = [cut.fence_reading for cut in before().cuts[number:]]
    assert [cut.fence_reading for cut in again.plan.cuts] == settings


@pytest.mark.parametrize(("part", "kept"), [("foot", True), ("bar", False)])
def test_a_lost_part_is_made_once_more(part: str, kept: bool) -> None:
    """A foot comes out of what is left, and all other cuts stay in their order; for a bar that would open another sheet
    cuts are changed, and it is told that this spares a plate.
    """
    pieces = {piece.id: piece for piece in before().pieces}
    number, side = next(
        (cut.number, side)
        for cut in before().cuts
        for side, name in zip(("right", "left"), cut.makes, strict=True)
        if name is not None and pieces[name].part == part
    )
    job, left = rest_after(number=number, side=side)
    again = plan_again(job, RIG, left)
    assert {line.name: line.made for line in again.plan.parts} == {part.name: part.quantity for part in job.parts}
    stays = what_was_kept(left, again.plan).facts
    assert again.kept == (stays["kept"] == len(left.cuts)) == kept
    assert worded(again.said[0]).text.endswith((f" {stays['new']} are new", f" all {stays['new']} cuts are new"))
    assert kept or "1 plate" in worded(again.said[1]).text


def dearer(made: Plan, minutes: float) -> Plan:
    """The plan with a total that is so many minutes more."""
    assert made.total is not None
    return replace(made, total=replace(made.total, total=made.total.total + minutes * made.total.minute))


def test_what_a_change_is_worth() -> None:
    """Another plan is taken where it saves more than its changed cuts are worth, and more than a few minutes; what it
    would have saved is told where it is not.
    """
    left = before()
    others = replace(left, cuts=tuple(replace(cut, fence_reading=None) for cut in left.cuts))  # none stays as it was
    worth = max(LEAST_MINUTES, MINUTES_A_CUT * len(left.cuts))
    taken = weighed(left, dearer(left, worth + 1), [others])
    assert (taken.kept, taken.plan) == (False, others)
    assert f"none of the {len(left.cuts)} cuts to come stays: that spares" in worded(taken.said[1]).text
    left_out = weighed(left, dearer(left, worth - 1), [others])
    assert left_out.kept
    assert worded(left_out.said[1]).text.endswith("cuts: not worth it")
    assert weighed(left, dearer(left, 0.5), [left]).plan == left  # where nothing changes, the cheaper one
    assert [each.code for each in weighed(left, left, [dearer(others, 1)]).said] == ["kept"]


MITRED: dict[str, Any] = {
    "name": "frame",
    "plate": [
        {"name": "sheet", "length": 700, "width": 400, "thickness": 8, "material": "mild steel", "quantity": 2},
    ],
    "part": [
        {"name": "rail", "length": 400, "width": 60, "ends": [45, 45], "quantity": 2},
        {"name": "gusset", "shape": "triangle", "length": 120, "width": 120, "quantity": 4},
    ],
    "options": {"steps": 2},
}  # fmt: skip


@pytest.mark.long
def test_blanks_that_are_half_cut_are_gone_on_with() -> None:
    """Of a frame all is cut to rectangles, then the first cut at an angle of two gussets is spoilt. The other blanks
    are cut as they were to be, two gussets are made again and share a cut, and no other plate is taken: so it is no
    dearer than going on with what is left, and two gussets by themselves."""
    made = plan(read(MITRED).job, RIG)
    pieces = {piece.id: piece for piece in made.pieces}
    shared = {cut.number for cut in made.cuts if all(name and pieces[name].part == "gusset" for name in cut.makes)}
    first = min(shared)
    done = [cut.number for cut in made.cuts if pieces[cut.piece].is_rectangle and cut.located == "fence"]
    progress = CutProgress(done=frozenset({*done, first}), spoilt={first: frozenset(("left", "right"))})
    job, left = read(rest_of_job(made, MITRED, progress)).job, left_to_cut(made, MITRED, progress)
    again = plan_again(job, RIG, left).plan
    stocks = {plate.stock for plate in again.plates}
    assert {plate.stock for plate in left.plates if any(cut.plate == plate.id for cut in left.cuts)} <= stocks
    assert "sheet" not in stocks
    assert all(line.made == line.wanted for line in again.parts)
    new = len(again.cuts) - len(left.cuts)
    assert 0 < new <= 3, "at the most a pair is cut off on two sides and parted"
