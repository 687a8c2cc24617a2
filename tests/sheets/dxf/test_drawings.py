"""DXF, SVG, CSV, plan file and folder: read back by other readers, compared with the plan."""

from __future__ import annotations

import csv
import io
import json
import os
import shutil
import subprocess
from functools import cache
from pathlib import Path
from xml.etree import ElementTree

import ezdxf
import pytest
from ezdxf.document import Drawing
from ezdxf.lldxf.encoding import decode_dxf_unicode

from stripplan import plan
from stripplan.files.plan.read import load_plan
from stripplan.model.job import Job, Options
from stripplan.model.part import Rectangle, Strip
from stripplan.model.plan.plan import Plan
from stripplan.model.plate import Plate
from stripplan.model.rig import Process, Rig
from stripplan.sheets import cut_list_csv as table
from stripplan.sheets.dxf.drawing import job_drawing, plate_drawing
from stripplan.sheets.picture import svg
from stripplan.sheets.plan_json import plan_text

NAMES = ("bar", "Träger Ø40 ½", "kő Łom 日本", "=SUM(A1)")


@cache
def specimen(units: str = "mm") -> Plan:
    """Strips and rectangles with difficult names, an offcut, trims, a two-pass cut."""
    rig = Rig(
        stroke=1203,
        hoist=True,
        processes=(Process(name="p", material="mild steel", thickness=6, kerf=1.5, travel_speed=600),),
    )
    job = Job(
        name="drawings & <more>",
        plates=(Plate(name="sheet", length=1524, width=762, thickness=6, material="mild steel"),),
        parts=(
            Strip(name=NAMES[0], width=50.8, quantity=3),
            Rectangle(name=NAMES[1], width=120, length=300, quantity=3),
            Rectangle(name=NAMES[2], width=80, length=200),
            Rectangle(name=NAMES[3], width=80, length=100),
        ),
        options=Options(trim=10),
        units=units,  # type: ignore[arg-type]
    )
    return plan(job, rig)


def read(data: bytes) -> Drawing:
    """A drawing as ezdxf reads it."""
    return ezdxf.read(io.StringIO(decode_dxf_unicode(data.decode("cp1252"))))


def area(points: list[tuple[float, float]]) -> float:
    """Area of a polygon by the shoelace rule."""
    pairs = zip(points, points[1:] + points[:1], strict=True)
    return abs(sum(ax * by - bx * ay for (ax, ay), (bx, by) in pairs)) / 2


def part_areas(made: Plan) -> list[float]:
    """Areas of the parts of a plan [mm2]."""
    return sorted(round(area(list(p.outline)), 3) for p in made.pieces if p.kind == "part")


def tool(name: str) -> bool:
    """Whether a program is there; CI installs it, so there it must be."""
    found = shutil.which(name) is not None
    assert found or os.environ.get("CI") != "true", f"{name} is not installed"
    return found


@pytest.mark.parametrize(("units", "code", "scale"), [("mm", 4, 1.0), ("in", 1, 25.4)])
def test_dxf_reads_back_clean_with_the_plans_areas(units: str, code: int, scale: float) -> None:
    """The auditor finds nothing, units are said, part outlines have the plan's areas, layers carry the colours."""
    made = specimen(units)
    doc = read(plate_drawing(made, "P1"))
    assert not doc.audit().errors
    assert doc.header["$INSUNITS"] == code
    outlines = doc.modelspace().query('LWPOLYLINE[layer=="PART"]')
    found = sorted(round(area([(x, y) for x, y in each.get_points("xy")]) * scale**2, 3) for each in outlines)
    assert found == pytest.approx(part_areas(made), abs=0.05)
    assert all(each.closed for each in outlines)
    layers = {each.dxf.name for each in doc.layers}
    assert {"PLATE", "PART", "CUT", "KERF", "OFFCUT", "SCRAP", "TEXT", "DIM"} <= layers
    assert all(each.dxf.get("color", 256) == 256 for each in doc.modelspace())


@pytest.mark.parametrize(("units", "figures"), [("mm", [762.0, 1524.0]), ("in", [30.0, 60.0])])
def test_dimensions_measure_the_plate(units: str, figures: list[float]) -> None:
    """Real DIMENSION entities show the plate's sides; the factor is 1 in the style and in the header."""
    doc = read(plate_drawing(specimen(units), "P1"))
    found = sorted(round(float(each.get_measurement()), 6) for each in doc.modelspace().query("DIMENSION"))  # type: ignore[arg-type]
    assert found == figures
    assert doc.header["$DIMLFAC"] == doc.dimstyles.get("STRIPPLAN").dxf.dimlfac == 1.0
    shown = {text.dxf.text for block in doc.blocks if block.name.startswith("*D") for text in block.query("TEXT MTEXT")}
    assert {f"{figure:g}" for figure in figures} <= {each.split(";")[-1].strip("{}") for each in shown}


def test_names_survive_in_drawings() -> None:
    """Letters outside the code page are escaped and read back as they were."""
    doc = read(plate_drawing(specimen(), "P1"))
    texts = " ".join(each.dxf.text for each in doc.modelspace().query("TEXT"))
    assert "Träger Ø40" in texts
    assert "kő Łom" in texts


def test_torch_lines_carry_lead_in_and_overrun() -> None:
    """A one-pass line is as long as its travel from the start of the lead-in to the end stop."""
    made = specimen()
    lines = list(read(plate_drawing(made, "P1")).modelspace().query('LINE[layer=="CUT"]'))
    found = sorted(round((each.dxf.end - each.dxf.start).magnitude, 3) for each in lines)
    lead = made.rig.lead_in
    want = sorted(
        round(cut.passes[0].end_stop if len(cut.passes) == 1 else cut.length + 2 * lead, 3) for cut in made.cuts
    )
    assert found == pytest.approx(want, abs=0.002)


def test_drawings_are_the_same_bytes_each_time() -> None:
    """No clock, no random identifier."""
    assert plate_drawing(specimen(), "P1") == plate_drawing(specimen(), "P1")
    assert job_drawing(specimen()) == job_drawing(specimen())


def test_an_independent_reader_finds_the_same_areas(tmp_path: Path) -> None:
    """GDAL reads the drawing: part outlines with the plan's areas, names as they were."""
    if not tool("ogr2ogr"):
        return
    (tmp_path / "p.dxf").write_bytes(plate_drawing(specimen(), "P1"))
    subprocess.run(["ogr2ogr", "-f", "GeoJSON", "p.json", "p.dxf"], cwd=tmp_path, check=True, capture_output=True)
    shapes = json.loads((tmp_path / "p.json").read_text())["features"]
    found = []
    for each in shapes:
        if each["properties"]["Layer"] == "PART":
            points = each["geometry"]["coordinates"]
            ring = points[0] if each["geometry"]["type"] == "Polygon" else points
            found.append(round(area([(p[0], p[1]) for p in ring[:-1]]), 3))
    assert sorted(found) == pytest.approx(part_areas(specimen()), abs=0.01)
    texts = " ".join(str(each["properties"].get("Text")) for each in shapes)
    assert "Träger Ø40" in texts


def test_a_drawing_program_opens_and_draws_it(tmp_path: Path) -> None:
    """LibreCAD turns the drawing into a page that has ink."""
    if not (tool("librecad") and tool("pdftoppm")):
        return
    (tmp_path / "p.dxf").write_bytes(job_drawing(specimen()))
    env = {**os.environ, "QT_QPA_PLATFORM": "offscreen", "HOME": str(tmp_path)}
    command = ["timeout", "40", "librecad", "dxf2pdf", "-a", "-t", str(tmp_path / "out"), str(tmp_path / "p.dxf")]
    subprocess.run(command, env=env, check=True, capture_output=True, cwd=tmp_path)
    subprocess.run(["pdftoppm", "-r", "40", "-gray", "out/p.pdf", "page"], cwd=tmp_path, check=True)
    pixels = next(tmp_path.glob("page*.pgm")).read_bytes()[20:]
    assert sum(byte < 200 for byte in pixels) > 500


def test_svg_is_well_formed_and_escaped() -> None:
    """The picture parses, carries a title for screen readers, and foreign names are text only."""
    root = ElementTree.fromstring(svg.plate_picture(specimen(), "P1"))
    texts = [each.text or "" for each in root.iter() if each.text]
    assert any("drawings & <more>" in each for each in texts)
    assert "kő Łom" in " ".join(texts)
    assert len([each for each in root.iter() if each.tag.endswith("circle")]) >= len(specimen().cuts)


def test_cut_list_has_every_reading_and_no_formula() -> None:
    """One row a cut; a name that a spreadsheet would take for a formula is made harmless."""
    rows = list(csv.reader(io.StringIO(table.cut_list(specimen()).removeprefix("\ufeff"))))
    assert len(rows) == len(specimen().cuts) + 1
    assert not [cell for row in rows for cell in row if cell[:1] in ("=", "+", "-", "@")]
    offsets = [row[rows[0].index("fence offset")] for row in rows[1:]]
    assert offsets == [
        f"{c.fence_offset:.2f}".rstrip("0").rstrip(".") if c.fence_offset else "" for c in specimen().cuts
    ]


def test_plan_file_reads_back_the_same(tmp_path: Path) -> None:
    """Writing what was read gives the same text."""
    text = plan_text(specimen())
    (tmp_path / "plan.json").write_text(text, encoding="utf-8")
    assert plan_text(load_plan(tmp_path / "plan.json")) == text
