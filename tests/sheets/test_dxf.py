"""Drawings of every specimen, read back by two readers of their own."""

from __future__ import annotations

import json
import math
import subprocess
from functools import cache
from pathlib import Path

import pytest
from ezdxf.document import Drawing

from stripplan import plan
from stripplan.model.job import Job
from stripplan.model.part import Rectangle
from stripplan.model.plan import Plan
from stripplan.model.plate import Plate
from stripplan.model.rig import Process, Rig
from stripplan.sheets.dxf import job_drawing, plain, plate_drawing

from .plans import NAMES, PLANS
from .test_drawings import area, part_areas, read, tool

LINE_KINDS = {"PLATE": "LWPOLYLINE", "PART": "LWPOLYLINE", "KERF": "LWPOLYLINE", "CUT": "LINE"}


@cache
def two_plates() -> Plan:
    """A large plate and a small one, each just big enough for its part."""
    steel = {"thickness": 6.0, "material": "mild steel"}
    sizes = ((1200.0, 800.0), (400.0, 300.0))
    job = Job(
        name="two plates",
        plates=tuple(Plate(name=f"sheet {x:g}", length=x, width=y, quantity=1, measured=True, **steel) for x, y in sizes),
        parts=tuple(Rectangle(name=f"part {x:g}", length=x - 50, width=y) for x, y in sizes),
    )  # fmt: skip
    return plan(job, Rig(processes=(Process(name="p", kerf=1.5, travel_speed=600, **steel),)))


def kinds(doc: Drawing, layer: str) -> set[str]:
    """Kinds of entities on a layer."""
    return {each.dxftype() for each in doc.modelspace().query(f'*[layer=="{layer}"]')}


@pytest.mark.parametrize("name", sorted(PLANS))
def test_every_specimen_reads_back_clean(name: str) -> None:
    """The auditor finds nothing; outlines, kerf bands and torch lines are alone on their layers and agree with the plan."""
    made = PLANS[name]()
    doc = read(plate_drawing(made, "P1"))
    scale = 25.4 if made.job["units"] == "in" else 1.0
    assert not doc.audit().errors
    assert all(kinds(doc, layer) <= {kind} for layer, kind in LINE_KINDS.items())
    outlines = doc.modelspace().query('LWPOLYLINE[layer=="PART"]')
    found = sorted(area(list(each.get_points("xy"))) * scale**2 for each in outlines)
    assert found == pytest.approx(part_areas(made), abs=0.01)
    bands = doc.modelspace().query('LWPOLYLINE[layer=="KERF"]')
    kerfs = sorted(area(list(each.get_points("xy"))) * scale**2 for each in bands)
    assert kerfs == pytest.approx(sorted(cut.length * cut.kerf for cut in made.cuts), abs=0.01)
    assert len(doc.modelspace().query('LINE[layer=="CUT"]')) == len(made.cuts)


def test_torch_lines_run_from_lead_in_to_overrun() -> None:
    """By hand: line 0..1000 at 50.75, lead-in 10, stop 1020: from -10 to 1010; in two passes from -10 to 1010 too."""
    (line,) = read(plate_drawing(PLANS["one strip"](), "P1")).modelspace().query('LINE[layer=="CUT"]')
    assert tuple(line.dxf.start)[:2] == pytest.approx((-10.0, 50.75))
    assert tuple(line.dxf.end)[:2] == pytest.approx((1010.0, 50.75))
    first, second, third = read(plate_drawing(PLANS["two passes"](), "P1")).modelspace().query('LINE[layer=="CUT"]')
    assert [each.dxf.start.x for each in (first, second)] == pytest.approx([-10.0, 1010.0])
    assert [each.dxf.end.x for each in (first, second)] == pytest.approx([1010.0, -10.0])
    assert (third.dxf.start.y, third.dxf.end.y) == pytest.approx((310.0, 95.0))  # 215 of travel: 10 + 197 + 8


def test_names_come_back_as_they_were() -> None:
    """Each hard name is read as written, short of what R2000 or a drawing program cannot show."""
    for n, name in enumerate(NAMES):
        doc = read(plate_drawing(PLANS[f"name {n}"](), "P1"))
        texts = [each.dxf.text for each in doc.modelspace().query("TEXT")]
        shown = plain(name if len(name) <= 14 else name[:13])
        assert any(shown in each for each in texts), name
        assert not any("\n" in each or "\t" in each or "…" in each for each in texts)


def test_plates_of_a_job_lie_apart_in_one_size_of_lettering() -> None:
    """In the job's drawing no plate touches another, each has its title, and edge letters are of one height."""
    doc = read(job_drawing(two_plates()))
    plates = [list(each.get_points("xy")) for each in doc.modelspace().query('LWPOLYLINE[layer=="PLATE"]')]
    assert sorted(round(area(each)) for each in plates) == [400 * 300, 1200 * 800]
    heights = sorted((min(y for _, y in each), max(y for _, y in each)) for each in plates)
    assert heights[0][1] < heights[1][0]
    texts = doc.modelspace().query("TEXT")
    assert {each.dxf.text for each in texts} >= {
        f"two plates: plate {each.id} ({each.stock})" for each in two_plates().plates
    }
    assert len({round(each.dxf.height, 6) for each in texts if each.dxf.text in tuple("ABCD")}) == 1


def test_a_drawing_opens_zoomed_to_all_of_it() -> None:
    """Extents hold every outline, torch line and title, and the view shows them."""
    doc = read(job_drawing(two_plates()))
    low, high = doc.header["$EXTMIN"], doc.header["$EXTMAX"]
    points = [point for each in doc.modelspace().query("LWPOLYLINE") for point in each.get_points("xy")]
    points += [tuple(end)[:2] for each in doc.modelspace().query("LINE") for end in (each.dxf.start, each.dxf.end)]
    points += [tuple(each.dxf.align_point)[:2] for each in doc.modelspace().query("TEXT")]
    assert all(low[0] <= x <= high[0] and low[1] <= y <= high[1] for x, y in points)
    (view,) = doc.viewports.get("*Active")
    assert view.dxf.height >= high[1] - low[1]
    assert tuple(view.dxf.center)[:2] == pytest.approx(((low[0] + high[0]) / 2, (low[1] + high[1]) / 2))


@pytest.mark.parametrize("name", ["two passes", "inches", "marked", "hair strips"])
def test_an_independent_reader_agrees_on_outlines_and_extents(name: str, tmp_path: Path) -> None:
    """GDAL finds the parts' areas, the plate's corners and the length of all torch lines."""
    if not tool("ogr2ogr"):
        return
    made = PLANS[name]()
    scale = 25.4 if made.job["units"] == "in" else 1.0
    (tmp_path / "p.dxf").write_bytes(plate_drawing(made, "P1"))
    subprocess.run(["ogr2ogr", "-f", "GeoJSON", "p.json", "p.dxf"], cwd=tmp_path, check=True, capture_output=True)
    by_layer: dict[str, list[list[list[float]]]] = {}
    for each in json.loads((tmp_path / "p.json").read_text())["features"]:
        points = each["geometry"]["coordinates"]
        polygon = each["geometry"]["type"] == "Polygon"
        by_layer.setdefault(each["properties"]["Layer"], []).append(points[0] if polygon else points)
    found = sorted(area([(x, y) for x, y, *_ in ring[:-1]]) * scale**2 for ring in by_layer["PART"])
    assert found == pytest.approx(part_areas(made), abs=0.05)
    (plate,) = by_layer["PLATE"]
    corners = [max(axis) * scale for axis in list(zip(*plate, strict=True))[:2]]
    assert corners == pytest.approx([made.plates[0].length, made.plates[0].width], abs=1e-6)
    lengths = sorted(math.dist(start[:2], end[:2]) * scale for start, end in by_layer["CUT"])
    lead = made.rig["lead_in"]
    want = [each.passes[0].end_stop if len(each.passes) == 1 else each.length + 2 * lead for each in made.cuts]
    assert lengths == pytest.approx(sorted(want), abs=1e-5)
