"""A plan is changed as little as can be: what is still wanted stays where it was, in its order."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stripplan.errors import CannotMakeError
from stripplan.model.effort import Effort
from stripplan.model.job import Job, Options
from stripplan.model.part import Rectangle
from stripplan.model.plan.plan import Plan
from stripplan.model.plate import Plate
from stripplan.model.rig import Process, Rig
from stripplan.planner import dearer_than_afresh, plan, unsound, what_was_kept
from stripplan.sheets.plan_json import as_filed
from stripplan.wording.show import worded
from tests.checking import examples
from tests.planned import planned
from tests.strategies import jobs, rigs

RIG = Rig(
    name="shed",
    stroke=1600.0,
    fence_max=1300.0,
    processes=(Process(name="air", material="mild steel", thickness=6.0, kerf=1.5, travel_speed=500.0),),
)
RAIL = Rectangle(name="rail", width=80, length=600, quantity=5)
FOOT = Rectangle(name="foot", width=100, length=140, quantity=12)
RUSH = Rectangle(name="rush", width=60, length=200, quantity=2)
SHEETS = (Plate(name="sheet", length=1000, width=500, thickness=6, material="mild steel"),)


def job(*parts: Rectangle, plates: tuple[Plate, ...] = SHEETS, trim: float = 0.0) -> Job:
    """A job with few steps."""
    return Job(name="held", plates=plates, parts=parts, options=Options(effort=Effort(steps=20), trim=trim))


def lines(made: Plan) -> list[tuple[float, ...]]:
    """The torch lines of a plan, in order."""
    return [tuple(round(each, 3) for point in cut.line for each in point) for cut in made.cuts]


def stays(before: Plan, after: Plan) -> bool:
    """Whether all lines of the one are in the other, in their order."""
    rest = iter(lines(after))
    return all(any(line == other for other in rest) for line in lines(before))


def test_nothing_changed_gives_the_same_cuts() -> None:
    """Cut by cut, as a plan that comes from its file too: settings, products and minutes."""
    before = planned(job(RAIL, FOOT), RIG)
    for kept in (before, as_filed(before)):
        after = plan(job(RAIL, FOOT), RIG, keep=kept)
        assert lines(after) == lines(before)
        assert [cut.fence_reading for cut in after.cuts] == [cut.fence_reading for cut in before.cuts]
        assert after.totals.minutes == before.totals.minutes
        assert after.proof.minutes.bound <= after.proof.minutes.found


@pytest.mark.long
def test_new_parts_go_where_something_was_left_and_all_cuts_stay() -> None:
    """More of a part and a new one: all cuts of before are there, in their order; the same with trimmed plates."""
    for trim in (0.0, 8.0):
        before = planned(job(RAIL, FOOT, trim=trim), RIG)
        after = plan(job(RAIL, replace(FOOT, quantity=13), RUSH, trim=trim), RIG, keep=before)
        assert stays(before, after), trim
        assert {line.name: line.made for line in after.parts} == {"rail": 5, "foot": 13, "rush": 2}
        new = len(after.cuts) - len(before.cuts)
        count = len(before.cuts)
        said = f"of {count} cuts {count} stay as they were, in their order; {new} are new"
        assert worded(what_was_kept(before, after)).text == said


def test_parts_that_are_wanted_no_more_leave_what_they_were_of() -> None:
    """Fewer of a part: no more is made than is wanted, no cut moves; without a part at all no cut is made for it."""
    before = planned(job(RAIL, FOOT), RIG)
    fewer = plan(job(RAIL, replace(FOOT, quantity=9)), RIG, keep=before)
    assert Counter(each.part for each in fewer.pieces if each.part) == {"rail": 5, "foot": 9}
    assert set(lines(fewer)) <= set(lines(before))
    alone = plan(job(RAIL), RIG, keep=before)
    assert Counter(each.part for each in alone.pieces if each.part) == {"rail": 5}
    assert len(alone.cuts) < len(before.cuts)


@pytest.mark.long
def test_what_cannot_stay_is_planned_afresh() -> None:
    """Another kerf, a plate that is no more, a size that changed: sound plans, and what is said of them is true."""
    before = planned(job(RAIL, FOOT), RIG)
    wide = replace(RIG, processes=(replace(RIG.processes[0], kerf=2.0),))
    after = plan(job(RAIL, FOOT), wide, keep=before)
    assert what_was_kept(before, after).says == "kept_nothing"
    other = job(RAIL, FOOT, plates=(replace(SHEETS[0], name="other"),))
    assert plan(other, RIG, keep=before).cuts == plan(other, RIG).cuts
    longer = plan(job(replace(RAIL, length=610.0), FOOT), RIG, keep=before)
    assert {line.name: line.made for line in longer.parts} == {"rail": 5, "foot": 12}


@pytest.mark.long
@examples(2)
@given(given_job=jobs(), rig=rigs(), change=st.integers(0, 3))
def test_any_plan_can_be_kept_through_any_change(given_job: Job, rig: Rig, change: int) -> None:
    """Parts more, fewer, gone or new, on any rig: the plan is sound, and makes what it would make afresh."""
    before = plan(given_job, rig)
    one, *more = given_job.parts
    changed = {
        0: (replace(one, quantity=one.quantity + 1), *more),
        1: (replace(one, quantity=max(1, one.quantity - 1)), *more),
        2: (*more, one)[: max(1, len(more))],
        3: (*given_job.parts, Rectangle(name="rush", width=40.0, length=90.0)),
    }[change]
    wanted = replace(given_job, parts=changed)
    if all(part.filler for part in changed):
        return
    try:
        after = plan(wanted, rig, keep=before)
    except CannotMakeError:
        return
    assert unsound(after) == []
    assert all(line.made <= line.wanted for line in after.parts if not line.filler)


@pytest.mark.long
def test_keeping_that_costs_a_plate_is_told_beside_the_plan_made_afresh() -> None:
    """Half of each of two plates is wanted no more: kept, both stay; afresh all goes on one. Both totals, both counts;
    nothing is said where keeping costs no more.
    """
    wide = replace(RAIL, name="wide", width=90, quantity=5)
    before = planned(job(RAIL, wide), RIG)
    assert len(before.plates) == 2
    less = job(replace(RAIL, quantity=2), replace(wide, quantity=2))
    kept, afresh = plan(less, RIG, keep=before), planned(less, RIG)
    told = dearer_than_afresh(before, kept, afresh)
    assert told is not None
    facts = told.facts
    assert (facts["kept_plates"], facts["afresh_plates"]) == (len(kept.plates), len(afresh.plates)) == (2, 1)
    assert kept.total is not None
    assert afresh.total is not None
    assert (facts["kept_total"], facts["afresh_total"]) == (round(kept.total.total, 2), round(afresh.total.total, 2))
    assert facts["kept_stay"] == what_was_kept(before, kept).facts["kept"] > facts["afresh_stay"]  # type: ignore[operator]
    assert f"{facts['kept_total']:,.2f} kg of steel in all on 2 plates" in worded(told).text
    assert dearer_than_afresh(before, afresh, afresh) is None
