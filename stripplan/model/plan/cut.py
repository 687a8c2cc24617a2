"""A cut and everything that is set before it, as in the plan file."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Literal

Point = tuple[float, float]
Segment = tuple[Point, Point]
Located = Literal["fence", "mitre", "marked"]


@dataclass(frozen=True, kw_only=True)
class Pass:
    """One passage of the carriage. `length` is the metal it cuts [mm], `end_stop` measured from home."""

    face_up: bool
    leading: Segment
    corner_at: float
    length: float
    end_stop: float


@dataclass(frozen=True, kw_only=True)
class Dress:
    """An edge that is scraped clean of dross before it may be datum or leading edge (plate frame)."""

    edge: Segment


@dataclass(frozen=True, kw_only=True)
class SetUp:
    """What changes before a cut. Turning over inside a two-pass cut is part of the cut, not of this.

    `mitre`: the mitre bar is set: the cut before was not made on it, or with another angle, stop, or side of the stop.
    `process`: the torch is set up for another process than that of the cut before, or for the first. `dry_run`: the
    carriage runs to the end stop and home once with the arc off, since no cut of this plate was made with that end stop
    before.
    """

    fence: bool = False
    end_stop: bool = False
    mitre: bool = False
    quarter_turns: int = 0
    turn_over: bool = False
    fetch: bool = False
    push: bool = False
    clear: bool = False
    two_person: bool = False
    dress: tuple[Dress, ...] = ()
    process: bool = False
    dry_run: bool = False


@dataclass(frozen=True, kw_only=True)
class Minutes:
    """Time of one cut by cause [min]."""

    arc: float = 0.0
    return_: float = 0.0
    pre_flow: float = 0.0
    post_flow: float = 0.0
    rest: float = 0.0
    fence: float = 0.0
    end_stop: float = 0.0
    mitre: float = 0.0
    quarter_turn: float = 0.0
    turn_over: float = 0.0
    fetch: float = 0.0
    push: float = 0.0
    dress: float = 0.0
    clear: float = 0.0
    process: float = 0.0
    dry_run: float = 0.0

    @property
    def total(self) -> float:
        """All causes together."""
        return float(sum(getattr(self, each.name) for each in fields(self)))


@dataclass(frozen=True, kw_only=True)
class Mitre:
    """Setting of the mitre bar, as the piece lies, seen from above.

    `edge` of the piece lies whole on the face of the bar, the piece on the far side of it, and the torch enters there;
    `angle` from the direction of travel anticlockwise to that face, above 0 and below 180 [deg], 90 = square across;
    `reading` the mark that it is set to, where the rig says what steps those have, else None.
    `corner` is the end of that edge at the stop, `stop` how far it is, along the face, from where the torch's line
    crosses it [mm]; on the left or the right of the travel as that corner lies.
    """

    edge: Segment
    corner: Point
    angle: float
    stop: float
    reading: float | None = None


BarSetting = tuple[float, float, bool]
"""Angle of the mitre bar, or the mark that it stands at [deg], its stop [mm], both to hundredths, as they are told, and
whether the stop is on the left of the travel."""


def bar_as_set(mitre: Mitre, *, left: bool) -> BarSetting:
    """How the bar is set for a cut with the stop on the `left` of the travel or on the right, as the piece lies."""
    angle = mitre.angle if mitre.reading is None else mitre.reading
    return round(angle, 2), round(mitre.stop, 2), left


@dataclass(frozen=True, kw_only=True)
class Marks:
    """Two marks from a named edge: how far along it, and how far from it the torch centreline lies [mm]."""

    edge: Segment
    from_: Point
    along: tuple[float, float]
    distance: tuple[float, float]


@dataclass(frozen=True, kw_only=True)
class Cut:
    """One cut, in the order of work. All points in the plate frame, first face up.

    `makes` is the piece right of the travel (fence side), then left, as the piece lies; None = no
    metal there. `line` is the torch centreline inside the metal, entry to exit in the first pass's
    direction. `fence_reading` and `reading_error` are None unless located by the fence.
    `rest_before` [min] is the wait that the duty cycle asks for. `edge_bow` is how far the edge on the fence has bowed
    [mm], where that takes much of what the part that is cut off may be off: None elsewhere, and in plans that were made
    before it was told cut by cut.
    """

    number: int
    plate: str
    piece: str
    makes: tuple[str | None, str | None]
    line: Segment
    length: float
    kerf: float
    located: Located
    edge_on_fence: Segment | None
    fence_offset: float | None
    fence_reading: float | None
    reading_error: float | None
    mitre: Mitre | None
    marks: Marks | None
    passes: tuple[Pass, ...]
    travel_speed: float
    dial: float | None
    rest_before: float
    setup: SetUp
    minutes: Minutes
    edge_bow: float | None = None

    @property
    def bar(self) -> BarSetting | None:
        """How the mitre bar stands, as `bar_as_set`; None for a cut that is not made on it."""
        if self.mitre is None:
            return None
        (x0, y0), (x1, y1), (cx, cy) = *self.line, self.mitre.corner
        left = (x1 - x0) * (cy - y0) - (y1 - y0) * (cx - x0) > 0
        return bar_as_set(self.mitre, left=left == self.passes[0].face_up)
