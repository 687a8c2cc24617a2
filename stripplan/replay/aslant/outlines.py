"""Outlines that fit each other, however they lie, and what is as wide as an outline that is no rectangle."""

from __future__ import annotations

import cmath
import math
from collections.abc import Sequence
from dataclasses import dataclass

from shapely.affinity import rotate, scale, translate
from shapely.geometry import Polygon, box
from shapely.geometry.polygon import orient

from stripplan.model.plan.cut import Point, Segment
from stripplan.replay import metal as m
from stripplan.replay.metal import NEAR

FLAT = 1e-4
"""A corner that stands out by less is none [mm]."""

ENDS = 1.0
"""Lengths of an edge that was made and of that which is wanted are no farther apart [mm]: at a blunt corner a hair's
breadth on the edge beside it is much on its length."""

SQUARE = 1e-3
"""Turns nearer than so to quarter turns are quarter turns [rad]."""


@dataclass(frozen=True)
class Lie:
    """How a piece lies beside the outline that is wanted: `turn` anticlockwise [rad], after `over`: turned over."""

    turn: float
    over: bool

    @property
    def quarters(self) -> int | None:
        """Quarter turns; None at any other angle."""
        whole = round(self.turn / (math.pi / 2))
        return whole % 4 if abs(self.turn - whole * math.pi / 2) <= SQUARE else None


def as_cut(outline: Sequence[Point], allowance: float) -> Polygon:
    """The finished outline with the allowance on each edge, at right angles to it."""
    shape = Polygon(outline)
    return shape.buffer(allowance, join_style="mitre", mitre_limit=1e6) if allowance else shape


def lies_as(made: Polygon, wanted: Polygon) -> list[Lie]:
    """In which ways what was made is what is wanted, to 0.01 mm everywhere along both; none where it is something else.

    Laid by the longest edge that is wanted: corners need not be as many, as a hair's breadth off a blunt one makes two.
    """
    here, found = _ways(made), list[Lie]()
    for over in (False, True):
        laid = scale(wanted, yfact=-1.0, origin=(0.0, 0.0)) if over else wanted
        longest = max(_ways(laid), key=abs)
        for turn in (cmath.phase(way / longest) for way in here if abs(abs(way) - abs(longest)) <= ENDS):
            if m.same_shape(made, _upon(made, rotate(laid, turn, use_radians=True))):
                found.append(Lie(turn, over))
    return found


def _ways(shape: Polygon) -> list[complex]:
    """The edges from corner to corner, anticlockwise, as complex numbers; a point that stands out of none is left."""
    points = [complex(*point) for point in m.corners(orient(shape))]
    points = [here for n, here in enumerate(points) if abs(here - points[n - 1]) > NEAR]
    kept = []
    for n, here in enumerate(points):
        along = points[(n + 1) % len(points)] - points[n - 1]
        if abs(along) > 0 and abs(((here - points[n - 1]) * along.conjugate()).imag) > FLAT * abs(along):
            kept.append(here)
    return [here - kept[n - 1] for n, here in enumerate(kept)]


def _upon(made: Polygon, other: Polygon) -> Polygon:
    """The other outline moved to where its centroid is that of what was made."""
    (x, y), (there_x, there_y) = made.centroid.coords[0], other.centroid.coords[0]
    return translate(other, x - there_x, y - there_y)


def narrowest(shape: Polygon) -> float:
    """The least width of a shape without corners that point inward: between an edge and the corner farthest from it."""
    return min(
        max(abs(m.leftward(edge, corner)) for corner in m.corners(shape))
        for edge in m.edges(shape)
        if math.dist(*edge) > NEAR
    )


def longest(shape: Polygon) -> float:
    """The greatest distance between two corners."""
    points = m.corners(shape)
    return max(math.dist(one, other) for one in points for other in points)


def holds(shape: Polygon, long: float, short: float) -> bool:
    """Whether a rectangle fits into a shape without corners that point inward, one side along an edge of it."""
    shape = orient(shape)
    return any(_fits(shape, edge, *sides) for edge in m.edges(shape) for sides in ((long, short), (short, long)))


def _fits(shape: Polygon, edge: Segment, along: float, across: float) -> bool:
    """Where the middle of the rectangle may be: each edge moved inward by what of the rectangle reaches towards it."""
    ux, uy = m.direction(edge)
    x0, y0, x1, y1 = shape.bounds
    room: Polygon = box(x0, y0, x1, y1)
    for side in m.edges(shape):
        dx, dy = m.direction(side)
        reach = along / 2 * abs(ux * dy - uy * dx) + across / 2 * abs(ux * dx + uy * dy)
        room = room.intersection(m.halves(m.lengthened(m.moved_left(side, reach)))[1])
        if room.is_empty:
            return False
    return True
