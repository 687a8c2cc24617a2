"""Least minutes of arcs, returns and flows: a sum by hand, and never above what a plan says."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stripplan import plan
from stripplan.model.effort import Effort
from stripplan.model.job import Job, Options
from stripplan.model.part import Strip
from stripplan.model.plan.plan import Plan
from stripplan.model.plate import Plate
from stripplan.model.rig import Process, Rig
from stripplan.sequence import travel_minutes

RIG = Rig(
    processes=(Process(name="p", material="mild steel", thickness=6, kerf=1.5, travel_speed=600),),
    pre_flow=0.5,
    post_flow=2.0,
)
SHEET = Plate(name="s", length=600, width=300, thickness=6, material="mild steel", measured=True)


def planned(rig: Rig = RIG) -> Plan:
    """Two strips off a sheet of 600 mm: two cuts of that length."""
    parts = (Strip(name="strip", width=100, quantity=2),)
    return plan(Job(name="two", plates=(SHEET,), parts=parts, options=Options(effort=Effort(steps=50))), rig)


def test_two_cuts_of_600_mm_by_hand() -> None:
    """Each runs over lead-in, 600 mm and overrun at 600 mm/min, back at the return speed, with half a second of air
    before and the air after it that the return does not hide.
    """
    made = planned()
    stop = RIG.lead_in + 600 + RIG.overrun
    arc, back = stop / 600 * 60, stop / RIG.return_speed * 60
    assert len(made.cuts) == 2
    assert {len(cut.passes) for cut in made.cuts} == {1}
    least = travel_minutes(RIG, made.cuts) * 60
    assert 2 * (arc + back + RIG.pre_flow) <= least <= 2 * (arc + back + RIG.pre_flow + RIG.post_flow)
    assert travel_minutes(replace(RIG, post_flow=0.0), made.cuts) * 60 == pytest.approx(2 * (arc + back + RIG.pre_flow))


def test_never_above_the_minutes_of_the_plan() -> None:
    """Arc, return and flows of the plan itself take as long at the least."""
    made = planned()
    said = sum(
        cut.minutes.arc + cut.minutes.return_ + cut.minutes.pre_flow + cut.minutes.post_flow for cut in made.cuts
    )
    assert travel_minutes(RIG, made.cuts) <= said + 1e-9


def test_two_passes_count_twice() -> None:
    """A stroke shorter than the cut: two arcs and two returns, and no overrun between them."""
    short = replace(RIG, stroke=450.0)
    made = planned(short)
    assert {len(cut.passes) for cut in made.cuts} == {2}
    lengths = [each.length for cut in made.cuts for each in cut.passes]
    arcs = sum((short.lead_in + each) / 600 for each in lengths)
    assert travel_minutes(short, made.cuts) > arcs
    assert travel_minutes(short, made.cuts) <= sum(cut.minutes.total for cut in made.cuts)


def test_no_cut_takes_no_minutes() -> None:
    """An empty list is nothing."""
    assert travel_minutes(RIG, []) == 0
