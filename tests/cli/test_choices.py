"""`stripplan plan --choices`: the table, what is made, the question at a terminal."""

from __future__ import annotations

import json
import os
import pty
import subprocess
import sys
from pathlib import Path

import pytest

from tests.cli.running import SECONDS, begun, called, files_in

JOB = (
    "plan",
    "--plate",
    "800x600x6",
    "--plate",
    "600x300x6",
    "120x210x4",
    "85x140x5",
    "--steps",
    "750",
)


@pytest.fixture(scope="module")
def found(tmp_path_factory: pytest.TempPathFactory) -> list[dict[str, object]]:
    """The choices of the job as data; nothing is written."""
    folder = tmp_path_factory.mktemp("offered")
    done = called(*JOB, "--choices", "--json", folder=folder)
    assert done.returncode == 0, done.stderr
    assert files_in(folder) == set()
    record = json.loads(done.stdout)
    assert (record["schema"], record["currency"]) == ("stripplan/choices/1", "kg of steel")
    made: list[dict[str, object]] = record["choices"]
    return made


def cuts_made(folder: Path) -> int:
    """Cuts of the plan in a folder."""
    return len(json.loads((folder / "plan.json").read_text())["cuts"])


def test_json_prints_the_choices_and_writes_nothing(found: list[dict[str, object]]) -> None:
    """The table as data: numbers from 1, the first the default, figures that add up; no folder is written."""
    assert [each["number"] for each in found] == list(range(1, len(found) + 1))
    assert [each["default"] for each in found] == [True] + [False] * (len(found) - 1)
    assert all(each["buys"] for each in found)


@pytest.mark.long
def test_the_table_is_shown_and_the_default_is_made(tmp_path: Path, found: list[dict[str, object]]) -> None:
    """With no terminal to ask at, a row and a sentence for each stand on the screen, and the first is written."""
    done = called(*JOB, "--choices", "--out", "o", folder=tmp_path)
    assert done.returncode == 0, done.stderr
    assert "1 *" in done.stdout
    assert all(f"{each['number']}  {each['buys']}" in done.stdout for each in found)
    assert "made: 1\n" in done.stdout
    assert cuts_made(tmp_path / "o") == found[0]["cuts"]


@pytest.mark.long
def test_choose_makes_that_one(tmp_path: Path, found: list[dict[str, object]]) -> None:
    """--choose writes the plan of that number, with --json too."""
    last = found[-1]
    done = called(*JOB, "--choose", str(last["number"]), "--json", "--out", "o", folder=tmp_path)
    assert done.returncode == 0, done.stderr
    assert len(json.loads(done.stdout)["cuts"]) == cuts_made(tmp_path / "o") == last["cuts"]


@pytest.mark.long
def test_a_number_that_is_none_writes_nothing(tmp_path: Path) -> None:
    """There is no choice 99: exit status 2, and no folder."""
    done = called(*JOB, "--choose", "99", "--quiet", folder=tmp_path)
    assert done.returncode == 2
    assert "there is no choice 99" in done.stderr
    assert files_in(tmp_path) == set()


def test_the_table_as_data_makes_no_plan(tmp_path: Path) -> None:
    """--choices --json beside --choose or --out is refused: it makes no plan."""
    for more in (("--choose", "1"), ("--out", "o")):
        done = called(*JOB, "--choices", "--json", *more, folder=tmp_path)
        assert done.returncode == 2
        assert "makes no plan" in done.stderr


@pytest.mark.long
def test_a_person_at_a_terminal_is_asked(tmp_path: Path, found: list[dict[str, object]]) -> None:
    """Where stdin is a terminal the number is asked for, and the one that is typed is made."""
    last = found[-1]
    assert last["number"] != 1
    person, program_side = pty.openpty()
    command = (sys.executable, "-m", "stripplan", *JOB, "--choices", "--out", "o")
    how = {"stdin": program_side, "stdout": subprocess.PIPE, "stderr": subprocess.PIPE}
    with begun(*command, folder=tmp_path, **how) as program:
        os.write(person, f"99\n{last['number']}\n".encode())
        out, err = program.communicate(timeout=SECONDS)
    assert program.returncode == 0, err
    assert f"made: {last['number']}\n" in out.decode()
    assert cuts_made(tmp_path / "o") == last["cuts"]
