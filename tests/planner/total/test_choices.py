"""Plans to choose from: none beaten by another, each one that can be made, each as it was told."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from stripplan import Choice, Plan, choices, plan
from stripplan.errors import CannotMakeError, InputError
from stripplan.model.effort import Effort
from stripplan.model.job import Aim, Job, Options
from stripplan.model.part import Rectangle, Shape
from stripplan.model.plate import Plate
from stripplan.model.rig import Process, Rig
from stripplan.sheets.plan_json import plan_text
from stripplan.sheets.rows.job.choices import choice_table
from stripplan.wording.show import worded
from tests.checking import few

RIG = Rig(
    processes=tuple(
        Process(name=f"p{thick}", material="mild steel", thickness=thick, kerf=1.5, travel_speed=600)
        for thick in (6, 8)
    )
)
SHEET = Plate(name="sheet", length=1250, width=1000, thickness=6, material="mild steel", cost=60)
SMALL = Plate(name="small", length=1000, width=500, thickness=6, material="mild steel", cost=22)
PARTS = (
    Rectangle(name="a", width=120, length=310, quantity=3),
    Rectangle(name="b", width=85, length=240, quantity=4),
    Rectangle(name="d", width=60, length=470, quantity=2),
)
JOB = Job(name="choices", plates=(SHEET, SMALL), parts=PARTS, currency="EUR", options=Options(effort=Effort(steps=750)))
FILLED = replace(JOB, parts=(*PARTS, Rectangle(name="washer", width=60, length=60, quantity=8, filler=True)))
THICK = replace(SHEET, name="thick", thickness=8, cost=80)
OF_EIGHT = Rectangle(name="e", width=90, length=200, quantity=6, thickness=8)
TWO_GROUPS = replace(
    JOB, plates=(SHEET, SMALL, THICK), parts=(*(replace(each, thickness=6) for each in PARTS), OF_EIGHT)
)


def aiming(aim: Aim) -> Job:
    """The job with an aim."""
    return replace(JOB, options=replace(JOB.options, aim=aim))


@cache
def _offered(name: str) -> tuple[Choice, ...]:
    return choices(JOBS[name], RIG)


SHAPES = replace(
    JOB,
    parts=(
        *PARTS[:2],
        Shape(name="gusset", outline=((0, 0), (160, 0), (0, 110)), quantity=6),
        Shape(name="cheek", outline=((0, 0), (220, 0), (180, 120), (40, 120)), quantity=3),
    ),
    options=Options(effort=Effort(steps=2)),
)
JOBS = {
    "shapes": SHAPES,
    "one setting": JOB,
    "plate": aiming("plate"),
    "time": aiming("time"),
    "fillers": FILLED,
    "two groups": TWO_GROUPS,
}
every_job = pytest.mark.parametrize("name", few(2, ("shapes", "two groups", "fillers", "one setting", "plate", "time")))


@pytest.mark.long
@every_job
def test_choices_are_numbered_and_the_first_is_the_default(name: str) -> None:
    """There is something to choose; numbers run from 1, and the first alone is made where nobody chooses."""
    offered = _offered(name)
    assert 1 < len(offered) <= 6
    assert [each.number for each in offered] == list(range(1, len(offered) + 1))
    assert [each.default for each in offered] == [True] + [False] * (len(offered) - 1)


@every_job
def test_no_choice_is_beaten(name: str) -> None:
    """No choice takes as little plate and time as another and leaves as much, and less of one; only the first may be,
    as it is chosen with weights."""
    figures = [(each.plate_cost, each.minutes, -each.offcuts) for each in _offered(name)]
    for n, one in enumerate(figures[1:], 1):
        beaten_by = [
            m for m, other in enumerate(figures) if m != n and all(a <= b for a, b in zip(other, one, strict=True))
        ]
        assert beaten_by == []


@every_job
def test_the_total_is_plate_and_time_less_offcuts(name: str) -> None:
    """Each total is the sum of what is told beside it."""
    for each in _offered(name):
        assert each.total == pytest.approx(each.plate_cost + each.minutes * each.minute - each.offcuts)


@pytest.mark.long
@pytest.mark.parametrize("name", few(2, ("shapes", "two groups", "fillers", "one setting", "plate", "time")))
def test_each_choice_is_made_as_it_was_told(name: str) -> None:
    """The plan of a choice has its plates, cuts and largest offcut; its minutes and settings are about those told."""
    for each in _offered(name):
        made = plan(JOBS[name], RIG, choose=each)
        assert made.total is not None
        assert (made.totals.plates, made.total.plates) == (each.plates, each.plate_cost)
        # Which straight cuts the cuts at an angle spare is known once they are in order.
        assert abs(len(made.cuts) - each.cuts) <= (2 if name == "shapes" else 0)
        assert made.total.offcuts == pytest.approx(each.offcuts)
        assert largest_offcut(made) == pytest.approx(
            (each.largest_offcut or (0, 0))[0] * (each.largest_offcut or (0, 0))[1]
        )
        assert made.totals.minutes == pytest.approx(each.minutes, rel=0.1)
        assert abs(made.totals.fence_settings - each.fence_settings) <= 2


def largest_offcut(made: Plan) -> float:
    """Area of the largest offcut of a plan [mm2]."""
    boxes = [piece.box for piece in made.pieces if piece.kind == "offcut"]
    return max(((x1 - x0) * (y1 - y0) for x0, y0, x1, y1 in boxes), default=0.0)


@every_job
def test_the_best_in_each_respect_says_so(name: str) -> None:
    """Least plate, least time and largest offcut are claimed by those that have them, by no other, and in words."""
    offered = _offered(name)
    least = {
        "plate": lambda each: each.plate_cost,
        "time": lambda each: each.minutes,
        "total": lambda each: each.total,
    }
    words = {"plate": "least plate", "time": "least time", "total": "cheapest in total"}
    for respect, figure in least.items():
        has = [figure(each) for each in offered]
        alike = max(has) - min(has) < 1e-9
        for each, value in zip(offered, has, strict=True):
            claimed = value - min(has) < 1e-9 and (respect == "total" or not alike)
            assert (respect in each.best) is claimed
            assert (words[respect] in worded(each.buys).text) is claimed


@pytest.mark.slow
def test_a_number_makes_the_same_plan_as_the_choice() -> None:
    """Chosen by number, for which layouts are searched again, or handed over: the same plan file."""
    offered = _offered("one setting")
    assert plan_text(plan(JOB, RIG, choose=2)) == plan_text(plan(JOB, RIG, choose=offered[1]))


@pytest.mark.slow
def test_the_default_of_least_plate_is_what_plan_makes() -> None:
    """Where plate alone counts the first choice has the cuts of the plan that nobody chose."""
    job = JOBS["plate"]
    first = plan(job, RIG, choose=_offered("plate")[0])
    assert first.cuts == plan(job, RIG).cuts


@pytest.mark.long
def test_the_default_is_no_dearer_than_the_plan() -> None:
    """With a fence setting counted once, the first choice is what `plan` makes or cheaper, but for the light order."""
    job = replace(JOB, options=replace(JOB.options, aim="time"))
    made = plan(job, RIG).total
    assert made is not None
    assert _offered("time")[0].total <= made.total * 1.01


def test_least_plate_is_among_the_choices_of_least_time() -> None:
    """Whatever is aimed at, no plan has less plate than the choice of least plate."""
    least = plan(JOBS["plate"], RIG).total
    assert least is not None
    assert min(each.plate_cost for each in _offered("time")) <= least.plates + 1e-9


@pytest.mark.slow
def test_same_job_same_choices() -> None:
    """Two runs offer the same."""
    assert choices(JOB, RIG) == _offered("one setting")


@pytest.mark.slow
def test_a_number_that_is_none_is_refused() -> None:
    """The fault names how many there are."""
    with pytest.raises(InputError, match=r"there is no choice 9 \(1 to \d\)"):
        plan(JOB, RIG, choose=9)


def test_a_choice_of_another_job_is_refused() -> None:
    """Layouts of one job are none of another."""
    with pytest.raises(InputError, match="of another job or rig"):
        plan(TWO_GROUPS, RIG, choose=_offered("fillers")[0])


def test_a_part_that_cannot_be_made_gives_no_choices() -> None:
    """What cannot be made is refused as in a plan."""
    with pytest.raises(CannotMakeError):
        choices(replace(JOB, parts=(*PARTS, Rectangle(name="long", width=50, length=5000, quantity=1))), RIG)


@pytest.mark.slow
def test_without_prices_kilograms_of_steel_count() -> None:
    """Where no prices are given the table says what is counted, and shows kilograms."""
    bare = replace(JOB, plates=tuple(replace(each, cost=None) for each in JOB.plates))
    offered = choices(bare, RIG)
    shown = choice_table(bare, offered)
    assert offered[0].currency == "kg"
    assert all(row.total.endswith(" kg") for row in shown.rows)
    assert any("kilograms of steel" in line for line in shown.about)


def test_inches_are_shown_in_inches() -> None:
    """Offcuts stand in the person's units, and bars fill no more than the whole."""
    shown = choice_table(replace(FILLED, units="in"), _offered("fillers"))
    assert all('"' in row.largest_offcut for row in shown.rows)
    assert max(row.plate_share + row.time_share for row in shown.rows) == pytest.approx(1.0)
