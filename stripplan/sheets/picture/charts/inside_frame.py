"""What lies within the frame of a chart: spans tinted and hatched, a band, a curve, points with their half-widths."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Any

from reportlab.graphics.shapes import Line, Polygon, PolyLine, Rect
from reportlab.graphics.widgets.markers import makeMarker
from reportlab.lib.colors import HexColor

from stripplan.model.report import Mark
from stripplan.sheets.picture.charts.axes import Frame
from stripplan.sheets.picture.charts.words import GAP, Words, printed_width
from stripplan.sheets.picture.palette import BLACK, BLUE, FILL, GREEN, GREY, VERMILLION, WHITE
from stripplan.sheets.rows.notebook import Chart, Points

TINT = "#F2F2F2"
HATCH = "#C4C4C4"

_MARKS: dict[Mark, tuple[str, str, float, float]] = {
    "dot": ("FilledCircle", BLUE, 5.0, 0.0),
    "ring": ("Circle", VERMILLION, 5.0, 0.0),
    "cross": ("FilledCross", BLACK, 6.5, 45.0),
    "square": ("FilledSquare", GREEN, 4.8, 0.0),
    "triangle": ("FilledTriangle", GREY, 7.0, 0.0),
}
"""Shape, colour, size [pt] and turn [deg] of each mark: the shape alone tells sets apart in a grey print."""


def spans_drawn(chart: Chart, frame: Frame) -> list[Any]:
    """Ranges of x, tinted and hatched, each with a thick line along the top of the frame."""
    made: list[Any] = []
    for (low, high, _), kind in zip(chart.spans, span_kinds(chart), strict=True):
        x0, x1 = frame.across(low), frame.across(high)
        made += hatched(x0, frame.bottom, x1, frame.top, kind)
        made.append(Line(x0, frame.top, x1, frame.top, strokeColor=HexColor(BLACK), strokeWidth=1.6))
        made += [
            Line(at, frame.bottom, at, frame.top, strokeColor=HexColor(GREY), strokeWidth=0.5, strokeDashArray=[3, 2])
            for at in (x0, x1)
        ]
    return made


def span_kinds(chart: Chart) -> list[int]:
    """The hatch of each span: the same words, the same hatch."""
    words = list(dict.fromkeys(words for _, _, words in chart.spans))
    return [words.index(each) for _, _, each in chart.spans]


def hatched(x0: float, y0: float, x1: float, y1: float, kind: int, step: float = 6.0) -> list[Any]:
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


def words_over_spans(chart: Chart, frame: Frame, width: float) -> list[tuple[float, Words]]:
    """Words of the spans above the frame with the middle of each; empty where they would not stand clear."""
    placed: list[tuple[float, Words]] = []
    end = 0.0
    for low, high, words in sorted(chart.spans):
        x0, x1 = frame.across(low), frame.across(high)
        wide = printed_width(words)
        if wide > (width if len(chart.spans) == 1 else x1 - x0):
            return []
        middle = min(max((x0 + x1) / 2, wide / 2), width - wide / 2)
        if placed and middle - wide / 2 < end + GAP:
            return []
        end = middle + wide / 2
        placed.append((middle, Words((words,))))
    return placed


def band_drawn(chart: Chart, frame: Frame) -> list[Any]:
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


def curve_drawn(chart: Chart, frame: Frame) -> list[Any]:
    at = [frame.at(x, y) for x, y in chart.curve]
    if len(at) == 1:
        (x, y) = at[0]
        at = [(x - 4, y), (x + 4, y)]
    return [PolyLine(_flat(at), strokeColor=HexColor(BLACK), strokeWidth=1)] if at else []


def bars_drawn(chart: Chart, frame: Frame) -> list[Any]:
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


def marks_drawn(chart: Chart, frame: Frame) -> list[Any]:
    return [
        mark_drawn(each.mark, *frame.at(x, y), size)
        for each, size in zip(chart.points, mark_sizes(chart.points), strict=True)
        for x, y, _ in each.at
    ]


def mark_sizes(points: Sequence[Points]) -> list[float]:
    """Size of the marks of each set over the usual one: a mark used again is larger, twice at the most; a crowd is
    smaller."""
    crowd = 0.7 if sum(len(each.at) for each in points) > 200 else 1.0
    marks = [each.mark for each in points]
    return [crowd * (1 + 0.4 * min(marks[:number].count(mark), 2)) for number, mark in enumerate(marks)]


def mark_drawn(mark: Mark, x: float, y: float, size: float) -> Any:
    shape, colour, wide, turn = _MARKS[mark]
    open_ = not shape.startswith("Filled")
    return makeMarker(
        shape, x=x, y=y, size=wide * size, angle=turn,
        fillColor=HexColor(WHITE if open_ else colour),
        strokeColor=HexColor(colour if open_ else WHITE), strokeWidth=1.1 if open_ else 0.3,
    )  # fmt: skip


def _flat(points: Iterable[tuple[float, float]]) -> list[float]:
    return [each for point in points for each in point]
