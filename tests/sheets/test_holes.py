"""Holes to drill later are drawn where they will be: on the plate, in its drawing, on the label."""

from __future__ import annotations

import io
import math
from functools import cache

import ezdxf
import pypdf
import pytest

from stripplan.model.effort import Effort
from stripplan.model.job import Job, Options
from stripplan.model.part import Hole, Rectangle
from stripplan.model.plan.piece import Piece
from stripplan.model.plan.plan import Plan
from stripplan.model.plate import Plate
from stripplan.model.rig import Process, Rig
from stripplan.sheets.dxf.drawing import plate_drawing
from stripplan.sheets.labels.label_sheet import label_sheet
from stripplan.sheets.labels.labels import labels
from stripplan.sheets.picture.on_plate.holes import holes_of, parts_with_holes
from stripplan.sheets.picture.on_plate.plate import plate_picture
from stripplan.sheets.picture.svg import paint
from tests.planned import planned

ROUND = Hole(x=30, y=20, length=18, width=18)
OPENING = Hole(x=200, y=100, length=60, width=40, round=False)
BASE = Rectangle(name="base", width=150, length=250, quantity=2, allowance=2, holes=(ROUND, OPENING))


@cache
def made() -> Plan:
    """Two base plates off a sheet."""
    sheet = Plate(name="sheet", length=1000, width=500, thickness=6, material="mild steel", measured=True)
    steel = Process(name="thin", material="mild steel", thickness=6, kerf=1.5, travel_speed=600, current=45)
    return planned(
        Job(name="stand", plates=(sheet,), parts=(BASE,), options=Options(effort=Effort(steps=0))),
        Rig(processes=(steel,)),
    )


def lying(x0: float, y0: float, x1: float, y1: float) -> Piece:
    """A base plate on its plate."""
    outline = ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
    return Piece(id="P1-2", plate="P1", parent="P1-1", kind="part", part="base", outline=outline, mass=1.0)


@pytest.mark.parametrize(
    ("piece", "first", "second"),
    [
        # By hand: an allowance of 2 on each edge; turned a quarter to the left, the length runs up and the width to the
        # left of the lower right corner.
        (lying(100, 50, 354, 204), (132, 72, 18, 18), (302, 152, 60, 40)),
        (lying(100, 50, 254, 304), (232, 82, 18, 18), (152, 252, 40, 60)),
    ],
)
def test_a_hole_lies_where_its_part_says(piece: Piece, first: tuple[float, ...], second: tuple[float, ...]) -> None:
    """From the lower left corner of the finished part, however the part lies."""
    found = holes_of({"base": BASE}, piece)
    assert [(*each.at, each.wide, each.high) for each in found] == [first, second]
    assert holes_of({"other": BASE}, piece) == ()


def test_holes_are_drawn_with_their_diameter() -> None:
    """A circle on layer TEXT for each, at its place and as large as it is; its diameter on the plate; a sketch and the
    sizes on the label."""
    plan = made()
    holes = [hole for piece in plan.pieces for hole in holes_of(parts_with_holes(plan), piece)]
    assert len(holes) == 4
    drawing = ezdxf.read(io.StringIO(plate_drawing(plan, "P1", version="R2018").decode()))  # type: ignore[attr-defined]
    circles = [each for each in drawing.modelspace().query("CIRCLE") if math.isclose(each.dxf.radius, 9)]
    assert {each.dxf.layer for each in circles} == {"TEXT"}
    assert {tuple(round(c, 6) for c in each.dxf.center)[:2] for each in circles} == {
        tuple(round(c, 6) for c in each.at) for each in holes if each.round
    }
    picture = plate_picture(plan, "P1")
    assert sum(each.text == "⌀ 18" for each in picture.texts) == 2
    assert paint(picture).count('r="9" fill="none"') == 2
    page = pypdf.PdfReader(io.BytesIO(labels(plan, label_sheet("a4:2x4:99x68:6,12"), which=("part",)))).pages[0]
    assert page.extract_text().count("⌀ 18, 60 × 40") == 2
