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
from stripplan.files.parts.drawings.outlines import Outline, Point, Reading
from stripplan.files.parts.drawings.rectangle import Fit
from stripplan.files.parts.drawings.straight_sided import Sided
from stripplan.wording.message import Message

MOST_WORK = 10_000_000
"""Most comparisons: of a box with one that it meets, of a rectangle with a point of such an outline. So many take 3 s.
"""


class Overlaps:
    """Which outlines lie over one another; `fits` are the rectangles that outlines are, or why they are none.

    `inner` are, by the number of a rectangle, the outlines that lie in it and in no other that does, once `reasons` has
    looked for them.
    """

    def __init__(self, outlines: Sequence[Outline], fits: Sequence[Fit | Sided | Message], reading: Reading) -> None:
        self._outlines, self._fits, self._reading = outlines, fits, reading
        self._work = 0
        rings = [shapely.LineString([*each.points, each.points[0]]) for each in outlines]
        self._rings: Any = shapely.STRtree(rings).geometries
        self._areas: Any = shapely.STRtree([_area(each) for each in outlines]).geometries
        self.count = len(outlines)
        self.inner: dict[int, tuple[int, ...]] = {}
        self._tree: Any = shapely.STRtree([shapely.box(*each.bounds) for each in rings])

    def reasons(self) -> dict[int, Message]:
        """Why rectangles are no parts, by their number."""
        found: dict[int, Message] = {}
        for at, fit in enumerate(self._fits):
            others = [each for each in self.near(self._tree, self._tree.geometries[at]) if each != at]
            self._count(sum(len(self._outlines[each].points) for each in others))
            if others and isinstance(fit, (Fit, Sided)) and (why := self._reason(at, fit, others)) is not None:
                found[at] = why
        return found

    def area(self, at: int) -> Any:
        """The area of an outline, as a shape."""
        return self._areas[at]

    def holds(self, at: int, point: Point, shape: Any) -> bool:
        """Whether a point lies in an outline or on its edge; `shape` is its area."""
        fit = self._fits[at] if at < self.count else None
        return (
            fit.holds(point) if isinstance(fit, (Fit, Sided)) else bool(shapely.intersects(shape, shapely.Point(point)))
        )

    def line_within(self, points: Sequence[Point]) -> bool:
        """Whether points are those of one straight line that lies in an outline: a centre line, or one to bend at."""
        if len(set(points)) != 2:
            return False
        line = shapely.LineString(list(dict.fromkeys(points)))
        return any(self._areas[at].covers(line) for at in self.near(self._tree, line))

    def near(self, tree: Any, place: Any) -> list[int]:
        """Shapes of a tree whose boxes a place meets, in order; counted as work."""
        met: list[int] = sorted(tree.query(place).tolist())
        self._count(len(met))
        return met

    def _count(self, work: int) -> None:
        """Counts work. Raises InputError beyond the most."""
        self._work += work
        if self._work > MOST_WORK:
            raise InputError(fault("too_many.overlaps", self._reading.name))

    def _reason(self, at: int, fit: Fit | Sided, others: Sequence[int]) -> Message | None:
        """What the first of the others is to a rectangle that is to be no part because of it."""
        tolerance = self._reading.tolerance
        inner, outer = fit.grown(-2 * tolerance), fit.grown(tolerance)
        shapely.prepare(inner)
        entered = shapely.intersects(inner, self._rings[others])
        within = shapely.contains_xy(self._areas[others], *fit.middle)
        held: list[int] = []
        why: Message | None = None
        for number in (entered | within).nonzero()[0].tolist():  # one and the same rectangle is entered or within too
            each = others[number]
            other = self._outlines[each].what
            if _same(fit, self._fits[each], tolerance):
                if each < at:
                    return message("why.twice_over", other=other)
            elif entered[number] and outer.covers(self._rings[each]):
                held.append(each)
            else:
                why = why or message("why.crosses" if entered[number] else "why.within", other=other)
        if held:
            self.inner[at] = tuple(held)
        return why or (message("why.hole", count=len(held)) if held else None)

    def outermost(self, held: Sequence[int]) -> tuple[int, ...]:
        """Of outlines those that lie in no other of them: a hole that is countersunk is one hole."""
        boxes = {each: shapely.box(*self._rings[each].bounds) for each in held}
        self._count(len(held) ** 2)
        return tuple(
            one
            for one in held
            if not any(
                boxes[other].covers(boxes[one]) and (boxes[other].area, -other) > (boxes[one].area, -one)
                for other in held
                if other != one
            )
        )


def _same(one: Fit | Sided, other: Fit | Sided | Message, tolerance: float) -> bool:
    """Whether two rectangles are one within the tolerance."""
    if type(one) is not type(other) or isinstance(other, Message) or math.dist(one.middle, other.middle) > tolerance:
        return False
    return all(one.off_corner(each) <= 2 * tolerance for each in other.corners())


def _area(outline: Outline) -> shapely.Polygon:
    return shapely.Polygon(outline.points if len(outline.points) > 2 else None)
