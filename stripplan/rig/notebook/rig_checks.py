"""Checks of the rig itself: height of the torch along the travel, rails parallel, fence parallel to the travel, a cut
rectangle square.

Plane geometry, no published source; uncertainty of a reading from its resolution, JCGM 100:2008 (GUM) 4.3.7 and
5.1.2. The limits below are common practice, no source. Positions run along the travel from home; left and right are
as seen along the travel, and the fence is on the right.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal

from stripplan.rig.notebook.fence_scale import straight_line
from stripplan.rig.process.kerf import INCH, inch_rows, mm
from stripplan.rig.uncertainty import LEVEL, Estimate, combined, resolution_u
from stripplan.wording.message import Facts, Message, measured
from stripplan.wording.message import length as length_of

STANDOFF_AIM = 0.25
"""Torch height to hold along the stroke, ± [mm] (common practice, no source)."""

STANDOFF_USABLE = 0.5
"""Torch height that still cuts, ± [mm] (common practice, from memory, fair)."""

PARALLEL = 0.2
"""Rails parallel within this over the length [mm] (common practice, no source)."""

SHIM_STEP = 0.05
"""Step of a usual set of shims [mm] (common practice, no source)."""

SHIM_THICKEST = 2.0
"""A shim thicker than this is a packer: a foot or a bolt has moved [mm] (common practice, no source)."""

STEEPEST = 5.0
"""A fence or a square that is out by more was mistyped, not misaligned [degrees] (common practice, no source)."""

LineKind = Literal["least squares", "end to end"]


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
        faults = _series_faults(self.positions, {"left": self.left, "right": self.right}, "heights")
        if self.rail_distance is not None and not (math.isfinite(self.rail_distance) and self.rail_distance > 0):
            faults.append(f"rail distance {self.rail_distance}: must be above 0 mm")
        if not -1 <= self.torch <= 2:
            faults.append(
                f"torch at {self.torch} of the rail distance: must lie from -1 to 2, 0 to 1 is between the rails"
            )
        faults += _resolution_faults(self.resolution)
        if not faults:
            faults = _inch_heights(self.left, self.right or ())
        if faults:
            raise ValueError("; ".join(faults))

    @property
    def at_torch(self) -> tuple[float, ...]:
        """Height of the torch at each position [mm], but for a constant: between the rails in proportion."""
        if self.right is None:
            return self.left
        return tuple((1 - self.torch) * a + self.torch * b for a, b in zip(self.left, self.right, strict=True))


@dataclass(frozen=True)
class RailLine:
    """One series of heights: `slope` [mm per m, + = rises away from home], rise `over_length` [mm], `bow` = greatest
    departure from the line [mm, + = above it] and where `bow_at` [mm]."""

    slope: Estimate
    over_length: float
    bow: float
    bow_at: float


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


@dataclass(frozen=True)
class ParallelReport:
    """What distances between two rails say. Lengths mm; `taper` [mm per m, + = wider away from home]; `bow` =
    greatest departure from the tapering line. `parallel` is None where the figure is too near the limit for the
    instrument."""

    spread: float
    limit: float
    parallel: bool | None
    narrowest: float
    narrowest_at: float
    widest: float
    widest_at: float
    taper: Estimate
    over_length: float
    bow: float
    bow_at: float
    advice: tuple[Message, ...]


@dataclass(frozen=True)
class FenceAngle:
    """Angle of the fence to the travel, from one strip's widths at both ends.

    `angle` [degrees, + = fence and torch line part towards the far end, the strip is wider there]; `taper` = that in
    mm over `length`; `turn` as seen from above; `far_end` = how far the fence's far end moves towards the torch line
    [mm, - = away], home end held, over `fence_length`.
    """

    angle: Estimate
    taper: Estimate
    length: float
    differs: bool
    turn: Literal["none", "clockwise", "anticlockwise"]
    fence_length: float
    far_end: Estimate
    advice: tuple[Message, ...]

    def width_error(self, length: float) -> Estimate:
        """How much a strip's width changes over `length` [mm] with the fence as it stands."""
        return Estimate(
            self.taper.value * length / self.length, self.taper.u * length / self.length, self.taper.dof, self.taper.n
        )


@dataclass(frozen=True)
class SquareReport:
    """How far a cut rectangle is out of square. `angle` [degrees, + = the corner where the first diagonal starts is
    below 90]; `corner` that corner [degrees]; `over_width`, `over_length` what it makes on each side [mm]; `closure`
    = how much longer the diagonals are, in the mean, than sides and parallelism allow [mm]."""

    angle: Estimate
    corner: float
    over_width: Estimate
    over_length: Estimate
    closure: float
    differs: bool
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
    lines = [_rail_line(check.positions, each, line, check.resolution) for each in series]
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


def rail_distances(
    positions: Sequence[float], distances: Sequence[float], *, limit: float = PARALLEL, resolution: float = 0.05
) -> ParallelReport:
    """Are two rails parallel: spread, taper and bow of the distances between them [mm] at `positions` along the travel
    [mm].

    >>> report = rail_distances((0, 1000, 2000), (600.0, 600.15, 600.3))
    >>> report.parallel, round(report.taper.value, 3), round(report.over_length, 3)
    (False, 0.15, 0.3)
    """
    faults = _series_faults(positions, {"": distances}, "distances") + _resolution_faults(resolution)
    if not (math.isfinite(limit) and limit > 0):
        faults.append(f"limit {limit}: must be above 0 mm")
    if not faults:
        faults += [
            f"row {row}: distance {each}: must be above 0 mm" for row, each in enumerate(distances, 1) if each <= 0
        ]
    if not faults:
        faults += [
            f"row {row} looks like inches: {mm(distances[row - 1])} beside {mm(distances[other - 1])} in row {other}; "
            f"type it in mm (1 in = {INCH} mm)"
            for row, other in inch_rows(distances)
        ]
    if faults:
        raise ValueError("; ".join(faults))
    least, most = min(distances), max(distances)
    spread = most - least
    rail = _rail_line(positions, distances, "least squares", resolution)
    doubt = Estimate(0.0, combined([(resolution_u(resolution), math.inf)] * 2)[0]).half_width()
    parallel = None if abs(spread - limit) < doubt else spread <= limit
    report = ParallelReport(
        spread=spread,
        limit=limit,
        parallel=parallel,
        narrowest=least,
        narrowest_at=positions[list(distances).index(least)],
        widest=most,
        widest_at=positions[list(distances).index(most)],
        taper=rail.slope,
        over_length=rail.over_length,
        bow=rail.bow,
        bow_at=rail.bow_at,
        advice=(),
    )
    return replace(report, advice=tuple(_parallel_advice(report, doubt)))


def fence_parallel(
    home: float, far: float, length: float, *, resolution: float = 0.05, fence_length: float | None = None
) -> FenceAngle:
    """Is the fence parallel to the travel: widths [mm] of one strip near its home end and near its far end, `length`
    [mm] between the two places.

    The strip's datum edge must be straight: an edge that is not shows in the widths like a fence that is not. angle =
    atan((far - home) / length). `fence_length` [mm], default `length`: how far the fence's far end lies from the end
    that is held.

    >>> found = fence_parallel(50.0, 51.05, 600)
    >>> round(found.angle.value, 2), found.turn, round(found.far_end.value, 2)
    (0.1, 'anticlockwise', 1.05)
    """
    _refuse_widths(home, far, length, resolution, fence_length)
    reach = length if fence_length is None else fence_length
    taper = Estimate(far - home, combined([(resolution_u(resolution), math.inf)] * 2)[0], math.inf, 2)
    slope = taper.value / length
    angle = Estimate(math.degrees(math.atan(slope)), math.degrees(taper.u / length / (1 + slope * slope)), math.inf, 2)
    differs = abs(taper.value) > taper.half_width()
    far_end = Estimate(taper.value * reach / length, taper.u * reach / length, math.inf, 2)
    turn: Literal["none", "clockwise", "anticlockwise"] = "none"
    if differs:
        # The fence lies on the right: its far end goes to the left, anticlockwise, where the strip is too wide there.
        turn = "anticlockwise" if taper.value > 0 else "clockwise"
    found = FenceAngle(angle, taper, length, differs, turn, reach, far_end, ())
    return replace(found, advice=tuple(_fence_advice(found)))


def square_check(width: float, length: float, first: float, second: float, *, resolution: float = 0.5) -> SquareReport:
    """How far a cut rectangle is out of square, from its sides and both diagonals [mm], read with a rule of
    `resolution` [mm].

    For a parallelogram sin(out of square) = (d1^2 - d2^2) / (4 w l), exact. The `first` diagonal starts at the corner
    that lay on the fence near home.

    >>> report = square_check(300, 400, 501.0, 499.0)
    >>> round(report.angle.value, 3), round(report.corner, 3), report.differs
    (0.239, 89.761, True)
    """
    _refuse_rectangle(width, length, first, second, resolution)
    u = resolution_u(resolution)
    sine = (first**2 - second**2) / (4 * width * length)
    cosine = math.sqrt(1 - sine * sine)
    # Each reading's part: what one mm in it turns the angle by.
    turns = (first / (2 * width * length), second / (2 * width * length), sine / width, sine / length)
    spread = math.hypot(*turns) * u / cosine
    angle = Estimate(math.degrees(math.asin(sine)), math.degrees(spread), math.inf, 4)
    differs = abs(angle.value) > angle.half_width()
    over = [Estimate(side * sine, side * spread * cosine, math.inf, 4) for side in (width, length)]
    closure = math.sqrt((first**2 + second**2) / 2) - math.hypot(width, length)
    report = SquareReport(angle, 90 - angle.value, over[0], over[1], closure, differs, ())
    return replace(report, advice=tuple(_square_advice(report, u)))


def _rail_line(positions: Sequence[float], heights: Sequence[float], kind: LineKind, resolution: float) -> RailLine:
    """Slope and bow of one series. The slope's uncertainty is the gauge's alone: departures from the line are bow,
    not chance."""
    at_start, per_mm = _line(positions, heights, kind)
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


def _line(positions: Sequence[float], heights: Sequence[float], kind: LineKind) -> tuple[float, float]:
    """Height at position 0 and rise per mm of the line asked for."""
    if kind == "end to end":
        rise = (heights[-1] - heights[0]) / (positions[-1] - positions[0])
        return heights[0] - rise * positions[0], rise
    fit = straight_line(positions, heights)
    return fit.intercept, fit.slope


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
    lines = [_line(positions, each, kind) for each in series]
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
    at, rise = _line(check.positions, after, "end to end")
    off = [height - at - rise * x for x, height in zip(check.positions, after, strict=True)]
    worst = max(range(len(off)), key=lambda index: abs(off[index]))
    if off[worst] == 0:
        return []
    facts = Facts(at=measured(check.positions[worst]), by=measured(abs(off[worst])))
    return [Message("rail_sags" if off[worst] < 0 else "rail_humps", facts=facts)]


def _parallel_advice(report: ParallelReport, doubt: float) -> list[Message]:
    facts = Facts(
        narrowest=measured(report.narrowest), narrowest_at=measured(report.narrowest_at),
        widest=measured(report.widest), widest_at=measured(report.widest_at), spread=measured(report.spread),
        verdict={True: "parallel", False: "not parallel", None: "too near"}[report.parallel],
        limit=measured(report.limit), doubt=measured(doubt),
    )  # fmt: skip
    said = [Message("rails_apart", facts=facts)]
    if report.parallel:
        return said
    if abs(report.taper.value) > report.taper.half_width():
        facts = Facts(opens=report.over_length > 0, by=measured(abs(report.over_length)))
        said.append(Message("rails_open", facts=facts))
    if abs(report.bow) > max(doubt, report.limit / 2):
        facts = Facts(wide=report.bow > 0, bow=measured(abs(report.bow)), bow_at=measured(report.bow_at))
        said.append(Message("rail_bent", facts=facts))
    return said


def _fence_advice(found: FenceAngle) -> list[Message]:
    long = measured(found.length)
    if not found.differs:
        return [Message("fence_parallel", facts=Facts(half=measured(found.taper.half_width()), length=long))]
    wider = found.taper.value > 0
    off = Facts(
        by=measured(abs(found.taper.value)), wider=wider, length=long,
        angle=abs(found.angle.value), half=found.angle.half_width(),
    )  # fmt: skip
    turn = Facts(
        turn=found.turn, wider=wider, reach=measured(found.fence_length), by=measured(abs(found.far_end.value))
    )
    return [Message("fence_off", facts=off), Message("turn_fence", facts=turn)]


def _square_advice(report: SquareReport, u: float) -> list[Message]:
    said = []
    if abs(report.closure) > 3 * u:
        said.append(Message("diagonals_do_not_fit", facts=Facts(by=measured(abs(report.closure)))))
    half = report.angle.half_width()
    if not report.differs:
        return [*said, Message("is_square", facts=Facts(half=half, level=100 * LEVEL))]
    facts = Facts(
        angle=abs(report.angle.value), half=half, over_width=measured(abs(report.over_width.value)),
        over_length=measured(abs(report.over_length.value)), sharp="first" if report.angle.value > 0 else "second",
    )  # fmt: skip
    return [*said, Message("cut_out_of_square", facts=facts), Message("square_is_handed_on")]


def _series_faults(positions: Sequence[float], series: dict[str, Sequence[float] | None], what: str) -> list[str]:
    """Faults of readings along the travel: too few, uneven in number, not numbers, out of order."""
    if len(positions) < 2:
        return [f"{len(positions)} position: at least 2 are needed, 5 or more show bow"]
    faults = []
    for name, values in series.items():
        if values is None:
            continue
        label = f"{name} {what}".strip()
        if len(values) != len(positions):
            faults.append(f"{len(values)} {label} for {len(positions)} positions: one is needed at each")
        faults += [
            f"row {row}: {label} {each}: not a number" for row, each in enumerate(values, 1) if not math.isfinite(each)
        ]
    for row, (before, after) in enumerate(pairwise(positions), 2):
        if not after > before or not math.isfinite(after - before):
            faults.append(
                f"row {row}: position {after} must lie beyond the {before} of row {row - 1}, counted from home"
            )
    return faults


def _inch_heights(left: Sequence[float], right: Sequence[float]) -> list[str]:
    """Rows typed in inches. Only heights above a few millimetres can tell; a gauge that was set to 0 shows any
    ratio."""
    heights = sorted((*left, *right))
    if heights[len(heights) // 2] < 5:
        return []
    rows = [
        (name, row, values[row - 1])
        for name, values in (("left", left), ("right", right))
        for row, _ in inch_rows(values)
    ]
    return [
        f"row {row} looks like inches: {name} height {mm(value)} among heights of about "
        f"{mm(heights[len(heights) // 2])}; type it in mm (1 in = {INCH} mm)"
        for name, row, value in rows
    ]


def _resolution_faults(resolution: float) -> list[str]:
    return [] if math.isfinite(resolution) and resolution > 0 else [f"resolution {resolution}: must be above 0 mm"]


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


def _refuse_widths(home: float, far: float, length: float, resolution: float, fence_length: float | None) -> None:
    faults = [
        f"{name} {value}: must be a number above 0 mm"
        for name, value in (
            ("width at home", home),
            ("width at the far end", far),
            ("length", length),
            ("fence length", fence_length),
        )
        if value is not None and not (math.isfinite(value) and value > 0)
    ]
    faults += _resolution_faults(resolution)
    if not faults and inch_rows([home, far]):
        faults.append(
            f"widths {mm(home)} and {mm(far)}: one of them looks like inches; type both in mm (1 in = {INCH} mm)"
        )
    elif not faults and abs(far - home) > length * math.tan(math.radians(STEEPEST)):
        faults.append(
            f"widths {mm(home)} and {mm(far)} mm over {mm(length)} mm make "
            f"{math.degrees(math.atan(abs(far - home) / length)):.1f} degrees: "
            f"more than {STEEPEST:g} is no fence out of parallel; check the three figures"
        )
    if faults:
        raise ValueError("; ".join(faults))


def _refuse_rectangle(width: float, length: float, first: float, second: float, resolution: float) -> None:
    named = (("width", width), ("length", length), ("first diagonal", first), ("second diagonal", second))
    faults = [
        f"{name} {value}: must be a number above 0 mm"
        for name, value in named
        if not (math.isfinite(value) and value > 0)
    ]
    faults += _resolution_faults(resolution)
    if not faults:
        low, high = abs(length - width), length + width
        faults += [
            f"{name} {mm(value)} mm cannot join corners of {mm(width)} x {mm(length)} mm: it must lie between "
            f"{mm(low)} and {mm(high)} mm"
            for name, value in named[2:]
            if not low < value < high
        ]
    if not faults and abs(first**2 - second**2) > 4 * width * length * math.sin(math.radians(STEEPEST)):
        faults.append(
            f"diagonals {mm(first)} and {mm(second)} mm on {mm(width)} x {mm(length)} mm are out of square by more "
            f"than {STEEPEST:g} degrees: "
            "check the four figures"
        )
    if faults:
        raise ValueError("; ".join(faults))
