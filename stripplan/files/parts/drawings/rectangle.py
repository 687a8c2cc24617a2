"""The rectangle that an outline is, or why it is none.

Corners are the points that lie off the chord of their neighbours; four of them are fitted by the true rectangle of the
same middle, so that small faults of a drawing cancel and no side grows by them, and every point must lie within the
tolerance of it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from itertools import pairwise

import shapely

from stripplan.files.fault_words import message
from stripplan.files.parts.drawings.outlines import GREATEST_SIZE, Point
from stripplan.wording.message import Message, length

STEP = Decimal("0.01")
"""Sizes are rounded to this [mm]."""


@dataclass(frozen=True)
class Fit:
    """The true rectangle nearest to an outline: middle, unit vector along the length, half sizes, and how far a point
    of the outline is off it at most [mm]. `length` >= `width`."""

    middle: Point
    along: Point
    half_length: float
    half_width: float
    off: float

    def local(self, point: Point) -> Point:
        """A point from the middle: along the length, and across it."""
        x, y = point[0] - self.middle[0], point[1] - self.middle[1]
        return x * self.along[0] + y * self.along[1], y * self.along[0] - x * self.along[1]

    def holds(self, point: Point) -> bool:
        """Whether a point lies in the rectangle or on its edge."""
        x, y = self.local(point)
        return abs(x) <= self.half_length and abs(y) <= self.half_width

    def corners(self, more: float = 0.0) -> list[Point]:
        """The corners, in order; with `more`, of the rectangle that is so much larger on each side."""
        (x, y), (ax, ay) = self.middle, self.along
        u, v = self.half_length + more, self.half_width + more
        return [
            (x + i * u * ax - j * v * ay, y + i * u * ay + j * v * ax) for i, j in ((1, 1), (-1, 1), (-1, -1), (1, -1))
        ]

    def grown(self, more: float) -> shapely.Polygon:
        """The rectangle so much larger on each side, as a shape; empty where nothing is left of it."""
        return shapely.Polygon(self.corners(more) if self.half_width + more > 0 else None)

    def off_corner(self, point: Point) -> float:
        """Distance of a point from the nearest corner."""
        x, y = self.local(point)
        return math.hypot(abs(x) - self.half_length, abs(y) - self.half_width)


def fitted(points: Sequence[Point], tolerance: float) -> Fit | Message:
    """The rectangle that an outline of straight edges is, or why it is none.

    >>> fit = fitted([(0, 0), (30, 40), (-10, 70), (-40, 30)], 0.05)
    >>> 2 * fit.half_length, 2 * fit.half_width, fit.middle
    (50.0, 50.0, (-5.0, 35.0))
    >>> fitted([(0, 0), (100, 0), (120, 50), (20, 50)], 0.05).key
    'why.not_square'
    """
    corners = turning_points(points, tolerance)
    if len(corners) < 3:
        return message("why.nothing")
    if len(corners) != 4:
        return message("why.corners", count=len(corners))
    one, two, three, four = corners
    middle = (sum(x for x, _ in corners) / 4, sum(y for _, y in corners) / 4)
    first = (two[0] - one[0] + three[0] - four[0], two[1] - one[1] + three[1] - four[1])
    second = (three[0] - two[0] + four[0] - one[0], three[1] - two[1] + four[1] - one[1])
    one_way, other_way = math.hypot(*first) / 2, math.hypot(*second) / 2
    along, long, width = (first, one_way, other_way) if one_way >= other_way else (second, other_way, one_way)
    if width <= tolerance:
        return message("why.nothing")
    fit = Fit(middle, (along[0] / 2 / long, along[1] / 2 / long), long / 2, width / 2, 0.0)
    off = max(fit.off_corner(each) for each in corners)
    off = max(off, *shapely.distance(shapely.LinearRing(fit.corners()), shapely.points(points)).tolist())
    if off > tolerance:
        return message("why.not_square", tolerance=length(tolerance))
    if long > GREATEST_SIZE:
        return message("why.too_long")
    if width < STEP:
        return message("why.too_narrow", least=length(float(STEP)))
    return replace(fit, off=off)


def turning_points(points: Sequence[Point], tolerance: float) -> list[Point]:
    """The points at which an outline turns. It begins at the point farthest from the middle, which surely is one."""
    apart: list[Point] = []
    for point in points:
        if not apart or math.dist(point, apart[-1]) > tolerance:
            apart.append(point)
    while len(apart) > 1 and math.dist(apart[0], apart[-1]) <= tolerance:
        apart.pop()
    if len(apart) < 3:
        return apart
    middle = (sum(x for x, _ in apart) / len(apart), sum(y for _, y in apart) / len(apart))
    start = max(range(len(apart)), key=lambda at: math.dist(apart[at], middle))
    ring = apart[start:] + apart[:start] + [apart[start]]
    kept = [ring[0]]
    for here, then in pairwise(ring[1:]):
        if _off_chord(here, kept[-1], then) > tolerance:
            kept.append(here)
    return kept


def _off_chord(point: Point, one: Point, other: Point) -> float:
    """Distance of a point from the line between two others, and from the nearer of them where it lies beyond."""
    dx, dy = other[0] - one[0], other[1] - one[1]
    square = dx * dx + dy * dy
    share = ((point[0] - one[0]) * dx + (point[1] - one[1]) * dy) / square if square else 0.0
    share = min(max(share, 0.0), 1.0)
    return math.hypot(point[0] - one[0] - share * dx, point[1] - one[1] - share * dy)
