"""Which outline a text belongs to: the smallest that it stands in, else the one that it stands beside.

A text beside an outline is no farther from it than twice its own height, and clearly nearer than to any other: common
practice, no source.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, field
from typing import Any

import shapely

from stripplan.files.parts.drawings.outlines import Label, Outline, Reading
from stripplan.files.parts.drawings.overlaps import Overlaps

REACH = 2.0
"""How far beside an outline a text may stand, in heights of its letters."""


@dataclass
class TextPlaces:
    """Numbers of the texts of each outline by its number, and of those that stand nowhere, or `between` several."""

    of: dict[int, list[int]] = field(default_factory=dict)
    nowhere: list[int] = field(default_factory=list)
    between: set[int] = field(default_factory=set)


def text_places(
    outlines: Sequence[Outline],
    overlaps: Overlaps,
    labels: Sequence[Label],
    reading: Reading,
    *,
    passed: Collection[int],
    holes: Collection[int],
) -> TextPlaces:
    """The outline of each text; `passed` outlines have none, beside `holes` none stands.

    Outlines beyond those that `overlaps` knows are open: they are taken as the area that they hold.
    """
    places = TextPlaces()
    closed = overlaps.count
    hulls = [shapely.MultiPoint(each.points).convex_hull for each in outlines[closed:]]
    shapes: list[Any] = [*(overlaps.area(at) for at in range(closed)), *hulls]
    tree: Any = shapely.STRtree(shapes)
    for number, label in enumerate(labels):
        met = [each for each in overlaps.near(tree, shapely.Point(label.at)) if each not in passed]
        inside = [each for each in met if overlaps.holds(each, label.at, shapes[each])]
        if inside:
            best = min(inside, key=lambda each: (each >= closed, shapes[each].area, each))
            places.of.setdefault(best, []).append(number)
            continue
        one = _beside(label, shapes, tree, overlaps, {*passed, *holes}) if reading.beside else None
        if isinstance(one, int):
            places.of.setdefault(one, []).append(number)
        else:
            places.nowhere.append(number)
            places.between |= {number} if one else set()
    return places


def _beside(
    label: Label, shapes: Sequence[Any], tree: Any, overlaps: Overlaps, passed: Collection[int]
) -> int | tuple[int, ...] | None:
    """The outline that a text stands beside; several where none is clearly nearest."""
    if label.height <= 0:
        return None
    box, reach = shapely.box(*_box(label)), REACH * label.height
    near = overlaps.near(tree, shapely.box(*shapely.bounds(box.buffer(reach))))
    far = sorted((float(shapely.distance(box, shapes[each])), each) for each in near if each not in passed)
    far = [each for each in far if each[0] <= reach * 1.001]
    if not far:
        return None
    if len(far) == 1 or far[1][0] >= 2 * far[0][0] + label.height / 2:
        return far[0][1]
    return tuple(each for _, each in far)


def _box(label: Label) -> tuple[float, float, float, float]:
    xs, ys = [x for x, _ in label.corners], [y for _, y in label.corners]
    return min(xs), min(ys), max(xs), max(ys)
