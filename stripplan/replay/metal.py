"""Metal on the bed: its shape, and what each stretch of its border is (mill or cut, clean or not, square or not).

Lengths are mm, points lie in the plate frame. A piece that lies with its first face down is seen
mirrored: what is right of the travel at the rig is then left of it in the plate frame.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import shapely
from shapely.geometry import LineString, Polygon

from stripplan.model.plan.cut import Marks, Point, Segment

NEAR = 0.01
"""Agreement asked of outlines and lines [mm]."""

FAR = 3e4
"""Longer than any plate [mm]."""


@dataclass(frozen=True)
class Stretch:
    """Part of a border: `mill` as rolled, `clean` free of dross, `square` not on the bevelled side of its cut."""

    segment: Segment
    mill: bool
    clean: bool
    square: bool


@dataclass(frozen=True)
class Metal:
    """One piece as it is at some moment."""

    shape: Polygon
    border: tuple[Stretch, ...]


def direction(segment: Segment) -> Point:
    """Unit vector along a segment. Raises ValueError for a segment without length."""
    (x0, y0), (x1, y1) = segment
    length = math.hypot(x1 - x0, y1 - y0)
    if length < NEAR:
        raise ValueError(f"a line from ({x0:g}, {y0:g}) to ({x1:g}, {y1:g}) has no direction")
    return (x1 - x0) / length, (y1 - y0) / length


def ahead(segment: Segment, point: Point) -> float:
    """How far along the segment's direction a point lies from its start [mm]."""
    dx, dy = direction(segment)
    return dx * (point[0] - segment[0][0]) + dy * (point[1] - segment[0][1])


def leftward(segment: Segment, point: Point) -> float:
    """How far left of the segment's direction a point lies, in the plate frame [mm]."""
    dx, dy = direction(segment)
    return dx * (point[1] - segment[0][1]) - dy * (point[0] - segment[0][0])


def moved_left(segment: Segment, distance: float) -> Segment:
    """The segment moved to the left of its own direction, in the plate frame [mm]."""
    dx, dy = direction(segment)
    (x0, y0), (x1, y1) = segment
    return (x0 - dy * distance, y0 + dx * distance), (x1 - dy * distance, y1 + dx * distance)


def lengthened(segment: Segment) -> Segment:
    """The same line and direction, far beyond both ends."""
    dx, dy = direction(segment)
    (x0, y0), (x1, y1) = segment
    return (x0 - dx * FAR, y0 - dy * FAR), (x1 + dx * FAR, y1 + dy * FAR)


def parallel(one: Segment, other: Segment) -> bool:
    """Whether two segments run alike or against each other, to a ten-thousandth."""
    (ax, ay), (bx, by) = direction(one), direction(other)
    return abs(ax * by - ay * bx) < 1e-4


def aslant(segment: Segment) -> bool:
    """Whether a segment runs along neither side of the plate."""
    return min(map(abs, direction(segment))) >= 1e-4


def corners(shape: Polygon) -> list[Point]:
    """The corners in turn, the first not repeated."""
    return [(float(x), float(y)) for x, y in shape.exterior.coords[:-1]]


def edges(shape: Polygon) -> list[Segment]:
    """The edges in turn; what is too short to have a direction is none."""
    points = corners(shape)
    found = [(point, points[(n + 1) % len(points)]) for n, point in enumerate(points)]
    return [edge for edge in found if math.dist(*edge) >= NEAR]


def full_edge(shape: Polygon, segment: Segment) -> bool:
    """Whether a segment is one whole edge of the shape, in either direction."""
    return any(
        (math.dist(a, segment[0]) <= NEAR and math.dist(b, segment[1]) <= NEAR)
        or (math.dist(b, segment[0]) <= NEAR and math.dist(a, segment[1]) <= NEAR)
        for a, b in edges(shape)
    )


def shared(edge: Segment, other: Segment) -> Segment | None:
    """The stretch of `edge` on which `other` lies too; None if they do not run together."""
    if any(abs(leftward(edge, end)) > NEAR for end in other):
        return None
    low, high = sorted(ahead(edge, end) for end in other)
    low, high = max(low, 0.0), min(high, math.dist(*edge))
    if high - low <= 2 * NEAR:
        return None
    dx, dy = direction(edge)
    (x, y) = edge[0]
    return (x + dx * low, y + dy * low), (x + dx * high, y + dy * high)


def dressed(metal: Metal, edge: Segment) -> Metal:
    """The metal after an edge is cleaned of dross."""
    border: list[Stretch] = []
    for stretch in metal.border:
        cleaned = shared(stretch.segment, edge)
        if cleaned is None or stretch.clean:
            border.append(stretch)
            continue
        start, end = stretch.segment
        border.append(replace(stretch, segment=cleaned, clean=True))
        rests = ((start, cleaned[0]), (cleaned[1], end))
        border += [replace(stretch, segment=rest) for rest in rests if math.dist(*rest) > NEAR]
    return Metal(metal.shape, tuple(border))


def stretches(metal: Metal, edge: Segment) -> list[Stretch]:
    """What an edge of the metal is made of."""
    found = ((shared(edge, each.segment), each) for each in metal.border)
    return [replace(each, segment=part) for part, each in found if part is not None]


def parted(shape: Polygon, torch: Segment, kerf: float) -> tuple[list[Polygon], list[Polygon]]:
    """What is left when the kerf band is taken out: right and left of the torch line, in the plate frame.

    Slivers thinner than 0.01 mm count as no metal.
    """
    right, left = moved_left(torch, -kerf / 2), moved_left(torch, kerf / 2)
    rest = shape.difference(Polygon([right[0], right[1], left[1], left[0]]))
    sides: tuple[list[Polygon], list[Polygon]] = ([], [])
    for each in getattr(rest, "geoms", [rest]):
        if isinstance(each, Polygon) and each.area > NEAR * each.length / 2:
            middle = each.centroid
            sides[leftward(torch, (middle.x, middle.y)) > 0].append(each)
    return sides


def halves(torch: Segment) -> tuple[Polygon, Polygon]:
    """All that lies right and left of a long torch line, in the plate frame."""
    right, left = moved_left(torch, -2 * FAR), moved_left(torch, 2 * FAR)
    return Polygon([*torch, right[1], right[0]]), Polygon([*torch, left[1], left[0]])


def scribed(marks: Marks, shape: Polygon) -> Segment:
    """Where two marks lie: so far along their edge from its named end, so far from it towards the metal."""
    start, end = marks.edge
    reverse = sum((a - b) ** 2 for a, b in zip(marks.from_, start, strict=True)) > NEAR**2
    edge = (end, start) if reverse else (start, end)
    middle = shape.centroid
    side = 1.0 if leftward(edge, (middle.x, middle.y)) > 0 else -1.0
    (ex, ey), (dx, dy) = edge[0], direction(edge)
    one, two = (
        (ex + dx * along - side * dy * away, ey + dy * along + side * dx * away)
        for along, away in zip(marks.along, marks.distance, strict=True)
    )
    return one, two


def product(parent: Metal, shape: Polygon, torch: Segment, kerf: float, *, square: bool) -> Metal:
    """A piece that comes off: it keeps what its parent's border was, and has one edge fresh from the torch."""
    border: list[Stretch] = []
    for edge in edges(shape):
        if all(abs(abs(leftward(torch, end)) - kerf / 2) <= NEAR for end in edge):
            border.append(Stretch(edge, mill=False, clean=False, square=square))
        else:
            border += stretches(parent, edge)
    return Metal(shape, tuple(border))


def inside(shape: Polygon, torch: Segment) -> Segment | None:
    """The stretch of a long torch line inside the metal, in its direction; None where it misses or only grazes."""
    offs = [leftward(torch, corner) for corner in corners(shape)]
    if max(offs) <= NEAR or min(offs) >= -NEAR:
        return None
    crossing = LineString(torch).intersection(shape)
    return None if crossing.is_empty else _along(torch, [point[:2] for point in shapely.get_coordinates(crossing)])


def beside(shape: Polygon, torch: Segment) -> Segment:
    """The whole of the metal seen along a torch line: from its first point to its last, on that line."""
    return _along(torch, corners(shape))


def _along(torch: Segment, points: list[Point]) -> Segment:
    places = [ahead(torch, point) for point in points]
    dx, dy = direction(torch)
    (x, y), low, high = torch[0], min(places), max(places)
    return (x + dx * low, y + dy * low), (x + dx * high, y + dy * high)


def gap(shape: Polygon, torch: Segment) -> float:
    """How far beside the metal a torch line passes; 0 where it passes over it [mm]."""
    offs = [leftward(torch, corner) for corner in corners(shape)]
    return max(0.0, min(offs), -max(offs))


def polygon(outline: tuple[Point, ...]) -> Polygon | None:
    """The shape of an outline; None if it encloses nothing, crosses itself or runs clockwise."""
    if len(outline) < 3 or not all(math.isfinite(figure) for point in outline for figure in point):
        return None
    shape = Polygon(outline)
    sound = shape.is_valid and shape.area > NEAR and shape.exterior.is_ccw
    return shape if sound else None


def same_shape(one: Polygon, other: Polygon) -> bool:
    """Whether two shapes agree within 0.01 mm everywhere."""
    return bool(shapely.hausdorff_distance(one.exterior, other.exterior) <= NEAR)
