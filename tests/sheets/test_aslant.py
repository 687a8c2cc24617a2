"""Cuts at an angle on paper and in drawings: what the words say is what the picture shows, and what the plan holds."""

from __future__ import annotations

import io
import itertools
import math
import re
from dataclasses import replace

import ezdxf
import pytest
from pypdf import PdfReader
from shapely.geometry import Polygon, box

import stripplan
from stripplan.cli.console_output import part_table
from stripplan.model.effort import Effort
from stripplan.model.job import Job, Options
from stripplan.model.part import Shape
from stripplan.model.plate import Plate
from stripplan.model.rig import Rig
from stripplan.sheets.dxf.drawing import plate_drawing
from stripplan.sheets.labels.label_text import label_list
from stripplan.sheets.paper.text import width_of
from stripplan.sheets.pdf.setup_sheet import setup_sheet
from stripplan.sheets.picture.lettering import text_box
from stripplan.sheets.picture.on_plate.plate import plate_picture
from stripplan.sheets.picture.order_of_work.animation import sequence_svg
from stripplan.sheets.picture.order_of_work.step import step_svgs
from stripplan.sheets.picture.polygons import room_in
from stripplan.sheets.picture.svg_canvas import lie_svg
from stripplan.sheets.rows import forms
from stripplan.sheets.rows.forms import form_of, least_corner
from stripplan.sheets.rows.lookup import Bench
from stripplan.sheets.rows.plan_rows import sheet
from stripplan.sheets.rows.row_types import CutRow, Measure
from stripplan.sheets.rows.work.measure import measures
from tests.checking import in_turn
from tests.replay.aslant_by_hand import SOUND, clipped, parallelograms, trapezia, two_gussets
from tests.sheets.pdf.test_sheet_walk import kept

Point = tuple[float, float]
ON_BAR = re.compile(r"^Edge ([A-Z]) \(.*\) on the bar, corner ([A-Z])([A-Z]) at the stop on the (LEFT|RIGHT)\.$")
STANDS = re.compile(r"Mitre bar at ([\d.]+)° to the travel(?:, its (LEFT|RIGHT) end ahead \((\d+) in 500\))?\.$")
ON_FENCE = re.compile(r"^Corner ([A-Z])([A-Z]), on the fence, ([\d.]+) AHEAD of the start line: .* by edge ([A-Z]) ")
MARKS = re.compile(r"first mark (?:([\d.]+) from|ON) edge ([A-Z]) .*, at ([\d.]+) along it from corner ([A-Z])([A-Z]); "
                   r"the second (?:([\d.]+) from|ON) it, at ([\d.]+)\.")  # fmt: skip


def edges_of(row: CutRow) -> dict[str, tuple[Point, Point]]:
    """Edges of a piece as it lies, by their letters: right of the torch line and ahead of its entry."""
    assert row.lie.shape is not None
    points = row.lie.shape.outline
    return dict(zip(row.lie.shape.letters, itertools.pairwise((*points, points[0])), strict=True))


def corner(row: CutRow, one: str, other: str) -> Point:
    """Where two edges meet."""
    edges = edges_of(row)
    return next(a for a in edges[one] for b in edges[other] if math.dist(a, b) < 1e-3)


def off(line: tuple[Point, Point], point: Point) -> float:
    """How far a point lies from a line."""
    (ax, ay), (bx, by) = line
    return abs((bx - ax) * (point[1] - ay) - (by - ay) * (point[0] - ax)) / math.dist(*line)


def worked_by(row: CutRow) -> None:
    """Lay the piece as the words say: the torch, which runs along x = 0, cuts where the plan has its line."""
    edges, told = edges_of(row), " ".join((*row.aids, *row.marks))
    if row.located == "mitre":
        assert row.angle is not None
        assert row.bar_stop is not None
        letter, one, other, side = ON_BAR.match(row.aids[-1]).groups()  # type: ignore[union-attr]
        at, (start, end) = corner(row, one, other), edges[letter]
        assert off(edges[letter], (0.0, 0.0)) < 1e-3  # the face goes through the point on the start line
        assert math.hypot(*at) == pytest.approx(float(row.bar_stop.text), abs=0.006)
        assert (at[0] < 0) == (side == "LEFT") == (row.bar_side == "left")
        turn = math.degrees(math.atan2(end[1] - start[1], end[0] - start[0])) - 90  # from the travel, anticlockwise
        assert turn % 180 == pytest.approx(float(row.angle.text.rstrip("°")), abs=0.006)
        said = STANDS.search(row.aids[0])
        assert (said is not None) == row.angle.changed
        if said is not None and said[2]:
            higher = max((start, end), key=lambda point: point[1])
            assert (higher[0] < 0) == (said[2] == "LEFT") or at == higher
            slope = abs(math.tan(math.radians(90 - float(said[1]))))
            assert float(said[3]) == pytest.approx(500 * slope, abs=0.6)
    elif row.located == "marked":
        one, letter, along, first, second, two, far = MARKS.search(told).groups()  # type: ignore[union-attr]
        at, ends = corner(row, first, second), edges[letter]
        (ex, ey) = max(ends, key=lambda end: math.dist(end, at))
        long = math.dist(at, (ex, ey))
        ux, uy = (ex - at[0]) / long, (ey - at[1]) / long
        inside = next(p for edge in edges.values() for p in edge if off(ends, p) > 1)
        hand = 1.0 if ux * (inside[1] - at[1]) - uy * (inside[0] - at[0]) > 0 else -1.0
        for away, place in ((one, along), (two, far)):
            x = at[0] + ux * float(place) - hand * uy * float(away or 0)
            assert x == pytest.approx(0.0, abs=0.02)  # under the torch
    elif told:
        one, other, ahead, letter = ON_FENCE.match(told).groups()  # type: ignore[union-attr]
        assert corner(row, one, other)[1] == pytest.approx(float(ahead), abs=0.006)
        assert off(edges[letter], (0.0, 0.0)) < 1e-3
        assert abs(edges[row.lie.right][0][0] - edges[row.lie.right][1][0]) < 1e-3  # along the travel, on the fence


@pytest.mark.parametrize("name", SOUND)
def test_a_piece_laid_by_the_words_is_cut_where_the_plan_has_its_line(name: str) -> None:
    """Edge, corner, side, angle and stop, or marks, or the corner on the fence: each brings the torch to its line."""
    rows = sheet(SOUND[name]()).cuts
    for row in rows:
        worked_by(row)
        svg = lie_svg(row)
        assert all(f">{letter}</text>" in svg for letter in (row.lie.start,))
    assert {row.located for row in rows} & {"mitre", "marked"}


def test_what_falls_and_is_measured() -> None:
    """Forms have names, small sharp pieces are told, and after a cut on the bar the edge at its stop is measured."""
    one, two, *_ = sheet(trapezia()).cuts
    assert one.right is not None
    assert (one.right.size, one.right.doing) == ("triangle 77 × 44.46", "scrap bin, small and SHARP: tongs")
    assert two.measure is not None
    assert (two.measure.of, two.measure.expected) == ("edge C", "107.6")
    assert two.right is not None
    assert two.right.size == "trapezium 200 × 80"
    (row,) = sheet(clipped()).cuts
    assert row.right is not None
    assert row.right.size == "clipped rectangle 120 × 80"
    fence = sheet(parallelograms(by_fence=True)).cuts[1]
    assert fence.measure is not None
    width = 150 / math.sqrt(2) + 107 - 106.816017  # what the mark of the scale makes wider
    assert (fence.measure.of, fence.measure.expected) == ("width", "106.3")
    assert width == pytest.approx(106.25, abs=0.001)
    assert fence.hold == "HOLD: only 56.57 on the fence: clamp it."


def test_a_square_cut_of_a_clipped_piece_is_measured_as_the_fence_is_read() -> None:
    """Read 100 for 99.75, half a kerf less: 99.25, and as far off as half a step of the scale and kerf and rail."""
    plan = clipped()
    one, other = (replace(plan.pieces[0], id=name, kind="blank", parent="P1-2") for name in ("P1-4", "P1-5"))
    cut = replace(
        plan.cuts[0], number=2, piece="P1-2", makes=("P1-4", "P1-5"), line=((99.75, 80.0), (99.75, 0.0)),
        located="fence", edge_on_fence=((0.0, 80.0), (0.0, 0.0)), fence_offset=99.75, fence_reading=100.0,
        reading_error=0.25, mitre=None,
    )  # fmt: skip
    bench = Bench(replace(plan, pieces=(*plan.pieces, one, other), cuts=(*plan.cuts, cut)))
    (told,) = measures(bench, cut)
    assert (told.piece, told.of, told.expected) == ("P1-4", "width", "99.3")
    half = plan.rig.fence_step * plan.rig.fence_scale / 2 + 0.25
    assert (float(told.low), float(told.high)) == pytest.approx((99.25 - half, 99.25 + half), abs=0.051)


def test_a_short_edge_on_the_bar_is_held() -> None:
    """20 mm on the bar under 120 mm of plate: it would swing, and the angle of its longest edge to the torch's line
    shows whether it lies true. 120 mm under 80 lie well."""
    plan = clipped()
    (cut,) = plan.cuts
    assert cut.mitre is not None
    short = replace(cut, mitre=replace(cut.mitre, edge=((120.0, 80.0), (120.0, 60.0))))
    holds = [sheet(replace(plan, cuts=(each,))).cuts[0].hold for each in (cut, short)]
    (ax, ay), (bx, by) = cut.line  # the longest edges lie along x
    angle = round(math.degrees(math.atan2(abs(by - ay), abs(bx - ax))), 2)
    gauged = f"edge A at {angle:g}° to the travel, by the bevel gauge; clamp it."
    assert holds == ["", f"HOLD: only 20 on the bar: {gauged}"]


@in_turn(
    "outline, word, long, short",
    [
        (((0, 0), (60, 0), (0, 40)), "triangle", 60, 40),
        (((0, 0), (3, 4), (-1, 7), (-4, 3)), "", 5, 5),
        (((0, 0), (100, 0), (120, 30), (20, 30)), "parallelogram", 120, 30),
        (((0, 0), (100, 0), (80, 30), (20, 30)), "trapezium", 100, 30),
        (((0, 0), (100, 0), (80, 30), (10, 40)), "four-sided", None, None),
        (((10, 0), (100, 0), (100, 50), (0, 50), (0, 10)), "clipped rectangle", 100, 50),
    ],
)
def test_forms_have_names(outline: tuple[Point, ...], word: str, long: float | None, short: float | None) -> None:
    """Triangles, trapezia and the rest by their word, with the sides of the box that most edges lie on."""
    found = form_of(outline)
    assert found.word == word
    assert long is None or (found.long, found.short) == (long, short)


def test_the_sharpest_corner() -> None:
    """Of a triangle 3, 4, 5 it is 36.87 degrees: the tangent is 3/4."""
    assert least_corner(((0, 0), (4, 0), (0, 3))) == pytest.approx(math.degrees(math.atan(3 / 4)))


def test_a_part_has_one_size_wherever_it_stands() -> None:
    """A five-cornered part lies aslant in its block, a gusset was drawn on its longest edge: list, check list, sheet,
    drawing and label tell either by the same two figures, of the gusset its legs."""
    five = Shape(name="five", outline=((0, 0), (151.33, 0), (214.11, 92.51), (125.56, 185.03), (4.63, 110.36)))
    gusset = Shape(name="gusset", outline=((0, 0), (250, 0), (160, 120)), quantity=2)
    plate = Plate(name="sheet", length=1000, width=500, thickness=8, material="mild steel")
    made = stripplan.plan(
        Job(name="odd", plates=(plate,), parts=(five, gusset), options=Options(effort=Effort(steps=0))), Rig()
    )
    rows, bench = sheet(made), Bench(made)
    drawn = [each.text for each in plate_picture(made, "P1", broken=False).texts]
    for name, long, short in (("five", "214.11", "185.03"), ("gusset", "200", "150")):
        assert next(each.size for each in rows.parts if each.name == name).endswith(f"{long} × {short}")
        pieces = [each for each in made.pieces if each.part == name]
        assert all(bench.size(each).endswith(f"{long} × {short}") for each in pieces)
        assert sum(f"{long} x {short}" in each for each in drawn) == len(pieces)
        labels = [each for each in label_list(made) if each.piece in {piece.id for piece in pieces}]
        assert labels
        assert all(each.size[0].startswith(long) and each.size[1].startswith(short) for each in labels), labels
        listed = next(each for each in part_table(made.job.parts, "mm").rows if each[1] == name)
        assert listed[2:4] == (short, long)


def test_a_label_lies_within_its_shape() -> None:
    """The room of a label is a box within the shape, in a triangle half as long and half as high: the largest there is
    (Euclid VI.27); all that is written on a plate lies on one piece.
    """
    x0, y0, x1, y1 = room_in(((0.0, 0.0), (60.0, 0.0), (0.0, 40.0)))
    assert ((x1 - x0) * (y1 - y0)) == pytest.approx(600, rel=0.1)
    for plan in (two_gussets(), trapezia(), clipped()):
        pieces = [Polygon(piece.outline) for piece in plan.pieces if piece.kind == "part"]
        for text in plate_picture(plan, "P1").texts:
            if any(name in text.text for name in ("gusset", "foot", "base")):
                assert any(piece.contains(box(*text_box(text))) for piece in pieces)


@pytest.mark.parametrize("name", ["two gussets", "trapezia", "clipped by marks"])
def test_a_drawing_holds_the_outlines_lines_kerfs_and_angles(name: str) -> None:
    """PART outlines are those of the plan, CUT lines run from home to the end stop, a KERF is as wide as it is, and the
    angle between a cut and its edge is a dimension.
    """
    plan = SOUND[name]()
    space = ezdxf.read(io.StringIO(plate_drawing(plan, "P1").decode("cp1252"))).modelspace()
    wanted = [Polygon(piece.outline) for piece in plan.pieces if piece.kind == "part"]
    drawn = [Polygon([(x, y) for x, y, *_ in each]) for each in space.query('LWPOLYLINE[layer=="PART"]')]
    assert all(any(one.symmetric_difference(other).area < 0.01 for other in drawn) for one in wanted)
    torches = [math.dist(each.dxf.start, each.dxf.end) for each in space.query('LINE[layer=="CUT"]')]
    assert sorted(torches) == pytest.approx(sorted(cut.passes[0].end_stop for cut in plan.cuts), abs=1e-3)
    kerfs = [Polygon([(x, y) for x, y, *_ in each]).area for each in space.query('LWPOLYLINE[layer=="KERF"]')]
    assert sorted(kerfs) == pytest.approx(sorted(cut.length * 1.5 for cut in plan.cuts), rel=1e-6)
    angles = [each for each in space.query('DIMENSION[layer=="DIM"]') if each.dimtype in (2, 5)]
    assert {round(each.get_measurement(), 1) for each in angles} <= {33.7, 60.0, 45.0}
    assert angles


def test_the_sheet_tells_a_cut_on_the_bar() -> None:
    """Figures of bar and stop stand on the paper, how the bar is meant, and the animation has them too."""
    text = " ".join(page.extract_text() for page in PdfReader(io.BytesIO(setup_sheet(trapezia(), form="full"))).pages)
    words = re.sub(r"\s+", " ", text)
    corners = "corners 60°, 60°, 120°, 120°"
    for each in ("120°", "108.49", "In brackets", "Cuts at an angle", "trapezium 200 × 80", "SHARP", corners):
        assert each in words
    assert "mitre bar settings: 4" in words
    (by_fence,) = (SOUND[name]() for name in SOUND if name == "on the slanted edge")
    pages = PdfReader(io.BytesIO(setup_sheet(by_fence, form="full"))).pages
    assert re.search(r"Fence [V-Z] \(cut 1\)", re.sub(r"\s+", " ", " ".join(page.extract_text() for page in pages)))
    steps = dict(step_svgs(trapezia()))
    assert "its stop 200.87 right" in re.sub(r"\s+", " ", steps[3])
    assert "BAR" in steps[3]
    assert "on fence or bar" in sequence_svg(trapezia(), "P1")


def test_a_new_edge_that_is_named_later_gets_its_letter() -> None:
    """A piece that is put aside bears the letter of its slanted edge, by which it is laid on the fence later on."""
    plan = parallelograms(by_fence=True)
    first, second, *rest = plan.cuts
    aside = replace(plan, cuts=(first, replace(second, setup=replace(second.setup, fetch=True)), *rest))
    rows = sheet(aside).cuts
    falls = [fall for fall in (rows[0].left, rows[0].right) if fall is not None and fall.whereto == "aside"]
    assert [fall.few for fall in falls] == [f"{rows[1].lie.right} on its new edge, PUT ASIDE for cut 2"]


def test_a_piece_in_mirror_image_is_told() -> None:
    """The one triangle of two that is turned over stands in the check list; one turned in its plane does not."""
    plan = two_gussets()
    assert not any("mirror" in each for row in sheet(plan).parts for each in row.trueness)
    part = next(piece for piece in plan.pieces if piece.kind == "part")
    turned = replace(part, outline=tuple((-x, y) for x, y in reversed(part.outline)))
    pieces = tuple(turned if piece is part else piece for piece in plan.pieces)
    (row,) = sheet(replace(plan, pieces=pieces)).parts
    assert f"in mirror image, to be turned over: {part.id}" in row.trueness


def test_a_label_says_its_form() -> None:
    """A triangle's label has its finished size, its form, and its sketch."""
    first, *_ = label_list(two_gussets())
    assert first.size == ("300", "200 mm")
    assert any(line.wordings[0] == "triangle" for line in first.lines)
    assert first.drilled is not None


WRITTEN = re.compile(r'<text x="(\S+)" y="(\S+)" font-size="(\S+)" text-anchor="(\w+)"[^>]*>([^<]+)<')


@pytest.mark.parametrize("name", SOUND)
def test_the_picture_has_each_letter_that_the_words_name_and_nothing_on_it(name: str) -> None:
    """The edge on fence or bar, that on the start line, both at the corner told; no word or letter hides another."""
    for row in sheet(SOUND[name]()).cuts:
        if row.lie.shape is None:
            continue
        found = [(each[4], _written(*each)) for each in WRITTEN.findall(lie_svg(row))]
        told = {row.lie.start, *filter(None, [row.lie.right])}
        told |= set("".join(re.findall(r"[Cc]orner ([A-Z]{2})", " ".join((*row.aids, *row.marks)))))
        assert told <= {words for words, _ in found}
        for (one, at), (other, there) in itertools.combinations(found, 2):
            assert at.intersection(there).area < 1, (row.number, one, other)


def _written(x: str, y: str, size: str, anchor: str, words: str) -> Polygon:
    """The box of some words in a picture: capitals are about 0.7 of the size high."""
    wide = width_of(words, float(size), bold=anchor == "middle")
    left = float(x) - (wide / 2 if anchor == "middle" else 0)
    return box(left, float(y) - 0.7 * float(size), left + wide, float(y))


def test_edges_of_finished_parts_are_given_to_be_measured() -> None:
    """Both legs of every gusset, the long edge of every mitred frame part: each as long as its outline, in a band that
    holds it."""
    plan = kept("stand")
    pieces = {each.id: each for each in plan.pieces}
    told: dict[str, list[Measure]] = {}
    for row in sheet(plan).cuts:
        for each in filter(None, (row.measure, row.also)):
            told.setdefault(pieces[each.piece].part or "", []).extend((each, *each.further))
    assert sorted(each.expected for each in told["gusset"]) == ["110.0"] * 12 + ["140.0"] * 12
    for part, long in (("frame, long", "620.0"), ("frame, short", "480.0"), ("motor cheek", "220.0")):
        assert sum(each.expected == long for each in told[part]) >= 2
    for each in (one for some in told.values() for one in some if one.of.startswith("edge")):
        piece, letter = pieces[each.piece], each.of.removeprefix("edge ")
        edges = {Bench(plan).letter(piece, edge): math.dist(*edge) for edge in forms.edges_of(piece.outline)}
        assert float(each.expected) == pytest.approx(edges[letter], abs=0.051)
        assert float(each.low) < edges[letter] < float(each.high)
    frames = [each for each in told["frame, long"] if each.expected == "620.0"]
    assert all(float(each.low) >= 620 - 1.5 and float(each.high) <= 620 + 1.5 for each in frames)  # asked: 1.5
