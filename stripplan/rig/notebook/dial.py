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
from dataclasses import dataclass, field, replace
from itertools import combinations, pairwise
from typing import Any

from stripplan.errors import FiguresError
from stripplan.model.notebook import TimedRun
from stripplan.rig.uncertainty import LEVEL, Estimate, combined, coverage_factor, rectangular_u
from stripplan.wording.message import Facts, Message, Quantity, length
from stripplan.wording.message import speed as speed_of

WATCH = 0.2
"""Half-width of a time stopped by hand, start and stop together [s]: common practice, no source."""
RULE = 1.0
"""Half-width of a timed distance, both ends of a tape together [mm]: common practice, no source."""
ENOUGH_MARKS = 5
"""Fewer marks than this leave the shape of a dial unsure: common practice, no source."""
FALSE_ALARM = 0.01
"""Chance that a sound table is blamed for an outlier, and likewise for a contradiction."""
ENOUGH_REPEATS = 5
"""Degrees of freedom from which the scatter of repeats speaks for marks that are not among them: a choice of ours."""
ROUGH = 0.02
"""Relative half-width of one run above which it is named as too short."""
_EPS = 1e-9


class NotYetError(FiguresError):
    """The runs are sound and do not make a dial yet: more are needed."""


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


# --- from runs to marks ---------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Group:
    """All runs of one mark."""

    mark: float
    rows: tuple[int, ...]
    runs: tuple[TimedRun, ...]

    def without(self, place: int) -> _Group:
        keep = [k for k in range(len(self.runs)) if k != place]
        return _Group(self.mark, tuple(self.rows[k] for k in keep), tuple(self.runs[k] for k in keep))


@dataclass(frozen=True)
class _Scatter:
    """What repeats scatter beyond the watch: `size` over speed to the `power` is a share of the speed, with its degrees
    of freedom.

    Power 0: a share; 1: so many mm/min, whatever the speed; -1: so many seconds, for runs of one length.
    """

    size: float
    power: int
    dof: float

    def seconds(self, run: TimedRun) -> float:
        """The same as a standard deviation of the time of a run [s]."""
        return self.size * run.speed**-self.power * run.seconds


@dataclass(frozen=True)
class _Pace:
    """Pace [s/mm] by least squares; shares of it: u by the watch, by the excess, by 1 mm of the rule.

    `squares` are the weighted squared residuals, `likely` the logarithm of the restricted likelihood.
    """

    pace: float
    watch: float
    excess: float
    rule: float
    squares: float
    likely: float


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
    groups = _grouped(runs)
    if len(groups) < 2:
        at = {"mark": groups[0].mark} if groups else {}
        raise NotYetError(Message("dial_one_mark", facts=Facts(runs=len(runs), better=ENOUGH_MARKS, **at)))
    u_watch, u_rule = rectangular_u(watch), rectangular_u(rule)
    odd = _outliers(groups, u_watch)
    pooled = [each for each in groups if each.mark not in odd]
    alone = sum(len(each.runs) - 1 for each in pooled) >= ENOUGH_REPEATS
    if not alone:
        pooled = groups
    common = _scatter(pooled, u_watch)
    points = []
    for group in groups:
        scatter = _scatter([group], u_watch) if alone and group.mark in odd else common
        points.append(_point(group, u_watch, u_rule, scatter))
    falling = _falls(points)
    _check_order(points, falling)
    levelled = _levelled(points, falling)
    _check_change(levelled)
    notes = [*odd.values(), *_notes(runs, groups, pooled, levelled, watch, common)]
    return DialCurve(tuple(levelled), falling, tuple(notes), *_cubics(levelled))


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


def _grouped(runs: Sequence[TimedRun]) -> list[_Group]:
    """Runs by mark, least mark first."""
    rows: dict[float, list[int]] = {}
    for row, run in enumerate(runs, 1):
        rows.setdefault(round(run.mark, 9), []).append(row)
    return [_Group(mark, tuple(rows[mark]), tuple(runs[row - 1] for row in rows[mark])) for mark in sorted(rows)]


def _pace(group: _Group, u_watch: float, scatter: _Scatter) -> _Pace:
    """Weighted least squares of time over distance through zero."""
    noise = [(run, u_watch**2, scatter.seconds(run) ** 2) for run in group.runs]
    base = math.fsum(run.distance**2 / (a + b) for run, a, b in noise)
    pace = math.fsum(run.distance * run.seconds / (a + b) for run, a, b in noise) / base
    by_watch = math.sqrt(math.fsum((run.distance / (a + b)) ** 2 * a for run, a, b in noise))
    by_excess = math.sqrt(math.fsum((run.distance / (a + b)) ** 2 * b for run, a, b in noise))
    by_rule = math.fsum(run.distance / (a + b) for run, a, b in noise)
    squares = math.fsum((run.seconds - run.distance * pace) ** 2 / (a + b) for run, a, b in noise)
    likely = -(math.fsum(math.log(a + b) for _, a, b in noise) + math.log(base) + squares) / 2
    return _Pace(pace, by_watch / base / pace, by_excess / base / pace, by_rule / base, squares, likely)


def _scatter(groups: Sequence[_Group], u_watch: float) -> _Scatter:
    """The likeliest scatter beyond the watch; a share of the speed unless another is likelier by a factor
    of e squared.
    """
    first, *others = _scatters(groups, u_watch)
    if not first.size:
        return first

    def likely(scatter: _Scatter) -> float:
        return math.fsum(_pace(each, u_watch, scatter).likely for each in groups if len(each.runs) > 1)

    best = max(others, key=likely)
    return best if likely(best) > likely(first) + 2 else first


def _scatters(groups: Sequence[_Group], u_watch: float) -> tuple[_Scatter, ...]:
    """The scatter beyond the watch by each power: step 3, by halving the interval."""
    from scipy.special import chdtri

    repeated = [each for each in groups if len(each.runs) > 1]
    dof = sum(len(each.runs) - 1 for each in repeated)
    none = _Scatter(0.0, 0, dof)

    def squares(scatter: _Scatter) -> float:
        return math.fsum(_pace(each, u_watch, scatter).squares for each in repeated)

    if not dof:
        return (none,)
    want = float(chdtri(dof, 0.5))
    if squares(none) <= want:
        return (none,)
    found = []
    for power in (0, 1, -1):
        low, high = 0.0, 1e-2 * repeated[0].runs[0].speed ** power
        while squares(_Scatter(high, power, dof)) > want:
            low, high = high, 2 * high
        for _ in range(12):
            middle = (low + high) / 2
            low, high = (middle, high) if squares(_Scatter(middle, power, dof)) > want else (low, middle)
        found.append(_Scatter(high, power, dof))
    return tuple(found)


def _point(group: _Group, u_watch: float, u_rule: float, scatter: _Scatter) -> DialPoint:
    pace = _pace(group, u_watch, scatter)
    speed = 60 / pace.pace
    by_rule = speed * pace.rule * u_rule
    u, dof = combined([(speed * pace.watch, math.inf), (speed * pace.excess, scatter.dof), (by_rule, math.inf)])
    return DialPoint(group.mark, speed, u, dof, speed, by_rule, group.rows)


def _outliers(groups: Sequence[_Group], u_watch: float) -> dict[float, Message]:
    """Marks with a run that the others of the mark do not bear out, and what names it.

    The scatter of all other marks says what is usual, by whichever power excuses the run. Threshold by Bonferroni:
    `FALSE_ALARM` for the whole table.
    """
    repeated = [each for each in groups if len(each.runs) > 1]
    tried = sum(len(each.runs) for each in repeated)
    found = {}
    for group in repeated:
        if _pace(group, u_watch, _Scatter(0.0, 0, 0)).squares <= len(group.runs):  # nothing unusual by the watch alone
            continue
        usual = _scatters([each for each in repeated if each is not group], u_watch)
        surprises = [
            min(_surprise(group, k, u_watch, each, FALSE_ALARM / tried) for each in usual)
            for k in range(len(group.runs))
        ]
        if max(surprises) > 1:
            found[group.mark] = _outlier_said(group, surprises.index(max(surprises)))
    return found


def _surprise(group: _Group, place: int, u_watch: float, scatter: _Scatter, chance: float) -> float:
    """How far a run lies from what the others of its mark foretell, in parts of what noise allows."""
    run, others = group.runs[place], _pace(group.without(place), u_watch, scatter)
    foretold = run.distance * others.pace
    parts = [(u_watch, math.inf), (foretold * others.watch, math.inf)]
    excess = math.hypot(scatter.seconds(run), foretold * others.excess)
    u, dof = combined([*parts, (excess, scatter.dof)])
    return abs(run.seconds - foretold) / (u * coverage_factor(dof, 1 - chance))


def _outlier_said(group: _Group, place: int) -> Message:
    if len(group.runs) == 2:
        one, other = (speed_of(each.speed) for each in group.runs)
        rows = {"one": group.rows[0], "other": group.rows[1]}
        return Message("dial_two_runs_apart", facts=Facts(**rows, mark=group.mark, one_speed=one, other_speed=other))
    rest = 60 / _pace(group.without(place), 1.0, _Scatter(0.0, 0, 0)).pace
    speeds = {"speed": speed_of(group.runs[place].speed), "rest": speed_of(rest)}
    return Message("dial_run_apart", facts=Facts(row=group.rows[place], mark=group.mark, **speeds))


# --- from marks to the curve ----------------------------------------------------------------------------------------


def _levels(points: Sequence[DialPoint], falling: bool) -> list[float]:
    from scipy.optimize import isotonic_regression

    weights = [each.u**-2 for each in points]
    return [
        float(each)
        for each in isotonic_regression([each.timed for each in points], weights=weights, increasing=not falling).x
    ]


def _falls(points: Sequence[DialPoint]) -> bool:
    """Whether the speeds fall with the mark: the way that leaves the less to be levelled."""
    left = [
        math.fsum(((each.timed - level) / each.u) ** 2 for each, level in zip(points, levels, strict=True))
        for levels in (_levels(points, False), _levels(points, True))
    ]
    return left[1] < left[0]


def _check_order(points: Sequence[DialPoint], falling: bool) -> None:
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


def _levelled(points: Sequence[DialPoint], falling: bool) -> list[DialPoint]:
    return [replace(each, speed=level) for each, level in zip(points, _levels(points, falling), strict=True)]


def _check_change(points: Sequence[DialPoint]) -> None:
    first, last = points[0], points[-1]
    u, dof = combined([(first.u, first.dof), (last.u, last.dof)])
    change, noise = abs(last.speed - first.speed), u * coverage_factor(dof, LEVEL)
    if change <= noise:
        speeds = {"change": speed_of(change), "noise": speed_of(noise)}
        raise NotYetError(Message("dial_no_change", facts=Facts(first=first.mark, last=last.mark, **speeds)))


def _cubics(points: Sequence[DialPoint]) -> tuple[Any, Any]:
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


# --- what the person should know ------------------------------------------------------------------------------------


def _notes(
    runs: Sequence[TimedRun],
    groups: Sequence[_Group],
    pooled: Sequence[_Group],
    points: Sequence[DialPoint],
    watch: float,
    scatter: _Scatter,
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


def _excess_said(pooled: Sequence[_Group], watch: float, scatter: _Scatter) -> list[Message]:
    """Said only where the scatter would be a rare chance (1 in 20) for a watch that is as good as told."""
    from scipy.special import chdtri

    runs = [run for each in pooled if len(each.runs) > 1 for run in each.runs]
    told = _Scatter(0.0, 0, 0)
    squares = math.fsum(_pace(each, rectangular_u(watch), told).squares for each in pooled)
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
