"""The curve of a dial: marks with their speeds, what lies between them, and how far both may be off.

Between marks a monotone cubic, its uncertainty carried over from the marks: method and sources are told in `fit`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

from stripplan.errors import FiguresError
from stripplan.rig.uncertainty import Estimate, combined, rectangular_u
from stripplan.wording.message import Facts, Message

ENOUGH_MARKS = 5
"""Fewer marks than this leave the shape of a dial unsure: common practice, no source."""
_EPS = 1e-9


@dataclass(frozen=True)
class DialPoint:
    """A measured mark: its speed on the curve [mm/min] with standard uncertainty and degrees of freedom.

    `timed` is its own speed before neighbours that contradict each other were levelled, `u_rule` the part of `u` that
    all marks share, `rows` are its runs, counted from 1.
    """

    mark: float
    speed: float
    u: float
    dof: float
    timed: float
    u_rule: float
    rows: tuple[int, ...]


@dataclass(frozen=True)
class DialCurve:
    """Mark and travel speed of a dial, from `fit_dial`. `falling`: a greater mark is slower. `notes` are for the
    person.
    """

    marks: tuple[DialPoint, ...]
    falling: bool
    notes: tuple[Message, ...]
    _cubic: Any = field(repr=False, compare=False)
    _moved: Any = field(repr=False, compare=False)

    @property
    def mark_range(self) -> tuple[float, float]:
        """Least and greatest measured mark."""
        return self.marks[0].mark, self.marks[-1].mark

    @property
    def speed_range(self) -> tuple[float, float]:
        """Least and greatest speed on the curve [mm/min]."""
        ends = self.marks[0].speed, self.marks[-1].speed
        return min(ends), max(ends)

    def points(self) -> tuple[tuple[float, float, float], ...]:
        """(mark, speed [mm/min], standard uncertainty of the speed) of each measured mark."""
        return tuple((each.mark, each.speed, each.u) for each in self.marks)

    def table(self, *, between: int = 0) -> tuple[tuple[float, float], ...]:
        """(mark, speed [mm/min]) for the rig's `dial`, with so many points of the curve between measured marks.

        Each speed has one mark: marks that were levelled to one speed become one row at their middle.
        """
        rows = [(each.mark, each.speed) for each in self.marks]
        for left, right in pairwise(self.marks):
            step = (right.mark - left.mark) / (between + 1)
            inner = (left.mark + step * k for k in range(1, between + 1))
            rows += [(mark, float(self._cubic(mark))) for mark in inner]
        by_speed: dict[float, list[float]] = {}
        for mark, speed in sorted(rows):
            by_speed.setdefault(round(speed, 2), []).append(mark)
        return tuple((round((each[0] + each[-1]) / 2, 4), speed) for speed, each in by_speed.items())

    def band(self, count: int = 60) -> tuple[tuple[float, float, float, float], ...]:
        """(mark, speed, least, greatest likely speed) at `count` marks, evenly spaced, for pictures."""
        first, last = self.mark_range
        marks = [first + (last - first) * k / (count - 1) for k in range(count - 1)] + [last]
        speeds = [self.speed_at(mark) for mark in marks]
        return tuple((mark, each.value, *each.interval()) for mark, each in zip(marks, speeds, strict=True))

    def speed_at(self, mark: float) -> Estimate:
        """Travel speed at a mark [mm/min]; FiguresError outside the measured marks."""
        first, last = self.mark_range
        if not first - _EPS <= mark <= last + _EPS:
            raise FiguresError(Message("dial_outside", facts=Facts(mark=float(mark), first=first, last=last)))
        mark = min(max(mark, first), last)
        moved = self._moved(mark)
        value, n = float(moved[0]), len(self.marks)
        swings = [float(abs(moved[1 + 2 * k] - moved[2 + 2 * k])) / 2 for k in range(n + 1)]
        parts = [(swing, each.dof) for swing, each in zip(swings, self.marks, strict=False)]
        parts += [(swings[n], math.inf), (rectangular_u(self._between(mark, value)), math.inf)]
        u, dof = combined(parts)
        return Estimate(value, u, dof, sum(len(each.rows) for each in self.marks))

    def _between(self, mark: float, value: float) -> float:
        """Half-width for what the dial may do between two measured marks [mm/min]; 0 at the marks.

        Linear interpolation is off by half the second derivative times both ways to the marks; the cubic is better as a
        rule. The greater bend of the two marks counts, or how far the cubic is from the straight line, if more.
        """
        k = next(k for k in range(len(self.marks) - 1) if mark <= self.marks[k + 1].mark)
        left, right = self.marks[k], self.marks[k + 1]
        ways = (mark - left.mark) * (right.mark - mark)
        slope = (right.speed - left.speed) / (right.mark - left.mark)
        if len(self.marks) < ENOUGH_MARKS:  # the shape is not known: in the middle anything between both speeds
            return math.sqrt(ways) * abs(slope)
        inner = range(max(k, 1), min(k + 2, len(self.marks) - 1))
        bend = max(_bend(*self.marks[j - 1 : j + 2]) for j in inner)
        return max(abs(value - (left.speed + slope * (mark - left.mark))), bend * ways)


def _bend(one: DialPoint, two: DialPoint, three: DialPoint) -> float:
    """Half the second derivative at the middle one of three marks, without its sign: the second divided difference."""
    before = (two.speed - one.speed) / (two.mark - one.mark)
    after = (three.speed - two.speed) / (three.mark - two.mark)
    return abs(after - before) / (three.mark - one.mark)


def cubics_through(points: Sequence[DialPoint]) -> tuple[Any, Any]:
    """The curve, and the curve with each mark moved up and down by its u, at last all together by what they share."""
    import numpy as np
    from scipy.interpolate import PchipInterpolator

    marks = np.array([each.mark for each in points])
    speeds = np.array([each.speed for each in points])
    columns = [speeds]
    for k, each in enumerate(points):
        alone = np.zeros(len(points))
        alone[k] = math.sqrt(max(each.u**2 - each.u_rule**2, 0.0))
        columns += [speeds + alone, speeds - alone]
    shared = np.array([each.u_rule for each in points])
    columns += [speeds + shared, speeds - shared]
    return PchipInterpolator(marks, speeds), PchipInterpolator(marks, np.column_stack(columns))
