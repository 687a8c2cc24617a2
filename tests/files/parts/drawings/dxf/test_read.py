"""Drawings of other people: which outlines become parts, and what is said of the others."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any

import ezdxf
import pytest
from ezdxf.math import Matrix44, Vec3
from hypothesis import given
from hypothesis import strategies as st

from stripplan import Job, Plate, Strip, load_rig, plan
from stripplan.errors import InputError
from stripplan.files.parts.drawings.dxf.loaded import MOST_ENTITIES, MOST_TAGS
from stripplan.files.parts.drawings.dxf.read import read_dxf_parts
from stripplan.files.parts.drawings.layers import HowDrawn
from stripplan.files.parts.drawings.outlines import DrawnParts
from stripplan.files.parts.drawings.rectangle import fitted
from stripplan.model.part import Rectangle, Shape
from stripplan.model.polygon import area, cross, edges, line_of
from stripplan.sheets.dxf.drawing import job_drawing, plate_drawing
from stripplan.wording.message import Message
from stripplan.wording.show import worded
from tests.checking import calls, examples, few
from tests.files.parts.specimens import said, write

Point = tuple[float, float]
BOX: list[Point] = [(0, 0), (100, 0), (100, 50), (0, 50)]


def new(units: int = 4) -> Any:
    """An empty drawing in mm, or in other units by their code."""
    document = ezdxf.new("R2000")
    document.header["$INSUNITS"] = units
    return document


def read(folder: Path, document: Any, **options: Any) -> DrawnParts:
    """The parts of a drawing, by way of a file."""
    path = folder / "drawing.dxf"
    document.saveas(path)
    return read_dxf_parts(path, HowDrawn(**options))


def sizes(drawn: DrawnParts) -> list[tuple[float, float, int]]:
    """Length, width and quantity of each part."""
    return [(each.length, each.width, each.quantity) for each in drawn.parts if isinstance(each, Rectangle)]


def moved(points: list[Point], x: float, y: float, degrees: float = 0.0) -> list[Point]:
    """Points turned about the origin, then moved."""
    turn = Matrix44.z_rotate(math.radians(degrees)) * Matrix44.translate(x, y, 0)
    return [(each.x, each.y) for each in turn.transform_vertices([Vec3(p) for p in points])]


def draw(space: Any, points: list[Point], how: str, layer: str = "0") -> None:
    """An outline as one of the kinds in which people draw them."""
    look = {"layer": layer}
    if how == "lwpolyline":
        space.add_lwpolyline(points, close=True, dxfattribs=look)
    elif how == "polyline":
        space.add_polyline2d(points, close=True, dxfattribs=look)
    elif how == "last point on first":
        space.add_lwpolyline([*points, points[0]], dxfattribs=look)
    elif how == "lines":
        for one, two in ((0, 1), (3, 2), (1, 2), (3, 0)):  # not in a row, and not all in one direction
            space.add_line(points[one], points[two], dxfattribs=look)
    elif how == "two runs":
        space.add_lwpolyline(points[:3], dxfattribs=look)
        space.add_lwpolyline([points[0], points[3], points[2]], dxfattribs=look)
    elif how == "with points on edges":
        after = [*points[1:], points[0]]
        middles = [((x0 + x1) / 2, (y0 + y1) / 2) for (x0, y0), (x1, y1) in zip(points, after, strict=True)]
        run = [each for pair in zip(middles, after, strict=True) for each in pair]  # starts in the middle of an edge
        space.add_lwpolyline(run, close=True, dxfattribs=look)


HOWS = ["lwpolyline", "polyline", "last point on first", "lines", "two runs", "with points on edges"]


@pytest.mark.parametrize("how", HOWS)
@pytest.mark.parametrize("degrees", [0, 90, 37.5])
def test_a_rectangle_however_it_is_drawn(tmp_path: Path, how: str, degrees: float) -> None:
    """100 x 50 at any angle; the longer side is the length."""
    document = new()
    draw(document.modelspace(), moved(BOX, 7, 9, degrees), how)
    drawn = read(tmp_path, document)
    assert drawn.parts == (Rectangle(name="part 1", width=50, length=100),)
    assert drawn.skipped == ()


@examples(15)
@given(
    boxes=st.lists(
        st.tuples(
            st.integers(100, 90_000), st.integers(100, 90_000), st.floats(0, 360), st.sampled_from(HOWS), st.booleans()
        ),
        min_size=1,
        max_size=12,
    )
)
def test_random_rectangles_come_back(
    boxes: list[tuple[int, int, float, str, bool]], tmp_path_factory: pytest.TempPathFactory
) -> None:
    """Whatever sizes [0.01 mm], angles and kinds, drawn outright or in turned blocks:
    the same sizes, nothing left out.
    """
    document, wanted = new(), Counter[tuple[float, float]]()
    for at, (length, width, degrees, how, in_block) in enumerate(boxes):
        points = [(x * length / 100, y * width / 100) for x, y in ((0, 0), (1, 0), (1, 1), (0, 1))]
        if in_block:
            block = document.blocks.new(f"B{at}")
            draw(block, points, how)
            document.modelspace().add_blockref(f"B{at}", (at * 3000, 0), dxfattribs={"rotation": degrees})
        else:
            draw(document.modelspace(), moved(points, at * 3000, 0, degrees), how)
        wanted[max(length, width) / 100, min(length, width) / 100] += 1
    drawn = read(tmp_path_factory.mktemp("drawn"), document)
    assert drawn.skipped == ()
    assert sum((Counter({(a, b): n}) for a, b, n in sizes(drawn)), Counter()) == wanted


@pytest.mark.parametrize(
    ("code", "mm"), [(1, 25.4), (2, 304.8), (4, 1.0), (5, 10.0), (6, 1000.0)]
)  # DXF reference, header variable $INSUNITS: 1 inches, 2 feet, 4 millimetres, 5 centimetres, 6 metres
def test_units_of_the_drawing(tmp_path: Path, code: int, mm: float) -> None:
    """A square of two units."""
    document = new(code)
    document.modelspace().add_lwpolyline([(0, 0), (2, 0), (2, 2), (0, 2)], close=True)
    assert sizes(read(tmp_path, document)) == [(2 * mm, 2 * mm, 1)]


def test_units_are_asked_for_and_not_guessed(tmp_path: Path) -> None:
    """A drawing without units, or in units nobody cuts in, is refused until units are given;
    these go before its own.
    """
    document = new(0)
    draw(document.modelspace(), BOX, "lwpolyline")
    with pytest.raises(InputError, match=r"does not name its units \(say which, mm, cm, m, in or ft: --list-units"):
        read(tmp_path, document)
    assert sizes(read(tmp_path, document, units="in")) == [(2540, 1270, 1)]
    document.header["$INSUNITS"] = 10
    with pytest.raises(InputError, match=r"its units \(code 10\) are not read here"):
        read(tmp_path, document)
    document.header["$INSUNITS"] = 1
    drawn = read(tmp_path, document, units="mm")
    assert sizes(drawn) == [(100, 50, 1)]
    assert drawn.notes[0].worded().text == "the drawing names in and was read in mm, as asked"
    with pytest.raises(InputError, match="'miles' is no unit of a drawing"):
        read(tmp_path, document, units="miles")


def test_blocks_with_scale_rotation_and_arrays(tmp_path: Path) -> None:
    """A block of 10 x 5, ten times as large along and twice across, in an array of 2 x 3 that is turned,
    within another block.
    """
    document = new()
    draw(document.blocks.new("FOOT"), [(0, 0), (10, 0), (10, 5), (0, 5)], "lines")
    outer = document.blocks.new("PAIR", base_point=(3, 4))
    outer.add_blockref(
        "FOOT", (0, 0),
        dxfattribs={"xscale": 10, "yscale": -2, "row_count": 2, "column_count": 3, "row_spacing": 40,
         "column_spacing": 150},
    )  # fmt: skip
    for x in (0, 2000):
        document.modelspace().add_blockref("PAIR", (x, 0), dxfattribs={"rotation": 30})
    drawn = read(tmp_path, document)
    assert drawn.parts == (Rectangle(name="FOOT", width=10, length=100, quantity=12),)


def test_an_array_turns_with_its_block(tmp_path: Path) -> None:
    """A quarter turn lays rows of an array side by side: unturned, they would lie over one another and be refused."""
    document = new()
    draw(document.blocks.new("B"), BOX, "lwpolyline")
    look = {"rotation": 90, "row_count": 3, "row_spacing": 60}
    document.modelspace().add_blockref("B", (0, 0), dxfattribs=look)
    drawn = read(tmp_path, document)
    assert sizes(drawn) == [(100, 50, 3)]
    assert drawn.skipped == ()


def test_layer_0_of_a_block_is_the_layer_it_is_put_on(tmp_path: Path) -> None:
    """As drawing programs show it (common practice, no source); what a block has on a layer of its own stays there."""
    document = new()
    document.layers.add("6 mm")
    document.layers.add("10 mm")
    for name, layer in (("FLOATING", "0"), ("FIXED", "10 mm")):
        draw(document.blocks.new(name), BOX, "lines", layer)
        document.modelspace().add_blockref(name, (len(name) * 500, 0), dxfattribs={"layer": "6 mm"})
    drawn = read(tmp_path, document, layer_names=True)
    assert {each.name: each.thickness for each in drawn.parts} == {"FLOATING": 6, "FIXED": 10}


def test_a_block_scaled_out_of_square_is_a_shape(tmp_path: Path) -> None:
    """A turned rectangle that is scaled one way only is a parallelogram of twice its area."""
    document = new()
    draw(document.blocks.new("B"), moved(BOX, 0, 0, 30), "lwpolyline")
    document.modelspace().add_blockref("B", (0, 0), dxfattribs={"xscale": 2})
    (part,) = read(tmp_path, document).parts
    assert isinstance(part, Shape)
    assert len(part.outline) == 4
    assert area(part.outline) == pytest.approx(2 * abs(area(BOX)), abs=5)


def test_a_regular_hexagon_keeps_its_angles(tmp_path: Path) -> None:
    """However it is turned all its corners have 120 degrees and its edges are alike, so that one angle of the mitre bar
    serves them; two of them are one part."""
    document = new()
    for n, degrees in enumerate((0.0, 17.0)):
        round_it = [(90 * math.cos(math.radians(60 * k)), 90 * math.sin(math.radians(60 * k))) for k in range(6)]
        document.modelspace().add_lwpolyline(moved(round_it, 300.0 * n, 0, degrees), close=True)
    (part,) = read(tmp_path, document).parts
    assert isinstance(part, Shape)
    assert part.quantity == 2
    assert [math.dist(*edge) for edge in edges(part.outline)] == pytest.approx([90] * 6, abs=5e-6)
    ahead = [line_of(edge).along for edge in edges(part.outline)]
    turns = [math.degrees(math.asin(cross(ahead[n - 1], ahead[n]))) for n in range(6)]
    assert turns == pytest.approx([60] * 6, abs=5e-6)


def _curved(space: Any) -> None:
    space.add_lwpolyline([(0, 0, 0.2), (100, 0, 0), (100, 50, 0), (0, 50, 0)], format="xyb", close=True)


def _rounded(space: Any) -> None:
    space.add_line((10, 0), (100, 0))
    space.add_line((100, 0), (100, 50))
    space.add_line((100, 50), (0, 50))
    space.add_line((0, 50), (0, 10))
    space.add_arc((10, 10), 10, 180, 270)


def _upright(space: Any) -> None:
    space.add_lwpolyline(BOX, close=True, dxfattribs={"extrusion": (1, 0, 0)})


@pytest.mark.parametrize(
    ("paint", "where", "why"),
    [
        (lambda s: s.add_lwpolyline([(0, 0), (100, 0), (100.5, 50), (0.5, 50)], close=True), "at 50.25, 25 mm",
         "its corners are not square"),
        (lambda s: s.add_lwpolyline([(0, 0), (100, 0), (100, 50), (50, 20), (0, 50)], close=True), "at 50, 25 mm",
         "it has 5 corners, and the one at 50 mm, 20 mm points inward"),
        (lambda s: s.add_lwpolyline([(0, 0), (100, 50), (100, 0), (0, 50)], close=True), "at 50, 25 mm",
         "it encloses nothing"),
        (lambda s: s.add_lwpolyline([(0, 0), (100, 0), (0, 0.01)], close=True), "at 50, 0.005 mm",
         "it encloses nothing"),
        (lambda s: s.add_circle((5, 6), 3), "at 5, 6 mm", "it is curved"),
        (lambda s: s.add_ellipse((5, 6), (3, 0), 0.5), "at 5, 6 mm", "it is curved"),
        (_curved, "mm", "it is curved"),
        (_rounded, "mm", "it is curved"),
        (_upright, "at 0, 0 mm", "it does not lie flat"),
        (lambda s: s.add_lwpolyline([*BOX, (0, 0.2)]), "at 0, 0 mm", "it does not close: a line ends here"),
        (lambda s: [s.add_line((0, 0), p) for p in BOX[1:]], "at 0, 0 mm", "more than two lines meet here"),
        (lambda s: s.add_line((3, 3), (3, 3)), "at 3, 3 mm", "it has no length"),
        (lambda s: s.add_lwpolyline([(0, 0), (2e9, 0), (2e9, 5), (0, 5)], close=True), "layer '0'",
         "its coordinates are no numbers, or too far away"),
        (lambda s: s.add_lwpolyline([(0, 0), (math.nan, 0), (9, 5), (0, 5)], close=True), "layer '0'",
         "its coordinates are no numbers, or too far away"),
        (lambda s: s.add_lwpolyline([(0, 0), (1.1e6, 0), (1.1e6, 5), (0, 5)], close=True), "mm",
         "it is longer than a kilometre"),
    ],
)  # fmt: skip
def test_what_is_no_rectangle_is_said_with_its_place(tmp_path: Path, paint: Any, where: str, why: str) -> None:
    """Each is listed once, with its layer, handle, place and reason, and nothing is made of it."""
    document = new()
    paint(document.modelspace())
    drawn = read(tmp_path, document)
    assert drawn.parts == ()
    assert len(drawn.skipped) == 1
    assert where in drawn.skipped[0].where
    assert "layer '0'" in drawn.skipped[0].where
    assert drawn.skipped[0].why.startswith(why)
    assert drawn.skipped[0].what.split()[1] in document.entitydb


@pytest.mark.parametrize(("off", "found"), [(0.04, True), (0.11, False)])
def test_the_tolerance_is_one(tmp_path: Path, off: float, found: bool) -> None:
    """A corner, and lines apart, by less than the tolerance still make a rectangle, with a note;
    by more they make none.
    """
    document = new()
    space = document.modelspace()
    draw(space, [(0, 0), (100, 0), (100 + off, 50 + off), (0, 50)], "lwpolyline")
    for one, two in (
        ((0, 200 + off), (100, 200)),
        ((100, 200), (100, 250)),
        ((100, 250), (0, 250)),
        ((0, 250), (0, 200)),
    ):
        space.add_line(one, two)
    drawn = read(tmp_path, document)
    assert len(drawn.skipped) == (0 if found else 2)
    assert sum(each[2] for each in sizes(drawn)) == (2 if found else 0)
    assert any(each.code == "off_square" for each in drawn.notes) == found


def test_a_chain_of_short_edges_is_no_rectangle() -> None:
    """Points dropped one by one as lying on a chord do not turn a polygon of many corners into a rectangle."""
    ring = [(500 * math.cos(math.tau * k / 2000), 500 * math.sin(math.tau * k / 2000)) for k in range(2000)]
    assert isinstance(fitted(ring, 2.0), Message)


def test_an_edge_that_bows_in_small_steps_is_no_straight_edge() -> None:
    """Every point counts, not the corners alone: 5 mm of bow in steps of which none is above the tolerance."""
    bowed = [(float(x), -5 * math.sin(math.pi * x / 1000)) for x in range(1001)] + [(1000.0, 50.0), (0.0, 50.0)]
    refused = fitted(bowed, 0.05)
    assert isinstance(refused, Message)
    assert worded(refused).text == "its corners are not square: no rectangle within 0.05 mm"


def test_a_round_outline_in_small_steps_is_curved(tmp_path: Path) -> None:
    """A circle of 5000 straight steps was planned as an octagon inside it; and what has a corner that points inward is
    told with that corner."""
    document = new(4)
    turns = [2 * math.pi * n / 5000 for n in range(5000)]
    document.modelspace().add_lwpolyline([(100 * math.cos(n), 100 * math.sin(n)) for n in turns], close=True)
    document.modelspace().add_lwpolyline([(300, 0), (400, 0), (320, 20), (300, 100)], close=True)
    drawn = read(tmp_path, document)
    assert not drawn.parts
    told = [each.reason.key for each in drawn.skipped]
    assert sorted(told) == ["why.corner_inward", "why.curved_in_steps"]


def test_sizes_are_rounded_and_it_is_said_by_how_much(tmp_path: Path) -> None:
    """3/8 in is 9.525 mm: to 0.01 mm it is 9.53."""
    document = new(1)
    document.modelspace().add_lwpolyline([(0, 0), (4, 0), (4, 0.375), (0, 0.375)], close=True)
    drawn = read(tmp_path, document)
    assert sizes(drawn) == [(101.6, 9.53, 1)]
    assert drawn.notes[0].worded().text == "sizes were rounded to 0.01 mm, by at most 0.005 mm"


def test_holes_crossings_and_doubles(tmp_path: Path) -> None:
    """A hole refuses its rectangle, and is told with it; outlines that cross refuse both; of two alike one is kept;
    neighbours are fine.
    """
    document = new()
    space = document.modelspace()
    draw(space, BOX, "lwpolyline", "HOLED")
    space.add_circle((20, 20), 5, dxfattribs={"layer": "HOLED"})
    draw(space, moved(BOX, 1000, 0), "lwpolyline", "NESTED")
    draw(space, [(1010, 10), (1020, 10), (1020, 20), (1010, 20)], "lines", "NESTED")
    draw(space, moved(BOX, 2000, 0), "lwpolyline", "CROSSED")
    draw(space, moved(BOX, 2050, 25), "lwpolyline", "CROSSED")
    for _ in range(2):
        draw(space, moved(BOX, 3000, 0), "lwpolyline", "DOUBLE")
    draw(space, moved(BOX, 3000.01, 0), "lines", "DOUBLE")
    for x in (4000, 4100):
        draw(space, moved(BOX, x, 0), "lwpolyline", "BESIDE")
    drawn = read(tmp_path, document)
    assert sizes(drawn) == [(100, 50, 1), (100, 50, 2)]
    reasons = Counter((each.where.split("'")[1], each.why.split(":")[0]) for each in drawn.skipped)
    assert reasons == {
        ("HOLED", "it has one hole"): 1, ("NESTED", "outlines that may be parts lie in it"): 1,
        ("NESTED", "it lies in another outline"): 1,
        ("CROSSED", "it crosses another outline"): 2, ("DOUBLE", "it is drawn twice, over"): 2,
    }  # fmt: skip


@pytest.mark.parametrize(
    ("texts", "name", "quantity"),
    [
        (["qty 4"], "part 1", 4), (["Qty: 4"], "part 1", 4), (["4x"], "part 1", 4), (["x4"], "part 1", 4),
        (["4 off"], "part 1", 4), (["Stk 4"], "part 1", 4), (["4 Stk."], "part 1", 4), (["4 pcs"], "part 1", 4),
        (["FOOT"], "FOOT", 1), (["FOOT", "100 x 50", "qty 12"], "FOOT", 12), (["FOOT, qty 3"], "FOOT", 3),
        (["2 off FOOT"], "FOOT", 2), (["7", "FOOT"], "FOOT", 1), (["100x50"], "part 1", 1),
        (["6x FOOT"], "FOOT", 6), (["FOOT 6x"], "FOOT", 6),
        (["FOOT x6"], "FOOT", 6), (["M6x20"], "M6x20", 1), (["FOOT 2", "qty 4"], "FOOT 2", 4),
    ],
)  # fmt: skip
def test_names_and_quantities_in_an_outline(tmp_path: Path, texts: list[str], name: str, quantity: int) -> None:
    """TEXT and MTEXT inside the outline, on whatever layer; text outside is counted, not read."""
    document = new()
    draw(document.modelspace(), BOX, "lwpolyline")
    for at, text in enumerate(texts):
        if at % 2:
            document.modelspace().add_mtext(text, dxfattribs={"insert": (5, 40 - 10 * at), "layer": "NOTES"})
        else:
            document.modelspace().add_text(text, dxfattribs={"insert": (5, 40 - 10 * at)})
    document.modelspace().add_text("drawn by me", dxfattribs={"insert": (500, 40)})
    drawn = read(tmp_path, document)
    assert drawn.parts == (Rectangle(name=name, width=50, length=100, quantity=quantity),)
    assert [(each.what, each.why) for each in drawn.skipped] == [("1 TEXT", "it stands in no part")]


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("FOOT 6", "'FOOT 6' may be one part of that name, or 6 of FOOT: write FOOT 6x, or FOOT 6 1x"),
        ("6xFOOT", "'6xFOOT' may be a name, or a name and a count"),
        ("BAR 40x6 x4", "what 'BAR 40x6 x4' counts can be read in two ways"),
    ],
)
def test_what_may_be_a_name_or_a_count_is_asked(tmp_path: Path, text: str, why: str) -> None:
    """Never guessed: the outline is refused with both readings, unless another text says how many."""
    document = new()
    draw(document.modelspace(), BOX, "lwpolyline")
    document.modelspace().add_text(text, dxfattribs={"insert": (5, 30)})
    (refused,) = read(tmp_path, document).skipped
    assert refused.why.startswith(why)
    document.modelspace().add_text("qty 3", dxfattribs={"insert": (5, 10)})
    assert [(each.name, each.quantity) for each in read(tmp_path, document).parts] == [(text, 3)]


def test_a_centre_line_is_worth_a_note_only(tmp_path: Path) -> None:
    """A straight line within a part lacks nothing of the list; outside of all it may be a part that is not finished."""
    document = new()
    draw(document.modelspace(), BOX, "lwpolyline")
    document.modelspace().add_line((10, 25), (90, 25))
    document.modelspace().add_line((10, 125), (90, 125))
    drawn = read(tmp_path, document)
    assert sizes(drawn) == [(100, 50, 1)]
    assert [(each.why, each.missing is None) for each in drawn.skipped] == [
        ("it is a line within an outline", True), ("it does not close: a line ends here", False),
    ]  # fmt: skip


def test_a_text_of_several_lines(tmp_path: Path) -> None:
    """Each line speaks for itself: name, quantity, what it is made of; what is none of these goes with the part. Where
    texts and layer contradict each other, it is asked.
    """
    document = new()
    document.layers.add("PL6_6MM")
    draw(document.modelspace(), BOX, "lwpolyline", "PL6_6MM")
    text = "FOOT\\PQTY 4\\P10mm S235\\Pdeburr"
    document.modelspace().add_mtext(text, dxfattribs={"insert": (5, 45), "char_height": 5})
    (part,) = read(tmp_path, document).parts
    assert (part.name, part.quantity, part.note) == ("FOOT", 4, "deburr")
    assert (part.thickness, part.material) == (10, "S235")
    (refused,) = read(tmp_path, document, layer_names=True).skipped
    assert refused.why == "it has two thicknesses, 6 and 10 mm"


def test_a_count_of_holes_is_a_note(tmp_path: Path) -> None:
    """It counts no parts, and goes with the part."""
    document = new()
    draw(document.modelspace(), BOX, "lwpolyline")
    for at, text in enumerate(("FOOT", "4x M8", "%%c9")):
        document.modelspace().add_text(text, dxfattribs={"insert": (5, 40 - 15 * at)})
    (part,) = read(tmp_path, document).parts
    assert (part.name, part.quantity, part.note) == ("FOOT", 1, "4x M8; Ø9")


@pytest.mark.parametrize(
    ("text", "place", "what"),
    [
        ("FOOT 6x", {"insert": (0, -15), "height": 10}, 6), ("FOOT 6x", {"insert": (105, 20), "height": 10}, 6),
        ("FOOT 6x", {"insert": (-3, 20), "height": 10, "halign": 2, "align_point": (-3, 20)}, 6),
        ("FOOT 6x", {"insert": (0, -35), "height": 10}, "it counts, and stands at no part"),
        ("FOOT", {"insert": (0, -35), "height": 10}, "it stands in no part"),
    ],
)  # fmt: skip
def test_texts_beside_an_outline(tmp_path: Path, text: str, place: Any, what: int | str) -> None:
    """Within twice its own height it belongs to the outline; farther off a count is missed, and a name is not."""
    document = new()
    draw(document.modelspace(), BOX, "lwpolyline")
    document.modelspace().add_text(text, dxfattribs=place)
    drawn = read(tmp_path, document)
    if isinstance(what, int):
        assert (drawn.parts[0].name, drawn.parts[0].quantity, drawn.skipped) == ("FOOT", what, ())
    else:
        assert [each.why for each in drawn.skipped] == [what]
        assert (drawn.skipped[0].missing is None) == (text == "FOOT")


@examples(10)
@given(degrees=st.floats(0, 360), mirrored=st.booleans())
def test_holes_are_said_the_same_however_a_part_is_turned(
    degrees: float, mirrored: bool, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """Two holes from the lower left corner, turned by any angle; a mirrored part is another one."""
    document = new()
    flip = -1 if mirrored else 1
    outline, middles = [(x, flip * y) for x, y in BOX], [(10, flip * 15), (80, flip * 40)]
    draw(document.modelspace(), moved(outline, 300, 400, degrees), "lwpolyline")
    for middle in moved(middles, 300, 400, degrees):
        document.modelspace().add_circle(middle, 4.5)
    (part,) = read(tmp_path_factory.mktemp("drawn"), document, drill_later=True).parts
    wanted = {(10, 35), (80, 10)} if mirrored else {(10, 15), (80, 40)}
    turned = {(100 - x, 50 - y) for x, y in wanted}
    found = {(round(each.x, 1), round(each.y, 1)) for each in part.holes}
    assert found in (wanted, turned)
    assert {(each.length, each.width, each.round) for each in part.holes} == {(9, 9, True)}


def test_quantities_that_cannot_be(tmp_path: Path) -> None:
    """Two quantities, none at all, or an attribute that is no number: the outline is refused with the figures."""
    document = new()
    for at, text in enumerate(("qty 4", "qty 0")):
        draw(document.modelspace(), moved(BOX, at * 500, 0), "lwpolyline")
        document.modelspace().add_text(text, dxfattribs={"insert": (at * 500 + 5, 5)})
    document.modelspace().add_text("x5", dxfattribs={"insert": (5, 25)})
    draw(document.blocks.new("B"), BOX, "lwpolyline")
    document.modelspace().add_blockref("B", (0, 900)).add_attrib("QTY", "four")
    assert [each.why for each in read(tmp_path, document).skipped] == [
        "it has two quantities, 4 and 5", "its quantity 0 is not from 1 to 1000000",
        "its attribute QTY, 'four', is no whole number",
    ]  # fmt: skip


def test_names_and_quantities_of_blocks(tmp_path: Path) -> None:
    """Attributes go before the block's name; same name, layer and size are counted,
    other sizes get theirs into the name.
    """
    document = new()
    for name, points in (("RAIL", BOX), ("FOOT", moved(BOX, 0, 0, 45))):
        draw(document.blocks.new(name), points, "lwpolyline")
    space = document.modelspace()
    for x, name, quantity in ((0, "A1", "4"), (200, "A1", "2")):
        reference = space.add_blockref("RAIL", (x, 0))
        reference.add_attrib("MARK", name)
        reference.add_attrib("QTY", quantity)
    space.add_blockref("FOOT", (500, 0))
    space.add_blockref("FOOT", (800, 0), dxfattribs={"xscale": 2, "yscale": 2})
    drawn = read(tmp_path, document)
    assert [(each.name, each.quantity) for each in drawn.parts] == [
        ("A1", 6),
        ("FOOT 100 x 50", 1),
        ("FOOT 200 x 100", 1),
    ]
    assert [each.code for each in drawn.notes] == ["same_name"]


def test_layers_off_frozen_hidden_and_paper(tmp_path: Path) -> None:
    """What does not show is not read, and it is counted; so is what is in paper space."""
    document = new()
    for name in ("OFF", "FROZEN", "SEEN"):
        document.layers.add(name)
    document.layers.get("OFF").off()
    document.layers.get("FROZEN").freeze()
    draw(document.blocks.new("B"), BOX, "lwpolyline", "SEEN")
    space = document.modelspace()
    for at, name in enumerate(("OFF", "FROZEN", "SEEN")):
        draw(space, moved(BOX, at * 500, 0), "lwpolyline", name)
        space.add_blockref("B", (at * 500, 500), dxfattribs={"layer": name})
    space.add_lwpolyline(moved(BOX, 0, 2000), close=True, dxfattribs={"invisible": 1})
    document.layout("Layout1").add_lwpolyline(BOX, close=True)
    drawn = read(tmp_path, document)
    assert sizes(drawn) == [(100, 50, 1), (100, 50, 2)]  # blocks on SEEN and OFF, which hides no other layer's content
    assert {(each.what, each.where, each.why) for each in drawn.skipped} == {
        ("1 LWPOLYLINE", "layer 'OFF'", "its layer is off"), ("1 LWPOLYLINE", "layer 'FROZEN'", "its layer is frozen"),
        ("1 INSERT", "layer 'FROZEN'", "its layer is frozen"), ("1 LWPOLYLINE", "layer '0'", "it is hidden"),
        ("1 objects", "paper space 'Layout1'", "only model space is read"),
    }  # fmt: skip


def test_other_objects_are_counted(tmp_path: Path) -> None:
    """Dimensions, hatches and points are no outlines; a missing block is said."""
    document = new()
    space = document.modelspace()
    draw(space, BOX, "lwpolyline")
    for y in (-10, -20):
        space.add_linear_dim(base=(0, y), p1=(0, 0), p2=(100, 0)).render()
    space.add_hatch().paths.add_polyline_path(BOX)
    space.add_blockref("GONE", (0, 0))
    drawn = read(tmp_path, document)
    assert sizes(drawn) == [(100, 50, 1)]
    assert {(each.what, each.why) for each in drawn.skipped} == {
        ("2 DIMENSION", "it is no outline"), ("1 HATCH", "it is no outline"),
        ("1 block 'GONE'", "it is an external drawing, or missing"),
    }  # fmt: skip


def test_thickness_and_material_by_layer(tmp_path: Path) -> None:
    """Only when asked: by a table, which also says which layers are read, or from names of layers, with a note."""
    document = new()
    for at, layer in enumerate(("PLATE_6MM_S235", "10 mm", "HOLES")):
        document.layers.add(layer)
        draw(document.modelspace(), moved(BOX, at * 500, 0), "lwpolyline", layer)
    assert {(each.thickness, each.material) for each in read(tmp_path, document).parts} == {(None, None)}
    named = read(tmp_path, document, layer_names=True)
    assert [(each.thickness, each.material) for each in named.parts] == [(6, "S235"), (10, None), (None, None)]
    assert named.notes[0].worded().text == "layer 'PLATE_6MM_S235' was read as thickness 6 mm, material 'S235'"
    given_layers = read(tmp_path, document, layers={"10 MM": (12.0, "mild steel")})
    assert [(each.thickness, each.material) for each in given_layers.parts] == [(12.0, "mild steel")]
    assert [each.why for each in given_layers.skipped] == ["its layer was not asked for"] * 2
    with pytest.raises(InputError, match="there is no layer 'HOLE'"):
        read(tmp_path, document, layers={"HOLE": (None, None)})
    with pytest.raises(InputError, match="thickness 0 is not above 0"):
        read(tmp_path, document, layers={"HOLES": (0.0, None)})


@pytest.mark.parametrize("units", ["mm", "in"])
def test_our_own_drawings_come_back(tmp_path: Path, units: Any) -> None:
    """Layer PART of a plan's drawings holds its parts as cut: strips as rectangles, allowances in them."""
    job = Job(
        name="own",
        units=units,
        plates=(Plate(name="sheet", length=1000, width=500, thickness=6, material="mild steel"),),
        parts=(
            Strip(name="rail", width=40, quantity=2),
            Rectangle(name="foot", width=80, length=240, quantity=5, allowance=1),
        ),
    )
    made = plan(job, load_rig())
    outlines = Counter(
        tuple(sorted((round(each.box[2] - each.box[0], 2), round(each.box[3] - each.box[1], 2))))
        for each in made.pieces
        if each.kind == "part"
    )
    drawings = [[job_drawing(made)], [plate_drawing(made, each.id) for each in made.plates]]
    for several in drawings:
        back: Counter[tuple[float, float]] = Counter()
        for each in several:
            drawn = read_dxf_parts(write(tmp_path, each, "own.dxf"))
            assert "only PART was read" in drawn.notes[0].worded().text
            assert {part.name for part in drawn.parts} <= {"rail", "foot", *(f"part {n}" for n in range(1, 9))}
            back += sum((Counter({(width, length): n}) for length, width, n in sizes(drawn)), Counter())
        assert back == outlines == {(40.0, 1000.0): 2, (82.0, 242.0): 5}


# --- files that are damaged or hostile --------------------------------------------------------------------------------

HEAD = "  0\nSECTION\n  2\nHEADER\n  9\n$ACADVER\n  1\nAC1015\n  9\n$INSUNITS\n 70\n4\n  0\nENDSEC\n"
END = "  0\nENDSEC\n  0\nEOF\n"


def raw(entities: str, blocks: str = "") -> bytes:
    """A drawing as text."""
    return (
        f"{HEAD}  0\nSECTION\n  2\nBLOCKS\n{blocks}  0\nENDSEC\n  0\nSECTION\n  2\nENTITIES\n{entities}{END}".encode()
    )


def ring(points: list[Point]) -> str:
    """A closed polyline as text."""
    return f"  0\nLWPOLYLINE\n100\nAcDbEntity\n  8\nA\n100\nAcDbPolyline\n 90\n{len(points)}\n 70\n1\n" + "".join(
        f" 10\n{x}\n 20\n{y}\n" for x, y in points
    )


def line(x: float, y: float, u: float, v: float) -> str:
    """A line as text."""
    return f"  0\nLINE\n  8\nA\n 10\n{x}\n 20\n{y}\n 30\n0\n 11\n{u}\n 21\n{v}\n 31\n0\n"


def block(name: str, inside: str) -> str:
    """A block as text."""
    return f"  0\nBLOCK\n  8\n0\n  2\n{name}\n 70\n0\n 10\n0\n 20\n0\n  3\n{name}\n{inside}  0\nENDBLK\n  8\n0\n"


def put(name: str, rows: int = 1, columns: int = 1) -> str:
    """A block reference as text."""
    return (
        f"  0\nINSERT\n  8\nA\n  2\n{name}\n 10\n0\n 20\n0\n 30\n0\n 70\n{columns}\n 71\n{rows}\n 44\n200\n 45\n200\n"
    )


GOOD = raw(ring(BOX))


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "this is no DXF drawing"),
        (b"hello\nworld\n", "this is no DXF drawing"),
        (b"AC1032" + bytes(100), "this is a DWG drawing, no DXF"),
        (b"AutoCAD Binary DXF\r\n\x1a\0" + bytes(100), "this is a binary DXF (save it as DXF text (ASCII))"),
        (GOOD[:-20], "the drawing is cut off: its end mark is missing"),
        (GOOD.replace(b" 10\n100\n", b" 10\nabc\n"), "the drawing is damaged"),
        (b"0\nSECTION\n" + b" " * (50 * 2**20), "the file has more than 50 MB"),
        (raw(put("B"), block("B", put("C")) + block("C", put("b"))), "block 'b' holds itself"),
        (raw(put("B0"), "".join(block(f"B{k}", put(f"B{k + 1}")) for k in range(50))), "nested too deep (at most 32"),
        (raw(put("B", 32000, 32000), block("B", ring(BOX))), "the blocks make 6,144,000,001 objects and points"),
        (raw(put("B", 32000, 32000), block("B", "")), "the blocks make 1,024,000,001 objects and points"),
        (
            raw(put("B0"), "".join(block(f"B{k}", put(f"B{k + 1}") * 10) for k in range(30)) + block("B30", ring(BOX))),
            "the blocks make more than 10^15 objects",
        ),
    ],
    ids=lambda each: str(each[:24]),
)
def test_damaged_and_endless_drawings(tmp_path: Path, data: bytes, words: str) -> None:
    """Each is refused in one plain sentence."""
    assert words in said(read_dxf_parts, write(tmp_path, data, "x.dxf"))


def test_a_good_drawing_as_text(tmp_path: Path) -> None:
    """The text from which the damaged ones are made is read."""
    assert sizes(read_dxf_parts(write(tmp_path, GOOD, "x.dxf"))) == [(100, 50, 1)]
    assert sizes(read_dxf_parts(write(tmp_path, raw(put("B", 3, 2), block("B", ring(BOX))), "x.dxf"))) == [(100, 50, 6)]


@pytest.mark.parametrize("cut", range(1, 20))
def test_any_cut_off_drawing_is_refused(tmp_path: Path, cut: int) -> None:
    """Wherever the file ends early, no part comes out of it."""
    with pytest.raises(InputError):
        read_dxf_parts(write(tmp_path, GOOD[: len(GOOD) * cut // 20], "x.dxf"))


@examples(25)
@given(data=st.data())
def test_good_drawings_with_splinters(data: st.DataObject, tmp_path_factory: pytest.TempPathFactory) -> None:
    """Overwritten in places, a drawing is read or refused in sentences of one line."""
    text = raw(ring(BOX) + line(0, 0, 5, 5) + put("B", 2, 2), block("B", ring(BOX))).decode()
    for _ in range(data.draw(st.integers(1, 4))):
        at = data.draw(st.integers(0, len(text)))
        new_text = data.draw(
            st.sampled_from(["nan", "1e999", "-5", "0", "\n", "  0\nCIRCLE\n", "INSERT", "\u0000", "é", "70\n", ""])
        )
        text = text[:at] + new_text + text[at + data.draw(st.integers(0, 8)) :]
    path = write(tmp_path_factory.mktemp("any"), text, "x.dxf")
    try:
        drawn = read_dxf_parts(path)
    except InputError as error:
        assert all(fault.sentence().isprintable() and len(fault.sentence()) < 600 for fault in error.faults)
    else:
        assert all(f"{each.what}{each.where}{each.why}".isprintable() for each in drawn.skipped)


HOSTILE: dict[str, tuple[Callable[[int], bytes], int]] = {
    "entities": (lambda n: raw("  0\nLINE\n" * n), MOST_ENTITIES + 1),
    "points": (lambda n: raw(ring([(k, k % 7) for k in range(n)])), MOST_TAGS // 2),
    "long text": (lambda n: raw("  0\nMTEXT\n  8\nA\n 10\n0\n 20\n0\n  3\n" + "{\\fA;" * n + "\n  1\nx\n"), 2_000_000),
    "over one another": (
        lambda n: raw("".join(ring([(0, 0), (10 + k / 1000, 0), (10 + k / 1000, 5), (0, 5)]) for k in range(n))), 8_000
    ),
    "slanting strips": (
        lambda n: raw(
            "".join(ring([(k, 0), (900 + k, 900), (899.9 + k, 900.1), (k - 0.1, 0.1)]) for k in range(n))
        ),
        8_000,
    ),
    "star": (lambda n: raw("".join(line(0, 0, 1 + k, 5) for k in range(n))), 10_000),
    "loose lines": (
        lambda n: raw("".join(line(k % 200 * 7, k // 200 * 7, k % 200 * 7 + 5, k // 200 * 7) for k in range(n))), 10_000
    ),
}  # fmt: skip
"""What costs most, and how many of these are looked at in a whole drawing."""
CROWDED = ("over one another", "slanting strips")
"""Each is held against those that it lies over, which grows with the square until there are too many to look at."""


def cost(path: Path) -> int:
    """Calls that a drawing takes until it is read or refused."""

    def look() -> None:
        try:
            read_dxf_parts(path)
        except InputError as error:
            assert len(error.faults) == 1

    return calls(look)


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_drawings_take_no_more_work_than_their_length(tmp_path: Path, name: str) -> None:
    """Drawings filled with what costs most take, twice as long, some twice the work, or four times."""
    make, most = HOSTILE[name]
    less, more = (
        cost(write(tmp_path, make(times * min(most // 50, 150 if name in CROWDED else 400)), "x.dxf"))
        for times in (1, 2)
    )
    assert more < (4.5 if name in CROWDED else 2.5) * less


@pytest.mark.parametrize("name", few(3, HOSTILE))
def test_the_largest_hostile_drawings_are_refused_or_listed(tmp_path: Path, name: str) -> None:
    """So too at the limits of what is looked at."""
    make, most = HOSTILE[name]
    try:
        assert read_dxf_parts(write(tmp_path, make(most), "x.dxf")).parts == ()
    except InputError as error:
        assert len(error.faults) == 1


def test_an_escape_never_becomes_the_end_of_a_line(tmp_path: Path) -> None:
    r"""`\U+000A` in a name stays as it is written: decoded, it would make lines of the file that nobody wrote."""
    document = ezdxf.new("R2000")
    document.units = 4
    space = document.modelspace()
    space.add_lwpolyline([(0, 0), (100, 0), (100, 50), (0, 50)], close=True)
    space.add_text("bar", height=5).set_placement((20, 20))
    document.saveas(tmp_path / "p.dxf")
    text = (tmp_path / "p.dxf").read_text(encoding="cp1252").replace("\nbar\n", "\nb\\U+000Aa\\U+0151r\n")
    (tmp_path / "p.dxf").write_text(text, encoding="cp1252")
    assert [part.name for part in read_dxf_parts(tmp_path / "p.dxf").parts] == ["b\\U+000Aaőr"]
