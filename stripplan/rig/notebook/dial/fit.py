"""The speed dial from timed runs: a monotone curve between mark and travel speed, with its uncertainty.

Problem. The carriage was timed over known distances at several marks of the dial. Wanted: the travel speed at any mark
between them, the mark for a wanted speed, and how far both may be off.

Method, in this order:

1. Pace of a mark, seconds a millimetre, by least squares through all its runs: a watch is off by as much in a long time
   as in a short one, so a long run says more. Speed is 60 over pace.
2. Type B uncertainty of watch and rule from half-widths, a / sqrt 3 (JCGM 100:2008, GUM, 4.3.7). The watch errs afresh
   in each run; the rule errs alike in all of them and is not lessened by repeats.
3. Type A: where repeats of one mark scatter more than the watch explains, the excess of all marks is estimated
   together, so that the weighted squares of the residuals come to what is usual (Mandel and Paule, Analytical Chemistry
   42 (1970) 1194, from memory; we take the median of chi-square in place of its mean, so that few repeats are as often
   above as below the truth). It is one share of the speed, unless the repeats speak clearly for one figure in mm/min
   (the dial set afresh) or in seconds (the watch worse than told). It has the degrees of freedom of the repeats; all
   parts are combined by GUM 5.1.2 and G.4.1.
4. A run that its fellows of the same mark do not bear out is named and stays in; its mark stands on its own scatter
   where the other marks have repeats enough to speak for themselves.
5. Marks that contradict the run of the dial within their noise are levelled by weighted isotonic regression (pool
   adjacent violators; Barlow and others, Statistical inference under order restrictions, 1972, from memory). Beyond
   their noise they are refused.
6. Between marks a monotone cubic (Fritsch and Butland, SIAM J. Sci. Stat. Comput. 5 (1984) 300, from memory). Its
   uncertainty is carried over from the marks by GUM 5.1.3 note 2, each mark moved up and down by its u. What the dial
   does between marks was not timed: a half-width for it comes from the bend of the curve at the marks around, which
   presumes a smooth dial, and with fewer than five marks from the speeds of the two neighbours alone.

Nothing is extrapolated beyond the measured marks. Cost: a few milliseconds for tens of runs.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from stripplan.errors import FiguresError
from stripplan.model.notebook import TimedRun
from stripplan.rig.notebook.dial.curve import ENOUGH_MARKS, DialCurve, DialPoint, cubics_through
from stripplan.rig.notebook.dial.marks import Group, Scatter, grouped, pace_of, point_of, scatter_of
from stripplan.rig.notebook.dial.order import NotYetError, check_change, check_order, falls, levelled
from stripplan.rig.notebook.dial.outliers import outliers
from stripplan.rig.uncertainty import LEVEL, coverage_factor, rectangular_u
from stripplan.wording.message import Facts, Message, Quantity, length
from stripplan.wording.message import speed as speed_of

WATCH = 0.2
"""Half-width of a time stopped by hand, start and stop together [s]: common practice, no source."""
RULE = 1.0
"""Half-width of a timed distance, both ends of a tape together [mm]: common practice, no source."""
ENOUGH_REPEATS = 5
"""Degrees of freedom from which the scatter of repeats speaks for marks that are not among them: a choice of ours."""
ROUGH = 0.02
"""Relative half-width of one run above which it is named as too short."""


def fit_dial(runs: Sequence[TimedRun], *, watch: float = WATCH, rule: float = RULE) -> DialCurve:
    """The curve of a dial from timed runs; `watch` [s] and `rule` [mm] are half-widths.

    Turn the dial away and back between repeats of a mark: only then is what setting it adds among the scatter.
    FiguresError names rows, counted from 1: figures that cannot be, speeds that contradict one another. NotYetError:
    nothing is wrong, but fewer than two marks were timed, or marks too close together.

    >>> runs = [TimedRun(2, 500, 150.1), TimedRun(4, 500, 75.2), TimedRun(6, 500, 49.9), TimedRun(8, 500, 40.1)]
    >>> curve = fit_dial(runs + [TimedRun(4, 500, 75.1)])
    >>> speed = curve.speed_at(4)
    >>> round(speed.value, 1), round(speed.half_width(), 1)
    (399.2, 1.2)
    """
    _check(runs, watch, rule)
    groups = grouped(runs)
    if len(groups) < 2:
        at = {"mark": groups[0].mark} if groups else {}
        raise NotYetError(Message("dial_one_mark", facts=Facts(runs=len(runs), better=ENOUGH_MARKS, **at)))
    u_watch, u_rule = rectangular_u(watch), rectangular_u(rule)
    odd = outliers(groups, u_watch)
    pooled = [each for each in groups if each.mark not in odd]
    alone = sum(len(each.runs) - 1 for each in pooled) >= ENOUGH_REPEATS
    if not alone:
        pooled = groups
    common = scatter_of(pooled, u_watch)
    points = []
    for group in groups:
        scatter = scatter_of([group], u_watch) if alone and group.mark in odd else common
        points.append(point_of(group, u_watch, u_rule, scatter))
    falling = falls(points)
    check_order(points, falling)
    points = levelled(points, falling)
    check_change(points)
    notes = [*odd.values(), *_notes(runs, groups, pooled, points, watch, common)]
    return DialCurve(tuple(points), falling, tuple(notes), *cubics_through(points))


def _check(runs: Sequence[TimedRun], watch: float, rule: float) -> None:
    """All figures that cannot be, said at once."""
    faults = []
    if not (math.isfinite(watch) and watch > 0):
        faults.append(Message("watch_above_0", facts=Facts(watch=_seconds(watch))))
    if not (math.isfinite(rule) and rule >= 0):
        faults.append(Message("rule_not_below_0", facts=Facts(rule=length(rule))))
    for row, run in enumerate(runs, 1):
        faults += [Message("of_row", facts=Facts(row=row, what=each)) for each in _run_faults(run)]
    if faults:
        raise FiguresError(*faults)


def _run_faults(run: TimedRun) -> Iterator[Message]:
    if not (math.isfinite(run.mark) and run.mark >= 0):
        yield Message("run_mark", facts=Facts(mark=float(run.mark)))
    if not (math.isfinite(run.distance) and run.distance > 0):
        yield Message("run_distance", facts=Facts(distance=length(run.distance)))
    if not (math.isfinite(run.seconds) and run.seconds > 0):
        yield Message("run_seconds", facts=Facts(seconds=_seconds(run.seconds)))


def _seconds(value: float) -> Quantity:
    return Quantity(value, "seconds")


def _notes(
    runs: Sequence[TimedRun],
    groups: Sequence[Group],
    pooled: Sequence[Group],
    points: Sequence[DialPoint],
    watch: float,
    scatter: Scatter,
) -> list[Message]:
    notes = []
    if len(groups) < ENOUGH_MARKS:
        notes.append(Message("dial_few_marks", facts=Facts(marks=len(groups), enough=ENOUGH_MARKS)))
    if len(groups) == len(runs):
        notes.append(Message("dial_no_repeats"))
    notes += _excess_said(pooled, watch, scatter)
    notes += _levelled_said(points)
    return notes + [_short_run(row, run, watch) for row, run in enumerate(runs, 1) if _too_short(run, watch)]


def _too_short(run: TimedRun, watch: float) -> bool:
    return coverage_factor(math.inf) * rectangular_u(watch) / run.seconds > ROUGH


def _short_run(row: int, run: TimedRun, watch: float) -> Message:
    """A run that is short for the watch, and how long one would be that gives the speed twice as surely."""
    need = coverage_factor(math.inf) * rectangular_u(watch) / (ROUGH / 2)
    facts = Facts(
        row=row, seconds=_seconds(run.seconds), watch=_seconds(watch), distance=length(run.speed * need / 60),
        need=_seconds(need), sure=Quantity(100 * ROUGH / 2, "percent"),
    )  # fmt: skip
    return Message("dial_run_short", facts=facts)


def _excess_said(pooled: Sequence[Group], watch: float, scatter: Scatter) -> list[Message]:
    """Said only where the scatter would be a rare chance (1 in 20) for a watch that is as good as told."""
    from scipy.special import chdtri

    runs = [run for each in pooled if len(each.runs) > 1 for run in each.runs]
    told = Scatter(0.0, 0, 0)
    squares = math.fsum(pace_of(each, rectangular_u(watch), told).squares for each in pooled)
    if not scatter.size or squares <= float(chdtri(scatter.dof, 1 - LEVEL)):
        return []
    seconds = math.fsum(scatter.seconds(run) for run in runs) / len(runs)
    by = {0: Quantity(100 * scatter.size, "percent"), 1: speed_of(scatter.size), -1: _seconds(seconds)}
    return [Message("dial_scatter", facts=Facts(by=by[scatter.power], watch=_seconds(watch)))]


def _levelled_said(points: Sequence[DialPoint]) -> list[Message]:
    notes, block = [], [points[0]]
    for point in [*points[1:], None]:
        if point is not None and math.isclose(point.speed, block[0].speed, rel_tol=1e-12):
            block.append(point)
            continue
        if len(block) > 1:
            marks, timed = tuple(each.mark for each in block), tuple(speed_of(each.timed) for each in block)
            facts = Facts(marks=marks, timed=timed, level=speed_of(block[0].speed))
            notes.append(Message("dial_levelled", facts=facts))
        block = [point] if point is not None else []
    return notes
