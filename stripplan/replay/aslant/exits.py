"""Where a kerf of full width leaves the metal, and what lies beside it: both by polygons, none by an angle's formula
alone.
"""

from __future__ import annotations

import math

from shapely.geometry import Polygon

from stripplan.model.plan.cut import Cut, Segment
from stripplan.replay import metal as m
from stripplan.replay.metal import NEAR

SHALLOW = 1e-3
"""Sine of the angle between a cut and an edge below which nobody would call the edge an exit."""


def beyond(shape: Polygon, cut: Cut) -> tuple[float, float]:
    """How far the kerf still runs in metal after the torch's centre has left it [mm]: what the metal itself shows, and
    what half a kerf makes of the angle of the edge, which near a corner is more.
    """
    torch = m.lengthened(cut.line)
    right, left = m.moved_left(torch, -cut.kerf / 2), m.moved_left(torch, cut.kerf / 2)
    taken = shape.intersection(Polygon([right[0], right[1], left[1], left[0]]))
    exit_at = m.ahead(torch, cut.line[1])
    reach = [
        m.ahead(torch, corner) - exit_at
        for each in getattr(taken, "geoms", [taken])
        if isinstance(each, Polygon)
        for corner in m.corners(each)
    ]
    least = max([0.0, *reach])
    return least, max([least, *(cut.kerf / 2 * _cotangent(edge, cut.line) for edge in _exits(shape, cut))])


def _exits(shape: Polygon, cut: Cut) -> list[Segment]:
    """Edges that the torch's centre leaves the metal through; two at a corner."""
    end = cut.line[1]
    return [
        edge
        for edge in m.edges(shape)
        if abs(m.leftward(edge, end)) <= NEAR and -NEAR <= m.ahead(edge, end) <= math.dist(*edge) + NEAR
    ]


def _cotangent(edge: Segment, line: Segment) -> float:
    """Of the angle between an edge and a cut; 0 where they run alike."""
    (ax, ay), (bx, by) = m.direction(edge), m.direction(line)
    sine = abs(ax * by - ay * bx)
    return abs(ax * bx + ay * by) / sine if sine > SHALLOW else 0.0


def far_edge(shape: Polygon, torch: Segment) -> Segment | None:
    """The edge of a piece farthest from the cut that made it, where it runs along that cut; None where it slants."""
    offs = [abs(m.leftward(torch, corner)) for corner in m.corners(shape)]
    return next(
        (edge for edge in m.edges(shape) if all(max(offs) - abs(m.leftward(torch, end)) <= NEAR for end in edge)), None
    )
