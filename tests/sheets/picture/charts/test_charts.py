"""Charts read back: every point in its place by the chart's own ticks, no text on text, nothing by colour alone."""

from __future__ import annotations

import math
import random
import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any
from xml.etree import ElementTree

import pytest
from reportlab.graphics.shapes import Drawing, Group, Line, String, UserNode

from stripplan.model.report import Mark
from stripplan.sheets.paper.text import BOLD, CAPITALS, REGULAR, printable, width_of
from stripplan.sheets.picture import palette
from stripplan.sheets.picture.charts.inside_frame import _MARKS, hatched, span_kinds
from stripplan.sheets.picture.charts.painter import described, drawing, svg_text
from stripplan.sheets.rows.notebook import Chart, Points
from tests.checking import few
from tests.sheets.plans import NAMES

SVG = "{http://www.w3.org/2000/svg}"
SIZES = ((200.0, 160.0), (262.0, 176.0), (538.0, 213.0))
LONG = "a title so long that nobody could read it in one line and that says again what was said before, and then some"
CHANCE = random.Random(7)
MARKS: tuple[Mark, ...] = ("dot", "ring", "cross", "square", "triangle")


def points(*at: tuple[float, float, float], mark: Mark = "dot", words: str = "measured") -> Points:
    """One set of points."""
    return Points(words=words, mark=mark, at=at)


def chart(*sets: Points, **more: Any) -> Chart:
    """A chart of these sets."""
    return Chart(**{"name": "c", "title": "Title", "x": "mark", "y": "mm/min", "points": sets} | more)


DIAL = chart(
    points((2, 130, 6), (4, 320, 9), (5, 411, 0), (6, 507, 12), (8, 651, 14), (10, 737, 20), words="timed"),
    curve=((2, 130), (4, 318), (6, 505), (8, 650), (10, 737)),
    band=((2, 120, 140), (4, 308, 330), (6, 490, 520), (8, 630, 668), (10, 710, 760)),
    title="Dial and speed",
)
SPEED = chart(
    points((480, 0, 0), (510, 0, 0), mark="triangle", words="slow"),
    points((540, 1, 0), (600, 1, 0), (660, 1, 0), words="good"),
    points((690, 2, 0), (720, 2, 0), mark="cross", words="fast"),
    levels=("slow", "good", "fast"), spans=((527, 672, "likely good"),), x="mm/min", y="", title="Test cuts of steel-6",
)  # fmt: skip
KERF = chart(
    *(points((4 + n, 1.4 + n / 10, 0.05), mark=mark, words=f"set {n}") for n, mark in enumerate(MARKS)),
    x="mm thick", y="mm kerf",
)  # fmt: skip
FENCE = chart(points((30, 0.01, 0), (60, 0.06, 0), (100, -0.08, 0), (250, 0.03, 0)), curve=((30, 0), (250, 0)), y="mm")

CHARTS = {
    "dial": DIAL,
    "speed": SPEED,
    "kerf": KERF,
    "fence": FENCE,
    "one point": chart(points((5, 7, 1))),
    "no points": chart(),
    "an empty set": chart(points(), points((1, 2, 0), mark="ring")),
    "all zero": chart(points((0, 0, 0), (0, 0, 0))),
    "x equal": chart(points((760, 1, 0.2), (760, 3, 0.1))),
    "y equal": chart(points((1, -4, 0), (2, -4, 0), (3, -4, 0))),
    "unknown half-width": chart(points((1, 10, math.inf), (2, 12, 1))),
    "a thousand": chart(
        points(*((CHANCE.gauss(0, 1), CHANCE.gauss(0, 1), 0.0) for _ in range(500))),
        points(*((CHANCE.gauss(1, 1), CHANCE.gauss(0, 1), 0.1) for _ in range(500)), mark="cross", words="others"),
    ),
    "huge": chart(points((1e9, -2e300, 0), (2.5e9, 1.7e308, 1e307))),
    "tiny": chart(points((5e-324, 1e-9, 0), (1e-323, 3.3e-9, 1e-10))),
    "close together": chart(points((1000.001, 5e4 + 0.01, 0), (1000.002, 5e4 + 0.02, 1e-3))),
    "below zero": chart(points((-760, -1e5, 10), (-10, -2e5, 10))),
    "long words": chart(
        points((1, 0, 0), words=LONG), points((3, 5, 0), mark="ring", words="W" * 300),
        title=LONG * 3, x=LONG, y=LONG, levels=(LONG, "good", "<b>&"),
        spans=((1, 2, LONG), (1.5, 1.7, "梁 <i>"), (2.5, 3, "\N{HEBREW LETTER ALEF} 12")),
    ),
    "adjoining spans": chart(
        points(*((n, 1 / (n + 1), 0.02) for n in range(10))),
        spans=((-math.inf, 3, "too slow"), (3, 7, "likely good"), (7, math.inf, "too fast")), curve=((4, 0.3),),
        band=((4, 0.2, 0.4),),
    ),
    "narrow spans": chart(points((0, 0, 0), (100, 1, 0)),
     spans=((10, 11, "first of them"), (12, 13, "second of them"))),
    "sixty sets": chart(*(points((n, n, 0), mark=MARKS[n % 5], words=f"set {n} in words") for n in range(60))),
    "forty levels": chart(points(*((n, n, 0) for n in range(40))), levels=tuple(f"level {n}" for n in range(40))),
    "beyond the levels": chart(points((1, 4, 0)), levels=("slow", "good")),
}  # fmt: skip
EVERY = pytest.mark.parametrize("made", CHARTS.values(), ids=CHARTS)


# --- SVG read back ----------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Read:
    """What an SVG of a chart holds, y upwards [pt]."""

    circles: tuple[tuple[float, float], ...]
    rects: tuple[tuple[float, float, float, float], ...]
    polygons: tuple[tuple[tuple[float, float], ...], ...]
    polylines: tuple[tuple[tuple[float, float], ...], ...]
    lines: tuple[tuple[float, float, float, float], ...]
    texts: tuple[tuple[str, float, float, str], ...]

    def marks(self) -> int:
        """Number of marks drawn, samples of the legend included: dots, rings, squares, crosses, triangles."""
        squares = [rect for rect in self.rects if math.isclose(rect[2], rect[3]) and rect[2] < 12]
        return len(self.circles) + len(squares) + sum(len(each) in (3, 12) for each in self.polygons)

    def ticks(self, axis: str) -> list[tuple[float, str]]:
        """Place of each tick line of an axis with what is written at it."""
        if axis == "x":
            places = sorted(x0 for x0, y0, x1, y1 in self.lines if x0 == x1 and abs(abs(y1 - y0) - 3) < 1e-3)
            bottom = min(y0 for x0, y0, x1, y1 in self.lines if x0 == x1 and abs(abs(y1 - y0) - 3) < 1e-3)
            words = sorted((x, text) for text, x, y, anchor in self.texts if anchor == "middle" and 0 < bottom - y < 14)
        else:
            places = sorted(y0 for x0, y0, x1, y1 in self.lines if y0 == y1 and abs(abs(x1 - x0) - 3) < 1e-3)
            words = sorted((y, text) for text, _, y, anchor in self.texts if anchor == "end")
        return [(place, text) for place, (_, text) in zip(places, words, strict=True)]

    def value(self, axis: str, place: float) -> float:
        """The figure at a place, read off between the outermost two ticks of an axis, as a person would."""
        (a, low), *_, (b, high) = self.ticks(axis)
        low_value, high_value = number(low), number(high)
        return low_value + (place - a) / (b - a) * (high_value - low_value)


def number(text: str) -> float:
    """A figure as written at a tick."""
    return float(text.replace("−", "-"))


def read(text: str) -> Read:
    """Parse an SVG as a chart."""
    found: dict[str, list[Any]] = {
        name: [] for name in ("circle", "rect", "polygon", "polyline", "path", "text", "title", "desc", "g", "svg")
    }

    def visit(node: ElementTree.Element, move: tuple[float, float]) -> None:
        tag = node.tag.removeprefix(SVG)
        matrix = re.search(r"matrix\(([^)]*)\)", node.get("transform", ""))
        if matrix:
            *_, e, f = (float(each) for each in matrix.group(1).split(","))
            move = (move[0] + e, move[1] + f)  # what is turned is turned about its own middle
        get = {key: float(value) for key, value in node.attrib.items() if re.fullmatch(r"-?[\d.]+(e-?\d+)?", value)}
        x, y = move
        if tag == "circle":
            found[tag].append((x + get["cx"], y + get["cy"]))
        elif tag == "rect":
            found[tag].append((x + get["x"], y + get["y"], get["width"], get["height"]))
        elif tag in ("polygon", "polyline"):
            pairs = [tuple(map(float, each.split())) for each in node.attrib["points"].split(",")]
            found[tag].append(tuple((x + a, y + b) for a, b in pairs))
        elif tag == "path":
            x0, y0, x1, y1 = map(float, re.findall(r"-?[\d.]+", node.attrib["d"]))
            found[tag].append((x + x0, y + y0, x + x1, y + y1))
        elif tag == "text":
            assert f"translate(0,{2 * get['y']:g})" in node.attrib["transform"]
            found[tag].append(
                ("".join(node.itertext()).strip(), x + get["x"], y + get["y"], node.attrib["text-anchor"])
            )
        else:
            assert tag in found, tag
        for child in node:
            visit(child, move)

    visit(ElementTree.fromstring(text), (0.0, 0.0))
    return Read(*(tuple(found[name]) for name in ("circle", "rect", "polygon", "polyline", "path", "text")))


@EVERY
def test_pictures_are_well_formed_and_self_contained(made: Chart) -> None:
    """The picture parses, has a title, refers to nothing outside itself, holds only plain numbers, shares no id."""
    text = svg_text(made)
    root = ElementTree.fromstring(text)
    assert root.tag == f"{SVG}svg"
    assert root.attrib["role"] == "img"
    assert (root[0].tag, root[0].text) == (f"{SVG}title", " ".join(made.title.split()))
    assert (root[1].tag, root[1].text) == (f"{SVG}desc", " ".join(described(made).split()))
    names = r"http://www\.w3\.org/(2000/svg|1999/xlink)"
    assert not re.search(rf"href|<!|<\?|<script|https?://(?!{names[7:]})| id=|url\(", text.partition("<desc>")[0])
    body = text.partition("</desc>")[2]
    assert not re.search(r"href|https?://|<script|<style| id=|url\(|[\"',( -](nan|inf)\b", body)


@pytest.mark.parametrize("made", few(5, CHARTS.values()))
def test_pictures_are_the_same_bytes_each_time(made: Chart) -> None:
    """Nothing of clock or chance is in a picture."""
    assert svg_text(made) == svg_text(replace(made))


@EVERY
def test_every_point_is_drawn(made: Chart) -> None:
    """As many marks as points, and one more for each set that the legend has room for."""
    sets = [each for each in made.points if each.at]
    drawn = read(svg_text(made))
    said = [text for text, *_ in drawn.texts]
    legend = sum(
        each.words in said or any(t.endswith("…") and each.words.startswith(t[:-1]) for t in said) for each in sets
    )
    legend = legend if len(sets) > 1 else 0
    assert drawn.marks() == sum(len(each.at) for each in sets) + legend


def test_points_bars_curve_and_band_lie_where_the_ticks_say() -> None:
    """Each figure is read back between two ticks to a two-hundredth of the distance between them."""
    drawn = read(svg_text(DIAL))
    fine = {
        axis: abs(number(t[1][1]) - number(t[0][1])) / 200
        for axis, t in (("x", drawn.ticks("x")), ("y", drawn.ticks("y")))
    }

    def told(at: tuple[float, float]) -> tuple[Any, Any]:
        return (
            pytest.approx(drawn.value("x", at[0]), abs=fine["x"]),
            pytest.approx(drawn.value("y", at[1]), abs=fine["y"]),
        )

    assert [(x, y) for x, y, _ in DIAL.points[0].at] == [told(each) for each in drawn.circles]
    (area,) = (each for each in drawn.polygons if len(each) == 2 * len(DIAL.band))
    border = [(x, low) for x, low, _ in DIAL.band] + [(x, high) for x, _, high in reversed(DIAL.band)]
    assert border == [told(each) for each in area]
    assert list(DIAL.curve) in [[told(each) for each in line] for line in drawn.polylines]
    upright = [(x0, y0, y1) for x0, y0, x1, y1 in drawn.lines if x0 == x1]
    for x, y, half in DIAL.points[0].at:
        ends = [(told((at, low)), told((at, high))) for at, low, high in upright]
        assert (((x, y - half), (x, y + half)) in ends) == (half > 0)


@pytest.mark.parametrize("name", ["kerf", "fence", "x equal", "y equal", "below zero", "close together", "one point"])
def test_ticks_are_evenly_apart_and_true(name: str) -> None:
    """All ticks lie on one straight scale: their figures go up in equal steps over equal distances."""
    drawn = read(svg_text(CHARTS[name]))
    for axis in ("x", "y"):
        ticks = drawn.ticks(axis)
        assert 3 <= len(ticks) <= 9
        for place, text in ticks:
            assert drawn.value(axis, place) == pytest.approx(number(text), rel=1e-6, abs=1e-9)


@pytest.mark.parametrize("name", ["fence", "x equal", "y equal", "below zero", "close together", "one point"])
def test_dots_lie_where_the_ticks_say(name: str) -> None:
    """A degenerate chart is read back as exactly as any other."""
    made = CHARTS[name]
    drawn = read(svg_text(made))
    for at, (x, y, _) in zip(drawn.circles, made.points[0].at, strict=True):
        for axis, place, value in (("x", at[0], x), ("y", at[1], y)):
            (_, low), (_, high), *_ = drawn.ticks(axis)
            assert drawn.value(axis, place) == pytest.approx(value, abs=(number(high) - number(low)) / 200)


@pytest.mark.parametrize(("name", "power_x", "power_y"), [("huge", "10⁹", "10³⁰⁶"), ("tiny", "10⁻³²⁴", "10⁻⁹")])
def test_figures_beyond_everyday_size_say_their_power_of_ten(name: str, power_x: str, power_y: str) -> None:
    """The power stands in the words of the axis, and figure times power is the point."""
    made = CHARTS[name]
    drawn = read(svg_text(made))
    for words, power in (("mark", power_x), ("mm/min", power_y)):
        assert f"{words} (figures × {power})" in [text for text, *_ in drawn.texts]
    exponents = {
        axis: int(power.removeprefix("10").translate(str.maketrans("⁻⁰¹²³⁴⁵⁶⁷⁸⁹", "-0123456789")))
        for axis, power in (("x", power_x), ("y", power_y))
    }
    x, y = drawn.circles[1]
    point = made.points[0].at[1]
    for axis, place, value in (("x", x, point[0]), ("y", y, point[1])):
        figure = math.log10(drawn.value(axis, place)) + exponents[axis]
        assert figure == pytest.approx(math.log10(value), abs=0.005)


def test_levels_are_words_at_their_height() -> None:
    """On an axis of levels each mark stands level with the word of its verdict; no figure is written there."""
    drawn = read(svg_text(SPEED))
    ticks = drawn.ticks("y")
    assert [text for _, text in ticks] == ["slow", "good", "fast"]
    levels = [pytest.approx(place, abs=0.01) for place, _ in ticks]
    frame = ticks[0][0] - 10  # below it lie the samples of the legend
    middles = [(len(each), sum(y for _, y in each) / len(each)) for each in drawn.polygons]
    assert [y for _, y in drawn.circles if y > frame] == [levels[1]] * 3
    assert [y for sides, y in middles if sides == 3 and y > frame] == [levels[0]] * 2
    assert [y for sides, y in middles if sides == 12 and y > frame] == [levels[2]] * 2


def test_spans_begin_and_end_where_the_ticks_say() -> None:
    """The tinted range of x reaches from its first to its last value; its words stand in the middle above the frame."""
    drawn = read(svg_text(SPEED))
    (thick,) = ((x0, y0, x1) for x0, y0, x1, y1 in drawn.lines if y0 == y1 and y0 > 190 and 50 < x1 - x0 < 200)
    assert drawn.value("x", thick[0]) == pytest.approx(527, abs=0.5)
    assert drawn.value("x", thick[2]) == pytest.approx(672, abs=0.5)
    ((at, height),) = ((x, y) for text, x, y, _ in drawn.texts if text == "likely good")
    assert at == pytest.approx((thick[0] + thick[2]) / 2, abs=0.02)
    assert height > thick[1]
    (area,) = (each for each in drawn.rects if each[0] == thick[0] and each[2] > 50)
    assert area[0] + area[2] == pytest.approx(thick[2], abs=0.02)


@pytest.mark.parametrize(
    ("spans", "above"),
    [
        (((0, 50, "slow"), (50, 100, "good")), True),
        (((50, 100, "good"), (0, 50, "slow")), True),
        (((0, 100, "outer"), (40, 60, "inner")), False),
        (((0, 2, "wider than its span"), (90, 92, "as wide as that")), False),
        (((48, 50, "wider than its span"),), True),
        (((48, 50, LONG * 2),), False),
        (((-math.inf, 50, "slow"), (50, math.inf, "good")), True),
    ],
)  # fmt: skip
def test_words_of_spans_stand_above_them_or_else_in_the_legend(
    spans: tuple[tuple[float, float, str], ...], above: bool
) -> None:
    """Words stand above the frame where each fits over its own span, clear of the rest; else below, with the ends."""
    drawn = read(svg_text(chart(points((0, 0, 0), (100, 1, 0)), spans=spans)))
    top = max(y1 for x0, _, x1, y1 in drawn.lines if x0 == x1)
    for low, high, words in spans:
        found = [(y, text) for text, _, y, _ in drawn.texts if text.startswith(words[:20])]
        assert len(found) == 1
        assert (found[0][0] > top) == above
        assert above or found[0][1].endswith(f" ({low:g} to {high:g})")


def test_an_unknown_half_width_reaches_over_the_whole_frame_without_an_end() -> None:
    """An infinite half-width is a bar from edge to edge with no caps, and does not stretch the scale."""
    drawn = read(svg_text(CHARTS["unknown half-width"]))
    (first, _), (second, _) = drawn.circles
    ticks = [number(text) for _, text in drawn.ticks("y")]
    assert 9 < ticks[0] < ticks[-1] < 14
    caps = [(x0 + x1) / 2 for x0, y0, x1, y1 in drawn.lines if y0 == y1 and x1 - x0 == 5]
    assert caps == [pytest.approx(second, abs=0.01)] * 2
    tall = max(y1 - y0 for x0, y0, x1, y1 in drawn.lines if x0 == x1 == first)
    assert tall > 150


def test_without_figures_no_figure_stands_at_the_axes() -> None:
    """An empty chart says so, and makes up no scale."""
    said = [text for text, *_ in read(svg_text(CHARTS["no points"])).texts]
    assert "no points" in said
    assert not [text for text in said if re.search(r"\d", text)]


@pytest.mark.parametrize("name", NAMES, ids=range(len(NAMES)))
def test_foreign_names_are_text_and_nothing_else(name: str) -> None:
    """Markup in a name shows as it was typed, in the order of its letters; controls are replaced."""
    root = ElementTree.fromstring(svg_text(chart(points((1, 1, 0), words=name), points((2, 2, 0)), title=name)))
    clean = "".join(letter if letter.isprintable() else "\ufffd" for letter in " ".join(name.split()))
    assert root[0].text == clean
    said = ["".join(each.itertext()).strip() for each in root.iter(f"{SVG}text")]
    assert sum(clean.startswith(each.rstrip("…")) for each in said if each) >= 2


# --- drawings on paper ------------------------------------------------------------------------------------------------


def flat(node: Any, move: tuple[float, float] = (0.0, 0.0)) -> Iterator[tuple[Any, float, float]]:
    """Every shape of a drawing with how far it was moved."""
    for each in node.contents:
        shape = each.provideNode() if isinstance(each, UserNode) else each
        if isinstance(shape, Group):
            yield from flat(shape, (move[0] + shape.transform[4], move[1] + shape.transform[5]))
        else:
            yield shape, *move


def boxes(made: Drawing) -> list[tuple[str, float, float, float, float]]:
    """Each text with the box of its letters: from the bottom of a comma to the top of a capital."""
    found = []
    for shape, dx, dy in flat(made):
        if isinstance(shape, String) and shape.text.strip():
            wide = width_of(shape.text, shape.fontSize, bold=shape.fontName == BOLD)
            left = shape.x + dx - {"start": 0.0, "middle": wide / 2, "end": wide}[shape.textAnchor]
            low = shape.y + dy
            found.append((shape.text, left, low - 0.15 * shape.fontSize, left + wide, low + CAPITALS * shape.fontSize))
    return found


@EVERY
@pytest.mark.parametrize("size", few(1, SIZES))
def test_no_text_lies_on_other_text_or_off_the_drawing(made: Chart, size: tuple[float, float]) -> None:
    """At every size that a page uses all text stands clear, inside the drawing."""
    found = boxes(drawing(made, *size))
    assert found
    for number_, (text, x0, y0, x1, y1) in enumerate(found):
        assert x0 >= -0.5, text
        assert x1 <= size[0] + 0.5, text
        assert y0 >= -0.5, text
        assert y1 <= size[1] + 0.5, text
        for other, u0, v0, u1, v1 in found[:number_]:
            assert x1 <= u0 or u1 <= x0 or y1 <= v0 or v1 <= y0, f"{text!r} on {other!r}"


@EVERY
def test_no_text_lies_on_the_points(made: Chart) -> None:
    """All text stands outside the frame of the axes, where the marks are; an empty chart may say so inside."""
    drawn = drawing(made, 262, 176)
    lines = [(s.x1 + dx, s.y1 + dy, s.x2 + dx, s.y2 + dy) for s, dx, dy in flat(drawn) if isinstance(s, Line)]
    left, bottom, right, _ = max((each for each in lines if each[1] == each[3]), key=lambda each: each[2] - each[0])
    top = max(y1 for x0, y0, x1, y1 in lines if x0 == x1)
    for text, x0, y0, x1, y1 in boxes(drawn):
        assert text == "no points" or x1 <= left or right <= x0 or y1 <= bottom or top <= y0, text


@EVERY
def test_letters_are_of_the_embedded_font_and_high_enough(made: Chart) -> None:
    """No letter is below 7 pt, none of a font that the file would not carry, none missing from it."""
    for shape, _, _ in flat(drawing(made, 262, 176)):
        if isinstance(shape, String):
            assert shape.fontName in (REGULAR, BOLD)
            assert shape.fontSize >= 7
            assert "\n" not in shape.text


def test_signs_of_the_trade_are_in_the_font() -> None:
    """Squares, degrees, plus-minus, powers and a true minus are drawn as they are, not by number."""
    for each in "²±°µ×⁰¹³⁴⁵⁶⁷⁸⁹⁻−…":
        assert printable(each) == each


def test_marks_differ_without_colour() -> None:
    """Each mark has its own outline or filling; a second set with the same mark has larger ones."""
    drawn = drawing(KERF, 300, 200)
    kinds = set()
    for shape, _, _ in flat(drawn):
        name = type(shape).__name__
        if name in ("Circle", "Polygon") or (name == "Rect" and shape.width < 10):
            count = len(shape.points) if name == "Polygon" else 0
            kinds.add((name, count, shape.fillColor.hexval() == "0xffffff"))
    assert len(kinds) == len(MARKS)
    twice = drawing(chart(points((1, 1, 0)), points((2, 2, 0), words="again")), 300, 200)
    assert len({shape.r for shape, _, _ in flat(twice) if type(shape).__name__ == "Circle"}) == 2


@pytest.mark.parametrize("colour", [palette.BLUE, palette.VERMILLION, palette.BLACK, palette.GREEN, palette.GREY])
def test_marks_stand_out_from_the_paper(colour: str) -> None:
    """Each colour of a mark has a contrast of 3 to 1 or more on white (WCAG 2.1, 1.4.11;
    luminance as defined there).
    """
    shares = [int(colour[n : n + 2], 16) / 255 for n in (1, 3, 5)]
    red, green, blue = (each / 12.92 if each <= 0.03928 else ((each + 0.055) / 1.055) ** 2.4 for each in shares)
    assert 1.05 / (0.2126 * red + 0.7152 * green + 0.0722 * blue + 0.05) >= 3
    assert colour in {each[1] for each in _MARKS.values()}


def test_neighbouring_spans_are_hatched_apart() -> None:
    """The first four kinds of span are hatched in four directions, the same words alike."""
    directions = []
    for kind in range(4):
        lines = [each for each in hatched(0, 0, 60, 40, kind) if isinstance(each, Line)]
        assert all(
            0 <= each.x1 <= 60 and 0 <= each.y1 <= 40 and 0 <= each.x2 <= 60 and 0 <= each.y2 <= 40 for each in lines
        )
        directions.append(
            {
                round(math.degrees(math.atan2(each.y2 - each.y1, each.x2 - each.x1)) % 180)
                for each in lines
                if (each.x1, each.y1) != (each.x2, each.y2)
            }
        )
    assert directions == [{45}, {135}, {0}, {90}]
    assert span_kinds(chart(spans=((1, 2, "good"), (2, 3, "bad"), (3, 4, "good")))) == [0, 1, 0]


@pytest.mark.parametrize(
    ("made", "said"),
    [
        (chart(points((1, 2, 0), (math.nan, 2, 0))), "point 2 of 'measured' lies at (nan, 2)"),
        (chart(points((1, math.inf, 0))), "point 1 of 'measured' lies at (1, inf)"),
        (chart(points((1, 1, -1))), "± -1"),
        (chart(points((1, 1, math.nan))), "± nan"),
        (chart(curve=((0, 0), (1, math.nan))), "point 2 of the curve"),
        (chart(band=((0, 2, 1),)), "band at row 1 is (0, 2, 1)"),
        (chart(spans=((5, 4, "back"),)), "span 'back' goes from 5 to 4"),
    ],
)  # fmt: skip
def test_figures_that_are_no_numbers_are_refused_by_name(made: Chart, said: str) -> None:
    """A figure that has no place on the paper is said with its row, not left out."""
    with pytest.raises(ValueError, match="chart c: ") as caught:
        drawing(made, 300, 200)
    assert said in str(caught.value)


@pytest.mark.parametrize("size", [(199.0, 300.0), (300.0, 159.0)])
def test_a_size_too_small_to_be_read_is_refused(size: tuple[float, float]) -> None:
    """A chart smaller than its words need raises an error that says what is needed."""
    with pytest.raises(ValueError, match="at least 200 x 160"):
        drawing(DIAL, *size)


def test_text_keeps_the_room_that_was_measured_for_it() -> None:
    """A reader with another font squeezes each text to the width that was kept;
    only letters the font lacks run free.
    """
    root = ElementTree.fromstring(svg_text(replace(KERF, y="梁", title="Träger ² ½")))
    for each in root.iter(f"{SVG}text"):
        text = "".join(each.itertext()).strip()
        size = re.search(r"font-size: ([\d.]+)px", each.attrib["style"])
        assert size is not None
        bold = "font-weight: bold" in each.attrib["style"]
        if text == "梁":
            assert "textLength" not in each.attrib
        else:
            wide = width_of(text, float(size.group(1)), bold=bold)
            assert float(each.attrib["textLength"]) == pytest.approx(wide, abs=0.01)
