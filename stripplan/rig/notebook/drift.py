"""Whether the rig drifts: sizes measured beside those expected, one after the other, on a control chart.

Problem: of sizes that are measured as the work goes on, tell chance from a change of the rig. Method: an individuals
chart; its spread is that of neighbours, the mean moving range over d2 = 1.128, so that a slow drift does not widen the
limits. A change is told by a point beyond three spreads of the centre, by eight in a row on one side of what was
expected, or by a mean further off than chance explains. Sources: NIST/SEMATECH e-Handbook of Statistical Methods,
6.3.2.2 (individuals chart) and 6.3.2 (eight in a row).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from stripplan.wording.message import Facts, Message, Quantity, measured

D2 = 1.128
"""Mean range of two values of a normal distribution over its standard deviation (6.3.2.2)."""
IN_A_ROW = 8
"""So many on one side of the line are no chance (6.3.2)."""
FEWEST = 5
"""With fewer sizes nothing is said but what they are: common practice, no source."""
LEAST = 0.05
"""A smaller correction is below what a scale is set to [mm]: common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class Chart:
    """Centre and limits of an individuals chart, and the places of values beyond them, from 0. In the values' unit."""

    centre: float
    spread: float
    low: float
    high: float
    beyond: tuple[int, ...]


@dataclass(frozen=True, kw_only=True)
class Drift:
    """What measured sizes say, as deviations from the expected [mm]; `correction` is what to add to the fence offset,
    and `kerf` to the kerf, None where nothing is offered."""

    chart: Chart | None
    correction: float | None
    kerf: float | None
    said: tuple[Message, ...]


def individuals_chart(values: Sequence[float]) -> Chart:
    """Centre = mean, limits = mean +- 3 (mean moving range) / d2. Needs two values. Source: 6.3.2.2, whose example this
    is.

    >>> flow = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]
    >>> chart = individuals_chart(flow)
    >>> round(chart.centre, 2), round(chart.low, 4), round(chart.high, 4), chart.beyond
    (50.81, 45.8159, 55.8041, ())
    """
    centre = sum(values) / len(values)
    ranges = [abs(one - other) for one, other in pairwise(values)]
    spread = sum(ranges) / len(ranges) / D2
    low, high = centre - 3 * spread, centre + 3 * spread
    beyond = tuple(at for at, value in enumerate(values) if not low <= value <= high)
    return Chart(centre=centre, spread=spread, low=low, high=high, beyond=beyond)


def drift(on_fence: Sequence[float], off_fence: Sequence[float] = ()) -> Drift:
    """What deviations (measured - expected) [mm] say, of pieces on the fence and of those beyond the kerf, each in the
    order in which they were cut.

    A fence that stands `z` too far out makes the piece on it wider by z and the other narrower by z; a kerf wider by
    `k` takes k/2 of each. So one side alone gives a correction of the fence, both give fence and kerf apart.
    """
    of_fence, of_kerf = _off(on_fence), _off(off_fence)
    several = on_fence if len(on_fence) >= len(off_fence) else [-each for each in off_fence]
    if len(several) < FEWEST:
        return Drift(chart=None, correction=None, kerf=None, said=(_few(len(several)),))
    chart = individuals_chart(several)
    said = [_chart(chart, len(several))]
    if chart.beyond:
        said.append(Message("drift_beyond", "", Facts(places=tuple(at + 1 for at in chart.beyond))))
    correction = kerf = None
    if of_fence is not None and of_kerf is not None:
        correction, kerf = -(of_fence - of_kerf) / 2, -(of_fence + of_kerf)
    elif (one := _off(several)) is not None:
        correction = -one
    if _run(several):
        said.append(Message("drift_run", "", Facts(count=IN_A_ROW)))
    correction = None if correction is None or abs(correction) < LEAST else correction
    kerf = None if kerf is None or abs(kerf) < LEAST else kerf
    said.append(_offer(correction, kerf))
    return Drift(chart=chart, correction=correction, kerf=kerf, said=tuple(said))


def _off(values: Sequence[float]) -> float | None:
    """By how much values are off 0 all together: the mean of the last eight where they lie on one side, else of all
    where it is more than chance explains (three spreads over the root of their number); None where they are not.
    """
    if len(values) < FEWEST:
        return None
    if _run(values):
        return sum(values[-IN_A_ROW:]) / IN_A_ROW
    chart = individuals_chart(values)
    return chart.centre if abs(chart.centre) > 3 * chart.spread / math.sqrt(len(values)) else None


def _run(values: Sequence[float]) -> bool:
    """Whether the last eight lie on one side of 0."""
    last = values[-IN_A_ROW:]
    return len(last) == IN_A_ROW and (all(each > 0 for each in last) or all(each < 0 for each in last))


def _few(count: int) -> Message:
    return Message("drift_few", "", Facts(count=count, fewest=FEWEST))


def _chart(chart: Chart, count: int) -> Message:
    facts = Facts(count=count, centre=_signed(chart.centre), low=_signed(chart.low), high=_signed(chart.high))
    return Message("drift_chart", "", facts)


def _offer(correction: float | None, kerf: float | None) -> Message:
    if correction is None and kerf is None:
        return Message("drift_none")
    wider = kerf is not None and kerf > 0
    facts = Facts(
        fence=measured(abs(correction or 0.0)),
        out=correction is not None and correction > 0,
        has_fence=correction is not None,
        kerf=measured(abs(kerf or 0.0)),
        wider=wider,
        has_kerf=kerf is not None,
    )
    return Message("drift_offer", "", facts)


def _signed(mm: float) -> Quantity:
    return measured(mm)
