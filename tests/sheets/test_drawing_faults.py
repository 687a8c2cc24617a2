"""Faults found by reading drawings back and by stopping the folder writer halfway."""

from __future__ import annotations

import os
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest
from ezdxf._options import options

from stripplan.errors import InputError
from stripplan.sheets import folder
from stripplan.sheets.draw import text_width
from stripplan.sheets.dxf import job_drawing, plain, plate_drawing
from stripplan.sheets.plan_json import plan_text

from .test_drawings import read, specimen, tool

Rename = Callable[[Path, Path], Path]


def renames_fail(monkeypatch: pytest.MonkeyPatch, failing: range, error: BaseException) -> None:
    """Let the renames with these numbers, from 1, raise `error`."""
    real: Rename = Path.rename
    calls: list[Path] = []

    def rename(self: Path, to: Path) -> Path:
        calls.append(to)
        if len(calls) in failing:
            raise error
        return real(self, to)

    monkeypatch.setattr(Path, "rename", rename)


def test_an_interrupt_during_the_exchange_keeps_the_old_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Ctrl-C between the two renames leaves the old folder in its place and nothing beside it."""
    target = tmp_path / "out"
    folder.write_all(specimen(), target)
    renames_fail(monkeypatch, range(2, 3), KeyboardInterrupt())
    with pytest.raises(KeyboardInterrupt):
        folder.write_all(specimen("in"), target)
    monkeypatch.undo()
    assert (target / "plan.json").read_text(encoding="utf-8") == plan_text(specimen())
    assert [each.name for each in tmp_path.iterdir()] == ["out"]


def test_an_old_folder_that_cannot_come_back_is_kept_and_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """If even putting back fails, the old result still exists and the error says where."""
    target = tmp_path / "out"
    folder.write_all(specimen(), target)
    renames_fail(monkeypatch, range(2, 9), OSError(13, "Permission denied"))
    with pytest.raises(InputError) as caught:
        folder.write_all(specimen("in"), target)
    monkeypatch.undo()
    (kept,) = tmp_path.rglob("plan.json")
    assert kept.read_text(encoding="utf-8") == plan_text(specimen())
    assert str(kept.parent) in str(caught.value)


@pytest.mark.parametrize("name", ["plate-Pmine.svg", "plan.json"])
def test_a_folder_with_a_name_of_ours_is_foreign(tmp_path: Path, name: str) -> None:
    """A person's folder is never deleted because of how it is called."""
    mine = tmp_path / "out" / name / "letter.txt"
    mine.parent.mkdir(parents=True)
    mine.write_text("mine")
    with pytest.raises(InputError, match=name):
        folder.write_all(specimen(), tmp_path / "out")
    assert mine.read_text() == "mine"


def test_a_name_too_long_is_a_plain_error(tmp_path: Path) -> None:
    """What the system refuses to look up is said as any other fault of input."""
    with pytest.raises(InputError, match="too long"):
        folder.write_all(specimen(), tmp_path / ("a" * 300))


def test_letters_beyond_four_digits_are_replaced() -> None:
    """R2000 has no escape for them: a `?` rather than stray digits; others stay."""
    assert plain("lid \N{GRINNING FACE} Ł") == "lid ? Ł"


def test_writing_leaves_the_librarys_settings_alone() -> None:
    """Fixed identifiers are asked for while a drawing is made, not for the rest of the program."""
    before = options.write_fixed_meta_data_for_testing
    plate_drawing(specimen(), "P1")
    assert options.write_fixed_meta_data_for_testing == before is False


@pytest.mark.parametrize(("units", "paper"), [("mm", (420.0, 297.0)), ("in", (16.535433, 11.692913))])
def test_paper_is_a3_in_the_drawings_units(units: str, paper: tuple[float, float]) -> None:
    """The limits are 420 x 297 mm, also where the drawing counts inches."""
    header = read(job_drawing(specimen(units))).header
    assert tuple(header["$PLIMMAX"])[:2] == pytest.approx(paper, abs=1e-6)


def test_an_inch_drawing_prints_on_a_sheet(tmp_path: Path) -> None:
    """LibreCAD makes a page of A3 of an inch drawing, within 2 mm, not one of ten metres."""
    if not (tool("librecad") and tool("pdfinfo")):
        return
    (tmp_path / "p.dxf").write_bytes(job_drawing(specimen("in")))
    env = {**os.environ, "QT_QPA_PLATFORM": "offscreen", "HOME": str(tmp_path)}
    command = ["timeout", "40", "librecad", "dxf2pdf", "-a", "-t", str(tmp_path / "out"), str(tmp_path / "p.dxf")]
    subprocess.run(command, env=env, check=True, capture_output=True, cwd=tmp_path)
    said = subprocess.run(["pdfinfo", "out/p.pdf"], cwd=tmp_path, check=True, capture_output=True, text=True).stdout
    words = next(line for line in said.splitlines() if line.startswith("Page size")).split()
    assert sorted([float(words[2]), float(words[4])]) == pytest.approx([842, 1191], abs=6)


# Advances of DejaVu Sans over its height of capitals (1493 units), read from the font's own tables.
@pytest.mark.parametrize(
    ("letter", "width"), [("0", 0.873), ("W", 1.357), ("M", 1.184), ("m", 1.336), ("H", 1.032), ("日", 1.372)]
)
def test_labels_allow_for_the_width_of_letters(letter: str, width: float) -> None:
    """The width reckoned for a letter is at least the font's own, a full-width letter being one em."""
    assert text_width(letter) >= width
