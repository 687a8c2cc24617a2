"""The section across a bevelled edge: the plate's metal less the band of a tilted kerf.

Across the edge y runs from the edge on the fence (or any line along the bevelled edge), z upward from the face that is
up. No formula of the torch's place is used: the band is laid into the section, and what stays is measured.
"""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass

from shapely import affinity
from shapely.geometry import LineString, Point, Polygon, box

FAR = 500.0
"""Longer than any section [mm]."""
ON = 1e-6
"""Nearer than so a corner lies on a line [mm]."""


@dataclass(frozen=True)
class Section:
    """What stays of a section: width on the face that is up and the greatest anywhere, what stays of the edge, length
    of the slanted face, how far down it ends at the edge [mm]."""

    top: float
    greatest: float
    root: float
    slanted: float
    depth: float


def band(axis: float, angle: float, kerf: float) -> Polygon:
    """The kerf of a torch whose axis meets the upper face `axis` from the origin and leads away from it below [deg]."""
    upright = LineString([(0.0, FAR), (0.0, -FAR)]).buffer(kerf / 2, cap_style="flat")
    tilted = affinity.rotate(upright, angle, origin=(0.0, 0.0))
    return affinity.translate(tilted, xoff=axis)


def left(body: Polygon, *bands: Polygon) -> Polygon:
    """What stays at the origin's side when bands are taken out."""
    rest = body
    for each in bands:
        rest = rest.difference(each)
    parts = [each for each in getattr(rest, "geoms", [rest]) if each.area > ON]
    return min(parts, key=lambda each: each.distance(Point(0.0, body.bounds[1] / 2)))


@functools.cache
def section(width: float, thickness: float, axis: float, angle: float, kerf: float) -> Section:
    """What one bevel leaves of a plate `width` across, cut off square at the edge."""
    body = box(0.0, -thickness, width, 0.0)
    rest = left(body, band(axis, angle, kerf))
    points = [(float(x), float(y)) for x, y in rest.exterior.coords[:-1]]
    top = max((y for y, z in points if abs(z) <= ON), default=0.0)
    ends = [z for y, z in points if abs(y - width) <= ON]
    root = max(ends) + thickness if ends else 0.0
    deep = -max(ends) if ends else thickness
    slanted = math.hypot(width - top, deep) if top < width - ON else 0.0
    return Section(top, max(y for y, _ in points), root, slanted, deep)


def edge_left(thickness: float, flanks: list[tuple[float, float, float, bool]], width: float) -> float:
    """What stays of an edge once several bevels are made: each its axis, angle, kerf, and whether the first face was
    up [mm]. The section of one that was cut from the other face is turned upside down."""
    bands = []
    for axis, angle, kerf, first in flanks:
        one = band(axis, angle, kerf)
        if not first:
            one = affinity.translate(affinity.scale(one, yfact=-1.0, origin=(0.0, 0.0)), yoff=-thickness)
        bands.append(one)
    rest = left(box(0.0, -thickness, width, 0.0), *bands)
    # A sharp edge keeps its point; a blunt one keeps a stretch of its border.
    border = rest.exterior.intersection(LineString([(width, FAR), (width, -FAR)]).buffer(ON, cap_style="flat"))
    if border.is_empty:
        return 0.0
    return float(border.bounds[3] - border.bounds[1])
