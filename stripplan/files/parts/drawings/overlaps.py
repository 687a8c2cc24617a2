"""Rectangles that touch something else: drawn twice, crossing another outline, lying in one or holding one.

What lies near is found by a tree of boxes. Work is counted and refused beyond a limit, as outlines that all lie over
one another have pairs without end.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import shapely

from stripplan.errors import InputError
from stripplan.files.fault_words import fault, message
from stripplan.files.parts.drawings.outlines import Label, Outline, Reading
from stripplan.files.parts.drawings.rectangle import Fit
from stripplan.wording.message import Message

MOST_WORK = 10_000_000
"""Most comparisons: of a box with one that it meets, of a rectangle with a point of such an outline. So many take 3 s.
"""


class Overlaps:
    """Which outlines and texts lie over one another;
    `fits` are the rectangles that outlines are, or why they are none.
    """

    def __init__(self, outlines: Sequence[Outline], fits: Sequence[Fit | Message], reading: Reading) -> None:
        self._outlines, self._fits, self._reading = outlines, fits, reading
        self._work = 0
        rings = [shapely.LineString([*each.points, each.points[0]]) for each in outlines]
        self._rings: Any = shapely.STRtree(rings).geometries
        self._areas: Any = shapely.STRtree([_area(each) for each in outlines]).geometries
        self._tree: Any = shapely.STRtree([shapely.box(*each.bounds) for each in rings])

    def reasons(self) -> dict[int, Message]:
        """Why rectangles are no parts, by their number."""
        found: dict[int, Message] = {}
        for at, fit in enumerate(self._fits):
            others = [each for each in self._near(self._tree.geometries[at]) if each != at]
            self._count(sum(len(self._outlines[each].points) for each in others))
            if others and isinstance(fit, Fit) and (why := self._reason(at, fit, others)) is not None:
                found[at] = why
        return found

    def texts_in(self, labels: Sequence[Label], reasons: dict[int, Message]) -> dict[int, list[int]]:
        """Numbers of the texts that stand in each rectangle, but for those that are no parts for one of the reasons."""
        inside: dict[int, list[int]] = {}
        for number, label in enumerate(labels):
            for at in self._near(shapely.Point(label.at)):
                fit = self._fits[at]
                if isinstance(fit, Fit) and at not in reasons and fit.holds(label.at):
                    inside.setdefault(at, []).append(number)
                    break
        return inside

    def _near(self, place: Any) -> list[int]:
        """Outlines whose boxes a place meets, in the order of the drawing."""
        met: list[int] = sorted(self._tree.query(place).tolist())
        self._count(len(met))
        return met

    def _count(self, work: int) -> None:
        """Counts work. Raises InputError beyond the most."""
        self._work += work
        if self._work > MOST_WORK:
            raise InputError(fault("too_many.overlaps", self._reading.name))

    def _reason(self, at: int, fit: Fit, others: Sequence[int]) -> Message | None:
        """What the first of the others is to a rectangle that is to be no part because of it."""
        tolerance = self._reading.tolerance
        inner, outer = fit.grown(-2 * tolerance), fit.grown(tolerance)
        shapely.prepare(inner)
        entered = shapely.intersects(inner, self._rings[others])
        within = shapely.contains_xy(self._areas[others], *fit.middle)
        for number in (entered | within).nonzero()[0].tolist():  # one and the same rectangle is entered or within too
            each = others[number]
            other = self._outlines[each].what
            if _same(fit, self._fits[each], tolerance):
                if each < at:
                    return message("why.twice_over", other=other)
            elif entered[number]:
                return message("why.hole" if outer.covers(self._rings[each]) else "why.crosses", other=other)
            else:
                return message("why.within", other=other)
        return None


def _same(one: Fit, other: Fit | Message, tolerance: float) -> bool:
    """Whether two rectangles are one within the tolerance."""
    if not isinstance(other, Fit) or math.dist(one.middle, other.middle) > tolerance:
        return False
    return all(one.off_corner(each) <= 2 * tolerance for each in other.corners())


def _area(outline: Outline) -> shapely.Polygon:
    return shapely.Polygon(outline.points if len(outline.points) > 2 else None)
