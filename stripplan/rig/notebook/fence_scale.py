"""Zero and scale of the fence from strips that were cut and measured: F = width + kerf/2 = zero + scale * reading.

Method: least squares on a straight line; uncertainty after JCGM 100:2008 (GUM): the scatter about the line (type A)
where three checks or more show it, else the instrument's resolution (type B). The error of a kerf that all checks
share does not scatter: it shifts every offset alike, so it goes into the zero and not into the scale, and drops out
of the width of strips cut with that same kerf.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from stripplan.errors import FiguresError
from stripplan.model.notebook import FenceCheck
from stripplan.rig.inches import INCH
from stripplan.rig.repeated_readings import scatter_or_reading, studentized_limit
from stripplan.rig.uncertainty import Estimate, coverage_factor, joined, resolution_u
from stripplan.wording.message import Facts, Message, length, measured

APART = 2.0
"""Widths at one and the same reading lie closer together than this on any usable fence [mm] (common practice, no
source)."""

_EPS = 1e-9


@dataclass(frozen=True)
class Line:
    """A straight line through points, y = intercept + slope x. `inverse` is the inverse of X'X; `sd` the residual
    standard deviation, n - 2 degrees of freedom, None below three points."""

    intercept: float
    slope: float
    residuals: tuple[float, ...]
    leverage: tuple[float, ...]
    inverse: tuple[tuple[float, float], tuple[float, float]]
    sd: float | None


@dataclass(frozen=True)
class FenceFit:
    """What the fence scale means: offset F = zero + scale * reading [mm].

    `repeatability` is the standard deviation of one setting [mm], reading of the width included; None where it
    cannot be known. `cov` is the covariance of zero and scale. `zero_only` is the zero with the scale left as given;
    `scale_differs` says whether the fitted scale differs from that one significantly (5 %), None where it cannot be
    judged. `outliers` are rows (from 1) that stand out and were kept. The rest serves the methods: spread of one
    setting used, its degrees of freedom, the covariance without the kerf, what one mm of kerf does to zero and
    scale.
    """

    zero: Estimate
    scale: Estimate
    residuals: tuple[float, ...]
    repeatability: float | None
    cov: tuple[tuple[float, float], tuple[float, float]]
    zero_only: Estimate
    scale_differs: bool | None
    outliers: tuple[int, ...]
    notes: tuple[Message, ...]
    lowest: float
    highest: float
    kerf: float
    kerf_u: float
    kerf_dof: float
    spread: float
    spread_dof: float
    spread_cov: tuple[tuple[float, float], tuple[float, float]]
    per_kerf: tuple[float, float]

    def offset_at(self, reading: float) -> Estimate:
        """Fence face to torch centreline at a reading [mm]; the line, without the scatter of one setting. Beyond the
        checks it is extrapolated."""
        u, dof = joined([self._line_part(reading), (abs(self._kerf_part(reading)) * self.kerf_u, self.kerf_dof)])
        return Estimate(self._offset(reading), u, dof, self.zero.n)

    def width_at(
        self,
        reading: float,
        kerf: float | None = None,
        kerf_u: float | None = None,
        *,
        kerf_dof: float = math.inf,
        one_setting: bool = True,
    ) -> Estimate:
        """Width of a strip on the fence at a reading [mm], F - k/2. Its interval holds the next strip; with
        `one_setting=False` the mean of many.

        Left out, or equal in both figures, kerf and kerf_u are the fit's own: then the strip's kerf error is the one
        that is in the zero already, and it cancels. Another kerf counts as measured on its own, with `kerf_dof`
        degrees of freedom. Where the scatter of a setting is not known (one or two checks) it is not inside.
        """
        line, dof = self._line_part(reading)
        if one_setting:
            line = math.hypot(line, self.spread)
        own = (kerf is None or kerf == self.kerf) and (kerf_u is None or kerf_u == self.kerf_u)
        if own:
            parts = [((abs(self._kerf_part(reading) - 0.5)) * self.kerf_u, self.kerf_dof)]
        elif kerf is None or kerf_u is None:
            raise ValueError("another kerf than the fit's needs both figures: kerf and kerf_u")
        else:
            parts = [(abs(self._kerf_part(reading)) * self.kerf_u, self.kerf_dof), (kerf_u / 2, kerf_dof)]
        u, effective = joined([(line, dof), *parts])
        return Estimate(self._offset(reading) - (self.kerf if kerf is None else kerf) / 2, u, effective, self.zero.n)

    def _offset(self, reading: float) -> float:
        return self.zero.value + self.scale.value * reading

    def _line_part(self, reading: float) -> tuple[float, float]:
        (a, b), (_, d) = self.spread_cov
        return math.sqrt(max(0.0, a + 2 * b * reading + d * reading * reading)), self.spread_dof

    def _kerf_part(self, reading: float) -> float:
        return self.per_kerf[0] + self.per_kerf[1] * reading


def straight_line(x: Sequence[float], y: Sequence[float]) -> Line:
    """Least squares on at least two different x. Standard method: NIST/SEMATECH e-Handbook 4.1.4.1.

    >>> line = straight_line([0, 1, 2], [1, 3, 5])
    >>> round(line.intercept, 9), round(line.slope, 9), round(line.sd, 9)
    (1.0, 2.0, 0.0)
    """
    import numpy as np

    xs, ys = np.asarray(x, float), np.asarray(y, float)
    n, middle = len(xs), float(xs.mean())
    # About the middle of x the two columns stand at right angles, which keeps the figures sharp far from x = 0.
    away = xs - middle
    (level, slope), *_ = np.linalg.lstsq(np.column_stack([np.ones(n), away]), ys, rcond=None)
    residuals = ys - level - slope * away
    square = float(away @ away)
    return Line(
        intercept=float(level - slope * middle),
        slope=float(slope),
        residuals=tuple(map(float, residuals)),
        leverage=tuple(map(float, 1 / n + away**2 / square)),
        inverse=((1 / n + middle * middle / square, -middle / square), (-middle / square, 1 / square)),
        sd=math.sqrt(float(residuals @ residuals) / (n - 2)) if n > 2 else None,
    )


def fit_fence(
    checks: Sequence[FenceCheck],
    *,
    kerf: float,
    kerf_u: float,
    resolution: float,
    scale: float = 1.0,
    fit_scale: bool | None = None,
    setting_u: float = 0.0,
    kerf_dof: float = math.inf,
) -> FenceFit:
    """Zero and scale of the fence from measured strips; every fault of the table in one FiguresError.

    `kerf`, `kerf_u`: the common kerf and its standard uncertainty [mm], with `kerf_dof` degrees of freedom.
    `resolution`: steps of the instrument that measured the widths [mm]. `scale` [mm per mark] is held where all checks
    are at one reading, or with `fit_scale=False`; `fit_scale=True` insists on fitting it. `setting_u` [mm] is what is
    known of how well a setting repeats; it counts only for one or two checks, which cannot show it.

    >>> fit = fit_fence([FenceCheck(81.0, 80.10)], kerf=1.55, kerf_u=0.03, resolution=0.05)
    >>> round(fit.zero.value, 3), round(fit.zero.u, 3)
    (-0.125, 0.021)
    """
    _refuse(checks, kerf, kerf_u, resolution, scale, setting_u)
    readings = [float(check.reading) for check in checks]
    offsets = [_offset(check, kerf) for check in checks]
    shares = [0.5 if check.kerf is None else 0.0 for check in checks]
    # A kerf measured on the strip itself errs on its own, from strip to strip.
    unseen = setting_u if len(checks) < 3 else 0.0
    known = [math.hypot(resolution_u(resolution), unseen, 0.0 if share else kerf_u / 2) for share in shares]
    table = _Table(readings, offsets, shares, known, scale, kerf, kerf_u, kerf_dof)
    one_reading = max(readings) - min(readings) <= _EPS
    if one_reading and fit_scale:
        raise FiguresError(Message("fence_one_reading", facts=Facts(checks=len(checks), reading=_reading(readings[0]))))
    if one_reading or fit_scale is False:
        return _zero_alone(table, one_reading=one_reading)
    return _both(table)


@dataclass(frozen=True)
class _Table:
    """Checked figures: readings, offsets, share of the common kerf in each offset, known uncertainty of each."""

    readings: list[float]
    offsets: list[float]
    shares: list[float]
    known: list[float]
    scale: float
    kerf: float
    kerf_u: float
    kerf_dof: float

    @property
    def n(self) -> int:
        return len(self.readings)

    def zeros(self) -> list[float]:
        """The zero that each check would give alone, with the scale as given."""
        return [offset - self.scale * reading for offset, reading in zip(self.offsets, self.readings, strict=True)]

    def mean_zero(self) -> tuple[Estimate, float]:
        """Zero with the scale as given, without the kerf's part, and the share of the common kerf in it."""
        mean, _ = scatter_or_reading(self.zeros(), [1.0] * self.n, self.known)
        return mean, math.fsum(self.shares) / self.n

    def with_kerf(self, mean: Estimate, share: float) -> Estimate:
        """The same with the uncertainty of the common kerf added."""
        u, dof = joined([(mean.u, mean.dof), (abs(share) * self.kerf_u, self.kerf_dof)])
        return Estimate(mean.value, u, dof, mean.n)

    def fit(self, **found: Any) -> FenceFit:
        """What was found, with what the checks themselves say: the range of readings, and the kerf."""
        lowest, highest = min(self.readings), max(self.readings)
        return FenceFit(
            lowest=lowest, highest=highest, kerf=self.kerf, kerf_u=self.kerf_u, kerf_dof=self.kerf_dof, **found
        )


def _zero_alone(table: _Table, *, one_reading: bool) -> FenceFit:
    """The zero, with the scale held."""
    mean, share = table.mean_zero()
    zero = table.with_kerf(mean, share)
    residuals = tuple(each - mean.value for each in table.zeros())
    sd = math.sqrt(math.fsum(each * each for each in residuals) / (table.n - 1)) if table.n > 1 else None
    near = {"near": float(table.readings[0])} if one_reading else {}
    notes = [Message("fence_scale_taken", facts=Facts(scale=float(table.scale), **near))]
    if sd is None:
        notes.append(Message("fence_one_check"))
    outliers = _standing_out(residuals, [1 / table.n] * table.n, sd, table.known, 1)
    spread = max(sd or 0.0, max(table.known))
    return table.fit(
        zero=zero,
        scale=Estimate(table.scale, 0.0, math.inf, 0),
        residuals=residuals,
        repeatability=sd,
        cov=((zero.u**2, 0.0), (0.0, 0.0)),
        zero_only=zero,
        scale_differs=None,
        outliers=outliers,
        notes=(*notes, *_outlier_notes(outliers, residuals)),
        spread=spread,
        spread_dof=mean.dof,
        spread_cov=((mean.u**2, 0.0), (0.0, 0.0)),
        per_kerf=(share, 0.0),
    )


def _both(table: _Table) -> FenceFit:
    """Zero and scale by least squares; exact, without residuals, where there are two checks."""
    line = straight_line(table.readings, table.offsets)
    _refuse_slope(table, line)
    spread, dof = _spread(table, line)
    spread_cov = _scaled(line.inverse, spread * spread) if table.n > 2 else _propagated(table)
    shift = straight_line(table.readings, table.shares)
    per_kerf = (shift.intercept, shift.slope)
    zero = table.with_kerf(Estimate(line.intercept, math.sqrt(spread_cov[0][0]), dof, table.n), per_kerf[0])
    scale = table.with_kerf(Estimate(line.slope, math.sqrt(spread_cov[1][1]), dof, table.n), per_kerf[1])
    common = table.kerf_u**2
    off = spread_cov[0][1] + per_kerf[0] * per_kerf[1] * common
    simple = table.with_kerf(*table.mean_zero())
    differs = None if table.n < 3 else abs(scale.value - table.scale) > scale.half_width()
    outliers = _standing_out(line.residuals, line.leverage, line.sd, table.known, 2)
    return table.fit(
        zero=zero,
        scale=scale,
        residuals=line.residuals if table.n > 2 else (0.0, 0.0),
        repeatability=line.sd,
        cov=((zero.u**2, off), (off, scale.u**2)),
        zero_only=simple,
        scale_differs=differs,
        outliers=outliers,
        notes=(*_fit_notes(table, line, scale, simple, differs), *_outlier_notes(outliers, line.residuals)),
        spread=spread,
        spread_dof=dof,
        spread_cov=spread_cov,
        per_kerf=per_kerf,
    )


def _spread(table: _Table, line: Line) -> tuple[float, float]:
    """Standard deviation of one check and its degrees of freedom: the scatter about the line, or what is known
    beforehand if that says more.

    The scatter holds the random part of reading the widths already, so the two are not added.
    """
    known = math.sqrt(math.fsum(u * u for u in table.known) / table.n)
    if line.sd is None:
        return known, math.inf
    dof = table.n - 2
    if line.sd * coverage_factor(dof) >= known * coverage_factor(math.inf):
        return line.sd, dof
    return known, math.inf


def _propagated(table: _Table) -> tuple[tuple[float, float], tuple[float, float]]:
    """Covariance of zero and scale of the line through two points, from what is known of each: JCGM 100:2008, 5.1.2."""
    (first, second), (u, v) = table.readings, (each * each for each in table.known)
    gap = (second - first) ** 2
    return (
        ((second * second * u + first * first * v) / gap, -(second * u + first * v) / gap),
        (-(second * u + first * v) / gap, (u + v) / gap),
    )


def _scaled(
    matrix: tuple[tuple[float, float], tuple[float, float]], by: float
) -> tuple[tuple[float, float], tuple[float, float]]:
    (a, b), (c, d) = matrix
    return (a * by, b * by), (c * by, d * by)


def _standing_out(
    residuals: Sequence[float], leverage: Sequence[float], sd: float | None, known: Sequence[float], fitted: int
) -> tuple[int, ...]:
    """Row (from 1) of the greatest studentized residual, where chance and the reading of the width do not explain
    it."""
    n = len(residuals)
    if not sd or n < fitted + 2:
        return ()
    out = [
        abs(each) / (sd * math.sqrt(1 - h)) if h < 1 - _EPS else 0.0
        for each, h in zip(residuals, leverage, strict=True)
    ]
    worst = max(range(n), key=out.__getitem__)
    # Left out, a point lies residual / (1 - leverage) off the line of the others.
    off = abs(residuals[worst]) / (1 - leverage[worst]) if out[worst] else 0.0
    return (worst + 1,) if out[worst] > studentized_limit(n, fitted) and off > 3 * known[worst] else ()


def _outlier_notes(outliers: Sequence[int], residuals: Sequence[float]) -> list[Message]:
    off = {row: residuals[row - 1] for row in outliers}
    return [
        Message("fence_stands_out", facts=Facts(row=row, off=length(each), by=measured(abs(each))))
        for row, each in off.items()
    ]


def _fit_notes(table: _Table, line: Line, scale: Estimate, simple: Estimate, differs: bool | None) -> list[Message]:
    found = {"scale": scale.value, "half": scale.half_width(), "given": float(table.scale)}
    reach = Facts(lowest=_reading(min(table.readings)), highest=_reading(max(table.readings)))
    notes = [Message("fence_reach", facts=reach)]
    if differs is None:
        notes.append(Message("fence_two_checks", facts=Facts(**found)))
    elif differs:
        notes.append(Message("fence_scale_differs", facts=Facts(**found)))
    else:
        zero, half = measured(simple.value), measured(simple.half_width())
        facts = Facts(checks=table.n, zero=zero, zero_half=half, **found)
        notes.append(Message("fence_scale_alike", facts=facts))
    if line.sd is not None and line.sd < min(table.known):
        notes.append(Message("fence_too_alike"))
    if table.scale == 1 and abs(scale.value / INCH - 1) < 0.05:
        notes.append(Message("fence_in_inches", facts=Facts(inch=INCH)))
    return notes


def _refuse_slope(table: _Table, line: Line) -> None:
    if line.slope <= 0:
        reach = {"lowest": _reading(min(table.readings)), "highest": _reading(max(table.readings))}
        raise FiguresError(Message("fence_scale_turned", facts=Facts(slope=line.slope, **reach)))


def _refuse(
    checks: Sequence[FenceCheck], kerf: float, kerf_u: float, resolution: float, scale: float, setting_u: float
) -> None:
    """Raise all faults of the table in one FiguresError."""
    faults = [] if checks else [Message("fence_no_check")]
    for name, value in (("kerf", kerf), ("resolution", resolution), ("scale", scale)):
        if not (math.isfinite(value) and value > 0):
            faults.append(Message("above_0", facts=Facts(name=name, value=float(value))))
    for name, value in (("kerf_u", kerf_u), ("setting_u", setting_u)):
        if not (math.isfinite(value) and value >= 0):
            facts = Facts(name=name, value=length(value), zero=length(0))
            faults.append(Message("length_not_below_0", facts=facts))
    for row, check in enumerate(checks, 1):
        faults += [Message("of_row", facts=Facts(row=row, what=fault)) for fault in _faults(check, kerf)]
    if not faults:
        faults = _inches(checks, kerf, scale) or _apart(checks, kerf)
    if faults:
        raise FiguresError(*faults)


def _faults(check: FenceCheck, kerf: float) -> list[Message]:
    """What makes one check unusable."""
    faults = []
    if not math.isfinite(check.reading):
        faults.append(Message("fence_reading", facts=Facts(reading=float(check.reading))))
    if check.kerf is not None and not (math.isfinite(check.kerf) and check.kerf > 0):
        facts = Facts(name="kerf", value=length(check.kerf), zero=length(0))
        return [*faults, Message("length_above_0", facts=facts)]
    if not (math.isfinite(check.width) and check.width > 0):
        facts = Facts(name="width", value=length(check.width), zero=length(0))
        return [*faults, Message("number_above_0", facts=facts)]
    half = (kerf if check.kerf is None else check.kerf) / 2
    if check.width < half:
        faults.append(Message("fence_no_strip", facts=Facts(width=measured(check.width), half=measured(half))))
    return faults


def _reading(value: float) -> float:
    """A reading for a sentence: finer than any scale."""
    return round(float(value), 3) + 0.0


def _offset(check: FenceCheck, kerf: float) -> float:
    """Fence face to torch centreline of a measured strip [mm]: w + k/2."""
    return float(check.width + (kerf if check.kerf is None else check.kerf) / 2)


def _apart(checks: Sequence[FenceCheck], kerf: float) -> list[Message]:
    """Pairs of rows at one reading whose offsets cannot both be right."""
    offset = [_offset(check, kerf) for check in checks]
    return [
        Message(
            "fence_rows_apart",
            facts=Facts(
                one=a + 1, other=b + 1, reading=_reading(checks[a].reading), one_width=measured(checks[a].width),
                other_width=measured(checks[b].width), apart=measured(abs(offset[a] - offset[b])), most=measured(APART),
            ),
        )
        for b in range(len(checks))
        for a in range(b)
        if abs(checks[a].reading - checks[b].reading) <= _EPS and abs(offset[a] - offset[b]) > APART
    ]  # fmt: skip


def _inches(checks: Sequence[FenceCheck], kerf: float, scale: float) -> list[Message]:
    """Rows whose width makes sense only in inches: turned into mm, the checks agree at least ten times better."""
    suspects = {row for row, check in enumerate(checks, 1) if 20 < scale * check.reading / check.width < 32}
    if not suspects:
        return []

    def disagreement(factor: float) -> float:
        turned = [
            replace(each, width=each.width * factor) if row in suspects else each for row, each in enumerate(checks, 1)
        ]
        zeros = [_offset(each, kerf) - scale * each.reading for each in turned]
        return max(zeros) - min(zeros)

    if disagreement(INCH) >= disagreement(1) / 10:
        return []
    rows = {row: checks[row - 1] for row in sorted(suspects)}
    return [
        Message(
            "fence_row_in_inches",
            facts=Facts(row=row, width=measured(each.width), reading=_reading(each.reading)),
        )
        for row, each in rows.items()
    ]
