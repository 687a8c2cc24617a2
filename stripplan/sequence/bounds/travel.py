"""Least minutes of a layout over all orders of its cuts, as far as the carriage is concerned. They say
nothing about other layouts.

Problem and method: the lengths of the cuts are the layout's, whatever their order, and an end stop is never
below what its cut needs. So arcs, returns and flows with every stop at its least are a bound, added to that
of the set-ups. Exact where each cut has its least stop. Cost: one look at each cut.
"""

from __future__ import annotations

from collections.abc import Sequence

from stripplan.model.plan.cut import Cut
from stripplan.model.rig import Rig
from stripplan.rig.machine.timing import arc_seconds, post_flow_seconds, return_seconds


def travel_minutes(rig: Rig, cuts: Sequence[Cut]) -> float:
    """Least minutes of arcs, returns and flows, of cuts whose lengths are in mm, at their own speeds [mm/min].

    The lengths of the cuts are the layout's, whatever their order; an end stop is never below what its cut needs.
    """
    fixed = 0.0
    for cut in cuts:
        # A second pass makes up what the first leaves, so with two of them none runs out beyond the metal.
        over = rig.overrun if len(cut.passes) == 1 else 0.0
        stops = [rig.lead_in + each.length + over for each in cut.passes]
        air = len(stops) * rig.pre_flow + post_flow_seconds(rig, stops)
        fixed += arc_seconds(stops, cut.travel_speed) + return_seconds(stops, rig.return_speed) + air
    return fixed / 60
