"""Plan files: what was written is read back, and what is said of a spoilt one."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stripplan.errors import InputError
from stripplan.files.plan.read import load_plan
from stripplan.files.rig.read import load_rig
from stripplan.model.job import Job
from stripplan.model.part import Rectangle, Strip
from stripplan.model.plan.plan import Plan
from stripplan.model.plan.record import to_record
from stripplan.model.plate import Plate
from stripplan.model.prices import Prices
from stripplan.planner import plan
from tests.files.parts.specimens import said, write


@pytest.fixture(scope="session")
def made() -> Plan:
    """A small plan: a strip and two rectangles from one plate."""
    plate = Plate(name="sheet", length=800, width=400, thickness=6, material="mild steel")
    parts = (Strip(name="bar", width=40), Rectangle(name="foot", width=60, length=120, quantity=2))
    return plan(Job(name="small", plates=(plate,), parts=parts), load_rig())


@pytest.fixture(scope="session")
def good(made: Plan) -> str:
    """Its file."""
    return json.dumps(to_record(made))


def test_plan_is_read_back(made: Plan, good: str, tmp_path: Path) -> None:
    """A plan and its file are the same plan."""
    assert to_record(load_plan(write(tmp_path, good, "plan.json"))) == json.loads(good)
    assert load_plan(write(tmp_path, good, "plan.json")).cuts == made.cuts


def test_a_quotation_may_leave_out_an_offcut_of_more_than_a_square_metre(tmp_path: Path) -> None:
    """Its area, among the facts of what is left out, is a sum in mm2 and no length."""
    plate = Plate(name="sheet", length=2000, width=1000, thickness=6, material="mild steel", cost=90.0)
    job = Job(name="large", plates=(plate,), parts=(Rectangle(name="foot", width=60, length=120),))
    made = plan(job, replace(load_rig(), prices=Prices(per_hour=45)))
    assert load_plan(write(tmp_path, json.dumps(to_record(made)), "plan.json")).quotation is not None


def test_a_folder_stands_for_the_plan_in_it(made: Plan, good: str, tmp_path: Path) -> None:
    """Where a plan was written to is what people remember; a folder without one is told by the file that is missing."""
    (tmp_path / "plan.json").write_text(good, encoding="utf-8")
    assert load_plan(tmp_path) == load_plan(tmp_path / "plan.json")
    with pytest.raises(InputError, match=r"plan\.json"):
        load_plan(tmp_path.parent)


def spoilt(good: str, change: Callable[[dict[str, Any]], Any]) -> str:
    """The file with one change."""
    data = json.loads(good)
    change(data)
    return json.dumps(data)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda d: d.pop("cuts"), "plan: cuts is missing"),
        (lambda d: d["cuts"][0].pop("kerf"), "plan.cuts[0]: kerf is missing"),
        (lambda d: d["cuts"][1].update(kerf="wide"), "plan.cuts[1].kerf: 'wide' is no float"),
        (lambda d: d["cuts"][0].update(kerf=float("nan")), "NaN is no finite number"),
        (lambda d: d["cuts"][0].update(line=5), "plan.cuts[0].line: a list is wanted, not 5"),
        (lambda d: d["cuts"][0].update(located="welded"), "plan.cuts[0].located: 'welded' is none of"),
        (lambda d: d.update(schema="stripplan/plan/2"),
         "this is no plan: its schema is 'stripplan/plan/2' ('stripplan/plan/1' is read)"),
        (lambda d: d.pop("schema"), "this is no plan: it names no schema"),
        (lambda d: d["plates"].append(None), "plan.plates[1]: a table is wanted, not None"),
    ],
)  # fmt: skip
def test_spoilt_plans(good: str, tmp_path: Path, change: Callable[[dict[str, Any]], Any], words: str) -> None:
    """The place in the plan is named."""
    assert words in said(load_plan, write(tmp_path, spoilt(good, change), "plan.json"))


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (b"", "plan.json: the file is empty"),
        (b"{\n  broken", "plan.json line 2, column 3: this is not JSON: expecting property name"),
        (b"[]", "it names no schema"),
        (b"5", "it names no schema"),
        (b"\xff", "line 1: the file is not UTF-8 text"),
        (b'{"schema": 1e999}', "'1e999' is no finite number"),
        (b'{"schema": ' + b"9" * 5000 + b"}", "it holds a number of thousands of digits"),
        (b"[" * 100_000, "it is nested too deeply"),
        (b'{"schema": "\\ud800"}', "a text holds half a character"),
        (b" " * (20 * 2**20 + 1), "the file has more than 20 MB (at most 20 MB are read)"),
    ],
    ids=lambda text: str(text)[:20],
)
def test_files_that_are_no_plans(tmp_path: Path, text: bytes, words: str) -> None:
    """One plain message, with line and column where JSON breaks off."""
    assert words in said(load_plan, write(tmp_path, text, "plan.json"))


@given(data=st.data())
def test_any_change_is_read_or_refused(
    data: st.DataObject, good: str, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """A plan with a value swapped for another kind gives a plan or a plain refusal, never another exception."""
    tree = json.loads(good)
    here: Any = tree
    while True:
        key = data.draw(st.sampled_from(sorted(here) if isinstance(here, dict) else range(len(here))))
        if not here[key] or not isinstance(here[key], (dict, list)) or data.draw(st.booleans()):
            break
        here = here[key]
    here[key] = data.draw(
        st.sampled_from(
            [None, True, 0, -1, 10**400, 1e308, "", "P1", [], {}, [[]], [1, 2], {"a": 1}, [None], [[0, 0], [1, 1]]]
        )
    )
    path = write(tmp_path_factory.mktemp("plan"), json.dumps(tree), "plan.json")
    try:
        load_plan(path)
    except InputError as error:
        assert error.faults
