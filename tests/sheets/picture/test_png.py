"""Pictures as PNG, looked at pixel by pixel."""

from __future__ import annotations

import io
import shutil
import subprocess
from dataclasses import replace
from pathlib import Path

import pytest
from PIL import Image, ImageChops

from stripplan.sheets.picture.on_plate.plate import plate_picture
from stripplan.sheets.picture.png import MOST, png
from stripplan.sheets.picture.svg import paint
from tests.sheets.rows.test_rows import frame_plan

SQUARE = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide} {high}"><rect width="10" height="10" '
    'fill="#D55E00"/></svg>'
)


def opened(data: bytes) -> Image.Image:
    """The pixels of a PNG."""
    return Image.open(io.BytesIO(data)).convert("RGB")


def test_colour_and_size_are_those_of_the_svg() -> None:
    """A square that fills its view fills the picture with its colour."""
    picture = opened(png(SQUARE.format(wide=10, high=10), width=64))
    assert picture.size == (64, 64)
    assert {picture.getpixel((x, y)) for x in range(64) for y in range(64)} == {tuple(bytes.fromhex("D55E00"))}


def test_a_plate_looks_as_another_painter_paints_it(tmp_path: Path) -> None:
    """librsvg, an independent painter, puts ink where we do, letters and hatching apart:
    99 % of pixels within a quarter of full scale.
    """
    if not shutil.which("rsvg-convert"):
        return
    picture = plate_picture(frame_plan(), "P1")
    plain = tuple(each for each in picture.outlines if each.layer != "OFFCUT")
    svg = paint(replace(picture, outlines=plain, texts=(), positions=(), bubbles=(), dimensions=()))
    (tmp_path / "p.svg").write_text(svg, encoding="utf-8")
    subprocess.run(["rsvg-convert", "-w", "800", "-o", "p.png", "p.svg"], cwd=tmp_path, check=True)
    ours, theirs = opened(png(svg, width=800)), Image.open(tmp_path / "p.png").convert("RGB")
    assert abs(ours.height - theirs.height) <= 1
    box = (0, 0, 800, min(ours.height, theirs.height))
    histogram = ImageChops.difference(ours.crop(box), theirs.crop(box)).convert("L").histogram()
    assert sum(histogram[:64]) >= 0.99 * sum(histogram)


@pytest.mark.parametrize("width", [0, -5, 10_001])
def test_a_width_that_cannot_be_is_refused(width: int) -> None:
    """No picture without a pixel, none wider than its limit; the sentence names both."""
    with pytest.raises(ValueError, match="10,000"):
        png(SQUARE.format(wide=10, high=10), width=width)


def test_a_very_long_picture_is_painted_smaller(monkeypatch: pytest.MonkeyPatch) -> None:
    """A sliver of a plate upright would need gigabytes at full width; its pixels stay within the limit."""
    assert MOST == 50_000_000
    monkeypatch.setattr("stripplan.sheets.picture.png.MOST", 500_000)
    picture = opened(png(SQUARE.format(wide=10, high=10_000), width=1600))
    assert 400_000 < picture.width * picture.height <= 500_000


def test_letters_need_no_font_of_the_machine() -> None:
    """Words put ink on the picture though no font but ours is looked for."""
    words = (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 200 40" font-family="DejaVu Sans, Arial, '
        'sans-serif"><text y="30" font-size="30">Träger</text></svg>'
    )
    assert min(opened(png(words, width=200)).convert("L").tobytes()) < 200
