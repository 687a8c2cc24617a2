"""Answers as data: one object and nothing else, with keys that the reference names."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from stripplan.files.rig.read import load_rig
from stripplan.model.plan.record import from_record
from stripplan.model.rig import Rig
from tests.cli.running import called
from tests.renew_examples import ROOT

REFERENCE = (ROOT / "stripplan" / "guide" / "reference.md").read_text(encoding="utf-8")
TOLD = set(re.findall(r"`(\w+)`", REFERENCE.split("### Answers as data")[1].split("\n#")[0]))
COMMANDS = {
    "check": ("check", "plan.json"),
    "list": ("check", "workshop.csv"),
    "notebook-report": ("notebook", "--rig", "shed-rig/rig.toml"),
    "rig-profile": ("rig", "show", "--rig", "shed-rig/rig.toml"),
    "why": ("why", "plan.json", "7"),
    "why-instead": ("why", "plan.json", "7", "--instead"),
}
DATA = {"rig", "parts", "facts"}
"""Keys below which stands what is told elsewhere."""


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """A folder with a plan, a list, and a rig with its notebook."""
    shutil.copy(ROOT / "output" / "bench" / "plan.json", tmp_path)
    shutil.copy(ROOT / "examples" / "workshop.csv", tmp_path)
    shutil.copytree(ROOT / "examples" / "shed-rig", tmp_path / "shed-rig")
    return tmp_path


def keys(value: Any) -> Iterator[str]:
    """Every key of an object, down to what is told elsewhere."""
    if isinstance(value, dict):
        for key, each in value.items():
            yield key
            if key not in DATA:
                yield from keys(each)
    elif isinstance(value, list):
        for each in value:
            yield from keys(each)


@pytest.mark.parametrize("name", COMMANDS)
def test_each_answer_is_one_object_and_is_told(shop: Path, name: str) -> None:
    """Its schema is named after the answer, and the reference names schema and keys."""
    done = called(*COMMANDS[name], "--json", folder=shop)
    record = json.loads(done.stdout)
    assert (done.returncode, done.stderr) == (0, "")
    schema = f"stripplan/{name.removesuffix('-instead')}/1"
    assert record["schema"] == schema
    assert f"`{schema}`" in REFERENCE
    assert set(keys(record)) - TOLD - {"schema"} == set()


def test_a_plan_that_is_not_sound_is_told_as_data(shop: Path) -> None:
    """Status 2, not sound, and each fault with its code; a file that is not there is told so too."""
    made = json.loads((shop / "plan.json").read_text())
    made["cuts"][3]["fence_reading"] += 5
    (shop / "spoilt.json").write_text(json.dumps(made))
    for file, code in (("spoilt.json", "reading"), ("nowhere.json", "no_file")):
        done = called("check", file, "--json", folder=shop)
        record = json.loads(done.stdout)
        assert (done.returncode, record["sound"], done.stderr) == (2, False, "")
        assert code in {each["code"] for each in record["faults"]}


def test_a_profile_comes_back_as_it_was_read(shop: Path) -> None:
    """The rig as data is the rig."""
    done = called("rig", "show", "--rig", "shed-rig/rig.toml", "--json", folder=shop)
    assert from_record(Rig, json.loads(done.stdout)["rig"]) == load_rig(shop / "shed-rig" / "rig.toml")


def test_reasons_as_data_are_those_in_words(shop: Path) -> None:
    """The same cuts, the same sentences; the cut that it must follow as a number."""
    words = called("why", "plan.json", folder=shop).stdout.splitlines()
    record = json.loads(called("why", "plan.json", "--json", folder=shop).stdout)
    assert [each["text"] for each in record["cuts"]] == words
    assert record["cuts"][1]["facts"]["made_by"] == 1
