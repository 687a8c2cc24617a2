"""Fillers are parts on paper, in drawings and in lists, and are called fillers."""

from __future__ import annotations

import io
from functools import cache

import ezdxf
import pypdf

from stripplan import plan
from stripplan.model.job import Job, Options
from stripplan.model.part import AS_MANY_AS_FIT, Rectangle
from stripplan.model.plan.plan import Plan
from stripplan.sheets.cut_list_csv import cut_list
from stripplan.sheets.dxf.drawing import plate_drawing
from stripplan.sheets.pdf.setup_sheet import setup_sheet
from stripplan.sheets.rows.plan_rows import sheet
from tests.planner.test_front_door import RIG, SHEET


@cache
def specimen() -> Plan:
    """Two brackets, and pads in what they leave."""
    parts = (
        Rectangle(name="bracket", width=250, length=600, quantity=2),
        Rectangle(name="pad", width=150, length=180, quantity=AS_MANY_AS_FIT, filler=True),
    )
    return plan(Job(name="f", plates=(SHEET,), parts=parts, options=Options(fill="all")), RIG)


def test_rows_call_a_filler_one() -> None:
    """The list of parts marks it, what falls at a cut carries the mark, and nothing is short."""
    rows = sheet(specimen())
    made = specimen().parts[1].made
    assert made > 2
    assert [(row.name, row.filler, row.wanted, row.made) for row in rows.parts] == [
        ("bracket", False, 2, 2), ("pad", True, 0, made),
    ]  # fmt: skip
    falls = [fall.name for row in rows.cuts for fall in (row.left, row.right) if fall is not None]
    assert f"pad (filler), 1 of {made}" in falls
    assert "bracket, 1 of 2" in falls


def test_paper_calls_a_filler_one() -> None:
    """In the check list "filler" stands where the number wanted stands for other parts."""
    pages = pypdf.PdfReader(io.BytesIO(setup_sheet(specimen()))).pages
    text = " ".join(page.extract_text() for page in pages)
    assert f"filler, {specimen().parts[1].made}" in text
    assert "SHORT" not in text


def test_drawing_and_list_call_a_filler_one() -> None:
    """The label in the drawing and the row in the list carry the mark; the outline lies with the other parts."""
    drawing = ezdxf.read(io.StringIO(plate_drawing(specimen(), "P1").decode()))  # type: ignore[attr-defined]
    texts = [each.dxf.text for each in drawing.modelspace().query("TEXT")]
    assert any("pad (filler)" in text for text in texts)
    parts = drawing.modelspace().query('LWPOLYLINE[layer=="PART"]')
    assert len(parts) == sum(line.made for line in specimen().parts)
    assert "pad (filler)" in cut_list(specimen())
