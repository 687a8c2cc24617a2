"""Plans of the first edition, version 0.1.0, as that edition wrote them: they are read, are sound by its rules, and
print.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from stripplan.files.plan.read import load_plan
from stripplan.model.plan.plan import Plan
from stripplan.replay.verdict import replay
from stripplan.sheets import folder
from stripplan.sheets.plan_json import as_filed, plan_text
from stripplan.sheets.rows.plan_rows import plan_id, sheet
from tests.checking import few
from tests.cli.running import called

FILES = sorted((Path(__file__).parent / "first_edition").glob("*.json"))
IDS = {"bench": "f84dd5b2", "strips": "416bb335", "marked-dial": "90180cd7", "priced-two-passes": "25fd9253"}
"""As the first edition printed them on the sheet and on labels."""


@cache
def stored(name: str) -> Plan:
    """A stored plan."""
    return load_plan(next(each for each in FILES if each.stem == name))


def test_all_stored_plans_are_of_the_first_edition() -> None:
    """There is one with two passes and a quotation, one with marked cuts and a dial, one of strips,
    one of four parts.
    """
    assert {each.stem for each in FILES} == set(IDS)
    assert {stored(name).stripplan_version for name in IDS} == {"0.1.0"}
    assert any(len(cut.passes) == 2 for cut in stored("priced-two-passes").cuts)
    assert stored("priced-two-passes").quotation is not None
    assert any(cut.located == "marked" and cut.dial for cut in stored("marked-dial").cuts)
    assert len(stored("bench").parts) == 4


@pytest.mark.parametrize("name", IDS)
def test_it_is_sound_by_the_rules_of_its_edition(name: str) -> None:
    """Its minutes, pushes and warnings are those of its day; every cut lies in a run all the same."""
    made = stored(name)
    assert replay(made) == ()
    assert sum(run.count for run in made.runs) == len(made.cuts)
    assert replay(as_filed(made)) == ()


@pytest.mark.parametrize("name", few(2, ("marked-dial", "priced-two-passes", "bench", "strips")))
def test_it_prints_with_the_id_that_it_had(name: str, tmp_path: Path) -> None:
    """Sheet, list, drawings, pictures, labels; the id is still that on the paper of its day."""
    made = stored(name)
    assert plan_id(made) == IDS[name]
    written = {each.name: each for each in folder.write_all(made, tmp_path / name).files}
    plates = [f"plate-{plate.id}.{kind}" for plate in made.plates for kind in ("dxf", "svg")]
    assert set(written) >= {"cut-list.csv", "job.dxf", "plan.json", "setup-sheet.pdf", *plates}
    assert all(each.stat().st_size for each in written.values())
    assert plan_id(load_plan(written["plan.json"])) == IDS[name]


@pytest.mark.parametrize("name", few(1, IDS))
def test_the_commands_take_it(name: str, tmp_path: Path) -> None:
    """It is checked, labelled and drawn step by step from the command line."""
    file = next(each for each in FILES if each.stem == name)
    assert called("check", str(file), folder=tmp_path).returncode == 0
    assert called("labels", str(file), "--out", "labels.pdf", folder=tmp_path).returncode == 0
    assert called("pictures", str(file), "--out", "pictures", "--steps", folder=tmp_path).returncode == 0
    assert (tmp_path / "labels.pdf").stat().st_size
    assert len(list((tmp_path / "pictures").iterdir())) >= len(stored(name).cuts)


def test_it_is_not_held_to_rules_of_today() -> None:
    """The same plan under today's version is not sound:
    no end stop was proved, and pushing up took no longer for a heavy piece.
    """
    found = replay(replace(stored("strips"), stripplan_version="0.2.0"))
    assert {"dry_run", "minutes"} <= {each.code for each in found}


@pytest.mark.parametrize("name", IDS)
def test_it_is_written_as_its_edition_wrote_it(name: str) -> None:
    """What came later, and what is called otherwise now, is left out of its file again: not a byte is other."""
    file = next(each for each in FILES if each.stem == name)
    assert plan_text(stored(name)) == file.read_text(encoding="utf-8")


def test_its_seconds_for_dressing_are_those_of_scraping() -> None:
    """An edge was dressed by its length alone; people turned over what they could;
    figures that were assumed still are.
    """
    rig = stored("bench").rig
    assert (rig.seconds.scrape_per_m, rig.seconds.scrape_each, rig.hoist) == (45.0, 0.0, True)
    assert "seconds.scrape_per_m" in rig.assumed
    assert "scraping 45 s/m" in sheet(stored("bench")).assumed_times
