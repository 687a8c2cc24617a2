"""The shell command as a person runs it: a subprocess, its exit status, what it says."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

GOOD = """
[[plate]]
length = 1000
width = 500
thickness = 6
material = "mild steel"
[[part]]
name = "bar"
width = 40
quantity = 3
"""


def run(folder: Path, *words: str, **env: str) -> subprocess.CompletedProcess[str]:
    """Run stripplan in a folder."""
    root = str(Path(__file__).parents[2])
    path = os.pathsep.join(filter(None, [root, os.environ.get("PYTHONPATH", "")]))
    return subprocess.run(
        [sys.executable, "-m", "stripplan", *words],
        cwd=folder, capture_output=True, text=True, timeout=120, env={**os.environ, "PYTHONPATH": path, **env}, check=False,
    )  # fmt: skip


def test_words_to_folder(tmp_path: Path) -> None:
    """A plate and a list typed on the command line give every file, and the list is echoed with its total."""
    done = run(tmp_path, "plan", "--plate", "1000x500x6", "40x3", "foot=60x120x4", "--out", "here")
    assert done.returncode == 0, done.stderr
    assert {each.name for each in (tmp_path / "here").iterdir()} == {
        "plan.json", "setup-sheet.pdf", "cut-list.csv", "job.dxf", "plate-P1.dxf", "plate-P1.svg",
    }  # fmt: skip
    assert "foot" in done.stdout
    assert "in all" in done.stdout
    assert run(tmp_path, "check", "here/plan.json").returncode == 0


def test_same_job_same_bytes(tmp_path: Path) -> None:
    """Two runs write identical files."""
    (tmp_path / "job.toml").write_text(GOOD)
    for out in ("one", "two"):
        assert run(tmp_path, "plan", "job.toml", "--out", out).returncode == 0
    for each in (tmp_path / "one").iterdir():
        assert each.read_bytes() == (tmp_path / "two" / each.name).read_bytes(), each.name


def test_json_is_all_that_is_printed(tmp_path: Path) -> None:
    """With --json stdout is the plan and nothing else; no file is written."""
    (tmp_path / "job.toml").write_text(GOOD)
    done = run(tmp_path, "plan", "job.toml", "--json")
    assert json.loads(done.stdout)["schema"] == "stripplan/plan/1"
    assert [each.name for each in tmp_path.iterdir()] == ["job.toml"]


BAD = [
    (GOOD.replace("width = 40", "wide = 40"), 2, "this key is not known"),
    (GOOD.replace("width = 40", "width = -40"), 2, "below 0"),
    (GOOD.replace("width = 40", "width = nan"), 2, "no finite number"),
    (GOOD.replace("quantity = 3", "quantity = 1000000000"), 2, "quantity"),
    (GOOD + "[[plate]]\nname = 'b'\nlength = 800\nwidth = 500\n", 2, "give the part a length"),
    (GOOD.replace("length = 1000", "cost = 5\nlength = 1000") + "[[plate]]\nname = 'b'\nlength = 1000\nwidth = 500\n", 2, "prices are mixed"),
    (GOOD.replace("thickness = 6", "thickness = 7"), 2, "the rig has no process for mild steel 7 mm"),
    (GOOD.replace("width = 40", "width = 600"), 3, "bigger than any plate"),
    (GOOD.replace("width = 500", "width = 500\nquantity = 1").replace("width = 40", "width = 300"), 3, "the stock is used up"),
    (GOOD.replace("length = 1000", "length = 9000"), 3, "cut across its plates|sliver"),
    ("", 2, "the file is empty"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "status", "words"), BAD, ids=[each[2][:20] for each in BAD])
def test_bad_jobs(tmp_path: Path, text: str, status: int, words: str) -> None:
    """One plain message, the right exit status, no traceback, nothing written."""
    (tmp_path / "job.toml").write_text(text)
    done = run(tmp_path, "plan", "job.toml", "--out", "here")
    assert done.returncode == status, done.stderr
    assert any(word in done.stderr for word in words.split("|"))
    assert "Traceback" not in done.stderr
    assert [each.name for each in tmp_path.iterdir()] == ["job.toml"]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("plan",), "give a job file, or --plate with parts"),
        (("plan", "nowhere.toml"), "there is no such file"),
        (("plan", "."), "give a job file, or --plate"),
        (("plan", "--plate", "1000x500", "50x6x7x8"), "WIDTHxQUANTITY"),
        (("plan", "--plate", "1000", "50x6"), "LENGTHxWIDTH"),
        (("plan", "--plate", "1000x500x6", "--list", "nowhere.csv"), "there is no such file"),
        (("check", "nowhere.json"), "there is no such file"),
        (("guide", "nowhere"), "no such page"),
        (("no-such-command",), "No such command"),
    ],
)
def test_bad_words(tmp_path: Path, words: tuple[str, ...], said: str) -> None:
    """Arguments that cannot be understood: status 2 and what would mend it."""
    done = run(tmp_path, *words)
    assert done.returncode == 2, done.stderr
    assert said in done.stderr
    assert "Traceback" not in done.stderr


def test_partial_plan_names_what_is_missing(tmp_path: Path) -> None:
    """With --partial the rest is planned, the part that cannot be made is named."""
    (tmp_path / "job.toml").write_text(GOOD + "[[part]]\nname = 'wing'\nwidth = 700\n")
    done = run(tmp_path, "plan", "job.toml", "--out", "here", "--partial")
    assert done.returncode == 0
    assert "wing" in done.stdout
    assert (tmp_path / "here" / "plan.json").exists()


def test_foreign_folder_is_left_alone(tmp_path: Path) -> None:
    """A folder that holds anything else is not replaced."""
    (tmp_path / "job.toml").write_text(GOOD)
    (tmp_path / "here").mkdir()
    (tmp_path / "here" / "letter.txt").write_text("mine")
    done = run(tmp_path, "plan", "job.toml", "--out", "here")
    assert done.returncode == 2
    assert "letter.txt" in done.stderr
    assert [each.name for each in (tmp_path / "here").iterdir()] == ["letter.txt"]


def test_a_spoilt_plan_is_found(tmp_path: Path) -> None:
    """A plan file with one figure changed by hand: check says which cut, and leaves with status 2."""
    (tmp_path / "job.toml").write_text(GOOD)
    plan = json.loads(run(tmp_path, "plan", "job.toml", "--json").stdout)
    plan["cuts"][1]["fence_offset"] += 2
    (tmp_path / "plan.json").write_text(json.dumps(plan))
    done = run(tmp_path, "check", "plan.json")
    assert done.returncode == 2
    assert "cut 2" in done.stderr.lower()


def test_rig_copy_reads_back_and_is_not_written_over(tmp_path: Path) -> None:
    """The built-in profile can be copied, used, and is not written over without being told."""
    assert run(tmp_path, "rig", "copy", "mine.toml").returncode == 0
    assert run(tmp_path, "rig", "copy", "mine.toml").returncode == 2
    assert run(tmp_path, "plan", "--plate", "1000x500x6", "40x3", "--rig", "mine.toml", "--quiet").returncode == 0
    assert run(tmp_path, "rig", "show").stdout == (tmp_path / "mine.toml").read_text()


@pytest.mark.parametrize("which", ["job", "rig"])
def test_schema_is_json(tmp_path: Path, which: str) -> None:
    """Schemas are printed as JSON."""
    assert json.loads(run(tmp_path, "schema", which).stdout)["type"] == "object"
