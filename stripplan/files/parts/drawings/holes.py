"""Holes of a rectangle: where they are, said from a corner of the part, the same however the part is drawn."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from stripplan.files.parts.drawings.outlines import Outline, Point
from stripplan.files.parts.drawings.rectangle import Fit
from stripplan.model.part import Hole

ROUND = 0.005
"""Points of a round hole are as far from its middle, within this share."""

_Local = tuple[float, float, float, float, bool]


def holes_of(fit: Fit, inner: Iterable[Outline], *, upside_down: bool) -> tuple[Hole, ...]:
    """The holes that `inner` outlines are in a rectangle, in rising order from its lower left corner.

    A rectangle that is turned by half, or a square by a quarter, is the same part: of the ways to say its holes the
    first is taken. `upside_down`: y of the drawing runs down the page.
    """
    found = [_local(fit, each, upside_down=upside_down) for each in inner]
    long, wide = 2 * fit.half_length, 2 * fit.half_width
    ways = [found, [(long - x, wide - y, u, v, curved) for x, y, u, v, curved in found]]
    if long - wide < 0.01:
        ways += [[(y, wide - x, v, u, curved) for x, y, u, v, curved in way] for way in ways]
    rounded = [sorted(map(_rounded, way)) for way in ways]
    return tuple(Hole(x=x, y=y, length=u, width=v, round=curved) for x, y, u, v, curved in min(rounded))


def _rounded(one: _Local) -> _Local:
    x, y, u, v, curved = one
    return round(x, 2) + 0.0, round(y, 2) + 0.0, round(u, 2), round(v, 2), curved


def _local(fit: Fit, hole: Outline, *, upside_down: bool) -> _Local:
    points = [_placed(fit, each, upside_down=upside_down) for each in hole.points]
    xs, ys = [x for x, _ in points], [y for _, y in points]
    middle = ((min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2)
    x, y = middle[0] + fit.half_length, middle[1] + fit.half_width
    if hole.curved and (radius := _radius(points)) is not None:
        mean = (sum(xs) / len(xs), sum(ys) / len(ys))
        return mean[0] + fit.half_length, mean[1] + fit.half_width, 2 * radius, 2 * radius, True
    return x, y, max(xs) - min(xs), max(ys) - min(ys), False


def _placed(fit: Fit, point: Point, *, upside_down: bool) -> Point:
    """A point from the middle, along the length and across, y up the page."""
    along, across = fit.local(point)
    ax, ay = fit.along
    if ax < -1e-9 or (abs(ax) <= 1e-9 and ay < 0):
        along, across = -along, -across
    return (along, -across) if upside_down else (along, across)


def _radius(points: Sequence[Point]) -> float | None:
    """The radius of a circle through all points about their mean; None where they lie on none."""
    x, y = sum(x for x, _ in points) / len(points), sum(y for _, y in points) / len(points)
    far = [math.dist(each, (x, y)) for each in points]
    return max(far) if max(far) - min(far) <= ROUND * max(far) else None
