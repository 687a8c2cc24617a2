"""From timed runs to marks: the pace of each, and what repeats scatter beyond the watch."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from stripplan.model.notebook import TimedRun
from stripplan.rig.notebook.dial.curve import DialPoint
from stripplan.rig.uncertainty import combined


@dataclass(frozen=True)
class Group:
    """All runs of one mark."""

    mark: float
    rows: tuple[int, ...]
    runs: tuple[TimedRun, ...]

    def without(self, place: int) -> Group:
        keep = [k for k in range(len(self.runs)) if k != place]
        return Group(self.mark, tuple(self.rows[k] for k in keep), tuple(self.runs[k] for k in keep))


@dataclass(frozen=True)
class Scatter:
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


def grouped(runs: Sequence[TimedRun]) -> list[Group]:
    """Runs by mark, least mark first."""
    rows: dict[float, list[int]] = {}
    for row, run in enumerate(runs, 1):
        rows.setdefault(round(run.mark, 9), []).append(row)
    return [Group(mark, tuple(rows[mark]), tuple(runs[row - 1] for row in rows[mark])) for mark in sorted(rows)]


def pace_of(group: Group, u_watch: float, scatter: Scatter) -> _Pace:
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


def scatter_of(groups: Sequence[Group], u_watch: float) -> Scatter:
    """The likeliest scatter beyond the watch; a share of the speed unless another is likelier by a factor
    of e squared.
    """
    first, *others = scatters_of(groups, u_watch)
    if not first.size:
        return first

    def likely(scatter: Scatter) -> float:
        return math.fsum(pace_of(each, u_watch, scatter).likely for each in groups if len(each.runs) > 1)

    best = max(others, key=likely)
    return best if likely(best) > likely(first) + 2 else first


def scatters_of(groups: Sequence[Group], u_watch: float) -> tuple[Scatter, ...]:
    """The scatter beyond the watch by each power: step 3, by halving the interval."""
    from scipy.special import chdtri

    repeated = [each for each in groups if len(each.runs) > 1]
    dof = sum(len(each.runs) - 1 for each in repeated)
    none = Scatter(0.0, 0, dof)

    def squares(scatter: Scatter) -> float:
        return math.fsum(pace_of(each, u_watch, scatter).squares for each in repeated)

    if not dof:
        return (none,)
    want = float(chdtri(dof, 0.5))
    if squares(none) <= want:
        return (none,)
    found = []
    for power in (0, 1, -1):
        low, high = 0.0, 1e-2 * repeated[0].runs[0].speed ** power
        while squares(Scatter(high, power, dof)) > want:
            low, high = high, 2 * high
        for _ in range(12):
            middle = (low + high) / 2
            low, high = (middle, high) if squares(Scatter(middle, power, dof)) > want else (low, middle)
        found.append(Scatter(high, power, dof))
    return tuple(found)


def point_of(group: Group, u_watch: float, u_rule: float, scatter: Scatter) -> DialPoint:
    pace = pace_of(group, u_watch, scatter)
    speed = 60 / pace.pace
    by_rule = speed * pace.rule * u_rule
    u, dof = combined([(speed * pace.watch, math.inf), (speed * pace.excess, scatter.dof), (by_rule, math.inf)])
    return DialPoint(group.mark, speed, u, dof, speed, by_rule, group.rows)
