"""The report on a notebook in words of its reader's units: the same for screen, paper and page.

What was measured is told in decimals, in inches too: a calliper shows no fractions.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from stripplan.model.report import Axis, Graph, Mark, Section
from stripplan.wording.message import Facts, Message
from stripplan.wording.sentences.notebook.tables import TABLES, Column
from stripplan.wording.show import Units, filled, text_for, worded

MM_PER_IN = 25.4


@dataclass(frozen=True, kw_only=True)
class Points:
    """Measured points of a chart: (x, y, half-width of y or 0), drawn with one mark; `words` name them in the
    legend.
    """

    words: str
    mark: Mark
    at: tuple[tuple[float, float, float], ...]


@dataclass(frozen=True, kw_only=True)
class Chart:
    """A chart: points, a curve, a band (x, least y, greatest y) and spans of x (from, to, words).

    `levels` are words in place of numbers on the y axis, from 0 upwards.
    """

    name: str
    title: str
    x: str
    y: str
    points: tuple[Points, ...] = ()
    curve: tuple[tuple[float, float], ...] = ()
    band: tuple[tuple[float, float, float], ...] = ()
    spans: tuple[tuple[float, float, str], ...] = ()
    levels: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Part:
    """One part of the report: sentences, a table whose first row is its header, charts; why it could not be worked out,
    where it could not.
    """

    title: str
    lines: tuple[str, ...] = ()
    table: tuple[tuple[str, ...], ...] = ()
    charts: tuple[Chart, ...] = ()
    problem: str | None = None


def units_of(section: Section) -> Units:
    """The units that a section is read in."""
    return Units(section.units, exact=True, decimal=True)


def units_told(sections: Sequence[Section]) -> str:
    """What stands above a report: its units."""
    system: Literal["mm", "in"] = sections[0].units if sections else "mm"
    return worded(Message(f"report_in_{system}")).text


def part_of(section: Section) -> Part:
    """A section in words."""
    units = units_of(section)
    return Part(
        title=worded(section.title).text,
        lines=tuple(worded(each, units).text for each in section.said),
        table=table(section.topic, section.rows, units),
        charts=tuple(chart(each, units) for each in section.graphs),
        problem=None if section.problem is None else worded(section.problem, units).text,
    )


def table(topic: str, rows: Sequence[Facts], units: Units) -> tuple[tuple[str, ...], ...]:
    """The table of a topic, its header first; nothing where there is no row.

    >>> from stripplan.wording.message import speed
    >>> table("dial", [Facts(process="steel-6", speed=speed(508))], Units("in"))
    (('process', 'in/min', 'mark'), ('steel-6', '20', 'not within what was timed'))
    """
    if not rows:
        return ()
    columns = TABLES[topic]
    head = tuple(filled(each.head, {}, units) for each in columns)
    return (head, *(tuple(_cell(each, row, units) for each in columns) for row in rows))


def _cell(column: Column, row: Facts, units: Units) -> str:
    return filled(text_for(column.cell, row), row, units)


def chart(graph: Graph, units: Units) -> Chart:
    """A graph with its words, and its figures in a person's units."""
    x, y = (_scale(axis, units) for axis in (graph.x, graph.y))
    return Chart(
        name=graph.name,
        title=worded(graph.title, units).text,
        x=_words(graph.x.code, units),
        y=_words(graph.y.code, units),
        points=tuple(
            Points(
                words=_words(each.code, units),
                mark=each.mark,
                at=tuple((at * x, value * y, half * y) for at, value, half in each.at),
            )
            for each in graph.series
        ),
        curve=tuple((at * x, value * y) for at, value in graph.curve),
        band=tuple((at * x, low * y, high * y) for at, low, high in graph.band),
        spans=tuple((start * x, end * x, _words(code, units)) for start, end, code in graph.spans),
        levels=tuple(_words(each, units) for each in graph.levels),
    )


def _words(code: str, units: Units) -> str:
    return worded(Message(code), units).text


def _scale(axis: Axis, units: Units) -> float:
    """What figures of an axis are taken times."""
    return 1 / MM_PER_IN if units.system == "in" and axis.dimension in ("length", "speed") else 1.0
