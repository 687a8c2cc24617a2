"""Runs on paper and what stands first: the plan as a person reads it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from stripplan.files.plan.read import load_plan
from stripplan.model.plan.plan import OtherOrder, PlanWarning
from stripplan.model.plan.run import runs_of
from stripplan.sheets.pdf.work.run_block import row_lines
from stripplan.sheets.rows import plan_rows as rows
from tests.sheets.pdf.test_sheet_walk import kept
from tests.sheets.plans import PLANS, hair_strips, in_units

FIRST = Path(__file__).resolve().parents[3] / "replay" / "first_edition"
"""Plans that version 0.1.0 wrote."""


def test_every_cut_lies_in_one_run() -> None:
    """Rows of runs hold the cuts in their order, each once, also where the plan's own runs are of another plan."""
    for make in PLANS.values():
        made = make()
        for plan in (made, replace(made, runs=()), replace(made, runs=made.runs[:-1])):
            table = rows.sheet(plan)
            assert [row.number for run in table.runs for row in run.cuts] == [cut.number for cut in plan.cuts]


def test_a_run_hides_no_change() -> None:
    """Each step before a cut of a run stands in its row; so do two people and a rest."""
    for plan in (in_units(hair_strips(12)), kept("brackets"), kept("bench"), kept("workshop")):
        for run in rows.sheet(plan).runs:
            for before, row in zip((None, *run.cuts), run.cuts, strict=False):
                told = " ".join(row_lines(run, row, before))
                for step in row.steps:
                    assert step.fewest.partition(" (")[0].rstrip(".") in told, (row.number, step)
                assert not row.lifting or row.lifting.removesuffix(" or hoist") in told
                assert row.rest in told


def test_the_part_that_has_come_off_is_measured() -> None:
    """Once the rest on the fence was asked for and the strip that fell was not."""
    for plan in (kept("strips"), kept("brackets"), kept("workshop")):
        for row in rows.sheet(plan).cuts:
            fallen = [each.piece for each in (row.right, row.left) if each is not None and each.kind == "part"]
            if fallen:
                assert row.measure is not None
                assert row.measure.piece == fallen[0]


def test_a_plan_of_the_first_edition_keeps_its_id() -> None:
    """Paper and progress of that day carry it: these were printed by version 0.1.0.
    Runs that are derived since do not change it.
    """
    known = {"strips": "416bb335", "bench": "f84dd5b2", "marked-dial": "90180cd7", "priced-two-passes": "25fd9253"}
    for example, name in known.items():
        plan = load_plan(FIRST / f"{example}.json")
        assert plan.stripplan_version == "0.1.0"
        runs = runs_of(
            plan.cuts, {each.id: each for each in plan.pieces}, {each.id: each.process for each in plan.plates}
        )
        assert runs
        assert (
            rows.plan_id(plan) == rows.plan_id(replace(plan, runs=runs)) == rows.plan_id(replace(plan, runs=())) == name
        )
        assert rows.plan_id(replace(plan, stripplan_version="0.2.0")) != name


def test_the_torch_is_set_up_before_its_first_cut_and_at_each_change() -> None:
    """Figures that nobody gave are "not given"; the speed is told as a time too."""
    made = in_units(PLANS["pushed up"]())
    first, *others = rows.sheet(made).cuts
    assert first.torch is not None
    assert dict(first.torch.facts)["stand-off"] == "not given"
    assert first.timed.endswith(" s over 500 mm")
    assert not any(row.torch for row in others)


def test_what_must_not_be_overlooked_stands_first() -> None:
    """Unequal pieces, sizes out of class, an assumed stroke, anything ESTIMATED; the rest follows."""
    made = PLANS["pushed up"]()
    told = [("unequal", "a"), ("kerf_not_measured", "b"), ("stroke_assumed", "c"), ("other", "The kerf is ESTIMATED.")]
    sheet = rows.sheet(
        replace(made, warnings=tuple(PlanWarning(code=code, about="", text=text) for code, text in told))
    )
    assert sheet.first == ("a", "c", "The kerf is ESTIMATED.")
    assert sheet.warnings == ("b",)


def test_the_price_of_the_other_order_is_told() -> None:
    """How many settings, minutes less or more, and how far pieces of a part would differ."""
    made = in_units(PLANS["pushed up"]())
    other = OtherOrder(fence_settings=20, minutes=made.totals.minutes - 6, differ=1.0)
    told = rows.sheet(replace(made, other_order=other)).other_order
    here = made.totals.fence_settings
    assert told == (
        f"The other order of work: 20 fence settings instead of {here}: 6 min less, pieces of a part differ by up "
        "to 1.0 mm."
    )
    assert rows.sheet(made).other_order == ""


def test_only_assumed_figures_that_move_minutes_are_listed() -> None:
    """No turn, no seconds for a turn; what the person gave is not listed."""
    made = kept("strips")
    assert "quarter turn" not in "; ".join(rows.sheet(made).assumed_times)
    given = replace(made, rig=replace(made.rig, assumed=("seconds.fetch",)))
    assert rows.sheet(given).assumed_times == ("fetching 45 s",)
