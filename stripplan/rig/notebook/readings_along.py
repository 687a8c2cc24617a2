"""Readings at positions along the travel: their straight line, how far they depart from it, what is wrong with them.

Plane geometry, no published source; uncertainty of a reading from its resolution, JCGM 100:2008 (GUM) 4.3.7 and
5.1.2. Positions run along the travel from home.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from stripplan.rig.notebook.fence_scale import straight_line
from stripplan.rig.uncertainty import Estimate, resolution_u
from stripplan.wording.message import Facts, Message
from stripplan.wording.message import length as length_of

LineKind = Literal["least squares", "end to end"]


@dataclass(frozen=True)
class RailLine:
    """One series of heights: `slope` [mm per m, + = rises away from home], rise `over_length` [mm], `bow` = greatest
    departure from the line [mm, + = above it] and where `bow_at` [mm]."""

    slope: Estimate
    over_length: float
    bow: float
    bow_at: float


def rail_line(positions: Sequence[float], heights: Sequence[float], kind: LineKind, resolution: float) -> RailLine:
    """Slope and bow of one series. The slope's uncertainty is the gauge's alone: departures from the line are bow,
    not chance."""
    at_start, per_mm = straight(positions, heights, kind)
    middle = math.fsum(positions) / len(positions)
    length = positions[-1] - positions[0]
    if kind == "least squares":
        u = resolution_u(resolution) / math.sqrt(math.fsum((x - middle) ** 2 for x in positions))
    else:
        u = resolution_u(resolution) * math.sqrt(2) / length
    off = [height - at_start - per_mm * x for x, height in zip(positions, heights, strict=True)]
    worst = max(range(len(off)), key=lambda index: abs(off[index]))
    slope = Estimate(1000 * per_mm, 1000 * u, math.inf, len(positions))
    return RailLine(slope, per_mm * length, off[worst], positions[worst])


def straight(positions: Sequence[float], heights: Sequence[float], kind: LineKind) -> tuple[float, float]:
    """Height at position 0 and rise per mm of the line asked for."""
    if kind == "end to end":
        rise = (heights[-1] - heights[0]) / (positions[-1] - positions[0])
        return heights[0] - rise * positions[0], rise
    fit = straight_line(positions, heights)
    return fit.intercept, fit.slope


def series_faults(
    positions: Sequence[float], series: Mapping[str, Sequence[float] | None], resolution: float
) -> list[Message]:
    """Faults of readings along the travel, by what they are called: too few, uneven in number, not numbers, out of
    order.
    """
    return [*_faults(positions, series), *above_0(resolution=resolution)]


def _faults(positions: Sequence[float], series: Mapping[str, Sequence[float] | None]) -> Iterator[Message]:
    if len(positions) < 2:
        yield Message("too_few_positions", facts=Facts(count=len(positions)))
        return
    for name, values in series.items():
        if values is None:
            continue
        if len(values) != len(positions):
            yield Message("uneven_series", facts=Facts(count=len(values), of=name, positions=len(positions)))
        for row, each in enumerate(values, 1):
            if not math.isfinite(each):
                facts = Facts(of=name, value=length_of(each))
                yield Message("of_row", facts=Facts(row=row, what=Message("no_number_in_series", facts=facts)))
    for row, (before, after) in enumerate(pairwise(positions), 2):
        if not after > before or not math.isfinite(after - before):
            facts = Facts(after=length_of(after), before=length_of(before), row_before=row - 1)
            yield Message("of_row", facts=Facts(row=row, what=Message("positions_turned", facts=facts)))


def above_0(code: str = "length_above_0", **values: float | None) -> list[Message]:
    """A fault for each length that is given and not above 0 [mm], by its name."""
    return [
        Message(code, facts=Facts(name=name.replace("_", " "), value=length_of(value), zero=length_of(0)))
        for name, value in values.items()
        if value is not None and not (math.isfinite(value) and value > 0)
    ]
