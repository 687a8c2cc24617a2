"""Faults found by reading drawings back and by stopping the folder writer halfway."""

from __future__ import annotations

import os
import subprocess
from pathlib import Path

import pytest
from ezdxf._options import options

from stripplan.errors import InputError
from stripplan.sheets import folder
from stripplan.sheets.dxf.drawing import job_drawing, plain, plate_drawing
from stripplan.sheets.picture.lettering import text_width
from tests.sheets.dxf.test_drawings import read, specimen, tool


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
