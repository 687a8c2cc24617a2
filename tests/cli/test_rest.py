"""The job for what is left, from the command line."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from stripplan import load_job, plan
from stripplan.sheets.plan_json import plan_text
from tests.cli.running import called

JOB = """name = "shelf"
[[plate]]
name = "sheet"
length = 1000
width = 300
thickness = 6
material = "mild steel"
quantity = 2
[[part]]
name = "bar"
width = 50
length = 400
quantity = 3
"""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A job and its plan."""
    there = tmp_path_factory.mktemp("rest")
    (there / "job.toml").write_text(JOB, encoding="utf-8")
    (there / "plan.json").write_text(plan_text(plan(*load_job(there / "job.toml"))), encoding="utf-8")
    return there


def test_what_is_left_is_printed_as_a_job_that_can_be_planned(folder: Path) -> None:
    """Nothing cut: the same parts; with a piece spoilt the job is another and can be read."""
    again = tomllib.loads(called("rest", "job.toml", "plan.json", folder=folder).stdout)
    assert [(each["name"], each["quantity"]) for each in again["part"]] == [("bar", 3)]
    out = called("rest", "job.toml", "plan.json", "--done", "1", "--spoilt", "2:none", folder=folder).stdout
    (folder / "again.toml").write_text(out, encoding="utf-8")
    job, _ = load_job(folder / "again.toml")
    assert any(each.name.endswith("of the plan before") for each in job.plates)
    some = ("--spoilt", "1:left:200x90", "--spoilt", "1:right")  # both are lost, and of one something is left
    again = tomllib.loads(called("rest", "job.toml", "plan.json", *some, folder=folder).stdout)
    assert ["200 mm", "90 mm"] in [[each["length"], each["width"]] for each in again["plate"] if each.get("measured")]
    assert len(again["plate"]) == 2


@pytest.mark.parametrize("given", [
    ("--done", "0"), ("--done", "7-3"), ("--done", "one"), ("--spoilt", "1:top"), ("--spoilt", "999"),
    ("--spoilt", "1:both:20x20"),
])  # fmt: skip
def test_a_cut_that_the_plan_has_not_is_refused_with_those_it_has(folder: Path, given: tuple[str, str]) -> None:
    """The option, what was given, and what may be."""
    made = called("rest", "job.toml", "plan.json", *given, folder=folder)
    assert made.returncode == 2
    assert made.stderr.startswith(given[0])
    assert repr(given[1]) in made.stderr
    assert "1 to " in made.stderr
