"""Drawing in outlines that are no rectangles: where a label has room, what crosses scrap and hatches an offcut, and the
angles at which cuts run.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache
from itertools import pairwise

from stripplan.model.plan.cut import Cut
from stripplan.sheets.picture.lettering import Box, Taken, text_box
from stripplan.sheets.picture.shapes import Angle, Point, Text
from stripplan.sheets.rows.forms import is_box

LEVELS = 24
"""So many heights are tried for the upper and the lower side of a label."""
WIDE = 1.6
"""A label is wider than high: of two rooms with the same area the wider one is better, up to so many times."""
RIGHT = 0.05
"""Angles that differ from square by less are not told [deg]."""


@lru_cache(maxsize=4096)
def room_in(outline: tuple[Point, ...]) -> Box:
    """The largest box along the axes within an outline that has no corner pointing inward."""
    xs, ys = [x for x, _ in outline], [y for _, y in outline]
    if is_box(outline):
        return min(xs), min(ys), max(xs), max(ys)
    low, high = min(ys), max(ys)
    heights = [low + (high - low) * n / LEVELS for n in range(LEVELS + 1)]
    chords = [_chord(outline, y) for y in heights]
    best, found = -1.0, (min(xs), low, max(xs), high)
    for n, (a0, a1) in enumerate(chords):
        for m in range(n + 1, len(chords)):
            x0, x1, y0, y1 = max(a0, chords[m][0]), min(a1, chords[m][1]), heights[n], heights[m]
            worth = (x1 - x0) * (y1 - y0) * min(WIDE, max(1 / WIDE, (x1 - x0) / (y1 - y0))) ** 0.5
            if x1 > x0 and worth > best:
                best, found = worth, (x0, y0, x1, y1)
    return found


def _chord(outline: Sequence[Point], y: float) -> tuple[float, float]:
    """From where to where an outline reaches at a height."""
    found = [x for x, py in outline if abs(py - y) < 1e-9]
    for (ax, ay), (bx, by) in pairwise((*outline, outline[0])):
        if (ay - y) * (by - y) < 0:
            found.append(ax + (bx - ax) * (y - ay) / (by - ay))
    return (min(found), max(found)) if found else (math.inf, -math.inf)


def crossed(points: Sequence[Point]) -> list[tuple[Point, Point]]:
    """Lines that cross scrap: from corner to corner of four, else from each corner to the middle."""
    if len(points) == 4:
        return [(points[0], points[2]), (points[1], points[3])]
    x, y = (sum(point[n] for point in points) / len(points) for n in (0, 1))
    return [(point, (x, y)) for point in points]


def hatched(points: Sequence[Point], step: float) -> Iterator[tuple[Point, Point]]:
    """Lines at 45 degrees within an outline that has no corner pointing inward, so far apart along x."""
    at = min(x - y for x, y in points) + step / 2
    while at < max(x - y for x, y in points):
        ends = []
        for (ax, ay), (bx, by) in pairwise((*points, points[0])):
            one, two = ax - ay - at, bx - by - at
            if one * two < 0:
                share = one / (one - two)
                ends.append((ax + share * (bx - ax), ay + share * (by - ay)))
        if len(ends) == 2:
            yield ends[0], ends[1]
        at += step


def angles_of(cuts: Iterable[Cut], size: float, taken: Taken) -> Iterator[Angle]:
    """Angles between cuts and the edges that they enter by: each once on a plate, at the longest cut that has it and
    room for it."""
    told = set[str]()
    for cut in sorted(cuts, key=lambda each: (-each.length, each.number)):
        found = _angle(cut, size)
        if found is None or found.text.text in told or not taken.free(text_box(found.text)):
            continue
        told.add(found.text.text)
        taken.add(text_box(found.text))
        yield found


def _angle(cut: Cut, size: float) -> Angle | None:
    """The lesser angle between a cut and the edge that it enters by; None where it is square."""
    at, (bx, by) = cut.line
    turn = math.degrees(math.atan2(by - at[1], bx - at[0]))
    (ax, ay), (cx, cy) = cut.passes[0].leading
    edge = math.degrees(math.atan2(cy - ay, cx - ax))
    between = (edge - turn + 90) % 180 - 90  # to the nearer end of the edge
    if abs(abs(between) - 90) < RIGHT or abs(between) < RIGHT:
        return None
    radius = min(size / 12, 0.4 * cut.length)
    middle = math.radians(turn + between / 2)
    height = min(size / 90, radius / 3)
    place = at[0] + math.cos(middle) * radius * 1.2, at[1] + math.sin(middle) * radius * 1.2
    start, end = sorted((turn, turn + between))
    return Angle(at, start, end, radius, Text("DIM", place, f"{round(abs(between), 2):g}°", height))
