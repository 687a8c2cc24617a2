"""The plan file: stable, exact to six decimals, one thing on a line."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from stripplan.model.plan.older_editions import plan_from_record
from stripplan.model.plan.record import to_record
from stripplan.sheets.plan_json import plan_text
from tests.sheets.plans import PLANS


@pytest.mark.parametrize("name", sorted(PLANS))
def test_plans_survive_the_round_trip(name: str) -> None:
    """What is read back equals what was written within half a millionth, and writes the same text."""
    made = PLANS[name]()
    text = plan_text(made)
    back = plan_from_record(json.loads(text))
    assert plan_text(back) == text
    assert _near(to_record(back), to_record(made))


def _near(one: object, other: object) -> bool:
    if isinstance(one, dict) and isinstance(other, dict):
        return list(one) == list(other) and all(_near(one[key], other[key]) for key in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(_near, one, other))
    if isinstance(one, float) or isinstance(other, float):
        return one == pytest.approx(other, abs=5.1e-7)
    return one == other


def test_each_piece_and_cut_has_a_line_of_its_own() -> None:
    """Two plans compare well line by line; letters stand as they are."""
    lines = plan_text(PLANS["name 1"]()).splitlines()
    assert sum(line.startswith('  {"id": "P1-') for line in lines) == 7
    assert sum(line.startswith('  {"number": ') for line in lines) == 3
    assert any("kő Łom 日本" in line for line in lines)


def test_no_minus_nought_and_nothing_that_is_not_a_number() -> None:
    """-0.0 is written as 0; NaN and infinity are refused, since JSON has no word for them."""
    made = PLANS["one strip"]()
    text = plan_text(replace(made, settings={"a": -0.0, "b": -1e-9, "c": 0.1 + 0.2}))
    assert '"settings": {"a": 0, "b": 0, "c": 0.3}' in text
    for value in (float("nan"), float("inf")):
        with pytest.raises(ValueError, match="cannot be written"):
            plan_text(replace(made, settings={"a": value}))
