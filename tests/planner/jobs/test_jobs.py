"""Three small jobs of one week: pooled, kept apart by name, made in the order of their days, each with its share."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from stripplan import plan
from stripplan.errors import InputError
from stripplan.files.plan.read import plan_from
from stripplan.files.rig.read import load_rig
from stripplan.model.bevel import Bevel
from stripplan.model.effort import Effort
from stripplan.model.job import Job, Options
from stripplan.model.part import Rectangle, Shape, Strip
from stripplan.model.plan.plan import Plan
from stripplan.model.plate import Plate
from stripplan.model.prices import Prices
from stripplan.planner import joined, reasons_for_cuts
from stripplan.sheets.plan_json import plan_text
from stripplan.wording.show import worded

SHEET = Plate(name="sheet", length=1500, width=1000, thickness=6, material="mild steel", cost=80.0)
RIG = replace(load_rig(), prices=Prices(per_hour=45))
QUICK = Options(effort=Effort(steps=2))


def job(name: str, due: str | None, *sizes: tuple[float, float, int], **more: object) -> Job:
    """A job of rectangles that are called part 1, part 2 ..., from sheets."""
    parts = tuple(
        Rectangle(name=f"part {n}", width=wide, length=long, quantity=count)
        for n, (wide, long, count) in enumerate(sizes, 1)
    )
    given = {"plates": (SHEET,), "options": QUICK, "currency": "EUR", **more}
    return Job(name=name, parts=parts, due=due, **given)  # type: ignore[arg-type]


GATE = job("gate", "2026-12-09", (60, 900, 4), (200, 300, 2))
SHELF = job("shelf", None, (60, 700, 3), (300, 400, 2))
BOX = job("box", "2026-12-04", (250, 350, 3))


def together(*jobs: Job) -> Job:
    """The jobs as one."""
    return joined([(f"{each.name}.toml", each, RIG) for each in jobs])[0]


@cache
def week(hours: float | None = None, start: str | None = None) -> Plan:
    """The plan of all three, with hours a day if they are given."""
    whole = together(GATE, SHELF, BOX)
    return plan(replace(whole, options=replace(whole.options, hours_a_day=hours, start=start)), RIG)


def test_plates_alike_are_pooled_and_parts_kept_apart() -> None:
    """Equal plates are one kind with as many as all list, others get names of their own; parts carry their job's."""
    two, rest = replace(SHEET, quantity=2), replace(SHEET, name="rest", length=700, width=300, quantity=None)
    offcut = replace(rest, offcut=True, cost=5.0)
    one = job("gate", None, (60, 900, 1), plates=(two, offcut))
    other = job("box", None, (60, 900, 1), plates=(replace(two, name="plate", quantity=3), replace(offcut, name="bit")))
    whole = together(one, other)
    assert [(each.name, each.limit) for each in whole.plates] == [("sheet", 5), ("rest", 2)]
    assert [each.name for each in whole.parts] == ["gate: part 1", "box: part 1"]
    bound = replace(other, parts=(replace(other.parts[0], plate="bit"),))
    assert together(one, bound).parts[1].plate == "rest"
    apart = together(one, replace(other, plates=(replace(two, length=1600),)))
    assert [each.name for each in apart.plates] == ["sheet", "rest", "sheet (box)"]
    assert [whole.own_name(each.name) for each in whole.parts] == [("gate", "part 1"), ("box", "part 1")]


def test_what_cannot_be_put_together_names_the_files() -> None:
    """Two jobs of one name, rigs, prices, currencies and wishes that differ: each fault says in which files."""
    cheap = replace(GATE, name="box", currency="CHF", plates=(replace(SHEET, cost=None),))
    with pytest.raises(InputError) as stopped:
        joined([("a.toml", BOX, RIG), ("b.toml", cheap, replace(RIG, stroke=900.0, lead_in=20.0))])
    said = [each.sentence() for each in stopped.value.faults]
    assert all(each.startswith("a.toml, b.toml: ") for each in said)
    assert len(said) == 4
    assert "stroke, lead_in" in said[1]
    asked = [replace(each, options=replace(QUICK, trim=trim)) for each, trim in ((GATE, 8.0), (SHELF, 0.0), (BOX, 9.0))]
    with pytest.raises(InputError, match=r"gate.toml, box.toml: `trim` .* 8.0 and 9.0"):
        together(*asked)
    assert together(*asked[:2]).options.trim == 8.0


def test_a_strip_stays_as_long_as_the_plates_of_its_own_job() -> None:
    """Where another job brings longer plates, a strip is a part of the length that it had, or its job must say one."""
    bar = replace(SHELF, parts=(Strip(name="bar", width=40),))
    long = replace(GATE, plates=(replace(SHEET, length=2000.0),))
    (part,) = (each for each in together(bar, long).parts if each.name == "shelf: bar")
    assert isinstance(part, Rectangle)
    assert (part.length, part.rotate) == (1500, False)
    assert isinstance(together(bar, GATE).parts[0], Strip)
    with pytest.raises(InputError, match=r"shelf.toml, part bar"):
        together(replace(bar, options=replace(QUICK, trim=8.0)), long)


@pytest.mark.long
def test_what_is_due_first_is_made_first() -> None:
    """Parts come in the order of the days, no day last; the reason of a cut tells of it."""
    made = week()
    assert made.together is not None
    assert made.together.in_due_order
    ends = {line.name: line.finished_cut for line in made.jobs}
    assert ends["box"] < ends["gate"] < ends["shelf"] <= len(made.cuts)
    box = next(line for line in made.jobs if line.name == "box")
    before = [each.part for cut in made.cuts[: box.finished_cut] for name in cut.makes for each in made.pieces
              if each.id == name and each.part]  # fmt: skip
    assert set(before) == {"box: part 1"}
    assert any("Your wishes for the order" in worded(each).text for each in reasons_for_cuts(made))
    assert [each.about for each in made.warnings if each.code == "job_early"] == []


def test_shares_add_up_and_sharing_is_never_dearer() -> None:
    """Minutes, kilograms and cents are those of the plan, and together jobs cost no more than one by one."""
    made = week()
    assert made.quotation is not None
    assert round(sum(line.minutes for line in made.jobs), 3) == round(made.totals.minutes, 3)
    assert round(sum(line.plate_mass for line in made.jobs), 3) == round(sum(each.mass for each in made.plates), 3)
    assert round(sum(line.quoted or 0.0 for line in made.jobs), 2) == made.quotation.total
    assert made.together is not None
    assert made.together.saved is not None
    assert made.together.saved > 0
    one_by_one = sum(plan(each, RIG).total.total for each in (GATE, SHELF, BOX))  # type: ignore[union-attr]
    assert made.together.total < one_by_one
    assert abs(sum(made.together.alone) - one_by_one) < 0.05 * one_by_one
    assert plan_from(plan_text(made), name="plan.json").jobs[0].name == "gate"


def test_hours_a_day_tell_what_is_late() -> None:
    """Days are counted from Monday to Friday; a job that is done after its own is told, and one alone as well."""
    made = week(0.5, "2026-12-04")  # a Friday
    working = ("2026-12-04", "2026-12-07", "2026-12-08", "2026-12-09")
    for line in made.jobs:
        assert line.done_on == working[int(line.finished_minutes / 30)]
        assert line.late == (line.due is not None and line.done_on > line.due)
    assert [line.name for line in made.jobs if line.late] == ["box"]
    assert [each.about for each in made.warnings if each.code == "job_late"] == ["box"]
    alone = plan(replace(BOX, options=replace(QUICK, hours_a_day=8.0, start="2026-12-05")), RIG)
    assert [(line.name, line.done_on, line.late) for line in alone.jobs] == [("box", "2026-12-07", True)]
    assert plan(replace(BOX, due=None), RIG).jobs == ()


@pytest.mark.long
def test_days_that_leave_time_leave_the_order_free() -> None:
    """Where every job is in time whatever is cut first, the quickest order is taken, and what comes early is told."""
    due, free = week(), week(8.0, "2026-12-01")
    assert free.together is not None
    assert free.together.in_due_order or free.totals.minutes < due.totals.minutes
    assert not any(line.late for line in free.jobs)
    early = {line.name for line in free.jobs if line.early}
    assert {each.about for each in free.warnings if each.code == "job_early"} == early


def test_jobs_with_shapes_and_few_plates() -> None:
    """Straight-sided shapes keep their job, and plates that are too few to be taken apart are shared all the same."""
    corners = ((0.0, 0.0), (200.0, 0.0), (0.0, 150.0))
    gussets = replace(BOX, parts=(Shape(name="gusset", outline=corners, quantity=2),))
    made = plan(together(gussets, SHELF), RIG)
    assert [(line.name, line.made) for line in made.jobs] == [("box", 2), ("shelf", 5)]
    (told,) = (each for each in made.warnings if each.code == "job_early")
    assert (told.about, told.facts["why"]) == ("shelf", "slanted")
    single = [replace(each, plates=(replace(SHEET, quantity=1 if each is GATE else 0),)) for each in (GATE, BOX)]
    made = plan(together(*single), RIG)
    assert made.together is not None
    assert made.together.alone == ()


def test_a_job_with_bevels_is_done_with_its_last_one() -> None:
    """Bevels come after all cuts: they are time of their own job alone, and put off its end, not what is cut before."""
    rig = replace(RIG, tilt_max=45.0)
    edges = tuple(Bevel(edge=edge, angle=30.0, root_face=2.0) for edge in (0, 2))
    gate = replace(BOX, parts=tuple(replace(each, bevels=edges) for each in BOX.parts))
    made = plan(joined([(f"{each.name}.toml", each, rig) for each in (gate, SHELF)])[0], rig)
    bevelled, plain = sorted(made.jobs, key=lambda each: each.name)
    assert sum(each.minutes.total for each in made.bevels) > 5
    assert bevelled.finished_minutes == pytest.approx(made.totals.minutes)
    assert bevelled.minutes + plain.minutes == pytest.approx(made.totals.minutes, abs=2e-3)
    assert plain.finished_minutes == pytest.approx(sum(each.minutes.total for each in made.cuts[: plain.finished_cut]))
