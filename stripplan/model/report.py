"""A report in parts, and its pictures: the same for screen, paper and page."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

UNITS = "Lengths in mm, speeds in mm/min, whatever units they were written down in."
"""What stands above a report."""

Mark = Literal["dot", "ring", "cross", "square", "triangle"]


@dataclass(frozen=True, kw_only=True)
class Points:
    """Measured points of a chart: (x, y, half-width of y or 0), drawn with one mark; `words` name them in the legend."""

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
class Section:
    """One part of a report: figures and sentences, a table whose first row is its header, charts.

    `problem` says why it could not be worked out.
    """

    title: str
    lines: tuple[str, ...] = ()
    table: tuple[tuple[str, ...], ...] = ()
    charts: tuple[Chart, ...] = ()
    problem: str | None = None
