"""Damaged plan files of every kind: a plain message, findings, or a plan that is sound all the same."""

from __future__ import annotations

import json
from collections import Counter
from pathlib import Path

import pytest

from stripplan.errors import InputError
from stripplan.files.plan.read import plan_from
from stripplan.replay.verdict import replay
from tests.checking import few
from tests.replay.damage import damaged

GOOD = (Path(__file__).parents[2] / "output" / "strips" / "plan.json").read_text(encoding="utf-8")
SEEDS = 400


def outcome(text: str) -> str:
    """What becomes of a plan file: refused as it is read, found faulty, sound. Anything else that is raised goes on."""
    try:
        made = plan_from(text, name="plan.json")
    except InputError as error:
        assert 1 <= len(error.faults) <= 21
        assert all(len(each.sentence()) < 1000 for each in error.faults)
        return "refused"
    findings = replay(made)
    assert all(each.code != "broken" for each in findings), findings
    return "faulty" if findings else "sound"


@pytest.mark.parametrize("start", few(1, range(0, SEEDS, 50)))
def test_no_damage_gets_past_a_plain_message(start: int) -> None:
    """Keys gone, wrong kinds, huge figures, names exchanged, circles, doubles:
    never another exception, nothing left half understood.
    """
    counts = Counter(outcome(damaged(GOOD, seed)) for seed in range(start, start + 50))
    assert counts["refused"] > 15
    assert counts["faulty"] >= 1


def test_plates_removed_gave_a_key_error() -> None:
    """A plan without its plates says what lies on a plate that is not there."""
    data = {**json.loads(GOOD), "plates": []}
    with pytest.raises(InputError, match="lies on P1, which is no plate of the plan"):
        plan_from(json.dumps(data), name="plan.json")


def test_a_coordinate_of_a_thousand_kilometres_took_a_minute_and_six_gigabytes() -> None:
    """A corner far outside its plate is refused before anything is drawn; so is one that no plan could hold."""
    for far, words in ((900_000.0, "reaches over the edge of plate P1"), (1e9, "1000000000.0 is beyond anything")):
        data = json.loads(GOOD)
        data["pieces"][2]["outline"][1][0] = far
        with pytest.raises(InputError, match=words):
            plan_from(json.dumps(data), name="plan.json")


def test_a_material_of_five_thousand_letters_took_two_minutes() -> None:
    """A text is as long as the files of jobs may have it."""
    data = json.loads(GOOD)
    data["plates"][0]["material"] = "steel" * 1000
    with pytest.raises(InputError, match=r"plan\.plates\[0\]\.material: the text has 5000 letters; 200 are the most"):
        plan_from(json.dumps(data), name="plan.json")


def test_pieces_in_a_circle() -> None:
    """Two pieces that come out of each other come out of no cut."""
    data = json.loads(GOOD)
    for piece, other in ((3, 4), (4, 3)):
        data["pieces"][piece]["parent"] = data["pieces"][other]["id"]
    with pytest.raises(InputError, match="but P1-"):
        plan_from(json.dumps(data), name="plan.json")
