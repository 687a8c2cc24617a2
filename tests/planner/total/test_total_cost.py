"""What a plan costs in plate and hands together, and what no plan of the job can undercut."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace

import pytest
from hypothesis import given

from stripplan import plan
from stripplan.files.rig.read import load_rig
from stripplan.model.effort import Effort
from stripplan.model.job import Job, Options
from stripplan.model.part import Rectangle
from stripplan.model.plan.plan import Plan
from stripplan.model.plate import Plate
from stripplan.model.rig import Rig
from stripplan.planner.total import total_cost
from stripplan.wording.show import worded
from tests.benchmarks.shop_jobs import RIG, drawn_job, held_back
from tests.checking import examples, few
from tests.planned import planned
from tests.strategies import jobs, rigs

BESIDE = 1.03
"""A plan may be so much dearer than the best simpler form of its job: simpler forms are planned by themselves, and the
minutes that a search goes by are an estimate."""


def weighed(made: Plan) -> float:
    """The total of a plan."""
    assert made.total is not None
    return made.total.total


@contextmanager
def bounds_seen() -> Iterator[list[float]]:
    """The bounds of all groups as they are worked out, before a plan cuts them down to what it found."""
    seen: list[float] = []
    whole = total_cost.total_bound

    def watched(*given: object, **more: object) -> float:
        seen.append(whole(*given, **more))  # type: ignore[arg-type]
        return seen[-1]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(total_cost, "total_bound", watched)
        yield seen


@pytest.mark.slow
@examples(15)
@given(job=jobs(), rig=rigs())
def test_no_plan_of_a_random_job_is_below_the_bound(job: Job, rig: Rig) -> None:
    """The bound as it was worked out, not as it was written, lies below what the plan costs."""
    with bounds_seen() as seen:
        made = plan(job, rig)
    assert made.total is not None
    complete = all(line.made >= line.wanted for line in made.parts)
    assert bool(seen) == complete
    assert sum(seen) <= made.total.total + 1e-5
    assert made.total.bound <= made.total.total


@pytest.mark.parametrize("seed", few(1, range(1, 3)))
def test_no_plan_of_a_shop_job_is_below_the_bound(seed: int) -> None:
    """Jobs of dozens of parts at the rate that the program assumes: the bound is below, and says something."""
    with bounds_seen() as seen:
        made = plan(drawn_job(seed, 0), RIG)
    assert made.total is not None
    assert 0.3 * made.total.total < sum(seen) <= made.total.total


@pytest.mark.slow
@pytest.mark.parametrize("seed", [1, 5])
def test_a_long_search_stays_above_the_bound(seed: int) -> None:
    """So do plans that were searched for."""
    with bounds_seen() as seen:
        made = plan(drawn_job(seed, 2250, 0.75), RIG)
    assert sum(seen) <= weighed(made)


@pytest.mark.slow
@pytest.mark.parametrize("seed", few(1, (1, 5)))
def test_a_plan_is_hardly_dearer_than_one_of_a_simpler_form(seed: int) -> None:
    """Two and three stages, each sheet alone, no offcuts, few settings: none of these, planned by itself, costs much
    less in plate and hands.
    """
    job = drawn_job(seed, 750, 0.75)
    forms = [weighed(plan(form, RIG)) for _, form in held_back(job)]
    assert weighed(plan(job, RIG)) <= BESIDE * min(forms)


SHEET = Plate(name="sheet", length=2000, width=1000, thickness=8, material="mild steel", cost=128)
REST = Plate(name="rest", length=870, width=410, thickness=8, material="mild steel", cost=20, offcut=True)
BARS = (
    Rectangle(name="bar", width=80, length=200, quantity=12),
    Rectangle(name="rail", width=60, length=350, quantity=12),
)


def sheet_and_rest() -> Job:
    """Two dozen parts that the sheet holds by itself, with an offcut on the rack."""
    given = Options(effort=Effort(steps=750))
    return Job(name="sheet and rest", plates=(SHEET, REST), parts=BARS, options=given)


@pytest.mark.parametrize("rig", [load_rig(), pytest.param(RIG, marks=pytest.mark.slow)], ids=["built in", "pinned"])
def test_an_offcut_was_taken_beside_a_sheet_that_did_it_alone(rig: Rig) -> None:
    """The offcut makes nothing cheaper: it stays on the rack, and plates cost 128."""
    made = planned(sheet_and_rest(), rig)
    assert [plate.stock for plate in made.plates] == ["sheet"]
    assert made.totals.cost == 128
    assert made.total is not None
    assert made.total.plates == 128


def test_a_total_is_summed_by_hand() -> None:
    """Plate and minutes at 0.75, less half the price by area of the offcut: the sum, and the plan is what is said."""
    plate = replace(SHEET, length=1000, width=500, cost=50, measured=True)
    part = Rectangle(name="part", width=100, length=1000)
    options = Options(price_per_minute=0.75)
    made = plan(Job(name="one", plates=(plate,), parts=(part,), options=options), RIG)
    assert made.total is not None
    assert len(made.cuts) == 1
    kerf = made.cuts[0].kerf
    assert made.total.plates == 50
    assert made.total.hands == pytest.approx(0.75 * made.totals.minutes)
    assert made.total.offcuts == pytest.approx(0.5 * 50 * (500 - 100 - kerf) / 500, rel=1e-4)
    assert made.total.total == pytest.approx(50 + made.total.hands - made.total.offcuts)
    # Half the plate and a fifth of the other half, a cut's arc and way home: 0.5 s, and 1010 mm at 600 and 760 mm/min.
    assert made.total.bound <= 50 * 0.6 + 0.75 * (0.5 / 60 + 1010 / 600 + 1010 / 760)
    assert made.total.bound >= 50 * 0.6 - 1e-4


def test_the_lesser_offcut_of_a_plate_counts_a_quarter() -> None:
    """The larger of two offcuts counts the job's share of its price by area, the other half of that."""
    plate = replace(SHEET, length=2000, width=1000, cost=100, measured=True)
    part = Rectangle(name="part", width=400, length=1200, rotate=False)
    totals = {}
    for share in (0.5, 0.1):
        made = plan(Job(name="l", plates=(plate,), parts=(part,), options=Options(offcut_share=share)), RIG)
        areas = sorted((p.box[2] - p.box[0]) * (p.box[3] - p.box[1]) for p in made.pieces if p.kind == "offcut")
        assert len(areas) == 2
        assert made.total is not None
        totals[share] = made.total.offcuts
        assert made.total.offcuts == pytest.approx(share * (areas[1] + areas[0] / 2) * 100 / 2e6, rel=1e-5)
    assert totals[0.1] < totals[0.5]


def test_where_a_part_is_not_made_there_is_no_bound() -> None:
    """The bound would be that of another job: 0, and it says why."""
    plate = replace(SHEET, quantity=1)
    parts = (Rectangle(name="part", width=600, length=1900, quantity=2),)
    made = plan(Job(name="short", plates=(plate,), parts=parts, options=Options(partial=True)), RIG)
    assert made.total is not None
    assert (made.total.bound, made.total.how) == (0.0, worded(total_cost.NONE).text)


@pytest.mark.long
@pytest.mark.parametrize("seed", few(1, (2, 3, 25, 30)))
def test_plate_alone_takes_no_dearer_plates(seed: int) -> None:
    """With the aim of plate the plates are no dearer than those of plate and hands together, whose total is less."""
    both = drawn_job(seed, 750, 0.75)
    plate, other = plan(replace(both, options=replace(both.options, aim="plate")), RIG), plan(both, RIG)
    assert plate.totals.cost <= other.totals.cost
    assert weighed(other) <= BESIDE * weighed(plate)


def test_minutes_that_cost_nothing_leave_plates_to_decide() -> None:
    """A price of 0 for a minute: no hands in the total, and the plan is made."""
    parts = (Rectangle(name="part", width=300, length=700, quantity=3),)
    options = Options(price_per_minute=0.0, effort=Effort(steps=0))
    made = plan(Job(name="free", plates=(SHEET,), parts=parts, options=options), RIG)
    assert made.total is not None
    assert made.total.hands == 0
    assert made.total.total == pytest.approx(made.total.plates - made.total.offcuts)
