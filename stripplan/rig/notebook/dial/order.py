"""Marks in the order of their speeds: contradictions within noise are levelled, beyond it they are refused."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations

from stripplan.errors import FiguresError
from stripplan.rig.notebook.dial.curve import DialPoint
from stripplan.rig.notebook.dial.outliers import FALSE_ALARM
from stripplan.rig.uncertainty import LEVEL, combined, coverage_factor
from stripplan.wording.message import Facts, Message
from stripplan.wording.message import speed as speed_of


class NotYetError(FiguresError):
    """The runs are sound and do not make a dial yet: more are needed."""


def _levels(points: Sequence[DialPoint], falling: bool) -> list[float]:
    from scipy.optimize import isotonic_regression

    weights = [each.u**-2 for each in points]
    return [
        float(each)
        for each in isotonic_regression([each.timed for each in points], weights=weights, increasing=not falling).x
    ]


def falls(points: Sequence[DialPoint]) -> bool:
    """Whether the speeds fall with the mark: the way that leaves the less to be levelled."""
    left = [
        math.fsum(((each.timed - level) / each.u) ** 2 for each, level in zip(points, levels, strict=True))
        for levels in (_levels(points, False), _levels(points, True))
    ]
    return left[1] < left[0]


def check_order(points: Sequence[DialPoint], falling: bool) -> None:
    """Two marks in the wrong order by more than noise: Bonferroni over all pairs, one-sided."""
    sign = -1.0 if falling else 1.0
    pairs = list(combinations(points, 2))
    worst, said = 1.0, None
    for one, other in pairs:
        wrong = sign * (one.timed - other.timed)
        if wrong <= 0:
            continue
        u, dof = combined([(one.u, one.dof), (other.u, other.dof)])
        allowed = u * coverage_factor(dof, 1 - 2 * FALSE_ALARM / len(pairs))
        if wrong > worst * allowed:
            worst = wrong / allowed
            said = _contradiction(one, other, falling, allowed)
    if said is not None:
        raise FiguresError(said)


def _contradiction(one: DialPoint, other: DialPoint, falling: bool, allowed: float) -> Message:
    facts = Facts(
        one_rows=one.rows, one_mark=one.mark, one_speed=speed_of(one.timed),
        other_rows=other.rows, other_mark=other.mark, other_speed=speed_of(other.timed),
        falling=falling, allowed=speed_of(allowed),
    )  # fmt: skip
    return Message("dial_contradiction", facts=facts)


def levelled(points: Sequence[DialPoint], falling: bool) -> list[DialPoint]:
    return [replace(each, speed=level) for each, level in zip(points, _levels(points, falling), strict=True)]


def check_change(points: Sequence[DialPoint]) -> None:
    first, last = points[0], points[-1]
    u, dof = combined([(first.u, first.dof), (last.u, last.dof)])
    change, noise = abs(last.speed - first.speed), u * coverage_factor(dof, LEVEL)
    if change <= noise:
        speeds = {"change": speed_of(change), "noise": speed_of(noise)}
        raise NotYetError(Message("dial_no_change", facts=Facts(first=first.mark, last=last.mark, **speeds)))
