"""Commands that write: what a person keeps is never lost, and what they say goes out if it can."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from stripplan.cli.commands.plan import folder_name
from stripplan.cli.main import main
from stripplan.cli.streams import plain
from stripplan.errors import InputError
from stripplan.sheets.file_writer import LIST
from tests.checking import few
from tests.cli.killed import CASES, SMALL, Case, files_in
from tests.cli.running import ROOT, called, clean_environment

BENCH = ROOT / "output" / "bench" / "plan.json"


def do(*words: str) -> None:
    """The command, in this process."""
    main.main(list(words), prog_name="stripplan", standalone_mode=False)


@pytest.fixture
def work(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with a plan, in the folder that the command runs in."""
    monkeypatch.chdir(tmp_path)
    do(*SMALL)
    return tmp_path / "work"


def test_pictures_into_the_folder_of_the_plan_leave_the_plan(work: Path) -> None:
    """`pictures work/plan.json --out work` left nothing but the pictures."""
    before = files_in(work)
    do("pictures", "work/plan.json", "--out", "work")
    after = files_in(work)
    assert after.keys() - before.keys() == {"sequence-P1.svg"}
    assert {name: after[name] for name in before if name != LIST} == {
        name: before[name] for name in before if name != LIST
    }


def test_the_report_of_a_notebook_into_the_folder_of_a_plan_leaves_the_plan(work: Path) -> None:
    """As with pictures."""
    before = files_in(work)
    do("notebook", str(ROOT / "examples" / "shed-rig" / "notebook.toml"), "--out", "work")
    after = files_in(work)
    assert "notebook.pdf" in after
    assert {name: after[name] for name in before if name != LIST} == {
        name: before[name] for name in before if name != LIST
    }


def test_a_list_in_the_folder_to_be_written_is_not_replaced(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """`plan --list gate/cut-list.csv --out gate` wrote the cut list over the person's own list."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "gate").mkdir()
    (tmp_path / "gate" / "cut-list.csv").write_text("width,length,quantity\n100,200,2\n")
    before = files_in(tmp_path)
    with pytest.raises(InputError, match=r"gate/cut-list\.csv: this command reads it"):
        do("plan", "--plate", "600x400x6", "--list", "gate/cut-list.csv", "--out", "gate")
    assert files_in(tmp_path) == before


def test_a_rig_or_list_that_only_the_job_names_is_an_input_too(work: Path) -> None:
    """What a job file leads to is read by the command as much as the job file."""
    do("rig", "copy", "work/rig.toml")
    (work / "plan.json").unlink()
    (work / "rig.toml").rename(work / "plan.json")  # any name can be given to a rig file
    job = 'rig = "work/plan.json"\n[[plate]]\nlength = 600\nwidth = 400\n[[part]]\nwidth = 50\nquantity = 1\n'
    Path("job.toml").write_text(job)
    with pytest.raises(InputError, match=r"work/plan\.json: this command reads it"):
        do("plan", "job.toml", "--out", "work")


@pytest.mark.parametrize("name", ["job.dxf", "plate-P1.dxf", "plate-P7.svg"])
def test_a_file_that_is_called_like_one_of_ours_is_refused_before_the_search(
    tmp_path: Path, name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A person's own job.dxf went without a word."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "work").mkdir()
    (tmp_path / "work" / name).write_bytes(b"mine")
    monkeypatch.setattr("stripplan.planner.plan", lambda *_, **__: pytest.fail("a plan was sought"))
    with pytest.raises(InputError, match=name):
        do(*SMALL)
    assert files_in(tmp_path) == {f"work/{name}": b"mine"}


def test_a_file_that_begins_like_one_of_ours_stays(work: Path) -> None:
    """A person's own plate-Panel.dxf went when a plan was made again."""
    (work / "plate-Panel.dxf").write_bytes(b"mine")
    do(*SMALL)
    assert (work / "plate-Panel.dxf").read_bytes() == b"mine"


@pytest.mark.parametrize("out", ["plan.json", "job.dxf", "cut-list.csv"])
def test_a_sheet_is_not_written_over_a_plan_or_drawing(work: Path, out: str) -> None:
    """`sheet plan.json --out plan.json` wrote paper over the plan."""
    before = files_in(work)
    with pytest.raises(InputError, match=out):
        do("sheet", "work/plan.json", "--out", f"work/{out}")
    assert files_in(work) == before


def test_labels_and_sheets_are_made_again_with_other_choices(work: Path) -> None:
    """What the same command wrote is replaced without asking."""
    for words in (
        ("sheet", "work/plan.json", "--short"),
        ("sheet", "work/plan.json"),
        *(2 * [("labels", "work/plan.json")]),
    ):
        do(*words)
    do("labels", "work/plan.json", "--what", "parts")


def test_a_sheet_with_the_persons_own_marks_is_refused(work: Path) -> None:
    """Notes made in the PDF change its bytes: from then on it is the person's."""
    with (work / "setup-sheet.pdf").open("ab") as sheet:
        sheet.write(b"\n% a note\n")
    with pytest.raises(InputError, match=r"setup-sheet\.pdf: it was changed since"):
        do("sheet", "work/plan.json")
    with pytest.raises(InputError, match=r"setup-sheet\.pdf: it was changed since"):
        do(*SMALL)


@pytest.mark.long
def test_a_folder_of_an_earlier_edition_is_known_by_its_plan(work: Path) -> None:
    """No list: what the plan there gives again to the byte is ours, also on other paper;
    what it does not is the person's.
    """
    do(*SMALL, "--page", "letter", "--short-sheet", "--dxf", "R2010")
    (work / LIST).unlink()
    do("plan", "--plate", "600x400x6", "50x2", "--quiet", "--out", "work")
    (work / LIST).unlink()
    (work / "job.dxf").write_bytes(b"mine")
    with pytest.raises(InputError, match=r"job\.dxf"):
        do("plan", "--plate", "600x400x6", "60x2", "--quiet", "--out", "work")


@pytest.mark.long
def test_a_plan_alone_in_a_folder_is_the_persons(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """It may have come from anywhere: another program, a mail, the page's store."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "work").mkdir()
    shutil.copy(BENCH, tmp_path / "work" / "plan.json")
    with pytest.raises(InputError, match=r"plan\.json"):
        do(*SMALL)


def test_a_plate_of_any_name_stays_in_the_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A plan from elsewhere may call its plates anything: their files lie in the folder, under a name that can be."""
    monkeypatch.chdir(tmp_path)
    text = BENCH.read_text(encoding="utf-8").replace('"P1"', '"../../P:1"')
    (tmp_path / "plan.json").write_text(text, encoding="utf-8")
    do("pictures", "plan.json", "--out", "deep/er")
    assert set(files_in(tmp_path)) == {"plan.json", f"deep/er/{LIST}", "deep/er/sequence-P-1.svg"}


def test_a_full_disk_leaves_the_persons_own_profile(tmp_path: Path) -> None:
    """`rig copy --force` left a stump of it."""
    (tmp_path / "mine.toml").write_bytes(b"stroke = 900\n")
    script = (
        "import resource\n"
        "from stripplan.cli.main import run\n"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (500, 500))\n"
        "run()\n"
    )
    words = [sys.executable, "-B", "-c", script, "rig", "copy", "mine.toml", "--force"]
    done = subprocess.run(
        words, cwd=tmp_path, env=clean_environment(tmp_path), capture_output=True, text=True, check=False
    )
    assert (done.returncode, done.stderr.count("\n")) == (2, 1)
    assert "mine.toml" in done.stderr
    assert files_in(tmp_path) == {"mine.toml": b"stroke = 900\n"}


@pytest.mark.long
@pytest.mark.parametrize("stream", ["stdout", "stderr"])
def test_a_full_disk_under_the_output_does_not_stop_the_files(tmp_path: Path, stream: str) -> None:
    """What is said goes to a full disk: the files are written, and exit status 1 says that not all could be told."""
    with Path("/dev/full").open("wb") as nowhere:
        done = subprocess.run(
            [sys.executable, "-m", "stripplan", "plan", "--plate", "600x400x6", "50x2", "--out", "work"],
            cwd=tmp_path,
            env=clean_environment(tmp_path),
            stdout=nowhere if stream == "stdout" else subprocess.PIPE,
            stderr=nowhere if stream == "stderr" else subprocess.PIPE,
            text=True,
            check=False,
        )
    assert (tmp_path / "work" / "setup-sheet.pdf").is_file()
    assert done.returncode == (1 if stream == "stdout" else 0)
    assert stream == "stderr" or "No space left" in done.stderr


@pytest.mark.long
def test_a_reader_that_goes_away_does_not_stop_the_files(tmp_path: Path) -> None:
    """`plan ... | head -1` wrote nothing if the list was long enough."""
    read, write = os.pipe()
    os.close(read)
    done = subprocess.run(
        [sys.executable, "-m", "stripplan", "plan", "--plate", "600x400x6", "50x2", "--out", "work"],
        cwd=tmp_path,
        env=clean_environment(tmp_path),
        stdout=write,
        stderr=subprocess.PIPE,
        text=True,
        check=False,
    )
    os.close(write)
    assert (done.returncode, done.stderr) == (1, "")
    assert (tmp_path / "work" / "setup-sheet.pdf").is_file()


def test_control_characters_do_nothing_to_the_terminal(tmp_path: Path) -> None:
    """A file's name is shown with them spelt out: in faults, in notes, in what was written, in click's own words."""
    name = "a\x1b[2J\x07\u202eb"
    (tmp_path / f"{name}.csv").write_text("width,quantity\n50,2\n")
    said = [
        called("plan", f"{name}.toml", folder=tmp_path),
        called("rig", "copy", f"{name}.toml", folder=tmp_path),
        called("plan", "--plate", "600x400x6", "--list", f"{name}.csv", "--out", f"{name}.d", folder=tmp_path),
        called("plan", f"--{name}", folder=tmp_path),
    ]
    text = "".join(done.stdout + done.stderr for done in said)
    assert not set("\x1b\x07\u202e") & set(text)
    assert text.count("\\x1b[2J\\x07\\u202eb") >= 4


def test_plain_text_is_left_as_it_is() -> None:
    """Names of every script go through; a line end inside a name is spelt out."""
    assert plain("Łącznik ½ שלום 日本") == "Łącznik ½ שלום 日本"
    assert plain("a\nb\rc") == "a\\nb\\rc"


# names of devices on Windows: https://learn.microsoft.com/windows/win32/fileio/naming-a-file, from memory
@pytest.mark.parametrize(
    ("job", "folder"), [("CON", "con-1"), ("nul", "nul-1"), ("Com1", "com1-1"), ("console", "console")]
)
def test_a_job_called_like_a_device_gets_another_folder(job: str, folder: str) -> None:
    """A folder of that name cannot be made on some machines."""
    assert folder_name(job) == folder


SOME = [case for case in reversed(CASES) if case.name in ("plan again", "pictures", "tick once more")]


@pytest.mark.long
@pytest.mark.parametrize("case", few(1, SOME), ids=lambda case: case.name)
def test_killed_while_writing_nothing_is_lost(case: Case) -> None:
    """Two points of a command, in a process of its own; all commands, many points: `python -m tests.cli.killed`."""
    words = [
        sys.executable,
        "-c",
        (
            "import random; from tests.cli.killed import CASES, try_points; "
            f"print(try_points(CASES[{CASES.index(case)}], 2, random.Random(5)))"
        ),
    ]
    done = subprocess.run(words, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr[-2000:]
    assert done.stdout.split()[-1] == "2"
