"""What pieces are that are no rectangles along the plate: a word for their form, and a length and width to read.

The length and width are those of the box that most edges of the piece lie on, the smallest of these.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from stripplan.model.plan.cut import Point, Segment

NEAR = 0.01
"""Nearer than so a corner lies on a line [mm]."""
STRAIGHT = 1e-4
"""Sines below are none."""
ALIKE = 0.1
"""Edges and corners nearer than so are alike [mm, deg]: outlines are checked to a tenth of it, and on an edge of some
ten millimetres that is a twentieth of a degree."""


@dataclass(frozen=True)
class Form:
    """A word ("triangle"; empty = a rectangle), and the sides of the box, the longer first [mm]."""

    word: str
    long: float
    short: float


def is_box(outline: Sequence[Point]) -> bool:
    """Whether an outline is a rectangle along the plate."""
    return len(outline) == 4 and all(
        abs(x1 - x0) < 1e-9 or abs(y1 - y0) < 1e-9 for (x0, y0), (x1, y1) in _round(outline)
    )


def edges_of(outline: Sequence[Point]) -> list[Segment]:
    """The edges in turn, as long as they can be seen."""
    return [(a, b) for a, b in _round(outline) if math.dist(a, b) > NEAR]


def _round(outline: Sequence[Point]) -> list[Segment]:
    return list(pairwise((*outline, outline[0])))


def form_of(outline: Sequence[Point]) -> Form:
    """What an outline without corners that point inward is called, and how large it is.

    >>> form_of(((0, 0), (60, 0), (0, 40)))
    Form(word='triangle', long=60.0, short=40.0)
    """
    edges = edges_of(outline)
    boxes = [_box(outline, edge) for edge in edges]
    most = max(on for on, _, _ in boxes)
    _, long, short = min(
        (each for each in boxes if each[0] == most), key=lambda each: (round(each[1] * each[2], 3), -each[1])
    )
    return Form(_word(edges, most), long, short)


def sides_of(outline: Sequence[Point]) -> tuple[float, float]:
    """Length and width of a part that is a shape, to read: those of the box that it is drawn in, unless more of its
    edges lie on another, as of a right-angled triangle drawn on its longest edge.

    >>> sides_of(((0, 0), (25, 0), (16, 12))), sides_of(((0, 0), (40, 0), (60, 50), (20, 50)))
    ((20.0, 15.0), (60, 50))
    """
    edges, xs, ys = edges_of(outline), [x for x, _ in outline], [y for _, y in outline]
    most = max(_box(outline, edge)[0] for edge in edges)
    if _box(outline, ((0.0, 0.0), (1.0, 0.0)))[0] == most:
        return max(xs) - min(xs), max(ys) - min(ys)
    form = form_of(outline)
    return form.long, form.short


def _box(outline: Sequence[Point], edge: Segment) -> tuple[int, float, float]:
    """How many edges lie on the sides of the box along an edge, and its sides."""
    (x0, y0), (x1, y1) = edge
    far = math.dist(*edge)
    ux, uy = (x1 - x0) / far, (y1 - y0) / far
    points = [(ux * x + uy * y, ux * y - uy * x) for x, y in outline]
    lows, highs = (tuple(pick(point[n] for point in points) for n in (0, 1)) for pick in (min, max))
    on = sum(
        any(all(abs(end[n] - side[n]) <= NEAR for end in ends) for n in (0, 1) for side in (lows, highs))
        for ends in pairwise((*points, points[0]))
    )
    long, short = sorted((high - low for low, high in zip(lows, highs, strict=True)), reverse=True)
    return on, round(long, 6), round(short, 6)


def _word(edges: Sequence[Segment], on: int) -> str:
    if len(edges) == 3:
        return "triangle"
    if len(edges) == 4:
        pairs = sum(_parallel(edges[n], edges[n + 2]) for n in (0, 1))
        if pairs == 2:
            return "" if on == 4 else "parallelogram"
        return "trapezium" if pairs else "four-sided"
    return "clipped rectangle" if on >= 4 else f"{len(edges)}-sided"


def detail_of(outline: Sequence[Point], long: Callable[[float], str]) -> str:
    """What tells a shape from others as long and as wide: its corners in turn [deg], or what is clipped off it, along x
    and y; `long` puts a length [mm] into words.

    >>> detail_of(((0, 0), (60, 0), (50, 10), (10, 10)), "{:g}".format)
    'corners 45°, 45°, 135°, 135°'
    >>> detail_of(((0, 0), (50, 0), (60, 20), (60, 30), (0, 30)), "{:g}".format)
    '10 × 20 off one'
    """
    edges, form = edges_of(outline), form_of(outline)
    aslant = [(abs(bx - ax), abs(by - ay)) for (ax, ay), (bx, by) in edges]
    clipped = [each for each in aslant if min(each) > NEAR]
    if form.word == "clipped rectangle" and len(clipped) == len(edges) - 4:
        found = Counter(f"{long(along)} × {long(across)}" for along, across in clipped)
        return ", ".join(f"{each} off {f'{n} corners' if n > 1 else 'one'}" for each, n in found.items())
    if form.word == "" or (form.word == "triangle" and any(abs(each - 90) < 0.005 for each in _corners(edges))):
        return ""
    return "corners " + ", ".join(f"{round(each, 2):g}°" for each in _corners(edges))


def _parallel(one: Segment, other: Segment) -> bool:
    (ax, ay), (bx, by) = one
    (cx, cy), (dx, dy) = other
    cross = (bx - ax) * (dy - cy) - (by - ay) * (dx - cx)
    return abs(cross) <= STRAIGHT * math.dist(*one) * math.dist(*other)


def least_corner(outline: Sequence[Point]) -> float:
    """The sharpest corner [deg].

    >>> round(least_corner(((0, 0), (60, 0), (0, 60))))
    45
    """
    return min(_corners(edges_of(outline)))


def _corners(edges: Sequence[Segment]) -> list[float]:
    """The corners in turn, from that where the first edge begins [deg]."""
    turns = []
    for (a, b), (c, d) in zip((edges[-1], *edges[:-1]), edges, strict=True):
        one, two = math.atan2(b[1] - a[1], b[0] - a[0]), math.atan2(d[1] - c[1], d[0] - c[0])
        turns.append(180.0 - math.degrees((two - one) % (2 * math.pi)))
    return turns


def is_mirrored(outline: Sequence[Point], wanted: Sequence[Point]) -> bool:
    """Whether an outline is the wanted one in mirror image, and not the same turned.

    >>> nick = ((0, 0), (300, 0), (300, 200), (60, 200), (0, 170))
    >>> is_mirrored([(-y, x) for x, y in nick], nick), is_mirrored([(-x, y) for x, y in reversed(nick)], nick)
    (False, True)
    """
    one, other = _sides_and_corners(outline), _sides_and_corners(wanted)
    return not any(_alike(one[n:] + one[:n], other) for n in range(len(one)))


def _sides_and_corners(outline: Sequence[Point]) -> list[tuple[float, float]]:
    """Length of each edge [mm] and the angle of the corner behind it [deg], in turn."""
    edges = edges_of(outline)
    return list(zip((math.dist(*edge) for edge in edges), _corners(edges), strict=True))


def _alike(some: Sequence[tuple[float, float]], others: Sequence[tuple[float, float]]) -> bool:
    """Whether edges and corners are alike, one by one."""
    return len(some) == len(others) and all(
        abs(one[0] - other[0]) < ALIKE and abs(one[1] - other[1]) < ALIKE
        for one, other in zip(some, others, strict=True)
    )
