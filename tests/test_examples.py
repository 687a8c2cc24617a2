"""Examples run, and what is committed of their output is what they write."""

from __future__ import annotations

import json
import runpy
from pathlib import Path
from typing import Any

import pytest

from tests.renew_examples import EXAMPLES, ROOT, renew

LONG = ("brackets", "stand", "workshop")
"""Examples whose search is long; the others show the same files, and CI runs all."""
STALE = "stale: run python -m tests.renew_examples, and look at what changed"


@pytest.mark.parametrize(
    "name", [pytest.param(each, marks=pytest.mark.slow) if each in LONG else each for each in EXAMPLES]
)
def test_committed_output_is_fresh(tmp_path: Path, name: str) -> None:
    """Every file is byte for byte what the example writes, and there is no other file."""
    fresh = renew(name, tmp_path)
    committed = {path.name: path for path in (ROOT / "output" / name).glob("*")}
    assert set(committed) == {path.name for path in fresh.iterdir()}, STALE
    stale = [key for key, path in committed.items() if path.read_bytes() != (fresh / key).read_bytes()]
    assert stale == [], STALE


@pytest.mark.parametrize("name", [each for each in EXAMPLES if (ROOT / "examples" / f"{each}.toml").exists()])
def test_examples_make_all_parts(name: str) -> None:
    """Each example is a sound job: all parts made."""
    plan = committed_plan(name)
    assert [part["name"] for part in plan["parts"] if part["made"] != part["wanted"]] == []


def test_examples_show_what_the_readme_says() -> None:
    """Strips from one plate; rectangles, strips and an offcut; 236 parts of 34 sizes on plates of several prices."""
    strips, brackets, workshop = (committed_plan(name) for name in ("strips", "brackets", "workshop"))
    assert strips["totals"]["plates"] == 1
    assert all(part["size_wanted"][1] is None for part in strips["parts"])
    assert "rack offcut" in {plate["stock"] for plate in brackets["plates"]}
    assert (len(workshop["parts"]), sum(part["made"] for part in workshop["parts"])) == (34, 236)
    assert len({plate["cost"] for plate in workshop["job"]["plates"]}) == 3


def committed_plan(name: str) -> dict[str, Any]:
    """plan.json of an example as it is committed; that it is fresh is shown above."""
    plan: dict[str, Any] = json.loads((ROOT / "output" / name / "plan.json").read_text(encoding="utf-8"))
    return plan


def test_library_example_runs(capsys: pytest.CaptureFixture[str]) -> None:
    """The example in Python prints a fence reading for each cut."""
    runpy.run_path(str(ROOT / "examples" / "plan_in_python.py"), run_name="__main__")
    printed = capsys.readouterr().out.splitlines()
    assert [line.split(":")[0] for line in printed if line.startswith("cut")] == [f"cut {n}" for n in range(1, 7)]
