"""`stripplan notebook`: the report on the screen and in a folder, and its exit status."""

from __future__ import annotations

import shutil
from pathlib import Path

import pypdf
import pytest

from tests.cli.running import ROOT, called

SHED = ROOT / "examples" / "shed-rig"


@pytest.fixture
def shed(tmp_path: Path) -> Path:
    """A copy of the example's rig and notebook."""
    return Path(shutil.copytree(SHED, tmp_path / "shed"))


def test_the_report_says_what_to_set_and_what_to_cut_next(shed: Path) -> None:
    """Marks of the dial, the kerf, the fence's zero, the window of speeds and what plans use are on the screen."""
    said = called("notebook", "--rig", str(shed / "rig.toml"), folder=shed.parent)
    assert said.returncode == 0
    for words in (
        "steel-6  600     7.19",
        "Kerf",
        "zero 0.49",
        "Good speeds probably from",
        "What plans use",
        "Shim the home end",
    ):
        assert words in said.stdout, words


def test_a_notebook_may_be_named_beside_the_built_in_rig(shed: Path) -> None:
    """The built-in profile has a steel-6 and a steel-8 too; figures of its own processes are told."""
    said = called("notebook", str(shed / "notebook.toml"), folder=shed.parent)
    assert said.returncode == 0
    assert "stainless-6" in said.stdout


@pytest.mark.long
def test_paper_and_charts_go_into_a_folder(shed: Path) -> None:
    """The report on paper says what the screen says; each chart is a picture; what else lies there stays."""
    out = shed.parent / "report"
    said = called(
        "notebook", "--rig", str(shed / "rig.toml"), "--out", str(out), "--page", "letter", folder=shed.parent
    )
    assert said.returncode == 0
    names = {each.name for each in out.iterdir()}
    assert names == {
        ".stripplan.json", "notebook.pdf", "chart-dial.svg", "chart-kerf.svg", "chart-fence.svg", "chart-height-1.svg",
        "chart-speed-steel-6.svg",
    }  # fmt: skip
    pages = pypdf.PdfReader(out / "notebook.pdf").pages
    assert pages[0].mediabox[2:] == [612, 792]
    assert "Shim the home end by 0.6 mm" in " ".join(" ".join(page.extract_text() for page in pages).split())
    (out / "mine.txt").write_text("x")
    assert called("notebook", "--rig", str(shed / "rig.toml"), "--out", str(out), folder=shed.parent).returncode == 0
    assert {each.name for each in out.iterdir()} == names | {"mine.txt"}


def test_rows_that_cannot_be_are_named_and_the_rest_is_told(shed: Path) -> None:
    """A negative kerf: exit status 2, the row and its figures named; the dial is worked out all the same."""
    (shed / "kerf.csv").write_text("process,before,after 1,after 2\nsteel-6,100,50,48.4\nsteel-6,100,51,50\n")
    said = called("notebook", "--rig", str(shed / "rig.toml"), folder=shed.parent)
    assert said.returncode == 2
    assert "Cannot be worked out: tests of steel-6, counted by themselves: row 2" in said.stdout
    assert "steel-6  600     7.19" in said.stdout
    job = shed / "job.toml"
    job.write_text('rig = "rig.toml"\n[[plate]]\nlength = 800\nwidth = 400\nthickness = 6\n[[part]]\nwidth = 50\n')
    planned = called("plan", str(job), folder=shed.parent)
    assert planned.returncode == 2
    assert "kerf_test: tests of steel-6, counted by themselves: row 2" in planned.stderr


def test_a_column_that_is_missing_is_named(shed: Path) -> None:
    """What a list must hold, in the words of the reference."""
    (shed / "cuts.csv").write_text("process,dross\nsteel-6,none\n")
    said = called("notebook", "--rig", str(shed / "rig.toml"), folder=shed.parent)
    assert said.returncode == 2
    assert "cuts.csv row 1: no column holds the travel speed" in said.stderr


def test_rows_are_written_corrected_and_left_out_all_or_none(shed: Path) -> None:
    """The report is that of the changed notebook; a row that cannot be leaves all as it was."""
    book = shed / "notebook.toml"
    before = book.read_bytes()
    rows = ("--add", "timed_run mark=3 distance=500 seconds=2:10.5", "--change", "timed_run 2 note='with care'")
    said = called("notebook", str(book), "--rig", str(shed / "rig.toml"), *rows, folder=shed.parent)
    assert said.returncode == 0, said.stderr
    assert "8 runs at 6 marks" in said.stdout
    assert book.read_bytes().startswith(before[:100])
    assert b'note = "with care"\n' in book.read_bytes()
    assert (shed / "notebook.toml.bak").read_bytes() == before
    after = book.read_bytes()
    for wrong, words in (
        ("timed_rum mark=3", "did you mean timed_run?"),
        ("timed_run mark=3 distance=soon seconds=1:5", "is no time"),
        ("fence_check reading=100 width=9.96", "one figure is mistyped"),
        ("kerf_test process=steel-7 before=100 after=50 after=51", "a cut takes metal away"),
    ):
        refused = called(
            "notebook", str(book), "--rig", str(shed / "rig.toml"), "--ignore", "timed_run 1", "--add", wrong,
            folder=shed.parent,
        )  # fmt: skip
        assert refused.returncode == 2
        assert words in refused.stderr, refused.stderr
        assert book.read_bytes() == after
