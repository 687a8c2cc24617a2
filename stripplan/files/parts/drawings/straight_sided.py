"""The straight-sided shape that an outline is, where it is no rectangle, or why it is none."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import shapely

from stripplan.files.fault_words import message
from stripplan.files.parts.drawings.outlines import GREATEST_SIZE, Point
from stripplan.files.parts.drawings.rectangle import STEP, turning_points
from stripplan.model.polygon import (
    Outline,
    box,
    crossing_edges,
    edges,
    line_of,
    mirrored,
    normal,
    reflex_corner,
    turned,
)
from stripplan.wording.message import Message, length

LEAN = math.radians(1.0)
"""Four corners that are all nearer to square than so were meant to be square [rad]."""
FINE = 6
"""Decimals of the corners of a part [mm], as of those that are worked out from words."""


@dataclass(frozen=True)
class Sided:
    """A shape as it is drawn: its corners, in order [mm]."""

    points: tuple[Point, ...]
    off: float = 0.0

    @cached_property
    def middle(self) -> Point:
        """The centre of its area."""
        centre = shapely.Polygon(self.points).centroid
        return float(centre.x), float(centre.y)

    @cached_property
    def _area(self) -> shapely.Polygon:
        return shapely.Polygon(self.points)

    def holds(self, point: Point) -> bool:
        """Whether a point lies in the shape or on its edge."""
        return bool(self._area.intersects(shapely.Point(point)))

    def grown(self, more: float) -> shapely.Polygon:
        """The shape so much larger at each edge; empty where nothing is left of it."""
        grown = self._area.buffer(more, join_style="mitre", mitre_limit=20.0)
        return grown if isinstance(grown, shapely.Polygon) else shapely.Polygon()

    def corners(self) -> list[Point]:
        """Its corners, in order."""
        return list(self.points)

    def off_corner(self, point: Point) -> float:
        """Distance of a point from the nearest corner."""
        return min(math.dist(point, each) for each in self.points)

    @cached_property
    def outline(self) -> Outline:
        """Its outline, its longest edge below; the same however it is drawn, turned or in mirror image, to `STEP`."""
        return self._laid[0]

    @property
    def exact(self) -> Outline:
        """The same to `FINE`, as a part has it: angles that are equal stay so, for one setting of the rig."""
        return self._laid[1]

    @cached_property
    def _laid(self) -> tuple[Outline, Outline]:
        return min((_rounded(each, 2), _rounded(each, FINE)) for each in _laid(self.points))


def _rounded(points: Outline, decimals: int) -> Outline:
    return tuple((round(x, decimals) + 0.0, round(y, decimals) + 0.0) for x, y in points)


def _laid(points: tuple[Point, ...]) -> Iterator[Outline]:
    """The outline and its mirror image, on each of the longest edges."""
    given = normal(points)
    most = max(math.dist(*edge) for edge in edges(given))
    for way in (given, mirrored(given)):
        for edge in edges(way):
            if math.dist(*edge) > most - float(STEP):
                cosine, sine = line_of(edge).along
                yield normal(turned(way, cosine, -sine))


def sided(points: Sequence[Point], tolerance: float) -> Sided | Message:
    """The shape that an outline of straight edges is, or why it is none.

    >>> sided([(0, 0), (0, 50), (100, 0)], 0.05).outline
    ((0.0, 0.0), (111.8, 0.0), (22.36, 44.72))
    >>> sided([(100 * math.cos(n / 500), 100 * math.sin(n / 500)) for n in range(3141)], 0.05).key
    'why.curved_in_steps'
    >>> sided([(0, 0), (50, 0), (50, 20), (20, 20), (20, 50), (0, 50)], 0.05).key
    'why.corner_inward'
    """
    corners = turning_points(points, tolerance)
    if crossing_edges(corners) is not None:
        return message("why.corners", count=len(corners))
    inward = reflex_corner(corners)
    if inward is not None:
        x, y = corners[inward]
        return message("why.corner_inward", count=len(corners), x=length(x), y=length(y))
    if len(corners) == 4 and all(abs(each - math.pi / 2) < LEAN for each in _angles(corners)):
        return message("why.not_square", tolerance=length(tolerance))
    off = float(max(shapely.distance(shapely.LinearRing(corners), shapely.points(points))))
    if off > 2 * tolerance:  # each point is near its neighbours, and yet some are far from the edges that are left
        return message("why.curved_in_steps", count=len(corners), off=length(round(off, 3)))
    x0, y0, x1, y1 = box(corners)
    if max(x1 - x0, y1 - y0) > GREATEST_SIZE:
        return message("why.too_long")
    found = Sided(tuple(corners))
    if box(found.outline)[3] < STEP:
        return message("why.too_narrow", least=length(float(STEP)))
    return found


def _angles(corners: Sequence[Point]) -> Iterator[float]:
    """The angles at the corners [rad]."""
    count = len(corners)
    for n, (x, y) in enumerate(corners):
        (ax, ay), (bx, by) = corners[n - 1], corners[(n + 1) % count]
        one, other = math.atan2(ay - y, ax - x), math.atan2(by - y, bx - x)
        turn = abs(one - other)
        yield min(turn, 2 * math.pi - turn)
