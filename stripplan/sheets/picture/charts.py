"""Painter of a Chart: one drawing for paper and screen.

Letters are 8 pt, capitals 2 mm: for half a metre, at a desk (NUREG-0700 rev. 3, 11.4.1.5-1: at least 0.004 of the
distance).

Axes, their ticks and their scale, marks and labels are reportlab's; here is only what goes where. Text is never
turned and never lies on other text: y words stand above the frame, words of a span in a row of their own, the rest
in rows below. What does not fit ends in an ellipsis.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from io import StringIO
from itertools import pairwise
from typing import Any, NamedTuple

from reportlab.graphics import renderSVG
from reportlab.graphics.charts.axes import XValueAxis, YValueAxis
from reportlab.graphics.shapes import Drawing, Group, Line, Polygon, PolyLine, Rect, String, UserNode
from reportlab.graphics.widgets.markers import makeMarker
from reportlab.lib.colors import HexColor

from stripplan.model.report import Mark
from stripplan.sheets.paper.text import BOLD, REGULAR, load_fonts, printable, width_of
from stripplan.sheets.picture.palette import BLACK, BLUE, FILL, GREEN, GREY, VERMILLION, WHITE
from stripplan.sheets.rows.notebook import Chart, Points

LETTERS = 8.0
TITLE = 9.5
LEAST_WIDTH, LEAST_HEIGHT = 200.0, 160.0
ON_SCREEN = (360.0, 240.0)
"""Size of a chart as SVG [pt]."""

GRID = "#D0D0D0"
TINT = "#F2F2F2"
HATCH = "#C4C4C4"
FAMILY = "'DejaVu Sans Condensed', 'DejaVu Sans', Verdana, Arial, sans-serif"

_MARKS: dict[Mark, tuple[str, str, float, float]] = {
    "dot": ("FilledCircle", BLUE, 5.0, 0.0),
    "ring": ("Circle", VERMILLION, 5.0, 0.0),
    "cross": ("FilledCross", BLACK, 6.5, 45.0),
    "square": ("FilledSquare", GREEN, 4.8, 0.0),
    "triangle": ("FilledTriangle", GREY, 7.0, 0.0),
}
"""Shape, colour, size [pt] and turn [deg] of each mark: the shape alone tells sets apart in a grey print."""

_LEADING = 1.25
_GAP = 4.0
_FRAME_LEAST = 60.0
_MARGIN = 0.06
"""Share of an axis left free at both of its ends, so that no mark lies on the frame."""


class Scaled(NamedTuple):
    """Figures of one axis in powers of a thousand, and the power of ten: 1200000 is 1.2 of 10⁶.

    `empty`: nothing was given, so no figure may stand at the axis.
    """

    power: int
    low: float
    high: float
    empty: bool = False

    def __call__(self, value: float) -> float:
        return _shifted(value, self.power)


def drawing(chart: Chart, width: float, height: float) -> Any:
    """A chart as a reportlab Drawing of that size [pt], text as the embedded font prints it.

    Raises ValueError for a size too small to be read, and for figures that are no numbers, naming each.
    """
    return _painted(chart, width, height, printable)


def svg_text(chart: Chart) -> str:
    """A chart as SVG: self-contained, with title and description, text as text, the same bytes each time."""
    width, height = ON_SCREEN
    made = _painted(chart, width, height, _clean)
    attributes = {"width": f"{width:g}pt", "height": f"{height:g}pt", "role": "img"}
    families = {REGULAR: {"family": FAMILY}, BOLD: {"family": FAMILY, "weight": "bold"}}
    canvas = renderSVG.SVGCanvas((width, height), useClip=True, svgAttrs=attributes, fontHacks=families)
    _settle_text(made)
    renderSVG.draw(made, canvas)
    for name, words in (("title", _clean(chart.title)), ("desc", _clean(described(chart)))):
        canvas.svg.getElementsByTagName(name)[0].firstChild.data = words
    canvas.groupTree.removeAttribute("id")  # several charts may lie on one page
    stream = StringIO()
    canvas.svg.writexml(stream, addindent=" ", newl="\n")
    return stream.getvalue()


def described(chart: Chart) -> str:
    """What a chart shows in one sentence, for a person who does not see it.

    >>> described(Chart(name="k", title="Kerf", x="mm thick", y="mm kerf",
    ...                 points=(Points(words="measured", mark="dot", at=((6, 1.5, 0.1), (8, 1.7, 0.1))),)))
    'Chart of mm kerf over mm thick: 2 points measured, mm thick from 6 to 8.'
    """
    told = [f"{len(each.at)} {'point' if len(each.at) == 1 else 'points'} {each.words}" for each in chart.points]
    told += [f"{words} {_reach(low, high)}" for low, high, words in chart.spans]
    xs = [x for each in chart.points for x, _, _ in each.at]
    if xs:
        told.append(f"{chart.x} from {min(xs):.4g} to {max(xs):.4g}")
    over = f"{chart.y or ' / '.join(chart.levels)} over {chart.x}"
    return f"Chart of {over}: {', '.join(told) if told else 'no points'}."


def _reach(low: float, high: float) -> str:
    """Ends of a span in words.

    >>> _reach(300, 420), _reach(-math.inf, 300), _reach(420, math.inf)
    ('300 to 420', 'up to 300', 'from 420')
    """
    if math.isinf(low):
        return "all along" if math.isinf(high) else f"up to {high:.4g}"
    return f"from {low:.4g}" if math.isinf(high) else f"{low:.4g} to {high:.4g}"


# --- what is drawn where ----------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Words:
    """Lines of text one under the other, the first line's top at the top."""

    lines: tuple[str, ...]
    size: float = LETTERS
    bold: bool = False

    @property
    def height(self) -> float:
        """Height of all lines [pt]."""
        return len(self.lines) * self.size * _LEADING

    def at(self, x: float, top: float, anchor: str, shown: Callable[[str], str]) -> list[Any]:
        """The lines as text, each anchored at x."""
        font = BOLD if self.bold else REGULAR
        return [
            String(
                round(x, 2), round(top - number * self.size * _LEADING - self.size, 2), shown(line),
                fontName=font, fontSize=self.size, fillColor=HexColor(BLACK), textAnchor=anchor,
            )
            for number, line in enumerate(self.lines)
        ]  # fmt: skip


@dataclass(frozen=True)
class Entry:
    """One entry of the legend: a sample, drawn at the middle of its left end, and words."""

    sample: Callable[[float, float], list[Any]]
    words: str


class Frame(NamedTuple):
    """The rectangle that the axes enclose, and the axes."""

    left: float
    bottom: float
    right: float
    top: float
    x: Any
    y: Any
    over: Scaled
    up: Scaled

    def at(self, x: float, y: float) -> tuple[float, float]:
        """Where a point lies on the drawing [pt]; what reaches beyond the frame ends at it."""
        return self.across(x), self.upwards(y)

    def across(self, x: float) -> float:
        """Where a value of x lies [pt]."""
        value = min(max(self.over(x), self.over.low), self.over.high)
        return round(float(self.x.scale(value)), 2)

    def upwards(self, y: float) -> float:
        """Where a value of y lies [pt]."""
        value = min(max(self.up(y), self.up.low), self.up.high)
        return round(float(self.y.scale(value)), 2)


def _painted(chart: Chart, width: float, height: float, shown: Callable[[str], str]) -> Any:
    if width < LEAST_WIDTH or height < LEAST_HEIGHT:
        raise ValueError(
            f"chart {chart.name}: {width:g} x {height:g} pt is too small to be read, "
            f"at least {LEAST_WIDTH:g} x {LEAST_HEIGHT:g}"
        )
    _check(chart)
    load_fonts()
    over, up = _scales(chart)
    title = Words(_wrapped(chart.title, TITLE, width, 3, bold=True), TITLE, bold=True)
    y_words = Words(_wrapped(_with_power(chart.y, up.power), LETTERS, width, 2))
    x_words = Words(_wrapped(_with_power(chart.x, over.power), LETTERS, width, 2))
    ticks = LETTERS * _LEADING + 5
    top = height - title.height - y_words.height - 2 * _GAP
    room = top - _FRAME_LEAST - ticks - x_words.height - LETTERS * _LEADING - _GAP

    # The words of spans stand above the frame where each fits over its own span; else they join the legend.
    least = _framed(chart, width, (0.0, top), over, up, shown)
    row = _span_row(chart, least, width)
    span_room = LETTERS * _LEADING + 3 if row else 0.0
    legend = _legend_rows(_entries(chart, width, with_spans=not row), width, room)
    bottom = len(legend) * LETTERS * _LEADING + x_words.height + ticks + (_GAP if legend else 0.0) + 2
    frame = _framed(chart, width, (bottom, top - span_room), over, up, shown)

    made = Drawing(width, height, initialFontName=REGULAR)
    made.add(Rect(0, 0, width, height, fillColor=HexColor(WHITE), strokeColor=None))
    parts: list[Any] = [*_spans(chart, frame), *_grid(frame), *_band(chart, frame), *_curve(chart, frame)]
    parts += [*_bars(chart, frame), frame.x, frame.y, *_marks(chart, frame)]
    parts += title.at(0, height, "start", shown) + y_words.at(0, height - title.height - _GAP / 2, "start", shown)
    parts += [each for at, words in row for each in words.at(at, frame.top + span_room, "middle", shown)]
    middle = (frame.left + frame.right) / 2
    wide = max((_wide(line) for line in x_words.lines), default=0.0)
    middle = min(max(middle, wide / 2), width - wide / 2)
    parts += x_words.at(middle, frame.bottom - ticks, "middle", shown)
    parts += _legend(legend, frame.bottom - ticks - x_words.height - _GAP, shown)
    if not any(each.at for each in chart.points) and not chart.curve and not chart.band:
        parts += Words(("no points",)).at(
            (frame.left + frame.right) / 2, (frame.bottom + frame.top) / 2, "middle", shown
        )
    for each in parts:
        made.add(each)
    return made


def _check(chart: Chart) -> None:
    """ValueError with every figure that cannot be placed."""
    faults = [
        f"point {number} of {each.words!r} lies at ({x:g}, {y:g}) ± {half:g}"
        for each in chart.points
        for number, (x, y, half) in enumerate(each.at, 1)
        if not (math.isfinite(x) and math.isfinite(y)) or math.isnan(half) or half < 0
    ]
    faults += [
        f"point {number} of the curve lies at ({x:g}, {y:g})"
        for number, (x, y) in enumerate(chart.curve, 1)
        if not (math.isfinite(x) and math.isfinite(y))
    ]
    faults += [
        f"the band at row {number} is ({x:g}, {low:g}, {high:g})"
        for number, (x, low, high) in enumerate(chart.band, 1)
        if not math.isfinite(x) or not low <= high
    ]
    faults += [f"span {words!r} goes from {low:g} to {high:g}" for low, high, words in chart.spans if not low <= high]
    if faults:
        raise ValueError(f"chart {chart.name}: {'; '.join(faults)}")


# --- scales and axes --------------------------------------------------------------------------------------------------


def _scales(chart: Chart) -> tuple[Scaled, Scaled]:
    """The figures that each axis must hold. Infinite ends (an unknown half-width) do not stretch it."""
    xs = [x for each in chart.points for x, _, _ in each.at] + [x for x, _ in chart.curve]
    xs += [x for x, _, _ in chart.band] + [end for low, high, _ in chart.spans for end in (low, high)]
    ys = [y for _, y in chart.curve] + [end for _, low, high in chart.band for end in (low, high)]
    ys += [y + sign * half for each in chart.points for _, y, half in each.at for sign in (-1, 1)]
    ys += [y for each in chart.points for _, y, _ in each.at]
    over = _scale(xs)
    if not chart.levels:
        return over, _scale(ys)
    return over, Scaled(0, min([-0.5, *(y - 0.5 for y in ys)]), max([len(chart.levels) - 0.5, *(y + 0.5 for y in ys)]))


def _scale(values: Iterable[float]) -> Scaled:
    """Least and greatest of the finite values, with a margin.

    >>> _scale([0, 100]), _scale([2e6, 4e6]).power
    (Scaled(power=0, low=-6.0, high=106.0, empty=False), 6)
    """
    held = [each for each in values if math.isfinite(each)]
    if not held:
        return Scaled(0, 0.0, 1.0, empty=True)
    power = _power(max(abs(each) for each in held))
    low, high = _shifted(min(held), power), _shifted(max(held), power)
    if high - low <= 1e-9 * max(abs(low), abs(high)):
        margin = abs(high) * 0.1 or 1.0
    else:
        margin = (high - low) * _MARGIN
    return Scaled(power, low - margin, high + margin)


def _power(greatest: float) -> int:
    """Power of ten, a multiple of three, that the figures of an axis are shown in.

    >>> _power(760), _power(1.5e6), _power(2e-5)
    (0, 6, -6)
    """
    if greatest == 0 or 1e-3 <= greatest < 1e6:
        return 0
    return 3 * math.floor(math.log10(greatest) / 3)


def _shifted(value: float, power: int) -> float:
    """value / 10**power; in two steps, for 10**324 is more than a number can hold."""
    half = -power // 2
    return value * 10.0**half * 10.0 ** (-power - half) if power else float(value)


def _with_power(words: str, power: int) -> str:
    """Words of an axis with the power of ten of its figures.

    >>> _with_power("mm/min", 6), _with_power("mm", 0)
    ('mm/min (figures × 10⁶)', 'mm')
    """
    if not power:
        return words
    raised = str(power).translate(str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹"))
    return f"{words} (figures × 10{raised})".strip()


def _figures(axis: Any) -> None:
    """Write the ticks that the axis chose: all with as many decimals as the step needs, and a true minus sign."""
    ticks: list[float] = []

    def told(value: float) -> str:
        ticks.append(value)
        return ""

    axis.labelTextFormat = told
    axis.makeTickLabels()
    step = min((b - a for a, b in pairwise(ticks)), default=abs(ticks[0]) if ticks else 1.0)
    axis.labelTextFormat = [_figure(each, step or 1.0) for each in ticks]


def _figure(value: float, step: float) -> str:
    """A figure at a tick.

    >>> _figure(0.30000000000000004, 0.1), _figure(-200, 100), _figure(-1e-17, 0.05)
    ('0.3', '−200', '0.00')
    """
    places = max(0, -math.floor(math.log10(step) + 1e-6))
    text = f"{value:.{places}f}"
    return text.replace("-", "−") if float(text) else text.replace("-", "")


def _framed(
    chart: Chart,
    width: float,
    reach: tuple[float, float],
    over: Scaled,
    up: Scaled,
    shown: Callable[[str], str],
) -> Frame:
    """The frame and its axes between two heights [pt], as wide as the words at the ticks leave room for."""
    bottom, top = reach
    y = _axis(YValueAxis(), up)
    y.labels.dx, y.labels.textAnchor, y.tickLeft = -5, "end", 3
    y.minimumTickSpacing = LETTERS * 1.6
    y.setPosition(0, bottom, top - bottom)
    if chart.levels:
        every = max(1, math.ceil(len(chart.levels) * LETTERS * 1.2 / (top - bottom)))
        shown_levels = range(0, len(chart.levels), every)
        words = [_cut(chart.levels[each], LETTERS, width * 0.33) for each in shown_levels]
        y.valueSteps = list(shown_levels)
        y.labelTextFormat = [shown(each) for each in words]
        y.configure([])
        left = max(_wide(each) for each in words) + 7
    else:
        y.configure([])
        _figures(y)
        left = _widest(y) + 7
    y.setPosition(left, bottom, top - bottom)

    x = _axis(XValueAxis(), over)
    x.labels.textAnchor, x.tickDown = "middle", 3
    right, spacing = width - 4, 20.0
    for _ in range(6):  # wide figures need fewer ticks, and half of the last one stands beyond the frame
        x.minimumTickSpacing = spacing
        x.setPosition(left, bottom, right - left)
        x.configure([])
        _figures(x)
        widest = _widest(x)
        if widest + 6 <= spacing and right + widest / 2 <= width:
            break
        spacing, right = max(spacing, widest + 6), min(right, width - widest / 2)
    y.configure([])
    return Frame(left, bottom, right, top, x, y, over, up)


def _axis(axis: Any, scale: Scaled) -> Any:
    axis.valueMin, axis.valueMax = scale.low, scale.high
    axis.maximumTicks = 8
    axis.strokeWidth, axis.strokeColor = 0.7, HexColor(BLACK)
    axis.labels.fontName, axis.labels.fontSize = REGULAR, LETTERS
    axis.visibleLabels = axis.visibleTicks = axis.visibleGrid = int(not scale.empty)
    axis.gridStrokeColor, axis.gridStrokeWidth = HexColor(GRID), 0.4
    return axis


def _widest(axis: Any) -> float:
    """Widest of the figures at an axis's ticks [pt]."""
    bounds = [label.getBounds() for label in axis.makeTickLabels().contents]
    return max((float(x1 - x0) for x0, _, x1, _ in bounds), default=0.0)


def _grid(frame: Frame) -> list[Any]:
    made = Group()
    frame.x.makeGrid(made, dim=(frame.bottom, frame.top))
    frame.y.makeGrid(made, dim=(frame.left, frame.right))
    return [made]


# --- spans, band, curve, points ---------------------------------------------------------------------------------------


def _spans(chart: Chart, frame: Frame) -> list[Any]:
    """Ranges of x, tinted and hatched, each with a thick line along the top of the frame."""
    made: list[Any] = []
    for (low, high, _), kind in zip(chart.spans, _kinds(chart), strict=True):
        x0, x1 = frame.across(low), frame.across(high)
        made += _hatched(x0, frame.bottom, x1, frame.top, kind)
        made.append(Line(x0, frame.top, x1, frame.top, strokeColor=HexColor(BLACK), strokeWidth=1.6))
        made += [
            Line(at, frame.bottom, at, frame.top, strokeColor=HexColor(GREY), strokeWidth=0.5, strokeDashArray=[3, 2])
            for at in (x0, x1)
        ]
    return made


def _kinds(chart: Chart) -> list[int]:
    """The hatch of each span: the same words, the same hatch."""
    words = list(dict.fromkeys(words for _, _, words in chart.spans))
    return [words.index(each) for _, _, each in chart.spans]


def _hatched(x0: float, y0: float, x1: float, y1: float, kind: int, step: float = 6.0) -> list[Any]:
    """A tinted rectangle hatched one of four ways, wider from the fifth kind on."""
    made: list[Any] = [Rect(x0, y0, x1 - x0, y1 - y0, fillColor=HexColor(TINT), strokeColor=None)]
    step *= 1 + kind // 4
    wide, high = x1 - x0, y1 - y0
    lines: list[tuple[float, float, float, float]] = []
    if kind % 4 in (0, 1):
        for number in range(1, int((wide + high) / step) + 1):
            at = number * step  # the line x + y = at of the rectangle
            ax, bx = max(0.0, at - high), min(wide, at)
            lines.append((ax, at - ax, bx, at - bx))
        if kind % 4 == 0:
            lines = [(ax, high - ay, bx, high - by) for ax, ay, bx, by in lines]
    elif kind % 4 == 2:
        lines = [(0, number * step, wide, number * step) for number in range(1, int(high / step) + 1)]
    else:
        lines = [(number * step, 0, number * step, high) for number in range(1, int(wide / step) + 1)]
    made += [
        Line(
            round(x0 + ax, 2), round(y0 + ay, 2), round(x0 + bx, 2), round(y0 + by, 2),
            strokeColor=HexColor(HATCH), strokeWidth=0.4,
        )
        for ax, ay, bx, by in lines
    ]  # fmt: skip
    return made


def _span_row(chart: Chart, frame: Frame, width: float) -> list[tuple[float, Words]]:
    """Words of the spans above the frame with the middle of each; empty where they would not stand clear."""
    placed: list[tuple[float, Words]] = []
    end = 0.0
    for low, high, words in sorted(chart.spans):
        x0, x1 = frame.across(low), frame.across(high)
        wide = _wide(words)
        if wide > (width if len(chart.spans) == 1 else x1 - x0):
            return []
        middle = min(max((x0 + x1) / 2, wide / 2), width - wide / 2)
        if placed and middle - wide / 2 < end + _GAP:
            return []
        end = middle + wide / 2
        placed.append((middle, Words((words,))))
    return placed


def _band(chart: Chart, frame: Frame) -> list[Any]:
    lows = [frame.at(x, low) for x, low, _ in chart.band]
    highs = [frame.at(x, high) for x, _, high in chart.band]
    edge = {"strokeColor": HexColor(BLUE), "strokeWidth": 0.5, "strokeDashArray": [2, 2]}
    if len(chart.band) < 2:
        return [Line(*low, *high, **edge) for low, high in zip(lows, highs, strict=True)]
    area = _flat([*lows, *reversed(highs)])
    return [
        Polygon(area, fillColor=HexColor(FILL["PART"]), strokeColor=None),
        PolyLine(_flat(lows), **edge),
        PolyLine(_flat(highs), **edge),
    ]


def _curve(chart: Chart, frame: Frame) -> list[Any]:
    at = [frame.at(x, y) for x, y in chart.curve]
    if len(at) == 1:
        (x, y) = at[0]
        at = [(x - 4, y), (x + 4, y)]
    return [PolyLine(_flat(at), strokeColor=HexColor(BLACK), strokeWidth=1)] if at else []


def _bars(chart: Chart, frame: Frame) -> list[Any]:
    """Half-widths as bars with a cap at each end; an end beyond the frame has none."""
    made: list[Any] = []
    for each in chart.points:
        pen = {"strokeColor": HexColor(_MARKS[each.mark][1]), "strokeWidth": 0.7}
        for x, y, half in each.at:
            if half == 0:
                continue
            across, low, high = frame.across(x), frame.upwards(y - half), frame.upwards(y + half)
            made.append(Line(across, low, across, high, **pen))
            if math.isfinite(half):
                made += [Line(across - 2.5, end, across + 2.5, end, **pen) for end in (low, high)]
    return made


def _marks(chart: Chart, frame: Frame) -> list[Any]:
    return [
        _mark(each.mark, *frame.at(x, y), size)
        for each, size in zip(chart.points, _sizes(chart.points), strict=True)
        for x, y, _ in each.at
    ]


def _sizes(points: Sequence[Points]) -> list[float]:
    """Size of the marks of each set over the usual one: a mark used again is larger, twice at the most; a crowd is
    smaller."""
    crowd = 0.7 if sum(len(each.at) for each in points) > 200 else 1.0
    marks = [each.mark for each in points]
    return [crowd * (1 + 0.4 * min(marks[:number].count(mark), 2)) for number, mark in enumerate(marks)]


def _mark(mark: Mark, x: float, y: float, size: float) -> Any:
    shape, colour, wide, turn = _MARKS[mark]
    open_ = not shape.startswith("Filled")
    return makeMarker(
        shape, x=x, y=y, size=wide * size, angle=turn,
        fillColor=HexColor(WHITE if open_ else colour),
        strokeColor=HexColor(colour if open_ else WHITE), strokeWidth=1.1 if open_ else 0.3,
    )  # fmt: skip


# --- legend -----------------------------------------------------------------------------------------------------------


def _entries(chart: Chart, width: float, *, with_spans: bool) -> list[Entry]:
    sets = [(each, size) for each, size in zip(chart.points, _sizes(chart.points), strict=True) if each.at]
    made = [Entry(_mark_sample(each.mark, size), each.words) for each, size in sets] if len(sets) > 1 else []
    if with_spans:
        for (low, high, words), kind in zip(chart.spans, _kinds(chart), strict=True):
            reach = f" ({_reach(low, high)})"
            made.append(Entry(_span_sample(kind), _cut(words, LETTERS, width - 14 - _wide(reach)) + reach))
    return made


def _mark_sample(mark: Mark, size: float) -> Callable[[float, float], list[Any]]:
    return lambda x, y: [_mark(mark, x + 5, y, size)]


def _span_sample(kind: int) -> Callable[[float, float], list[Any]]:
    def drawn(x: float, y: float) -> list[Any]:
        edge = Rect(x, y - 3.5, 10, 7, fillColor=None, strokeColor=HexColor(GREY), strokeWidth=0.5)
        return [*_hatched(x, y - 3.5, x + 10, y + 3.5, kind, 2.5), edge]

    return drawn


def _nothing(_x: float, _y: float) -> list[Any]:
    return []


def _legend_rows(entries: Sequence[Entry], width: float, room: float) -> list[list[tuple[float, Entry]]]:
    """Entries in rows with the place of each from the left; what has no room is counted in the last."""
    rows: list[list[tuple[float, Entry]]] = []
    at, most = math.inf, max(1, int(room / (LETTERS * _LEADING)))
    for number, each in enumerate(entries):
        fitted = Entry(each.sample, _cut(each.words, LETTERS, width - 14))
        wide = 14 + _wide(fitted.words)
        if at + wide > width:
            if len(rows) == most:
                rows[-1] = [(0.0, Entry(_nothing, f"… and {len(entries) - number + len(rows[-1])} more"))]
                return rows
            rows.append([])
            at = 0.0
        rows[-1].append((at, fitted))
        at += wide + 12
    return rows


def _legend(rows: Sequence[Sequence[tuple[float, Entry]]], top: float, shown: Callable[[str], str]) -> list[Any]:
    made: list[Any] = []
    for number, row in enumerate(rows):
        line = top - number * LETTERS * _LEADING
        for at, entry in row:
            made += entry.sample(at, line - LETTERS * 0.64)
            made += Words((entry.words,)).at(at + 14, line, "start", shown)
    return made


# --- text -------------------------------------------------------------------------------------------------------------


def _wide(text: str, size: float = LETTERS, *, bold: bool = False) -> float:
    return width_of(printable(text), size, bold=bold)


def _cut(text: str, size: float, width: float, *, bold: bool = False) -> str:
    """Text with an ellipsis where it is wider than a width [pt]."""
    text = " ".join(text.split())
    if len(text) <= 400 and _wide(text, size, bold=bold) <= width:
        return text
    low, high = 0, min(len(text), 400)
    while low < high:
        middle = (low + high + 1) // 2
        if _wide(text[:middle] + "…", size, bold=bold) <= width:
            low = middle
        else:
            high = middle - 1
    return text[:low].rstrip() + "…"


def _wrapped(text: str, size: float, width: float, most: int, *, bold: bool = False) -> tuple[str, ...]:
    """Text in lines of a width [pt], `most` of them at the most."""
    lines: list[str] = []
    words = text.split()
    while words and len(lines) < most - 1:
        count = 1
        while count < len(words) and _wide(" ".join(words[: count + 1]), size, bold=bold) <= width:
            count += 1
        lines.append(_cut(" ".join(words[:count]), size, width, bold=bold))
        words = words[count:]
    if words:
        lines.append(_cut(" ".join(words), size, width, bold=bold))
    return tuple(lines)


def _clean(text: str) -> str:
    """Text as it may stand in XML, in the order of its letters: the reader's program turns it as it is read."""
    return "".join(letter if letter.isprintable() else "�" for letter in " ".join(text.split()))


def _settle_text(node: Any) -> None:
    """Text for a reader whose font may be wider: anchored by the reader, squeezed to the width that was kept for it.

    Baselines stand on half points, for the SVG writer takes twice their height as a whole number.
    """
    for number, each in enumerate(node.contents):
        found = each.provideNode() if isinstance(each, UserNode) else each
        node.contents[number] = found
        if isinstance(found, Group):
            _settle_text(found)
        elif isinstance(found, String):
            found.y = round(2 * found.y) / 2
            found._svgAttrs = {"text-anchor": found.textAnchor}
            if printable(found.text) == found.text and found.text.strip():
                wide = width_of(found.text, found.fontSize, bold=found.fontName == BOLD)
                found._svgAttrs |= {"textLength": f"{wide:.2f}", "lengthAdjust": "spacingAndGlyphs"}
            found.textAnchor = "start"


def _flat(points: Iterable[tuple[float, float]]) -> list[float]:
    return [each for point in points for each in point]
