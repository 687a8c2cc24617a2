"""Drawings of every specimen, read back by two readers of their own."""

from __future__ import annotations

import io
import json
import math
import subprocess
from collections import Counter
from functools import cache
from pathlib import Path
from typing import Any, get_args

import click
import ezdxf
import pytest
from ezdxf.bbox import extents as bounding_box
from ezdxf.document import Drawing
from hypothesis import given
from hypothesis import strategies as st

from stripplan import plan
from stripplan.cli.commands.plan import plan as shell
from stripplan.files.parts.drawings.dxf.read import read_dxf_parts
from stripplan.model.job import Job
from stripplan.model.part import Rectangle
from stripplan.model.plan.plan import Plan
from stripplan.model.plan.record import from_record, to_record
from stripplan.model.plate import Plate
from stripplan.model.rig import Process, Rig
from stripplan.sheets import folder
from stripplan.sheets.dxf.arrange import in_rows
from stripplan.sheets.dxf.blocks import block_name
from stripplan.sheets.dxf.drawing import DxfVersion, job_drawing, plain, plate_drawing
from tests.checking import examples, few, in_turn
from tests.sheets.dxf.test_drawings import area, part_areas, read, tool
from tests.sheets.plans import NAMES, PLANS

Box = tuple[float, float, float, float]
LINE_KINDS = {"PLATE": "LWPOLYLINE", "PART": "LWPOLYLINE", "KERF": "LWPOLYLINE", "CUT": "LINE"}


@cache
def two_plates() -> Plan:
    """A large plate and a small one, each just big enough for its part."""
    steel = {"thickness": 6.0, "material": "mild steel"}
    sizes = ((1200.0, 800.0), (400.0, 300.0))
    job = Job(
        name="two plates",
        plates=tuple(Plate(name=f"sheet {x:g}", length=x, width=y, quantity=1, measured=True, **steel) for x,
         y in sizes),
        parts=tuple(Rectangle(name=f"part {x:g}", length=x - 50, width=y) for x, y in sizes),
    )  # fmt: skip
    return plan(job, Rig(processes=(Process(name="p", kerf=1.5, travel_speed=600, **steel),)))


def kinds(doc: Drawing, layer: str) -> set[str]:
    """Kinds of entities on a layer."""
    return {each.dxftype() for each in doc.modelspace().query(f'*[layer=="{layer}"]')}


@pytest.mark.parametrize("name", sorted(PLANS))
def test_every_specimen_reads_back_clean(name: str) -> None:
    """The auditor finds nothing; outlines, kerf bands and torch lines are alone on their layers and agree
    with the plan.
    """
    made = PLANS[name]()
    doc = read(plate_drawing(made, "P1"))
    scale = 25.4 if made.job.units == "in" else 1.0
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
    assert plates[0][0] == (0, 0)  # the first lies as in its own drawing, the others on whole centimetres
    assert all(x % 10 == y % 10 == 0 for each in plates for x, y in each)
    texts = doc.modelspace().query("TEXT")
    assert {each.dxf.text for each in texts} >= {
        f"two plates: plate {each.id} ({each.stock})" for each in two_plates().plates
    }
    assert {"1200 x 800 x 6 mm, mild steel", "400 x 300 x 6 mm, mild steel"} <= {each.dxf.text for each in texts}
    assert len({round(each.dxf.height, 6) for each in texts if each.dxf.text in tuple("ABCD")}) == 1


def extent(entity: Any) -> Box:
    """What an entity fills, as the library measures it, lettering too."""
    box = bounding_box([entity])
    return box.extmin.x, box.extmin.y, box.extmax.x, box.extmax.y


@cache
def many_plates(sizes: tuple[tuple[float, float], ...]) -> Plan:
    """The uncut plate, so many times, each of its own size, with a name longer than a small plate is wide."""
    record = to_record(PLANS["uncut"]())
    plate, piece = record["plates"][0], record["pieces"][0]
    names = [f"P{number}" for number in range(1, len(sizes) + 1)]
    record["job"]["name"] = "a name longer than it need be"
    record["plates"] = [
        {**plate, "id": name, "length": x, "width": y} for name, (x, y) in zip(names, sizes, strict=True)
    ]
    record["pieces"] = [
        {
            **piece,
            "id": f"{name}-1",
            "plate": name,
            "part": f"cover {name}",
            "outline": [[0, 0], [x, 0], [x, y], [0, y]],
        }
        for name, (x, y) in zip(names, sizes, strict=True)
    ]
    return from_record(Plan, record)


SIZES = st.lists(
    st.tuples(st.sampled_from([100, 250, 1000, 3000]), st.sampled_from([100, 250, 1000, 1500])), min_size=2, max_size=9
)


@pytest.mark.long
@examples(12)
@given(sizes=SIZES)
def test_nothing_of_one_plate_reaches_into_another(sizes: list[tuple[float, float]]) -> None:
    """In a job's drawing the boxes of all that is drawn for each plate lie apart: entities come plate by plate."""
    doc = read(job_drawing(many_plates(tuple(sizes))))
    boxes: list[list[Box]] = []
    for each in doc.modelspace():
        if each.dxf.layer == "PLATE":
            boxes.append([])
        boxes[-1].append(extent(each))
    wholes = [
        tuple(f(part) for f, part in zip((min, min, max, max), zip(*several, strict=True), strict=True))
        for several in boxes
    ]
    assert len(wholes) == len(sizes)
    for at, one in enumerate(wholes):
        for other in wholes[:at]:
            assert not (one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3])


@examples(200)
@given(sizes=st.lists(st.tuples(st.floats(1, 100), st.floats(1, 100)), min_size=1, max_size=40), gap=st.floats(0, 10))
def test_rows_keep_boxes_apart_and_in_order(sizes: list[tuple[float, float]], gap: float) -> None:
    """Boxes laid out in rows lie apart by the gap, and are read line by line."""
    places = in_rows(sizes, gap)
    boxes = [(x, y, x + wide, y + high) for (x, y), (wide, high) in zip(places, sizes, strict=True)]
    for at, one in enumerate(boxes):
        for other in boxes[:at]:
            beside, below = one[0] >= other[2] + gap - 1e-6, one[3] <= other[1] - gap + 1e-6
            level = abs(one[3] - other[3]) < 1e-6
            assert (beside and level) or below


@in_turn("count", range(1, 41))
def test_rows_of_equal_plates_make_the_shape_that_is_nearest(count: int) -> None:
    """Of all numbers of columns, the one taken gives the whole nearest to 1.5 to 1, by trying them all."""
    wide, high, gap = 2.2, 1.4, 0.1
    places = in_rows([(wide, high)] * count, gap)
    shapes = []
    for columns in range(1, count + 1):
        rows = -(-count // columns)
        shapes.append((columns * (wide + gap) - gap) / (rows * (high + gap) - gap))
    found = (max(x for x, _ in places) + wide) / -min(y for _, y in places)
    assert max(found / 1.5, 1.5 / found) == pytest.approx(min(max(each / 1.5, 1.5 / each) for each in shapes))


def test_a_job_of_many_plates_is_about_half_wider_than_high() -> None:
    """Extents of a dozen sheets, 2 to 1 each, with all that is written around them."""
    header = read(job_drawing(many_plates(((2000.0, 1000.0),) * 12))).header
    wide, high = (header["$EXTMAX"][axis] - header["$EXTMIN"][axis] for axis in (0, 1))
    assert 1.1 < wide / high < 2.0


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
    assert view.dxf.height * 4 / 3 >= high[0] - low[0]  # also on a screen of 4 : 3
    for plate in two_plates().plates:  # and a view of each plate by its name
        assert doc.views.get(plate.id).dxf.height < view.dxf.height
    assert tuple(view.dxf.center)[:2] == pytest.approx(((low[0] + high[0]) / 2, (low[1] + high[1]) / 2))


@pytest.mark.parametrize("name", ["two passes", "inches", "marked", "hair strips"])
def test_an_independent_reader_agrees_on_outlines_and_extents(name: str, tmp_path: Path) -> None:
    """GDAL finds the parts' areas, the plate's corners and the length of all torch lines."""
    if not tool("ogr2ogr"):
        return
    made = PLANS[name]()
    scale = 25.4 if made.job.units == "in" else 1.0
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
    lead = made.rig.lead_in
    want = [each.passes[0].end_stop if len(each.passes) == 1 else each.length + 2 * lead for each in made.cuts]
    assert lengths == pytest.approx(sorted(want), abs=1e-5)


# --- versions and letters -------------------------------------------------------------------------------------------


def read_as(data: bytes, version: str) -> Drawing:
    """A drawing as ezdxf reads it: in the code page before R2007, in UTF-8 from then on."""
    if version in ("R2000", "R2004"):
        return read(data)
    return ezdxf.read(io.StringIO(data.decode("utf-8")))


@pytest.mark.parametrize("version", get_args(DxfVersion))
def test_every_version_is_clean_and_says_the_same(version: DxfVersion) -> None:
    """Each is what it says, has no errors, is the same bytes each time, and holds what R2000 holds."""
    made = PLANS["two passes"]()
    data = job_drawing(made, version=version)
    assert data == job_drawing(made, version=version)
    doc, plain_doc = read_as(data, version), read(job_drawing(made))
    assert doc.acad_release == version
    assert not doc.audit().errors
    assert doc.header["$INSUNITS"] == 4
    assert [str(each) for each in doc.layers] == [str(each) for each in plain_doc.layers]

    def told(document: Drawing) -> list[tuple[str, str, str]]:
        return [
            (each.dxftype(), each.dxf.layer, str(each.dxfattribs().get("text", ""))) for each in document.modelspace()
        ]

    assert told(doc) == told(plain_doc)


def test_a_version_that_there_is_not_is_named() -> None:
    """Another word is refused, and the versions are said."""
    with pytest.raises(ValueError, match="R2018"):
        job_drawing(PLANS["one strip"](), version="R14")  # type: ignore[arg-type]


@pytest.mark.parametrize("version", get_args(DxfVersion))
def test_letters_of_names_come_back_in_every_version(version: DxfVersion) -> None:
    """Letters beyond the code page in all versions; beyond four hex digits from R2007 on, where files are UTF-8."""
    far, near_ = PLANS[f"name {NAMES.index('kő Łom 日本')}"](), PLANS["name 5"]()
    for made, want in (
        (far, "kő Łom 日本"),
        (near_, "lid ?" if version in ("R2000", "R2004") else "lid \N{GRINNING FACE}"),
    ):
        doc = read_as(job_drawing(made, version=version), version)
        assert any(each.dxf.text.startswith(want + "  ") for each in doc.modelspace().query("TEXT"))


@pytest.mark.parametrize("version", get_args(DxfVersion))
def test_gdal_reads_the_letters_of_every_version(version: DxfVersion, tmp_path: Path) -> None:
    """Western letters as they are; others too from R2007 on. GDAL leaves escapes of older versions as they stand."""
    if not tool("ogr2ogr"):
        return
    for name, want in ((0, "Träger Ø40 ½"), (1, "kő Łom 日本")):
        (tmp_path / "p.dxf").write_bytes(job_drawing(PLANS[f"name {name}"](), version=version))
        subprocess.run(
            ["ogr2ogr", "-f", "GeoJSON", f"p{name}.json", "p.dxf"], cwd=tmp_path, check=True, capture_output=True
        )
        texts = [
            str(each["properties"].get("Text"))
            for each in json.loads((tmp_path / f"p{name}.json").read_text())["features"]
        ]
        if version in ("R2000", "R2004"):
            want = "".join(
                each if (each in "ØäŁ½" and name == 0) or each.isascii() else f"\\U+{ord(each):04x}" for each in want
            )
        assert any(each.startswith(want) for each in texts), texts


# --- offcuts, blocks, dimensions ------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["one strip", "two passes", "inches", "stays on fence"])
def test_offcuts_are_hatched(name: str) -> None:
    """Each offcut has a hatch of parallel lines behind all else, by its layer alone, which is continuous,
    clear of its label.
    """
    doc = read(plate_drawing(PLANS[name](), "P1"))
    space = doc.modelspace()
    outlines, hatches = space.query('LWPOLYLINE[layer=="OFFCUT"]'), space.query("HATCH")
    assert len(hatches) == len(outlines) == 1
    assert next(iter(space)) is hatches.first
    assert (hatches.first.dxf.layer, hatches.first.dxf.color) == ("OFFCUT", 256)
    assert not hatches.first.dxf.hasattr("linetype")
    assert doc.layers.get("OFFCUT").dxf.linetype.upper() == "CONTINUOUS"
    edge, *holes = hatches.first.paths
    assert [tuple(each)[:2] for each in edge.vertices] == [tuple(each) for each in outlines.first.get_points("xy")]
    label = next(each for each in space.query("TEXT") if each.dxf.text.startswith("offcut"))
    at = label.dxf.align_point
    assert any(min(v[0] for v in h.vertices) < at.x < max(v[0] for v in h.vertices) for h in holes)
    (line,) = hatches.first.pattern.lines
    lettering = label.dxf.height
    assert line.angle == 45
    assert 0.5 * lettering < line.offset.magnitude < 3 * lettering


@pytest.mark.parametrize("name", ["pushed up", "stays on fence", "two passes", "inches", "hair strips", "marked"])
def test_blocks_of_a_job_are_its_parts(name: str) -> None:
    """Each part is one block, inserted as often as it is made, with its name as an attribute; plate drawings have
    none."""
    made = PLANS[name]()
    doc = read(job_drawing(made))
    counts = Counter(each.dxf.name for each in doc.modelspace().query("INSERT"))
    assert counts == {line.name: line.made for line in made.parts}
    assert not doc.modelspace().query('LWPOLYLINE[layer=="PART"]')
    for each in doc.modelspace().query("INSERT"):
        assert each.get_attrib_text("NAME") == each.dxf.name  # type: ignore[attr-defined]
        assert " x " in each.get_attrib_text("SIZE")  # type: ignore[attr-defined]
    assert not read(plate_drawing(made, "P1")).modelspace().query("INSERT")


def test_pieces_of_a_part_that_differ_in_size_are_blocks_of_their_own() -> None:
    """Two of 50 mm and one a hundredth wider: two blocks, their sizes in their names; noise of reckoning makes none."""
    record = to_record(PLANS["pushed up"]())
    first, second, third = (each for each in record["pieces"] if each["kind"] == "part")
    first["outline"] = [[x, y * (1 + 1e-12)] for x, y in first["outline"]]
    third["outline"] = [[x, y + (0.01 if y > 120 else 0)] for x, y in third["outline"]]
    doc = read(job_drawing(from_record(Plan, record)))
    names = [each.dxf.name for each in doc.modelspace().query("INSERT")]
    assert names == ["bar 1000 x 50", "bar 1000 x 50", "bar 1000 x 50.01"]
    assert second["outline"][0] == [0, 51.5]


@pytest.mark.parametrize("version", few(1, ("R2018", "R2000")))
def test_blocks_may_have_any_part_as_their_name(version: DxfVersion) -> None:
    """Hard names become names that a block may have: none empty, forbidden, or longer than 255 with their escapes."""
    for n in range(len(NAMES)):
        data = job_drawing(PLANS[f"name {n}"](), version=version)
        (name,) = {each.dxf.name for each in read_as(data, version).modelspace().query("INSERT")}
        assert name.strip() == name
        assert name
        assert not set(name) & set('<>/\\":;?*|,=`')
        assert len(name.encode("ascii", "backslashreplace")) < 255
        assert not read_as(data, version).audit().errors


def test_names_of_blocks_are_told_apart_whatever_their_capitals() -> None:
    """Parts whose names differ in capitals, in what is cut off or in what no block may be called have blocks
    of their own.
    """
    taken: set[str] = set()
    for wanted in ("Leg", "leg", "LEG", "a/b", "a:b", "w" * 40 + "1", "w" * 40 + "2", "*", "?", "_ARROW"):
        name = block_name(wanted, taken)
        assert name.casefold() not in taken
        assert len(name) <= 32
        taken.add(name.casefold())


def parts_read(data: bytes, folder: Path) -> Counter[tuple[float, float]]:
    """What our own reader of drawings finds: quantities by size [mm]."""
    (folder / "drawn.dxf").write_bytes(data)
    found: Counter[tuple[float, float]] = Counter()
    for each in read_dxf_parts(folder / "drawn.dxf").parts:
        assert isinstance(each, Rectangle)
        found[round(each.length, 3), round(each.width, 3)] += each.quantity
    return found


@pytest.mark.parametrize("name", ["uncut", "pushed up", "two passes", "inches", "trimmed", "marked", "two plates"])
@pytest.mark.parametrize("version", few(1, ("R2018", "R2000")))
def test_drawings_read_back_as_a_list_of_parts(name: str, version: DxfVersion, tmp_path: Path) -> None:
    """Parts and quantities of the job's drawing, and of the plates' drawings together, are those of the plan."""
    made = two_plates() if name == "two plates" else PLANS[name]()
    want: Counter[tuple[float, float]] = Counter()
    for piece in made.pieces:
        if piece.kind == "part":
            (x0, y0), (x1, y1) = piece.outline[0], piece.outline[2]
            want[round(max(x1 - x0, y1 - y0), 3), round(min(x1 - x0, y1 - y0), 3)] += 1
    assert parts_read(job_drawing(made, version=version), tmp_path) == want
    plates: Counter[tuple[float, float]] = Counter()
    for plate in made.plates:
        plates += parts_read(plate_drawing(made, plate.id, version=version), tmp_path)
    assert plates == want


def test_a_part_too_small_for_its_name_is_named_by_its_block(tmp_path: Path) -> None:
    """Where a label is a number only, the reader takes the name from the block."""
    (tmp_path / "job.dxf").write_bytes(job_drawing(PLANS["hair strips"]()))
    (part,) = read_dxf_parts(tmp_path / "job.dxf").parts
    assert (part.name, part.quantity) == ("bar", 40)


@pytest.mark.parametrize(("name", "places"), [("half missed", 2), ("inches", 3)])
def test_dimensions_have_a_decimal_point_everywhere(name: str, places: int) -> None:
    """Point, decimals, style of lettering and measurement are said in the style, in the header and in the dimension."""
    doc = read(plate_drawing(PLANS[name](), "P1"))
    style = doc.dimstyles.get("STRIPPLAN")
    assert doc.header["$DIMDSEP"] == style.dxf.dimdsep == ord(".")
    assert doc.header["$DIMDEC"] == style.dxf.dimdec == places
    assert doc.header["$DIMTXSTY"] == style.dxf.dimtxsty == "STRIPPLAN"
    for each in doc.modelspace().query("DIMENSION"):
        assert each.dxf.actual_measurement == pytest.approx(each.get_measurement(), abs=1e-9)


def test_layers_say_what_they_hold() -> None:
    """Each of our layers has a description, in every version."""
    for version in ("R2000", "R2018"):
        doc = read_as(job_drawing(PLANS["one strip"](), version=version), version)
        ours = [each for each in doc.layers if each.dxf.name not in ("0", "Defpoints")]
        assert len(ours) == 8
        assert all(each.description for each in ours)


def test_all_drawings_of_a_folder_have_the_version_that_was_asked() -> None:
    """`dxf_version` goes to each drawing; the shell offers the versions that there are, R2000 where none is named."""
    files = folder.contents(PLANS["one strip"](), dxf_version="R2013")
    drawings = [data for name, data in files.items() if name.endswith(".dxf")]
    assert len(drawings) == 2
    assert {read_as(data, "R2013").acad_release for data in drawings} == {"R2013"}
    (option,) = (each for each in shell.params if "--dxf" in each.opts)
    assert isinstance(option.type, click.Choice)
    assert (tuple(option.type.choices), option.default) == (get_args(DxfVersion), "R2000")
    assert get_args(folder.DxfVersion) == get_args(DxfVersion)


@pytest.mark.parametrize("text", ["x%%%d", "%%d", "%%%%", "100%%c50", "%"])
def test_no_row_of_per_cent_signs_is_a_command(text: str) -> None:
    """`%%d` is a degree sign to drawing programs; once, an odd number of signs left one standing."""
    assert "%%" not in plain(text)
    assert plain(text).replace("% %", "%%").replace("% %", "%%").count("%") == text.count("%")
