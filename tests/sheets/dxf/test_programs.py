"""Our drawings in drawing programs: what LibreCAD draws lies on what our own picture shows, what FreeCAD reads is
exact.
"""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
from pathlib import Path
from typing import Any, get_args

import numpy as np
import pytest

from stripplan.model.plan.plan import Plan
from stripplan.sheets.dxf.drawing import DxfVersion, job_drawing, plate_drawing
from stripplan.sheets.picture.svg import plate_picture
from tests.sheets.dxf.test_drawings import tool
from tests.sheets.dxf.test_walk import torch
from tests.sheets.plans import PLANS

Ink = Any
"""Pixels of a picture, true where there is ink."""

VERSIONS = get_args(DxfVersion)


def lines_alone(drawing: bytes) -> bytes:
    """The drawing without lettering, dimensions and hatching, torch lines unbroken:
    what the picture can be held against.
    """
    text = drawing.decode("cp1252")
    head, rest = text.split("  2\nENTITIES\n", 1)
    body, tail = rest.split("  0\nENDSEC\n", 1)
    entities = re.split(r"(?m)^(?=  0\n[A-Z])", body)
    kept = [each for each in entities if not re.match(r"  0\nHATCH|(?s:.*)\n  8\n(?:TEXT|DIM)\n", each)]
    head = head.replace("  6\nCENTER\n", "  6\nCONTINUOUS\n")
    return f"{head}  2\nENTITIES\n{''.join(kept)}  0\nENDSEC\n{tail}".encode("cp1252")


def bare(picture: str) -> str:
    """Our own picture without lettering, dimensions and fillings, in black."""
    kept = [each for each in picture.split("\n") if each.startswith(("<svg", "</svg", "<polygon", "<line"))]
    kept = [each for each in kept if "</text>" not in each and 'fill="#000000"' not in each]
    text = re.sub(r' fill="[^"]*"', ' fill="none"', "\n".join(kept))
    wide = float(text.split('viewBox="')[1].split()[2]) / 1600
    text = re.sub(r' stroke="[^"]*" stroke-width="[^"]*"', f' stroke="#000" stroke-width="{wide}"', text)
    return re.sub(r' stroke-dasharray="[^"]*"', "", text)


def pixels(pdf: Path, wide: int) -> Ink:
    """The one page of a PDF, so many pixels wide."""
    command = ["pdftoppm", "-gray", "-scale-to-x", str(wide), "-scale-to-y", "-1", pdf.name, pdf.stem]
    subprocess.run(command, cwd=pdf.parent, check=True)
    (page,) = pdf.parent.glob(f"{pdf.stem}*.pgm")
    data = page.read_bytes()
    words = data.split(maxsplit=4)
    columns, rows = int(words[1]), int(words[2])
    return np.frombuffer(data[-columns * rows :], dtype=np.uint8).reshape(rows, columns) < 200


def by_librecad(drawing: bytes, folder: Path) -> Path:
    """LibreCAD's page of a drawing, in black."""
    (folder / "drawn.dxf").write_bytes(drawing)
    command = ["timeout", "40", "librecad", "dxf2pdf", "-a", "-m", "-p", "420x297", "-f", "10,10,10,10", "-t", "out",
     "drawn.dxf"]  # fmt: skip
    env = {**os.environ, "QT_QPA_PLATFORM": "offscreen", "HOME": str(folder), "QT_HASH_SEED": "0"}
    subprocess.run(command, env=env, check=True, capture_output=True, cwd=folder)
    return (folder / "out" / "drawn.pdf").rename(folder / "drawn.pdf")


def cropped(ink: Ink) -> Ink:
    """The picture from its first to its last ink, both ways."""
    rows, columns = np.flatnonzero(ink.any(axis=1)), np.flatnonzero(ink.any(axis=0))
    return ink[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1]


def covered(one: Ink, other: Ink, reach: int) -> float:
    """The share of ink of one picture that has ink of the other within so many pixels."""
    rows, columns = one.shape
    wide = np.pad(other, reach)
    grown = np.zeros_like(one)
    for down in range(2 * reach + 1):
        for across in range(2 * reach + 1):
            grown |= wide[down : down + rows, across : across + columns]
    return float((one & grown).sum() / one.sum())


def compared(drawing: bytes, picture: str, folder: Path) -> tuple[float, float]:
    """How much of what LibreCAD draws our own picture shows within two pixels of a thousand and more,
    and the other way.
    """
    cad = cropped(pixels(by_librecad(lines_alone(drawing), folder), 1600))
    (folder / "own.svg").write_text(bare(picture), encoding="utf-8")
    subprocess.run(["rsvg-convert", "-f", "pdf", "-o", "own.pdf", "own.svg"], cwd=folder, check=True)
    first = cropped(pixels(folder / "own.pdf", 1600))
    own = cropped(pixels(folder / "own.pdf", round(1600 * cad.shape[1] / first.shape[1])))
    assert abs(own.shape[0] - cad.shape[0]) <= 3
    assert abs(own.shape[1] - cad.shape[1]) <= 3
    size = tuple(max(pair) for pair in zip(own.shape, cad.shape, strict=True))
    one, other = (np.pad(each, [(0, size[0] - each.shape[0]), (0, size[1] - each.shape[1])]) for each in (cad, own))
    return covered(one, other, 2), covered(other, one, 2)


@pytest.mark.parametrize("name", ["two passes", "inches", "trimmed", "marked", "hair strips"])
def test_what_librecad_draws_is_what_our_picture_shows(name: str, tmp_path: Path) -> None:
    """Outlines, crosses, kerf bands and torch lines of drawing and picture lie within two pixels of 1600, both ways."""
    if not (tool("librecad") and tool("pdftoppm") and shutil.which("rsvg-convert")):
        return
    made = PLANS[name]()
    there, back = compared(plate_drawing(made, "P1"), plate_picture(made, "P1"), tmp_path)
    assert there >= 0.99
    assert back >= 0.98


def test_a_drawing_of_another_plan_does_not_pass_for_the_picture(tmp_path: Path) -> None:
    """Nor does one whose parts lie a hundredth of the plate off: the comparison can fail."""
    if not (tool("librecad") and tool("pdftoppm") and shutil.which("rsvg-convert")):
        return
    drawing, picture = plate_drawing(PLANS["pushed up"](), "P1"), plate_picture(PLANS["one strip"](), "P1")
    assert min(compared(drawing, picture, tmp_path)) < 0.9
    shifted = re.sub(
        rb"(?<=\n 20\n)(?:102\.25|101\.5|103\.0)(?=\n)", lambda each: b"%.2f" % (float(each[0]) + 10), drawing
    )
    assert min(compared(shifted, plate_picture(PLANS["pushed up"](), "P1"), tmp_path)) < 0.95


def test_librecad_draws_every_version_alike(tmp_path: Path) -> None:
    """Letters in and out of the code page, hatching, blocks: the same page from each version, within two pixels of
    1000.

    Line widths of LibreCAD differ by a pixel once in a while, of one and the same drawing too.
    """
    if not (tool("librecad") and tool("pdftoppm")):
        return
    pages = []
    for version in VERSIONS:
        folder = tmp_path / version
        folder.mkdir()
        pages.append(pixels(by_librecad(job_drawing(PLANS["name 1"](), version=version), folder), 1000))
    assert pages[0].sum() > 5000
    assert all(covered(each, pages[0], 2) > 0.99 and covered(pages[0], each, 2) > 0.99 for each in pages)


FREECAD = """
import json
import FreeCAD, Import
for name in {names!r}:
    doc = FreeCAD.newDocument("drawing")
    Import.readDXF(name, doc.Name)
    edges = [e for each in doc.Objects if hasattr(each, "Shape") for e in each.Shape.Edges if len(e.Vertexes) == 2]
    ends = [[[v.Point.x, v.Point.y] for v in e.Vertexes] for e in edges]
    with open(name + ".json", "w") as file:
        json.dump(ends, file)
    FreeCAD.closeDocument(doc.Name)
"""


def by_freecad(drawings: dict[str, bytes], folder: Path) -> dict[str, list[list[list[float]]]]:
    """Both ends of every straight edge that FreeCAD reads, by the name of the drawing [mm]."""
    for name, data in drawings.items():
        (folder / f"{name}.dxf").write_bytes(data)
    (folder / "read.py").write_text(FREECAD.format(names=[f"{name}.dxf" for name in drawings]))
    env = {**os.environ, "HOME": str(folder), "QT_QPA_PLATFORM": "offscreen"}
    subprocess.run(["timeout", "60", "freecadcmd", "read.py"], cwd=folder, env=env, check=True, capture_output=True)
    return {name: json.loads((folder / f"{name}.dxf.json").read_text()) for name in drawings}


def lacking(made: Plan, edges: list[list[list[float]]]) -> list[str]:
    """Outlines and torch lines of a plan of one plate that are not among edges, to a thousandth of a millimetre."""

    def key(one: Any, other: Any) -> frozenset[tuple[float, float]]:
        return frozenset((round(x, 3) + 0.0, round(y, 3) + 0.0) for x, y in (one, other))

    known = {key(*each) for each in edges}
    torches = {
        cut.number: torch({"line": cut.line, "passes": [vars(p) for p in cut.passes]}, made.rig.lead_in)
        for cut in made.cuts
    }
    wanted = {f"line of cut {number}": key(*line) for number, line in torches.items()}
    for piece in made.pieces:
        if piece.kind in ("part", "offcut", "scrap"):
            corners = piece.outline
            sides = zip(corners, [*corners[1:], corners[0]], strict=True)
            wanted |= {f"side {n} of {piece.id}": key(*side) for n, side in enumerate(sides)}
    return [what for what, each in wanted.items() if each not in known]


def test_freecad_reads_every_version_exactly(tmp_path: Path) -> None:
    """Each side of each piece and each torch line, blocks taken apart, in mm and in inches, in all versions alike."""
    if not freecad():
        return
    plans = {"mm": PLANS["two passes"](), "in": PLANS["inches"]()}
    drawings = {f"{units}-{version}": job_drawing(made, version=version) for units,
    made in plans.items() for version in VERSIONS}  # fmt: skip
    read = by_freecad(drawings, tmp_path)
    assert {name: lacking(plans[name[:2]], edges) for name, edges in read.items()} == {name: [] for name in drawings}
    assert len({len(edges) for edges in read.values()}) == 1
    other = by_freecad({"one": job_drawing(PLANS["one strip"]())}, tmp_path)["one"]
    assert lacking(plans["mm"], other)


def freecad() -> bool:
    """Whether FreeCAD is there; it is large, so no machine has to have it."""
    return shutil.which("freecadcmd") is not None
