"""A report in parts, and its pictures: the same for screen, paper and page."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from stripplan.wording.message import Message

UNITS = {
    "mm": "Lengths in mm, speeds in mm/min, whatever units they were written down in.",
    "in": "Lengths in inches, speeds in in/min, whatever units they were written down in.",
}
"""What stands above a report, by the units that its owner reads."""

Mark = Literal["dot", "ring", "cross", "square", "triangle"]
Standing = Literal["testing", "untested", "enough"]
"""Where the search for a speed stands: under way, no cut made yet, cuts enough."""


@dataclass(frozen=True, kw_only=True)
class Points:
    """Measured points of a chart: (x, y, half-width of y or 0), drawn with one mark;
    `words` name them in the legend.
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
class NextCut:
    """The next test cut of a process: the speed to cut at [mm/min], as it is set, or None where cuts are enough."""

    process: str
    standing: Standing
    speed: float | None
    said: Message


@dataclass(frozen=True, kw_only=True)
class Section:
    """One part of a report: what is said, a table whose first row is its header, charts, and the next test cuts.

    `topic` is a stable word for what was examined, `about` the process where it is one process alone. `problem` says
    why it could not be worked out. `units` are those of the notebook's owner: of the table and the charts, and for what
    is said.
    """

    topic: str
    about: str = ""
    said: tuple[Message, ...] = ()
    table: tuple[tuple[str, ...], ...] = ()
    charts: tuple[Chart, ...] = ()
    next_cuts: tuple[NextCut, ...] = ()
    problem: Message | None = None
    units: Literal["mm", "in"] = "mm"

    @property
    def title(self) -> Message:
        """What stands above the part."""
        return Message(f"report_{self.topic}", self.about)
