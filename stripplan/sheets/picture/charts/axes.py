"""The frame of a chart: scales that hold all its figures, axes with figures that have room, the grid."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from itertools import pairwise
from typing import Any, NamedTuple

from reportlab.graphics.charts.axes import XValueAxis, YValueAxis
from reportlab.graphics.shapes import Group
from reportlab.lib.colors import HexColor

from stripplan.sheets.paper.text import REGULAR
from stripplan.sheets.picture.charts.words import LETTERS, printed_width, shortened
from stripplan.sheets.picture.palette import BLACK
from stripplan.sheets.rows.notebook import Chart

GRID = "#D0D0D0"
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


def scales_of(chart: Chart) -> tuple[Scaled, Scaled]:
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


def with_power(words: str, power: int) -> str:
    """Words of an axis with the power of ten of its figures.

    >>> with_power("mm/min", 6), with_power("mm", 0)
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


def frame_of(
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
        words = [shortened(chart.levels[each], LETTERS, width * 0.33) for each in shown_levels]
        y.valueSteps = list(shown_levels)
        y.labelTextFormat = [shown(each) for each in words]
        y.configure([])
        left = max(printed_width(each) for each in words) + 7
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


def grid_lines(frame: Frame) -> list[Any]:
    made = Group()
    frame.x.makeGrid(made, dim=(frame.bottom, frame.top))
    frame.y.makeGrid(made, dim=(frame.left, frame.right))
    return [made]
