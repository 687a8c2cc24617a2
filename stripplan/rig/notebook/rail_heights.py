"""Height of the torch along the travel: slope, bow and twist of the rails, and which end to shim by how much.

The limits are common practice, no source. Left and right are as seen along the travel, and the fence is on the right.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal

from stripplan.errors import FiguresError
from stripplan.rig.inches import inch_rows
from stripplan.rig.notebook.readings_along import LineKind, RailLine, above_0, rail_line, series_faults, straight
from stripplan.rig.uncertainty import resolution_u
from stripplan.wording.message import Facts, Message, measured
from stripplan.wording.message import length as length_of

STANDOFF_AIM = 0.25
"""Torch height to hold along the stroke, ± [mm] (common practice, no source)."""

STANDOFF_USABLE = 0.5
"""Torch height that still cuts, ± [mm] (common practice, from memory, fair)."""

SHIM_STEP = 0.05
"""Step of a usual set of shims [mm] (common practice, no source)."""

SHIM_THICKEST = 2.0
"""A shim thicker than this is a packer: a foot or a bolt has moved [mm] (common practice, no source)."""


@dataclass(frozen=True)
class MeasuredHeights:
    """Heights above the bed [mm] at `positions` along the travel [mm]: of the torch, or of one rail (`left` alone), or
    of both rails.

    `rail_distance` [mm] turns differences across into degrees. `torch`: where the torch sits between the rails, 0 =
    over the left one, 1 = over the right one. `resolution`: steps of the gauge [mm].
    """

    positions: tuple[float, ...]
    left: tuple[float, ...]
    right: tuple[float, ...] | None = None
    rail_distance: float | None = None
    torch: float = 0.5
    resolution: float = 0.05

    def __post_init__(self) -> None:
        series = {"left heights": self.left, "right heights": self.right}
        faults = [*series_faults(self.positions, series, self.resolution), *above_0(rail_distance=self.rail_distance)]
        if not -1 <= self.torch <= 2:
            faults.append(Message("torch_place", facts=Facts(value=float(self.torch))))
        if not faults:
            faults = _inch_heights(self.left, self.right or ())
        if faults:
            raise FiguresError(*faults)

    @property
    def at_torch(self) -> tuple[float, ...]:
        """Height of the torch at each position [mm], but for a constant: between the rails in proportion."""
        if self.right is None:
            return self.left
        return tuple((1 - self.torch) * a + self.torch * b for a, b in zip(self.left, self.right, strict=True))


@dataclass(frozen=True)
class Shim:
    """A shim [mm] under one `end` ("home" or "far") of a `rail` ("left", "right", or "" where there is one series)."""

    rail: str
    end: str
    thickness: float


@dataclass(frozen=True)
class HeightReport:
    """What the heights say. Lengths mm.

    `line` names the line that slope and bow are measured from. `twist` is the cross level (right - left) at the far
    end less that at home, by degrees where the rail distance is given; `tilt_degrees` the greatest cross level as an
    angle. `change`: greatest less least stand-off over the stroke at the torch; `plus_minus` half of it, if the
    torch is set at `set_at`; `verdict` compares that with the limits. `change_after`: predicted with the `shims` in.
    """

    line: LineKind
    left: RailLine
    right: RailLine | None
    cross_home: float | None
    cross_far: float | None
    twist: float | None
    twist_degrees: float | None
    tilt_degrees: float | None
    change: float
    plus_minus: float
    set_at: float
    verdict: Literal["within the aim", "usable", "too much"]
    shims: tuple[Shim, ...]
    change_after: float
    advice: tuple[Message, ...]


def check_heights(
    check: MeasuredHeights,
    *,
    line: LineKind = "least squares",
    aim: float = STANDOFF_AIM,
    usable: float = STANDOFF_USABLE,
    shim_step: float = SHIM_STEP,
    supports: tuple[float, float] | None = None,
    level_across: bool = True,
) -> HeightReport:
    """Slope, bow, twist, change of stand-off over the stroke, and which end to shim by how much.

    Shims go under the two `supports` (positions along the travel [mm]; default: first and last position), the rails
    taken as rigid between. They bring the ends of the lines to the height of the highest; with `level_across=False`
    each rail keeps its own height.

    >>> report = check_heights(MeasuredHeights((0, 500, 1000), (20.0, 19.7, 19.4)))
    >>> round(report.change, 3), report.verdict, report.shims, round(report.change_after, 3)
    (0.6, 'usable', (Shim(rail='', end='far', thickness=0.6),), 0.0)
    """
    _refuse_limits(aim, usable, shim_step, supports)
    names = ("left", "right") if check.right is not None else ("",)
    series = [check.left] if check.right is None else [check.left, check.right]
    lines = [rail_line(check.positions, each, line, check.resolution) for each in series]
    cross = [b - a for a, b in zip(series[0], series[-1], strict=True)] if len(series) == 2 else None
    heights = check.at_torch
    change = max(heights) - min(heights)
    feet = supports or (check.positions[0], check.positions[-1])
    shims = _shims(check.positions, series, names, line, feet, shim_step, level_across)
    after = _shimmed(check, shims, feet)
    change_after = max(after) - min(after)
    verdict = _verdict(change / 2, aim, usable)
    set_at = _crossing(check.positions, heights, (max(heights) + min(heights)) / 2)
    angles = (
        [math.degrees(math.atan(each / check.rail_distance)) for each in cross]
        if cross and check.rail_distance
        else None
    )
    report = HeightReport(
        line=line,
        left=lines[0],
        right=lines[1] if cross else None,
        cross_home=cross[0] if cross else None,
        cross_far=cross[-1] if cross else None,
        twist=cross[-1] - cross[0] if cross else None,
        twist_degrees=angles[-1] - angles[0] if angles else None,
        tilt_degrees=max(angles, key=abs) if angles else None,
        change=change,
        plus_minus=change / 2,
        set_at=set_at,
        verdict=verdict,
        shims=shims,
        change_after=change_after,
        advice=(),
    )
    return _with_advice(check, report, after, aim, usable)


def _shims(
    positions: Sequence[float],
    series: Sequence[Sequence[float]],
    names: Sequence[str],
    kind: LineKind,
    feet: tuple[float, float],
    step: float,
    level_across: bool,
) -> tuple[Shim, ...]:
    """Shims that bring the ends of the lines, at the supports, up to the highest one, each rounded to the step."""
    lines = [straight(positions, each, kind) for each in series]
    ends = [[at + rise * foot for foot in feet] for at, rise in lines]
    highest = max(max(pair) for pair in ends)
    found = []
    for name, pair in zip(names, ends, strict=True):
        top = highest if level_across else max(pair)
        for end, height in zip(("home", "far"), pair, strict=True):
            thickness = round(round((top - height) / step) * step, 9)
            if thickness > 0:
                found.append(Shim(name, end, thickness))
    return tuple(found)


def _shimmed(check: MeasuredHeights, shims: Sequence[Shim], feet: tuple[float, float]) -> tuple[float, ...]:
    """Heights at the torch with the shims in, the rails rigid between their supports."""
    share = {"": 1.0, "left": 1 - check.torch, "right": check.torch}
    heights = list(check.at_torch)
    for shim in shims:
        for index, x in enumerate(check.positions):
            along = (x - feet[0]) / (feet[1] - feet[0])
            heights[index] += share[shim.rail] * shim.thickness * (along if shim.end == "far" else 1 - along)
    return tuple(heights)


def _crossing(positions: Sequence[float], heights: Sequence[float], level: float) -> float:
    """First position where the heights, joined by straight lines, pass `level`, which lies between the least and the
    greatest."""
    for (x, a), (y, b) in pairwise(zip(positions, heights, strict=True)):
        if min(a, b) <= level <= max(a, b):
            return x if a == b else x + (y - x) * (level - a) / (b - a)
    return positions[0]


def _verdict(plus_minus: float, aim: float, usable: float) -> Literal["within the aim", "usable", "too much"]:
    if plus_minus <= aim + 1e-9:
        return "within the aim"
    return "usable" if plus_minus <= usable + 1e-9 else "too much"


def _with_advice(
    check: MeasuredHeights, report: HeightReport, after: Sequence[float], aim: float, usable: float
) -> HeightReport:
    """The report with what is to be said; without shims where they would gain nothing."""
    doubt = resolution_u(check.resolution) * math.sqrt(2) * 1.96
    length = check.positions[-1] - check.positions[0]
    standoff = Facts(
        change=measured(report.change), half=measured(report.plus_minus), set_at=measured(report.set_at),
        verdict=report.verdict, aim=measured(aim), usable=measured(usable),
    )  # fmt: skip
    said = [Message("standoff", facts=standoff)]
    said += [_line_said(name, each, report.line, length) for name, each in _named(report)]
    if report.twist is not None:
        degrees = {} if report.twist_degrees is None else {"degrees": report.twist_degrees}
        said.append(Message("rail_twist", facts=Facts(twist=length_of(report.twist), **degrees)))
    if 0 < report.change < doubt:
        said.append(Message("heights_within_gauge", facts=Facts(step=measured(check.resolution))))
    if report.tilt_degrees is not None and abs(report.tilt_degrees) >= 0.5:
        said.append(Message("rails_lean", facts=Facts(tilt=abs(report.tilt_degrees))))
    gains = report.change_after < report.change - 1e-9
    across = report.twist is not None and bool(report.shims)
    if not report.shims:
        said.append(Message("no_shim"))
    elif not gains and not (report.verdict == "within the aim" and across):
        said.append(Message("shims_no_use"))
        report = replace(report, shims=(), change_after=report.change)
        after = check.at_torch
    else:
        said += _shims_said(report)
    if report.change_after / 2 > aim + 1e-9:
        said += _bow_advice(check, after)
    return replace(report, advice=tuple(said))


def _shims_said(report: HeightReport) -> list[Message]:
    shims = tuple(
        Message("shim", facts=Facts(rail=each.rail, end=each.end, thickness=measured(each.thickness)))
        for each in report.shims
    )
    steady = report.verdict == "within the aim"
    said = [Message("shims", facts=Facts(shims=shims, steady=steady, after=measured(report.change_after)))]
    if max(shim.thickness for shim in report.shims) > SHIM_THICKEST:
        said.append(Message("shim_too_thick", facts=Facts(thickest=measured(SHIM_THICKEST))))
    return said


def _named(report: HeightReport) -> list[tuple[str, RailLine]]:
    if report.right is None:
        return [("", report.left)]
    return [("left", report.left), ("right", report.right)]


def _line_said(name: str, rail: RailLine, kind: LineKind, length: float) -> Message:
    facts = Facts(
        rail=name, falls=rail.over_length < 0, by=measured(abs(rail.over_length)), length=measured(length),
        slope=rail.slope.value, bow=measured(rail.bow), bow_at=measured(rail.bow_at), line=kind,
    )  # fmt: skip
    return Message("rail_line", facts=facts)


def _bow_advice(check: MeasuredHeights, after: Sequence[float]) -> list[Message]:
    """Where to lift or lower between the ends, from the heights that are left once the ends are shimmed."""
    at, rise = straight(check.positions, after, "end to end")
    off = [height - at - rise * x for x, height in zip(check.positions, after, strict=True)]
    worst = max(range(len(off)), key=lambda index: abs(off[index]))
    if off[worst] == 0:
        return []
    facts = Facts(at=measured(check.positions[worst]), by=measured(abs(off[worst])))
    return [Message("rail_sags" if off[worst] < 0 else "rail_humps", facts=facts)]


def _inch_heights(left: Sequence[float], right: Sequence[float]) -> list[Message]:
    """Rows typed in inches. Only heights above a few millimetres can tell; a gauge that was set to 0 shows any
    ratio."""
    heights = sorted((*left, *right))
    usual = heights[len(heights) // 2]
    if usual < 5:
        return []
    rows = [
        Facts(row=row, rail=name, height=measured(values[row - 1]), usual=measured(usual))
        for name, values in (("left", left), ("right", right))
        for row, _ in inch_rows(values)
    ]
    return [Message("height_in_inches", facts=facts) for facts in rows]


def _refuse_limits(aim: float, usable: float, shim_step: float, supports: tuple[float, float] | None) -> None:
    faults = []
    if not (0 < aim <= usable and math.isfinite(usable)):
        faults.append(f"aim {aim} and usable {usable}: both above 0 mm, and the aim not above what is usable")
    if not (math.isfinite(shim_step) and shim_step > 0):
        faults.append(f"shim step {shim_step}: must be above 0 mm")
    if supports is not None and not (math.isfinite(supports[1] - supports[0]) and supports[1] > supports[0]):
        faults.append(
            f"supports {supports[0]} and {supports[1]}: the second must lie beyond the first, counted from home"
        )
    if faults:
        raise ValueError("; ".join(faults))
