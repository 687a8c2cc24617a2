"""What is said of the rig's limits before the first cut."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stripplan import load_rig, plan
from stripplan.errors import CannotMakeError, InputError
from stripplan.model.effort import Effort
from stripplan.model.job import Job, Options
from stripplan.model.part import Part, Rectangle, Strip
from stripplan.model.plan.plan import Plan
from stripplan.model.plate import Plate
from stripplan.model.rig import Process, Rig
from stripplan.replay.verdict import replay
from stripplan.sheets.rows.plan_rows import sheet

STEEL = Process(name="p", material="mild steel", thickness=6, kerf=1.5, travel_speed=600, current=30)
RIG = Rig(processes=(STEEL,))
SHEET = Plate(name="sheet", length=1000, width=600, thickness=6, material="mild steel")
BAR = Rectangle(name="bar", width=60, length=300, quantity=2)


def job(*parts: Part, plate: Plate = SHEET, partial: bool = False) -> Job:
    return Job(name="heed", plates=(plate,), parts=parts, options=Options(effort=Effort(steps=6), partial=partial))


def said(made: Plan, code: str) -> list[str]:
    return [each.text for each in made.warnings if each.code == code]


def test_assumed_stroke_is_told_once() -> None:
    """A rig that gave no stroke hears which one was assumed; one that gave it hears nothing."""
    (text,) = said(plan(job(BAR), replace(RIG, assumed=("stroke", "lead_in"))), "stroke_assumed")
    assert "1300 mm are assumed, so one pass cuts up to 1282 mm" in text
    assert said(plan(job(BAR), RIG), "stroke_assumed") == []


def test_estimate_stands_in_the_plan_and_in_the_first_lines() -> None:
    """The plan holds the process that it rests on, named ESTIMATED, and says which test cut settles it;
    a known plate has none of it.
    """
    made = plan(job(BAR, plate=replace(SHEET, thickness=15, material="S355")), load_rig())
    assert made.plates[0].process == "S355 15 ESTIMATED"
    assert made.plates[0].process in [each.name for each in made.rig.processes]
    assert made.warnings[0].code == "estimated"
    assert "no process for S355 15 mm" in made.warnings[0].text
    assert "test cuts of 150 mm on scrap" in made.warnings[0].text
    assert said(made, "kerf_not_measured") == []
    assert said(plan(job(BAR, plate=replace(SHEET, material="S355")), load_rig()), "estimated") == []
    inches = sheet(replace(made, job=replace(made.job, units="in"))).cuts[0].torch
    assert inches is not None
    assert inches.title == 'TORCH FOR S355 0.591" ESTIMATED'  # in the reader's units, unlike the name in the plan


def test_parts_are_cut_from_plate_of_their_grade() -> None:
    """Mild steel is made from S235; 304 from 1.4301, at its density; S355 is not made from S235;
    a slip offers the plate's own name.
    """
    made = plan(job(replace(BAR, material="mild steel"), plate=replace(SHEET, material="S235")), load_rig())
    assert (made.plates[0].process, made.parts[0].made) == ("steel-6", 2)
    made = plan(job(replace(BAR, material="304"), plate=replace(SHEET, material="1.4301")), load_rig())
    assert made.plates[0].mass == pytest.approx(1000 * 600 * 6 * 8000e-9)
    with pytest.raises(CannotMakeError, match="no plate of S355 6 mm"):
        plan(job(replace(BAR, material="S355", thickness=6), plate=replace(SHEET, material="S235")), load_rig())
    with pytest.raises(InputError, match=r"no plate is of mild stel.*did you mean mild steel"):
        plan(job(replace(BAR, material="mild stel")), load_rig())
    two = Job(
        name="two",
        plates=(replace(SHEET, material="S235"), replace(SHEET, name="other", material="S355")),
        parts=(replace(BAR, material="steel"),),
    )
    with pytest.raises(InputError, match="steel may be S235 or S355 of the plates"):
        plan(two, load_rig())


def test_too_narrow_is_refused_with_part_figure_limit_and_way_out() -> None:
    """8 mm in 6 mm of plate: below 1.5 x 6 = 9 mm. With --partial the rest is made;
    the rig's own figure goes before.
    """
    thin = Strip(name="lath", width=8)
    with pytest.raises(CannotMakeError) as caught:
        plan(job(thin), RIG)
    for words in (
        "part lath",
        "8 mm wide as cut",
        "the least is 9 mm",
        "1.5 times 6 mm of thickness",
        "cut it 9 mm wide",
        "narrowest_part",
    ):
        assert words in str(caught.value)
    assert [line.made for line in plan(job(thin, BAR, partial=True), RIG).parts] == [0, 2]
    assert plan(job(thin), replace(RIG, narrowest_part=8)).parts[0].made == 1
    assert plan(job(replace(thin, allowance=0.5)), RIG).parts[0].made == 1


def test_narrow_and_light_parts_are_warned_of() -> None:
    """Below 3 times the thickness a part gets hot right through; 30 x 40 x 6 mm weighs 57 g;
    a filler too narrow is not made, and that is said.
    """
    pad = Rectangle(name="lath", width=8, length=60, filler=True, quantity=2)
    made = plan(job(Strip(name="slim", width=17), Rectangle(name="chip", width=30, length=40), BAR, pad), RIG)
    assert [each.about for each in made.warnings if each.code == "narrow"] == ["slim", "lath"]
    assert [each.about for each in made.warnings if each.code == "hold_down"] == ["chip"]
    slotted = plan(job(Rectangle(name="pad", width=60, length=60), BAR), replace(RIG, slot_width=70))
    assert ["falls through" in text for text in said(slotted, "hold_down")] == [True]


def test_two_passes_on_heavy_plate_are_told_with_the_other_way() -> None:
    """1500 x 600 x 6 mm weighs 42 kg: two people turn it over, and cutting it across first would spare that.
    The replay knows the limit by itself.
    """
    made = plan(job(Strip(name="long", width=80), plate=replace(SHEET, length=1500)), RIG)
    (text,) = said(made, "two_pass_heavy")
    assert made.warnings[0].code == "two_pass_heavy"
    assert "42 kg is turned over between two passes, by two people" in text
    assert "cut it across first, to at most 1282 mm" in text
    assert not replay(made)
    spoilt = replace(made, rig=replace(made.rig, turn_over_mass_max=40.0))
    assert "turn_over_mass" in {each.code for each in replay(spoilt)}
    light = plan(job(Strip(name="long", width=80), plate=replace(SHEET, length=1500, width=300)), RIG)
    assert said(light, "two_pass_heavy") == []


def test_bow_of_what_nobody_measured_is_not_known() -> None:
    """The model is one of mild steel; stainless has a bow once a constant is given."""
    stainless = Process(name="v", material="stainless", thickness=6, kerf=1.7, travel_speed=500)
    asked = job(Strip(name="rail", width=50), plate=replace(SHEET, material="304"))
    made = plan(asked, replace(RIG, processes=(stainless,)))
    assert made.parts[0].bow is None
    (text,) = said(made, "bow_not_known")
    assert "strips of v bow is not known" in text
    given = plan(asked, replace(RIG, processes=(replace(stainless, bow_constant=0.006),)))
    assert given.parts[0].bow is not None
    assert said(given, "bow_not_known") == []
    assert said(plan(job(Strip(name="rail", width=50)), RIG), "bow_not_known") == []
