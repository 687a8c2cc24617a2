"""Bevels on paper, in drawings, on labels, on the page and on the screen: the same figures everywhere."""

from __future__ import annotations

import io
import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache

import ezdxf
import pypdf
import pytest

from stripplan import plan
from stripplan.cli.result import result
from stripplan.model.bevel import Bevel
from stripplan.model.effort import Effort
from stripplan.model.job import Job, Options
from stripplan.model.part import Rectangle, Shape
from stripplan.model.plan.plan import Plan
from stripplan.model.plate import Plate
from stripplan.sheets.dxf.drawing import job_drawing, plate_drawing
from stripplan.sheets.labels.label_text import label_list
from stripplan.sheets.paper.flow import Box, Section, frame, paginate
from stripplan.sheets.pdf.setup_sheet import setup_sheet
from stripplan.sheets.pdf.work.bevel_block import BevelLine, GroupHead, LiesAgain, bevel_sections
from stripplan.sheets.picture.lettering import meet, text_box
from stripplan.sheets.picture.on_plate.plate import plate_picture
from stripplan.sheets.rows.plan_rows import sheet, sheet_of_cuts
from stripplan.sheets.rows.row_types import BevelRow
from stripplan.web.plan_for_page import shown
from tests.replay.bevelled import bevelled, tilting


def words_of(pdf: bytes) -> str:
    """Text of all pages, in one line."""
    return " ".join(" ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf)).pages).split())


def test_what_is_set_for_bevels_stands_on_the_page_of_the_first_of_them() -> None:
    """A head is not left alone at the foot of a page, whatever was cut before it."""
    rows = sheet(bevelled())
    width, seen = frame("a4").inner, 0
    for above in range(40, 700, 20):
        blank = Section("cuts", [], [Room(above)], fresh=True)
        for page in paginate([blank, *bevel_sections(rows, width)], frame("a4").room):
            boxes = [box for box, _ in page.placed]
            for n, box in enumerate(boxes):
                if isinstance(box, GroupHead):
                    seen += 1
                    assert isinstance(boxes[n + 1], BevelLine)
    assert seen


def test_every_bevel_has_a_picture_or_is_said_to_lie_as_one_that_has() -> None:
    """Beside the section where all of a group lie alike, else beside the first that lies so, and again on a page that
    goes on, if it is needed there and stands before it; the short form has none."""
    rows, width, seen = sheet(bevelled()), frame("a4").inner, set()
    assert [row.lies_as for row in rows.bevels[0].rows] == [0, 0, 11, 12]
    sections = {section.heading[-1].group.name: section for section in bevel_sections(rows, width)[:-1]}
    for group in rows.bevels:
        section = sections[group.name]
        lines = [box for box in section.boxes if isinstance(box, BevelLine)]
        alike = len({row.lie for row in group.rows}) == 1
        assert section.heading[-1].picture == alike
        seen.add(alike)
        for line in lines:
            assert line.picture == (not alike and not line.row.lies_as)
            assert (f"Lies as for {line.row.lies_as}." in words_in(line)) == (not alike and bool(line.row.lies_as))
    assert seen == {True, False}
    again = sections["11–14"].again_at
    assert [[row.number for row in pictures_in(again(n))] for n in range(1, 4)] == [[11], [11, 12], [12]]
    short = [box for section in bevel_sections(rows, width, "short") for box in (*section.heading, *section.boxes)]
    assert not any(box.picture for box in short if isinstance(box, (BevelLine, GroupHead)))


def words_in(line: BevelLine) -> str:
    """What is written beside the box to tick."""
    return " ".join(re.sub("<[^>]+>", "", str(each)) for each in line._words.lines)


def pictures_in(boxes: Sequence[Box]) -> list[BevelRow]:
    """Bevels whose pictures stand over a page that goes on."""
    return [row for box in boxes if isinstance(box, LiesAgain) for row in box.rows]


@dataclass(frozen=True)
class Room:
    """A box of nothing."""

    height: float
    outline: str = ""

    def draw(self, canvas: object, x: float, top: float) -> None:
        """Nothing."""


@cache
def small() -> Plan:
    """One web of few cuts, read in inches: one page."""
    plate = Plate(name="sheet", length=700, width=250, thickness=8, material="S235", measured=True)
    web = Rectangle(name="web", width=76.2, length=254, bevels=(Bevel(edge=0, angle=30, root_face=3.175),))
    job = Job(name="small", plates=(plate,), parts=(web,), units="in", options=Options(effort=Effort(steps=2)))
    return plan(job, tilting())


def test_rows_of_bevels_hold_each_once_with_what_is_set() -> None:
    """Groups of one setting; each bevel in one of them; figures of the seam by trigonometry: 6 tan 30 = 3.46."""
    rows = sheet(bevelled())
    assert [row.number for group in rows.bevels for row in group.rows] == [cut.number for cut in bevelled().bevels]
    first = rows.bevels[0]
    assert (first.name, first.fence.text, first.end_stop.text, first.tilt.text) == ("11–14", "66.0", "320", "30°")
    facts = dict(first.facts)
    assert facts["face set back"] == f"{6 * math.tan(math.radians(30)):.1f}"
    assert facts["stays of the face"] == "76.5"
    assert (facts["root face"], facts["depth"], facts["with an equal mate"]) == ("2", "6 of 8", "included angle 60°")
    assert "Half turn, end for end." in first.rows[1].steps
    line = next(group for group in rows.bevels if group.scribe)
    assert (line.scribe, line.estimated, line.rows[0].on_fence) == ("3.6", True, "")
    (hand,) = rows.by_hand
    assert (hand.part, hand.count, hand.why) == ("foot", 1, "the torch does not tilt so far")
    totals = dict(rows.totals)
    assert totals["tilt settings"] == "2"
    assert totals["bevels"].startswith("7, 1.6 m, ")
    assert any("root face 2.0 ±" in each for part in rows.parts for each in part.trueness)
    assert sheet_of_cuts(bevelled(), 1, 3).bevels == ()  # they follow the last of the cuts
    assert sheet_of_cuts(bevelled(), 3, len(bevelled().cuts)).bevels == rows.bevels


@pytest.mark.parametrize("form", ["full", "short"])
def test_the_sheet_tells_bevels(form: str) -> None:
    """Settings, section figures, steps and what is left for the hand stand on the sheet, on that of few cuts too."""
    words = words_of(setup_sheet(bevelled(), form=form))  # type: ignore[arg-type]
    for each in (
        "Bevels 11–14. SET tilt 30°; SET fence 66.0; SET end stop 320.", "root face 2", "included angle 60°",
        "ESTIMATED: more metal than the process is for.", "SCRIBE 3.6 from the edge", "TURN OVER.",
        "BY HAND: one bevel", "Bevels by hand", "BEVEL lower and upper 30°, root face 2 mm",
        "1.61 m of bevel among it",
    ):  # fmt: skip
        assert each in words, each
    few = words_of(setup_sheet(small(), form=form))  # type: ignore[arg-type]
    assert "tilt 30°" in few
    assert 'root face 1/8"' in few


def test_drawings_have_bevels_on_a_layer_of_their_own() -> None:
    """A line where each ends on its face, set back from the edge, and its figures; no such layer without bevels."""
    doc = ezdxf.read(io.StringIO(plate_drawing(bevelled(), "P1").decode("cp1252")))
    lines = [each for each in doc.modelspace() if each.dxftype() == "LINE" and each.dxf.layer == "BEVEL"]
    texts = [each.dxf.text for each in doc.modelspace() if each.dxftype() == "TEXT" and each.dxf.layer == "BEVEL"]
    assert len(lines) == len(texts) == len(bevelled().bevels) + len(bevelled().hand_bevels)
    assert {"30° root 2", "45° root 2 UNDER", "55° root 5 BY HAND"} <= set(texts)
    cut = bevelled().bevels[0]
    (x, _), set_back = cut.edge[0], 6 * math.tan(math.radians(30))
    assert any(abs(abs(each.dxf.start.x - x) - set_back) < 1e-6 for each in lines)  # it runs across the plate
    assert ezdxf.read(io.StringIO(job_drawing(bevelled()).decode("cp1252"))).layers.has_entry("BEVEL")
    plain = replace(bevelled(), bevels=(), hand_bevels=())
    assert not ezdxf.read(io.StringIO(plate_drawing(plain, "P1").decode("cp1252"))).layers.has_entry("BEVEL")
    assert len(plate_picture(bevelled(), "P1").bevels) == len(lines)


def test_names_of_parts_lie_on_no_figures_of_bevels() -> None:
    """A trapezium has the most room at its long edge, where the figures of its bevel stand: name and size give way."""
    hopper = Shape(
        name="hopper side, short",
        outline=((0, 0), (480, 0), (295.248, 320), (184.752, 320)),
        quantity=2,
        bevels=tuple(Bevel(edge=n, angle=30, root_face=2) for n in (0, 2)),
    )
    plates = (Plate(name="sheet", length=2000, width=1000, thickness=6, material="mild steel"),)
    job = Job(name="hopper", plates=plates, parts=(hopper,), options=Options(effort=Effort(steps=0)))
    made = plan(job, tilting())
    for broken in (True, False):
        picture = plate_picture(made, "P1", broken=broken)
        figures = [text_box(each.text) for each in picture.bevels]
        assert len(figures) == 4
        named = [text_box(each) for each in picture.texts if each.text[:6] in ("hopper", "side, ", "480 x ")]
        assert len(named) >= 2
        assert not any(meet(one, other) for one in named for other in figures)


def test_labels_say_what_is_bevelled() -> None:
    """Each bevelled part's label says edges, angle and root face; one for the hand says so."""
    told = {each.name: [line.wordings[0] for line in each.lines] for each in label_list(bevelled(), which=["part"])}
    assert "BEVEL lower and upper 30°, root face 2 mm" in told["web"]
    assert "BEVEL right 45°, root face 2 mm from both faces" in told["cap"]
    assert "BEVEL the edge 233.24 long 30°, root face 0 mm" in told["gusset"]
    assert "BEVEL BY HAND" in told["foot"]
    assert "BEVEL BY HAND" not in told["web"]


def test_the_page_shows_the_rows_of_the_sheet() -> None:
    """Groups with their section as a picture, and those for the hand; the screen counts both."""
    page = shown(bevelled())
    assert [each["name"] for each in page["bevels"]] == [group.name for group in sheet(bevelled()).bevels]
    assert all("<svg" in each["svg"] and "included angle" in each["svg"] for each in page["bevels"])
    assert page["by_hand"][0]["part"] == "foot"
    assert shown(replace(bevelled(), bevels=(), hand_bevels=()))["bevels"] == []
    assert "7 after the cuts, 2 settings of the tilt, 1 by hand" in str(result(bevelled()))
