"""Plate and hands in one currency: whatever is wrong with the total of a plan is named."""

from __future__ import annotations

import json
from dataclasses import fields, replace
from functools import cache

import pytest

from stripplan import plan
from stripplan.files.plan.read import plan_from
from stripplan.files.rig.read import load_rig
from stripplan.model.effort import Effort
from stripplan.model.job import Job, Options
from stripplan.model.part import Rectangle
from stripplan.model.plan.plan import Plan, TotalCost
from stripplan.model.plate import Plate
from stripplan.model.prices import Prices
from stripplan.replay.unchecked import not_checked
from stripplan.replay.verdict import replay
from stripplan.sheets.plan_json import plan_text
from tests.checking import few

STEEL = Plate(name="sheet", length=1500, width=700, thickness=6, material="mild steel")
REST = Plate(name="rest", length=900, width=200, thickness=6, material="mild steel", offcut=True)
PARTS = (Rectangle(name="lug", width=60, length=150, quantity=4), Rectangle(name="foot", width=250, length=600))


@cache
def made(kind: str) -> Plan:
    """A plan whose minute is priced by the job or the rig, assumed from prices of sheets, or counted in kilograms."""
    money = kind != "kg"
    plates = (replace(STEEL, cost=70.0), replace(REST, cost=6.0)) if money else (STEEL, REST)
    options = Options(effort=Effort(steps=0), price_per_minute=0.8 if kind == "job" else None)
    rig = replace(load_rig(), prices=Prices(per_hour=45)) if kind == "rig" else load_rig()
    return plan(Job(name=kind, plates=plates, parts=PARTS, options=options), rig)


def total_of(kind: str) -> TotalCost:
    """The total that such a plan says."""
    total = made(kind).total
    assert total is not None
    return total


def about(kind: str, **changes: object) -> set[str]:
    """What the findings are about where the total says something else; they are of no other kind."""
    findings = replay(replace(made(kind), total=replace(total_of(kind), **changes)))  # type: ignore[arg-type]
    assert {each.code for each in findings} <= {"total"}
    assert all(each.text.endswith(".") for each in findings)
    return {each.about.removeprefix("total, ") for each in findings}


KINDS = ["job", "rig", "assumed", "kg"]


@pytest.mark.parametrize("kind", KINDS)
def test_a_sound_total_has_no_finding(kind: str) -> None:
    """The specimens speak of each currency and each source of a minute's price, keep offcuts, and are sound."""
    total = total_of(kind)
    assert (total.currency, total.minute_from) == ("kg", "assumed") if kind == "kg" else ("money", kind)
    assert total.offcuts > 0
    assert 0 < total.bound < total.total
    assert not replay(made(kind))


@pytest.mark.parametrize("kind", few(2, ["assumed", "kg", "job", "rig"]))
@pytest.mark.parametrize("key", ["plates", "minute", "hands", "offcuts", "total"])
@pytest.mark.parametrize("by", [1.001, 0.5, -1.0])
def test_each_figure_changed_is_found(kind: str, key: str, by: float) -> None:
    """A thousandth more, half, another sign: named; and where a term is wrong the sum does not follow any more."""
    found = about(kind, **{key: getattr(total_of(kind), key) * by})
    assert key in found
    assert found <= {key, "total", "bound"}


def test_other_words_are_found() -> None:
    """Money where it is kilograms, and another source of the price."""
    assert about("kg", currency="money") == {"currency"}
    assert about("assumed", currency="kg") == {"currency"}
    assert about("job", minute_from="assumed") == {"minute_from"}
    assert about("rig", minute_from="job") == {"minute_from"}


def test_a_bound_that_cannot_be_is_found() -> None:
    """Above what was found, or below nothing."""
    assert about("kg", bound=total_of("kg").total + 1) == {"bound"}
    assert about("kg", bound=-1.0) == {"bound"}
    assert about("kg", bound=total_of("kg").total) == set()


def test_every_field_is_changed_above_or_named_as_unchecked() -> None:
    """A new field of the total is missed here first."""
    named = {"plates", "minute", "hands", "offcuts", "total", "currency", "minute_from"}
    left = {each.name for each in fields(TotalCost)} - named
    assert left == {"bound", "how", "code"}
    assert all(any(it.covers(f"total.{key}") for it in not_checked(made("kg"))) for key in left)


@pytest.mark.parametrize(
    "options",
    [{"offcut_share": 0.2}, {"kg_per_hour": 50.0}, {"price_per_minute": 0.1}],
    ids=["offcut_share", "kg_per_hour", "price_per_minute"],
)
def test_a_total_that_belongs_to_other_wishes_is_found(options: dict[str, float]) -> None:
    """The same figures under another share, price of an hour or of a minute do not follow from the job."""
    sound = made("assumed")
    other = replace(sound, job=replace(sound.job, options=replace(sound.job.options, **options)))  # type: ignore[arg-type]
    assert "total" in {each.code for each in replay(other)}


def test_factors_of_materials_count_in_kilograms() -> None:
    """Steel that counts double: another total."""
    sound = made("kg")
    options = replace(sound.job.options, material_factors={"mild steel": 2.0})
    found = {each.about for each in replay(replace(sound, job=replace(sound.job, options=options)))}
    assert "total, plates" in found


def test_a_plan_file_without_a_total_is_read() -> None:
    """Plans of before say nothing of it: read, sound, and as the others otherwise."""
    data = json.loads(plan_text(made("kg")))
    assert data["total"]["currency"] == "kg"
    assert plan_from(json.dumps(data), name="plan.json").total is not None
    del data["total"]
    read = plan_from(json.dumps(data), name="plan.json")
    assert read.total is None
    assert not replay(read)


def test_a_job_in_small_coins_could_not_be_read_again() -> None:
    """Plates for millions: sums of money may be greater than lengths."""
    plates = (replace(STEEL, cost=9e5, quantity=2),)
    parts = (Rectangle(name="wide", width=600, length=1000, quantity=2),)
    dear = plan(Job(name="dear", plates=plates, parts=parts, options=Options(effort=Effort(steps=0))), load_rig())
    assert dear.total is not None
    assert dear.total.plates == 1.8e6
    again = plan_from(plan_text(dear), name="plan.json")
    assert again.total is not None
    assert again.total.total == pytest.approx(dear.total.total)
