"""A report for a person who reads inches: its tables and charts, which hold finished figures, told again."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from stripplan.model.report import Chart, Points, Section
from stripplan.wording.retold import MM_PER_IN, in_inches, lengths, speeds

_KEPT = in_inches
_COLUMNS: dict[str, dict[int, Callable[[str], str]]] = {
    "dial": {1: speeds},
    "kerf": {1: lengths, 2: lengths, 5: lengths, 6: lengths},
    "fence": {2: lengths, 3: lengths},
    "bow": {2: lengths},
    "speed": {1: speeds},
    "starting_speeds": {2: speeds, 3: speeds, 4: speeds},
}
"""By topic: columns whose figures have their unit in the head, or none."""
_SPEEDS = ("dial, top speed", "return_speed")
_NO_LENGTHS = ("fence_angle",)
"""Keys of what plans use."""


def section_in_inches(section: Section) -> Section:
    """A part of the report with its table and charts in inches; faces put what is said into words by `units`."""
    head, *rows = section.table or ((),)
    told = tuple(_profile_row(row) if section.topic == "profile" else _row(section.topic, row) for row in rows)
    table = (tuple(map(in_inches, head)), *told) if section.table else ()
    return replace(section, units="in", table=table, charts=tuple(map(_chart, section.charts)))


def _row(topic: str, row: tuple[str, ...]) -> tuple[str, ...]:
    ways = _COLUMNS.get(topic, {})
    return tuple(ways.get(number, _KEPT)(cell) for number, cell in enumerate(row))


def _profile_row(row: tuple[str, ...]) -> tuple[str, ...]:
    """Key, value, plus-or-minus, rows, days, and what stood before."""
    key, value, spread, *rest, before = row
    if key in _NO_LENGTHS:
        return row
    way = speeds if key in _SPEEDS else lengths
    return (key, way(value), way(spread), *rest, way(before))


def _chart(chart: Chart) -> Chart:
    x, y = (1 / MM_PER_IN if axis.startswith("mm") else 1.0 for axis in (chart.x, chart.y))
    return replace(
        chart,
        x=chart.x.replace("mm", "in"),
        y=chart.y.replace("mm", "in"),
        points=tuple(_points(each, x, y) for each in chart.points),
        curve=tuple((at * x, value * y) for at, value in chart.curve),
        band=tuple((at * x, low * y, high * y) for at, low, high in chart.band),
        spans=tuple((start * x, end * x, words) for start, end, words in chart.spans),
    )


def _points(points: Points, x: float, y: float) -> Points:
    return replace(points, at=tuple((at * x, value * y, half * y) for at, value, half in points.at))
