"""A report in parts, and its charts, as data: codes and figures in mm. `sheets/rows/notebook` puts them into words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from stripplan.wording.message import Dimension, Facts, Message

Mark = Literal["dot", "ring", "cross", "square", "triangle"]
Standing = Literal["testing", "untested", "enough"]
"""Where the search for a speed stands: under way, no cut made yet, cuts enough."""


@dataclass(frozen=True)
class Axis:
    """An axis of a graph: the code of its words, and what it measures."""

    code: str
    dimension: Dimension = "number"


@dataclass(frozen=True, kw_only=True)
class Series:
    """Measured points of a graph: (x, y, half-width of y or 0), drawn with one mark; `code` is that of their name."""

    code: str
    mark: Mark
    at: tuple[tuple[float, float, float], ...]


@dataclass(frozen=True, kw_only=True)
class Graph:
    """A graph: points, a curve, a band (x, least y, greatest y) and spans of x (from, to, the code of their words).

    `name` is that of its file. `levels` are words in place of numbers on the y axis, from 0 upwards.
    """

    name: str
    title: Message
    x: Axis
    y: Axis
    series: tuple[Series, ...] = ()
    curve: tuple[tuple[float, float], ...] = ()
    band: tuple[tuple[float, float, float], ...] = ()
    spans: tuple[tuple[float, float, str], ...] = ()
    levels: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class NextCut:
    """The next test cut of a process: the speed to cut at [mm/min], as it is set, or None where cuts are enough."""

    process: str
    standing: Standing
    speed: float | None
    said: Message


@dataclass(frozen=True, kw_only=True)
class Section:
    """One part of a report: what is said, the facts of each row of its table, graphs, and the next test cuts.

    `topic` is a stable word for what was examined, `about` the process where it is one process alone. `problem` says
    why it could not be worked out. `units` are those that its reader reads.
    """

    topic: str
    about: str = ""
    said: tuple[Message, ...] = ()
    rows: tuple[Facts, ...] = ()
    graphs: tuple[Graph, ...] = ()
    next_cuts: tuple[NextCut, ...] = ()
    problem: Message | None = None
    units: Literal["mm", "in"] = "mm"

    @property
    def title(self) -> Message:
        """What stands above the part."""
        return Message(f"report_{self.topic}", self.about)
