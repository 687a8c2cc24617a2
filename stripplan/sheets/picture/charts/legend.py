"""The legend of a chart: a sample and words for each set of points, and for spans that have no room for theirs."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from reportlab.graphics.shapes import Rect
from reportlab.lib.colors import HexColor

from stripplan.model.report import Mark
from stripplan.sheets.picture.charts.inside_frame import hatched, mark_drawn, mark_sizes, span_kinds
from stripplan.sheets.picture.charts.words import LEADING, LETTERS, Words, printed_width, reach_in_words, shortened
from stripplan.sheets.picture.palette import GREY
from stripplan.sheets.rows.notebook import Chart


@dataclass(frozen=True)
class Entry:
    """One entry of the legend: a sample, drawn at the middle of its left end, and words."""

    sample: Callable[[float, float], list[Any]]
    words: str


def legend_entries(chart: Chart, width: float, *, with_spans: bool) -> list[Entry]:
    sets = [(each, size) for each, size in zip(chart.points, mark_sizes(chart.points), strict=True) if each.at]
    made = [Entry(_mark_sample(each.mark, size), each.words) for each, size in sets] if len(sets) > 1 else []
    if with_spans:
        for (low, high, words), kind in zip(chart.spans, span_kinds(chart), strict=True):
            reach = f" ({reach_in_words(low, high)})"
            made.append(Entry(_span_sample(kind), shortened(words, LETTERS, width - 14 - printed_width(reach)) + reach))
    return made


def _mark_sample(mark: Mark, size: float) -> Callable[[float, float], list[Any]]:
    return lambda x, y: [mark_drawn(mark, x + 5, y, size)]


def _span_sample(kind: int) -> Callable[[float, float], list[Any]]:
    def drawn(x: float, y: float) -> list[Any]:
        edge = Rect(x, y - 3.5, 10, 7, fillColor=None, strokeColor=HexColor(GREY), strokeWidth=0.5)
        return [*hatched(x, y - 3.5, x + 10, y + 3.5, kind, 2.5), edge]

    return drawn


def _nothing(_x: float, _y: float) -> list[Any]:
    return []


def legend_rows(entries: Sequence[Entry], width: float, room: float) -> list[list[tuple[float, Entry]]]:
    """Entries in rows with the place of each from the left; what has no room is counted in the last."""
    rows: list[list[tuple[float, Entry]]] = []
    at, most = math.inf, max(1, int(room / (LETTERS * LEADING)))
    for number, each in enumerate(entries):
        fitted = Entry(each.sample, shortened(each.words, LETTERS, width - 14))
        wide = 14 + printed_width(fitted.words)
        if at + wide > width:
            if len(rows) == most:
                rows[-1] = [(0.0, Entry(_nothing, f"… and {len(entries) - number + len(rows[-1])} more"))]
                return rows
            rows.append([])
            at = 0.0
        rows[-1].append((at, fitted))
        at += wide + 12
    return rows


def legend_drawn(rows: Sequence[Sequence[tuple[float, Entry]]], top: float, shown: Callable[[str], str]) -> list[Any]:
    made: list[Any] = []
    for number, row in enumerate(rows):
        line = top - number * LETTERS * LEADING
        for at, entry in row:
            made += entry.sample(at, line - LETTERS * 0.64)
            made += Words((entry.words,)).at(at + 14, line, "start", shown)
    return made
