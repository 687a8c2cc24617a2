"""What a person holds fast: parts that come from a plate, plates that are used first."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from stripplan.errors import CannotMakeError, InputError
from stripplan.model.effort import Effort
from stripplan.model.job import Job, Options
from stripplan.model.part import Rectangle, Strip
from stripplan.model.plan.plan import Plan
from stripplan.model.plan.progress import CutProgress
from stripplan.model.plate import Plate
from stripplan.model.rig import Process, Rig
from stripplan.planner import plan, rest_of_job, unsound
from stripplan.sheets.plan_json import filed_record
from stripplan.sheets.rows.part_notes import part_notes
from tests.checking import in_turn

SHEET = Plate(name="sheet", length=1500, width=1000, thickness=6, material="mild steel")
ODD = Plate(name="odd", length=700, width=400, thickness=6, material="mild steel", offcut=True)
TEN = Plate(name="ten", length=900, width=450, thickness=10, material="mild steel", quantity=2)
RAIL = Rectangle(name="rail", width=80, length=600, quantity=2)
FOOT = Rectangle(name="foot", width=100, length=100, quantity=4)
RIG = Rig(
    name="shed",
    stroke=1600.0,
    fence_max=1300.0,
    processes=tuple(
        Process(name=f"air-{thick}", material="mild steel", thickness=thick, kerf=1.5, travel_speed=500.0)
        for thick in (6.0, 10.0)
    ),
)


def job(*parts: Any, plates: tuple[Plate, ...] = (SHEET, ODD, TEN), **options: Any) -> Job:
    """A job with few steps."""
    return Job(name="held", plates=plates, parts=parts, options=Options(effort=Effort(steps=20), **options))


def plates_of(made: Plan) -> dict[str, set[str]]:
    """The plates of the job that each part comes from."""
    stock = {plate.id: plate.stock for plate in made.plates}
    found: dict[str, set[str]] = {}
    for piece in made.pieces:
        if piece.part is not None:
            found.setdefault(piece.part, set()).add(stock[piece.plate])
    return found


@pytest.mark.parametrize("strip", [False, True])
def test_a_part_comes_from_the_plate_that_it_is_bound_to(strip: bool) -> None:
    """Wherever it would be cheaper; the replay sees it where it does not; the sheet says it. A strip needs no length
    where its own plate alone counts, and a thickness is that of the plate.
    """
    bound: Any = Strip(name="rail", width=80, plate="ten") if strip else replace(RAIL, plate="ten")
    made = plan(job(bound, replace(FOOT, plate="sheet")), RIG)
    assert plates_of(made) == {"rail": {"ten"}, "foot": {"sheet"}}
    assert made.job.parts[0].thickness == 10
    assert part_notes(made.job.parts[0], made.job) == ("From ten alone.",)
    moved = replace(made, job=replace(made.job, parts=(made.job.parts[0], replace(FOOT, plate="odd"))))
    assert "pin" in {each.code for each in unsound(moved)}
    assert plates_of(plan(job(replace(FOOT, thickness=6.0), plates=(SHEET, ODD)), RIG)) == {"foot": {"odd"}}


@in_turn(
    "made, kind, said",
    [
        (lambda: job(replace(RAIL, plate="od")), InputError, ("'od'", "odd, sheet, ten")),
        (lambda: job(replace(RAIL, plate="ten", thickness=6.0)), InputError, ("10 mm", "6 mm", "name a plate")),
        (lambda: job(replace(RAIL, plate="odd", quantity=9)), CannotMakeError, ("from odd", "add plates", "leave out")),
        (lambda: job(replace(RAIL, plate="odd", length=900.0)), CannotMakeError, ("from odd", "bigger", "leave out")),
        (lambda: job(RAIL, plates=(replace(SHEET, first=True),)), InputError, ("so many of it", "quantity")),
    ],
)
def test_a_wish_that_cannot_be_kept_is_a_fault_with_the_way_out(made: Any, kind: Any, said: tuple[str, ...]) -> None:
    """A plate that is not there, of other stock, too small or used up; one to be used first without a number."""
    with pytest.raises(kind) as refused:
        plan(made(), RIG)
    assert all(each in str(refused.value) for each in said), str(refused.value)


def test_a_plate_to_be_used_first_is_filled_before_others() -> None:
    """A dear offcut is left where a sheet does, and filled where it is to be used first, at its true price, also beside
    a sheet that is opened anyway; where nothing fits on it a warning says so.
    """
    plates = (replace(SHEET, cost=40.0), replace(ODD, cost=60.0))
    parts = (replace(FOOT, quantity=6),)
    assert plates_of(plan(job(*parts, plates=plates), RIG)) == {"foot": {"sheet"}}
    first = plan(job(*parts, plates=(plates[0], replace(plates[1], first=True))), RIG)
    assert plates_of(first) == {"foot": {"odd"}}
    assert first.totals.cost == 60.0
    assert first.proof.cost.bound <= 40.0
    assert first.total is not None
    assert first.total.plates == 60.0
    both = plan(job(RAIL, replace(FOOT, quantity=30), plates=(SHEET, replace(ODD, first=True))), RIG)
    assert "odd" in plates_of(both)["foot"]
    assert both.totals.plates == 2
    long = plan(job(replace(RAIL, length=1400.0), plates=(SHEET, replace(ODD, first=True))), RIG)
    assert [each.about for each in long.warnings if each.code == "first_not_used"] == ["odd"]
    quiet = replace(long, warnings=tuple(each for each in long.warnings if each.code != "first_not_used"))
    assert unsound(quiet)


def test_a_plan_without_such_wishes_is_written_as_before() -> None:
    """No key for what nobody asked, so that plans keep their bytes and their ids."""
    record = filed_record(plan(job(replace(RAIL, thickness=6.0), plates=(SHEET,)), RIG))
    assert "plate" not in record["job"]["parts"][0]
    assert "first" not in record["job"]["plates"][0]


def test_the_rest_of_a_job_binds_to_what_is_left() -> None:
    """A part bound to a plate that was begun is bound to the one piece that is left of it, where that is one."""
    made = plan(job(replace(RAIL, plate="sheet"), FOOT, plates=(replace(SHEET, quantity=1), ODD)), RIG)
    table = {
        "plate": [{"name": "sheet", "length": 1500, "width": 1000, "quantity": 1}],
        "part": [{"name": "rail", "width": 80, "length": 600, "quantity": 2, "plate": "sheet"}],
    }
    number = next(cut.number for cut in made.cuts if any(made_of(made, name) == "rail" for name in cut.makes))
    done = CutProgress(done=frozenset({number}), spoilt={})
    rest = rest_of_job(made, table, done)
    names = {each["name"] for each in rest["plate"]}
    assert all(part.get("plate", next(iter(names))) in names for part in rest["part"])
    assert [each.get("plate") for each in rest_of_job(made, table, CutProgress())["part"]] == ["sheet"]


def made_of(made: Plan, piece: str | None) -> str | None:
    """The part that a piece is."""
    return next((each.part for each in made.pieces if each.id == piece), None)


def test_an_end_stop_that_is_set_stays_for_all_cuts_that_it_serves() -> None:
    """Every cut that it is neither short of nor too far for is made at it, in a plan that is kept too; a mark that
    cannot be set is told with those beside it.
    """
    rig = replace(RIG, overrun_max=400.0, end_stop_step=5.0, end_stop_min=50.0)
    parts = (replace(RAIL, thickness=6.0), replace(FOOT, thickness=6.0))
    plain = plan(job(*parts, plates=(SHEET,)), rig)
    fixed = job(*parts, plates=(SHEET,), end_stop=400.0)
    for made in (plan(fixed, rig), plan(fixed, rig, keep=plain)):
        served = [
            cut for cut in made.cuts if rig.lead_in + cut.length + rig.overrun <= 400 <= rig.lead_in + cut.length + 400
        ]
        assert served
        assert {each.end_stop for cut in served for each in cut.passes} == {400.0}
    assert len({each.end_stop for cut in plain.cuts for each in cut.passes}) > 1
    with pytest.raises(InputError, match="400 mm and 405 mm"):
        plan(replace(fixed, options=replace(fixed.options, end_stop=402.0)), rig)


TRUE, ODD_SCALE = (0.0, 1.0, 0.5), (-1.25, 0.998, 1.0)


@pytest.mark.parametrize("scale", [TRUE, ODD_SCALE])
def test_a_fence_that_is_fixed_cuts_its_part_there(scale: tuple[float, float, float]) -> None:
    """All pieces of the part come off at the reading, as wide as that makes them: zero + scale x reading - half a kerf.
    The size error is told, and the replay passes it, in a plan that is kept too, and works the width out by itself.
    """
    rig = replace(RIG, fence_zero=scale[0], fence_scale=scale[1], fence_step=scale[2])
    wide = scale[0] + scale[1] * 82.0 - 0.75
    rail = replace(RAIL, thickness=6.0, fence=82.0, plus_minus=2.0)
    fixed = job(rail, replace(FOOT, thickness=6.0), plates=(SHEET,))
    made = plan(fixed, rig)
    for each in (made, plan(fixed, rig, keep=made)):
        rails = [piece.box for piece in each.pieces if piece.part == "rail"]
        assert len(rails) == 2
        assert all(min(x1 - x0, y1 - y0) == pytest.approx(wide, abs=0.006) for x0, y0, x1, y1 in rails)
        assert 82.0 in {cut.fence_reading for cut in each.cuts}
        (told,) = (one for one in each.warnings if one.code == "fence_fixed")
        assert told.about == "rail"
        (line,) = (line for line in each.parts if line.name == "rail")
        assert (line.size_wanted[0], line.size_expected[0][0]) == (80.0, pytest.approx(wide, abs=0.006))
    elsewhere = replace(made.job.parts[0], fence=82.0 + scale[2])
    off = replace(made, job=replace(made.job, parts=(elsewhere, *made.job.parts[1:])))
    assert "size" in {fault.code for fault in unsound(off)}
    table = rest_of_job(made, {"part": [], "plate": []}, CutProgress())
    assert "fence_width" not in str(table)


def test_a_fence_that_cannot_stay_there_is_refused_with_figures() -> None:
    """Beyond what the part may be off, between two marks, out of reach; and for a width that kerfs make two of."""
    for fence, said in ((90.0, "readings from 80 mm to 81.5 mm"), (80.3, "80 mm and 80.5 mm"), (5000.0, "reach")):
        with pytest.raises(InputError, match=said):
            plan(job(replace(RAIL, thickness=6.0, fence=fence, plus_minus=1.0), plates=(SHEET,)), RIG)
