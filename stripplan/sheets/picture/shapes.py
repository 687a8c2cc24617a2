"""A neutral drawing in mm, plate frame (y upwards): what every painter paints."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Layer = Literal["PLATE", "PART", "CUT", "KERF", "OFFCUT", "SCRAP", "TEXT", "DIM", "BEVEL"]
Point = tuple[float, float]


@dataclass(frozen=True)
class Outline:
    """A closed outline; OFFCUT is shown hatched, SCRAP crossed, TEXT filled: the arrowhead of a torch line."""

    layer: Layer
    points: tuple[Point, ...]


@dataclass(frozen=True)
class Line:
    """A torch centreline, entry to exit."""

    layer: Layer
    start: Point
    end: Point


@dataclass(frozen=True)
class Text:
    """Text centred on a point; `height` of capitals [mm], `upright` reads from the right.

    `below` is how far it lies below the middle of a label of several lines, as one reads it [mm].
    """

    layer: Layer
    at: Point
    text: str
    height: float
    upright: bool = False
    bold: bool = False
    below: float = 0.0


@dataclass(frozen=True)
class Bubble:
    """A number in a circle, at the entry end of a cut."""

    at: Point
    number: int
    radius: float


@dataclass(frozen=True)
class Dimension:
    """A dimension between two points, its line `offset` to the right of their direction [mm]."""

    start: Point
    end: Point
    offset: float
    text: str


@dataclass(frozen=True)
class Angle:
    """An angle at a point, from one direction anticlockwise to another [deg], its arc at a radius [mm]."""

    at: Point
    start: float
    end: float
    radius: float
    text: Text


@dataclass(frozen=True)
class Drilled:
    """A hole that is made later, round or an opening: its middle, its extents along x and y [mm]."""

    at: Point
    wide: float
    high: float
    round: bool

    @property
    def box(self) -> tuple[float, float, float, float]:
        """x0, y0, x1, y1 [mm]."""
        (x, y) = self.at
        return x - self.wide / 2, y - self.high / 2, x + self.wide / 2, y + self.high / 2


@dataclass(frozen=True)
class BevelLine:
    """Where a bevel ends on a face of a part, `over` on the upper one; its figures, for who has room for them."""

    start: Point
    end: Point
    text: Text
    over: bool


@dataclass(frozen=True)
class Frame:
    """A region that is drawn larger elsewhere, and the letter by which it is found there; what is written in it stands
    there."""

    letter: Text
    box: tuple[float, float, float, float]


@dataclass(frozen=True)
class Picture:
    """All of a drawing, and the box that holds it (x0, y0, x1, y1).

    `positions` say how far torch lines lie from an edge of the plate; a painter short of room leaves them out.
    """

    title: str
    box: tuple[float, float, float, float]
    outlines: tuple[Outline, ...]
    lines: tuple[Line, ...]
    texts: tuple[Text, ...]
    bubbles: tuple[Bubble, ...]
    dimensions: tuple[Dimension, ...]
    positions: tuple[Text, ...] = ()
    holes: tuple[Drilled, ...] = ()
    frames: tuple[Frame, ...] = ()
    angles: tuple[Angle, ...] = ()
    bevels: tuple[BevelLine, ...] = ()
