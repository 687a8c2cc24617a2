"""Plane geometry of straight-sided outlines: areas, edges, what a straight cut makes of a convex piece.

An outline is its corners in order, closed implicitly; counter-clockwise where nothing else is said. Lengths are mm.
Formulas: the shoelace formula for areas (Meister 1769), clipping of a convex polygon by half planes (Sutherland and
Hodgman 1974), plane trigonometry for all else.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

Point = tuple[float, float]
Segment = tuple[Point, Point]
Outline = tuple[Point, ...]

NEAR = 1e-6
"""Points nearer than this are one point [mm]; sines smaller than it are none."""
THINNEST = 0.01
"""Metal thinner than so is none [mm]."""
SHORTEST_EDGE = 0.05
"""Edges of a part that are shorter are corners [mm]. Chosen: far below what a torch cuts to."""


@dataclass(frozen=True)
class Line:
    """A directed line: a point on it and its direction, a vector of length 1."""

    at: Point
    along: Point

    @property
    def right(self) -> Point:
        """The direction at right angles to the right of the travel."""
        return self.along[1], -self.along[0]

    @property
    def back(self) -> Line:
        """The same line the other way."""
        return Line(self.at, (-self.along[0], -self.along[1]))

    def beside(self, point: Point) -> float:
        """How far a point lies to the right of the line; to the left below 0."""
        return dot(minus(point, self.at), self.right)

    def ahead(self, point: Point) -> float:
        """How far along the line a point lies from its own point."""
        return dot(minus(point, self.at), self.along)

    def moved(self, right: float) -> Line:
        """The line moved to the right."""
        normal = self.right
        return Line((self.at[0] + right * normal[0], self.at[1] + right * normal[1]), self.along)


def minus(one: Point, other: Point) -> Point:
    """The vector from `other` to `one`."""
    return one[0] - other[0], one[1] - other[1]


def dot(one: Point, other: Point) -> float:
    """Scalar product."""
    return one[0] * other[0] + one[1] * other[1]


def cross(one: Point, other: Point) -> float:
    """Area of the parallelogram of two vectors; above 0 where the second lies to the left."""
    return one[0] * other[1] - one[1] * other[0]


def edges(outline: Sequence[Point]) -> Iterator[Segment]:
    """Edges in order."""
    return zip(outline, (*outline[1:], outline[0]), strict=True)


def line_of(edge: Segment) -> Line:
    """The line that an edge lies on, in its direction; a counter-clockwise outline lies to the left of it.

    >>> line_of(((0.0, 0.0), (0.0, 5.0))).along
    (0.0, 1.0)
    """
    (x0, y0), (x1, y1) = edge
    long = math.hypot(x1 - x0, y1 - y0)
    return Line(edge[0], ((x1 - x0) / long, (y1 - y0) / long))


def area(outline: Sequence[Point]) -> float:
    """Area [mm2]; below 0 for a clockwise outline.

    >>> area(((0, 0), (60, 0), (0, 40)))
    1200.0
    """
    return sum(cross(one, other) for one, other in edges(outline)) / 2


def perimeter(outline: Sequence[Point]) -> float:
    """Length of all edges [mm]."""
    return sum(math.dist(one, other) for one, other in edges(outline))


def thickness(outline: Sequence[Point]) -> float:
    """How thick a strip is that is as large and as long round [mm]; 0 of what is empty."""
    return 2 * area(outline) / perimeter(outline) if outline else 0.0


def box(outline: Sequence[Point]) -> tuple[float, float, float, float]:
    """Least and greatest x and y: x0, y0, x1, y1."""
    xs, ys = [x for x, _ in outline], [y for _, y in outline]
    return min(xs), min(ys), max(xs), max(ys)


def angles(outline: Sequence[Point]) -> Iterator[float]:
    """Angles inside a convex outline at its corners, in order [deg].

    >>> [round(each) for each in angles(((0, 0), (100, 0), (0, 100)))]
    [90, 45, 45]
    """
    for n, corner in enumerate(outline):
        into, out = minus(corner, outline[n - 1]), minus(outline[(n + 1) % len(outline)], corner)
        yield 180.0 - abs(math.degrees(math.atan2(cross(into, out), dot(into, out))))


def from_edge(edge: Segment, point: Point) -> float:
    """Distance of a point from an edge [mm]."""
    line = line_of(edge)
    ahead = min(max(line.ahead(point), 0.0), math.dist(*edge))
    return math.dist(point, (edge[0][0] + ahead * line.along[0], edge[0][1] + ahead * line.along[1]))


def moved(outline: Sequence[Point], x: float, y: float) -> Outline:
    """The outline moved by x and y."""
    return tuple((px + x, py + y) for px, py in outline)


def turned(outline: Sequence[Point], cosine: float, sine: float) -> Outline:
    """The outline turned about the origin, anticlockwise by the angle of that cosine and sine."""
    return tuple((cosine * x - sine * y, sine * x + cosine * y) for x, y in outline)


def mirrored(outline: Sequence[Point]) -> Outline:
    """The outline turned over about the x axis, counter-clockwise again."""
    return tuple((x, -y) for x, y in reversed(outline))


def tidy(points: Sequence[Point], *, near: float = NEAR) -> Outline:
    """Corners without those that are the one before, or lie on the line between their neighbours."""
    kept = [p for n, p in enumerate(points) if math.dist(p, points[n - 1]) > near]
    return tuple(
        p for n, p in enumerate(kept)
        if abs(cross(minus(p, kept[n - 1]), minus(kept[(n + 1) % len(kept)], p)))
        > near * math.dist(kept[n - 1], kept[(n + 1) % len(kept)])
    )  # fmt: skip


def without_specks(outline: Outline, speck: float) -> Outline:
    """The outline without edges shorter than a speck: their neighbours meet in one corner, inside the outline's box."""
    x0, y0, x1, y1 = box(outline)
    kept = [edge for edge in edges(outline) if math.dist(*edge) > speck]
    if len(kept) == len(outline) or len(kept) < 3:
        return outline
    lines = [line_of(edge) for edge in kept]
    found: list[Point] = []
    for n, (edge, line) in enumerate(zip(kept, lines, strict=True)):
        if kept[n - 1][1] == edge[0]:
            found.append(edge[0])
            continue
        x, y = meeting(lines[n - 1], line)
        there = min(max(x, x0), x1), min(max(y, y0), y1)
        # Neighbours that meet at a sharp angle do so far off: then either end is as good.
        found.append(there if math.dist(there, edge[0]) < speck else edge[0])
    return tuple(found)


def normal(points: Sequence[Point]) -> Outline:
    """A convex outline counter-clockwise, its box beginning at (0, 0), without corners that are none.

    >>> normal(((10.0, 0.0), (10.0, 5.0), (20.0, 5.0), (15.0, 2.5)))
    ((0.0, 0.0), (10.0, 5.0), (0.0, 5.0))
    """
    some = tidy(points)
    if area(some) < 0:
        some = tuple(reversed(some))
    x, y, _, _ = box(some)
    placed = tuple((round(px - x, 9) + 0.0, round(py - y, 9) + 0.0) for px, py in some)
    first = placed.index(min(placed, key=lambda p: (p[1], p[0])))
    return placed[first:] + placed[:first]


def real_corners(points: Sequence[Point], *, near: float = THINNEST) -> list[int]:
    """The corners of an outline that are some, by number from 0: none that is the one before, or that lies, with all
    others left out, within `near` of the line between those beside it that are some. One at which the outline turns
    back on itself is one.

    >>> real_corners(((0, 0), (60, -0.005), (120, 0), (120, 0), (0, 80), (0, 0)))
    [0, 2, 4]
    """
    kept = list(range(len(points)))
    at = 0
    while len(kept) > 2 and at < len(kept):
        before, here, after = (points[kept[(at + step) % len(kept)]] for step in (-1, 0, 1))
        into, out, past = minus(here, before), minus(after, here), minus(after, before)
        again = [into] * (at > 0) + [out] * (at == len(kept) - 1)
        same = any(math.hypot(*step) <= NEAR for step in again)
        straight = dot(into, out) > 0 and abs(cross(into, out)) <= near * math.hypot(*past)
        if same or (straight and _all_near(points, kept[at - 1], kept[(at + 1) % len(kept)], near)):
            del kept[at]
            at = max(0, at - 1)  # its neighbours are others now
        else:
            at += 1
    return kept


def _all_near(points: Sequence[Point], first: int, last: int, near: float) -> bool:
    """Whether all points between two of an outline lie near the line from one to the other: of a curve in short steps
    each is near that between its neighbours.
    """
    line = line_of((points[first], points[last]))
    count = (last - first) % len(points)
    return all(abs(line.beside(points[(first + n) % len(points)])) <= near for n in range(1, count))


def as_can_be_cut(points: Sequence[Point]) -> Outline:
    """A convex outline without what is finer than any torch cuts: edges shorter than `SHORTEST_EDGE`, and corners
    within `THINNEST` of the line between their neighbours. Otherwise as `normal`, and the same when asked again.

    >>> as_can_be_cut(((0, 0), (119.99, 0), (120, 0.01), (120, 40.005), (120, 80), (0, 80)))
    ((0.0, 0.0), (120.0, 0.0), (120.0, 80.0), (0.0, 80.0))
    """
    found = normal([points[n] for n in real_corners(points, near=NEAR)])
    while True:
        whole = without_specks(found, SHORTEST_EDGE)
        some = whole if reflex_corner(whole) is None else found
        corners = real_corners(some)
        some = normal([some[n] for n in corners] if len(corners) > 2 else some)
        if some == found:
            return found
        found = some


def reflex_corner(points: Sequence[Point]) -> int | None:
    """The first corner at which an outline is no convex one, by its number from 0; None where it is convex.

    That is a corner that turns the other way than the most do, or at which the outline has gone round once already.
    """
    count = len(points)
    turns = []
    for n in range(count):
        into, out = minus(points[n], points[n - 1]), minus(points[(n + 1) % count], points[n])
        turns.append(math.atan2(cross(into, out), dot(into, out)))
    way = 1.0 if sum(1 if t > 0 else -1 for t in turns) > 0 else -1.0
    if abs(sum(turns)) < math.pi:  # turns to either side even out: it crosses itself
        way = 1.0 if turns[0] > 0 else -1.0
    gone = 0.0
    for n, turn in enumerate(turns):
        gone += abs(turn)
        if turn * way < -NEAR or gone > 2 * math.pi + 1e-3:
            return n
    return None


def crossing_edges(points: Sequence[Point]) -> tuple[int, int] | None:
    """Two edges of an outline that cross each other, by their numbers from 0; None where none do."""
    lines = list(edges(points))
    for n, (a, b) in enumerate(lines):
        for m in range(n + 2, len(lines) - (n == 0)):
            c, d = lines[m]
            one, two = cross(minus(b, a), minus(c, a)), cross(minus(b, a), minus(d, a))
            three, four = cross(minus(d, c), minus(a, c)), cross(minus(d, c), minus(b, c))
            if one * two < 0 and three * four < 0:
                return n, m
    return None


def meeting(one: Line, other: Line) -> Point:
    """Where two lines cross that are not parallel."""
    across = cross(one.along, other.along)
    far = cross(minus(other.at, one.at), other.along) / across
    return one.at[0] + far * one.along[0], one.at[1] + far * one.along[1]


def moved_outward(outline: Outline, by: float) -> Outline:
    """A convex outline with each edge moved outward at right angles to itself; corners are where moved edges meet.

    >>> moved_outward(((0.0, 0.0), (10.0, 0.0), (10.0, 5.0), (0.0, 5.0)), 1.0)
    ((-1.0, -1.0), (11.0, -1.0), (11.0, 6.0), (-1.0, 6.0))
    """
    if by == 0:
        return outline
    lines = [line_of(edge).moved(by) for edge in edges(outline)]
    return tuple(meeting(lines[n - 1], line) for n, line in enumerate(lines))


def extents(outline: Outline) -> tuple[float, float]:
    """The least width of a convex outline, between an edge and the corner farthest from it, and its greatest extent,
    between two corners.

    >>> extents(((0.0, 0.0), (60.0, 0.0), (0.0, 80.0)))
    (48.0, 100.0)
    """
    lines = [line_of(edge) for edge in edges(tidy(outline))]
    narrow = min(max(abs(line.beside(point)) for point in outline) for line in lines)
    return narrow, max(math.dist(one, other) for one in outline for other in outline)


def kept_left(outline: Outline, line: Line) -> Outline:
    """What of a convex outline lies to the left of a line; empty where nothing does."""
    beside = [line.beside(p) for p in outline]
    found: list[Point] = []
    for n, point in enumerate(outline):
        before, was, here = outline[n - 1], beside[n - 1], beside[n]
        if (was > NEAR and here < -NEAR) or (was < -NEAR and here > NEAR):
            share = was / (was - here)
            found.append((before[0] + share * (point[0] - before[0]), before[1] + share * (point[1] - before[1])))
        if here <= NEAR:
            found.append(point)
    some = tidy(found) if len(found) > 2 else ()
    return some if len(some) > 2 else ()


def chord(outline: Outline, line: Line) -> tuple[Segment, int, int] | None:
    """Where a line runs inside a convex outline, entry to exit, and the edges by which it comes in and goes out.

    None where it runs outside or along the outline.
    """
    beside = [line.beside(p) for p in outline]
    if max(beside) <= NEAR or min(beside) >= -NEAR:
        return None
    comes: tuple[Point, int] | None = None
    goes: tuple[Point, int] | None = None
    for n, (a, b) in enumerate(edges(outline)):
        one, two = beside[n], beside[(n + 1) % len(outline)]
        # A corner on the line belongs to the edge that leads away from it on the left, or comes to it from there.
        if (one > NEAR) == (two > NEAR):
            continue
        share = one / (one - two)
        point = a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])
        if one > NEAR:  # from right to left: counter-clockwise the torch leaves by such an edge
            goes = point, n
        else:
            comes = point, n
    if comes is None or goes is None:
        return None
    return (comes[0], goes[0]), comes[1], goes[1]


def split(outline: Outline, line: Line, kerf: float) -> tuple[Outline, Outline]:
    """What lies right and left of the kerf of a cut through a convex outline; empty where no metal is left.

    What is no thicker than `THINNEST` counts as none.
    """
    sides = kept_left(outline, line.moved(kerf / 2).back), kept_left(outline, line.moved(-kerf / 2))
    right, left = (side if thickness(side) > THINNEST else () for side in sides)
    return right, left


def holds(outline: Outline, long: float, short: float) -> bool:
    """Whether a rectangle fits into a convex outline with one of its sides along one of the outline's edges.

    Its middle may be wherever each edge, moved inward by what of the rectangle reaches towards it, leaves room.

    >>> holds(((0.0, 0.0), (100.0, 0.0), (0.0, 100.0)), 60.0, 40.0)
    True
    >>> holds(((0.0, 0.0), (100.0, 0.0), (0.0, 100.0)), 60.0, 41.0)
    False
    """
    return any(
        _middle_fits(outline, line_of(edge).along, *sides)
        for edge in edges(outline)
        for sides in ((long, short), (short, long))
    )


def _middle_fits(outline: Outline, along: Point, length: float, width: float) -> bool:
    x0, y0, x1, y1 = box(outline)
    room: Outline = ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
    for edge in edges(outline):
        side = line_of(edge)
        reach = length / 2 * abs(cross(along, side.along)) + width / 2 * abs(dot(along, side.along))
        room = kept_left(room, side.moved(-reach + 10 * NEAR))
        if not room:
            return False
    return True


def largest_rectangle(outline: Outline) -> tuple[float, float]:
    """Longer and shorter side of the largest rectangle within a convex outline, one of its sides along an edge [mm].

    The width of such a rectangle is a concave function of its lower and its upper side, so the logarithm of its area is
    one, and the greatest of it is found by narrowing down first the one and then the other (golden section; Kiefer
    1953), to a hundred-thousandth of the outline's height. Of two as large it is the squarer one.

    >>> tuple(round(side, 1) for side in largest_rectangle(((0.0, 0.0), (90.0, 0.0), (60.0, 40.0), (0.0, 40.0))))
    (60.0, 40.0)
    """
    found = [_largest_along(outline, line_of(edge)) for edge in edges(tidy(outline))]
    most = max(long * short for long, short in found)
    return max((each for each in found if each[0] * each[1] >= most * (1 - 1e-4)), key=lambda each: each[1])


def _largest_along(outline: Outline, side: Line) -> tuple[float, float]:
    """The same with a side along a line."""
    level = turned(outline, side.along[0], -side.along[1])
    low, high = (pick(y for _, y in level) for pick in (min, max))

    def wide(y0: float, y1: float) -> float:
        (a0, a1), (b0, b1) = _across(level, y0), _across(level, y1)
        return max(0.0, min(a1, b1) - max(a0, b0))

    def upper(y0: float) -> tuple[float, float]:
        return _greatest(lambda y1: wide(y0, y1) * (y1 - y0), y0, high)

    _, y0 = _greatest(lambda y: upper(y)[0], low, high)
    y1 = upper(y0)[1]
    short, long = sorted((y1 - y0, wide(y0, y1)))
    return long, short


def _across(outline: Outline, y: float) -> tuple[float, float]:
    """From where to where a convex outline reaches at a height."""
    found = [x for x, py in outline if abs(py - y) <= NEAR]
    for (ax, ay), (bx, by) in edges(outline):
        if (ay - y) * (by - y) < 0:
            found.append(ax + (bx - ax) * (y - ay) / (by - ay))
    return (min(found), max(found)) if found else (0.0, 0.0)


def _greatest(of: Callable[[float], float], low: float, high: float) -> tuple[float, float]:
    """The greatest value of a function with one peak, and where it is."""
    golden, least = (math.sqrt(5) - 1) / 2, 1e-5 * (high - low)
    one, two = high - golden * (high - low), low + golden * (high - low)
    at_one, at_two = of(one), of(two)
    while high - low > least:
        if at_one < at_two:
            low, one, at_one = one, two, at_two
            two = low + golden * (high - low)
            at_two = of(two)
        else:
            high, two, at_two = two, one, at_one
            one = high - golden * (high - low)
            at_one = of(one)
    ends = [(of(each), each) for each in (low, high)]
    return max([*ends, (at_one, one)])
