"""Runs that the others of their mark do not bear out."""

from __future__ import annotations

import math
from collections.abc import Sequence

from stripplan.rig.notebook.dial.marks import Group, Scatter, pace_of, scatters_of
from stripplan.rig.uncertainty import combined, coverage_factor
from stripplan.wording.message import Facts, Message
from stripplan.wording.message import speed as speed_of

FALSE_ALARM = 0.01
"""Chance that a sound table is blamed for an outlier, and likewise for a contradiction."""


def outliers(groups: Sequence[Group], u_watch: float) -> dict[float, Message]:
    """Marks with a run that the others of the mark do not bear out, and what names it.

    The scatter of all other marks says what is usual, by whichever power excuses the run. Threshold by Bonferroni:
    `FALSE_ALARM` for the whole table.
    """
    repeated = [each for each in groups if len(each.runs) > 1]
    tried = sum(len(each.runs) for each in repeated)
    found = {}
    for group in repeated:
        if pace_of(group, u_watch, Scatter(0.0, 0, 0)).squares <= len(group.runs):  # nothing unusual by the watch alone
            continue
        usual = scatters_of([each for each in repeated if each is not group], u_watch)
        surprises = [
            min(_surprise(group, k, u_watch, each, FALSE_ALARM / tried) for each in usual)
            for k in range(len(group.runs))
        ]
        if max(surprises) > 1:
            found[group.mark] = _outlier_said(group, surprises.index(max(surprises)))
    return found


def _surprise(group: Group, place: int, u_watch: float, scatter: Scatter, chance: float) -> float:
    """How far a run lies from what the others of its mark foretell, in parts of what noise allows."""
    run, others = group.runs[place], pace_of(group.without(place), u_watch, scatter)
    foretold = run.distance * others.pace
    parts = [(u_watch, math.inf), (foretold * others.watch, math.inf)]
    excess = math.hypot(scatter.seconds(run), foretold * others.excess)
    u, dof = combined([*parts, (excess, scatter.dof)])
    return abs(run.seconds - foretold) / (u * coverage_factor(dof, 1 - chance))


def _outlier_said(group: Group, place: int) -> Message:
    if len(group.runs) == 2:
        one, other = (speed_of(each.speed) for each in group.runs)
        rows = {"one": group.rows[0], "other": group.rows[1]}
        return Message("dial_two_runs_apart", facts=Facts(**rows, mark=group.mark, one_speed=one, other_speed=other))
    rest = 60 / pace_of(group.without(place), 1.0, Scatter(0.0, 0, 0)).pace
    speeds = {"speed": speed_of(group.runs[place].speed), "rest": speed_of(rest)}
    return Message("dial_run_apart", facts=Facts(row=group.rows[place], mark=group.mark, **speeds))
