"""What is set on the rig for one cut: fence offset and reading, end stop, halves of a two-pass cut.

Plane geometry of the rig, no published source: piece width w on the fence, kerf k, F = w + k/2.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from stripplan.model.rig import Rig

_EPS = 1e-9
_TIE = 1e-6
"""A width so near to halfway between two marks, as a share of their distance, counts as halfway: sums of binary
fractions do not say.
"""


@dataclass(frozen=True)
class FenceSetting:
    """Offset F [mm], the nearest mark of the scale, and what the mark is off by [mm]."""

    offset: float
    reading: float
    error: float


def fence_offset(width: float, kerf: float) -> float:
    """Fence face to torch centreline for a piece of `width` on the fence [mm]: F = w + k/2.

    >>> fence_offset(50, 1.5)
    50.75
    """
    return width + kerf / 2


def fence_setting(rig: Rig, width: float, kerf: float) -> FenceSetting:
    """Offset, nearest mark of the scale and its error for a piece of `width` on the fence.

    Halfway between two marks the upper one is taken, always: equal widths then have equal readings, and what is off is
    off to the side that leaves metal. (Rounding half to even would take the lower and the upper by turns.)

    >>> fence_setting(Rig(fence_zero=0.25, fence_step=0.5), 50, 1.5)
    FenceSetting(offset=50.75, reading=50.5, error=0.0)
    >>> [fence_setting(Rig(fence_step=0.5), width, 1.5).error for width in (50, 51, 52)]
    [0.25, 0.25, 0.25]
    """
    offset = fence_offset(width, kerf)
    marks = math.floor((offset - rig.fence_zero) / rig.fence_scale / rig.fence_step + 0.5 + _TIE)
    reading = round(marks * rig.fence_step, 9)
    return FenceSetting(offset, reading, round(rig.fence_zero + rig.fence_scale * reading - offset, 9))


def greatest_end_stop(rig: Rig) -> float:
    """Greatest end stop that can be set, not beyond the stroke [mm]; the S of every limit.

    >>> greatest_end_stop(Rig(stroke=2102, end_stop_min=50, end_stop_step=5))
    2100.0
    """
    steps = math.floor((rig.stroke - rig.end_stop_min) / rig.end_stop_step + _EPS)
    return float(round(rig.end_stop_min + steps * rig.end_stop_step, 9))


def settable_end_stop(rig: Rig, least: float) -> float:
    """The next end stop that can be set at or beyond `least` [mm].

    >>> settable_end_stop(Rig(end_stop_min=50, end_stop_step=5), 641)
    645.0
    """
    steps = max(0, math.ceil((least - rig.end_stop_min) / rig.end_stop_step - _EPS))
    return float(round(rig.end_stop_min + steps * rig.end_stop_step, 9))


def longest_one_pass(rig: Rig) -> float:
    """Longest cut in one pass [mm]: L1 = S - lead_in - overrun."""
    return greatest_end_stop(rig) - rig.lead_in - rig.overrun


def longest_two_pass(rig: Rig) -> float:
    """Longest cut in two passes [mm]: 2 (S - lead_in) - overlap; L1 where two passes are not allowed."""
    if not rig.two_pass:
        return longest_one_pass(rig)
    return max(longest_one_pass(rig), 2 * (greatest_end_stop(rig) - rig.lead_in) - rig.two_pass_overlap)


def end_stops(rig: Rig, length: float) -> tuple[tuple[float, float], ...]:
    """(length cut, end stop) of each pass of a right-angled cut of `length` [mm].

    One pass: E = lead_in + L + overrun, rounded up. Two passes: both half of L + overlap, no overrun.

    >>> end_stops(Rig(lead_in=30, overrun=10, end_stop_min=50, end_stop_step=5), 600)
    ((600, 640.0),)
    """
    if length <= longest_one_pass(rig) + _EPS:
        return ((length, settable_end_stop(rig, rig.lead_in + length + rig.overrun)),)
    half = (length + rig.two_pass_overlap) / 2
    return ((half, settable_end_stop(rig, rig.lead_in + half)),) * 2


def longest_end_stop(rig: Rig, length: float) -> float:
    """The longest that an end stop may be left at for a one-pass cut of `length` [mm]."""
    return min(greatest_end_stop(rig), rig.lead_in + length + rig.overrun_max)
