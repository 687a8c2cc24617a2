"""Least minutes of a layout over all orders of its cuts. They say nothing about other layouts."""

from __future__ import annotations

from collections.abc import Sequence

from ..model.cut import Cut
from ..model.rig import Rig


def travel_minutes(rig: Rig, cuts: Sequence[Cut]) -> float:
    """Least minutes of arcs, returns and flows.

    The lengths of the cuts are the layout's, whatever their order; an end stop is never below what its cut needs.
    """
    fixed = 0.0
    for cut in cuts:
        for each in cut.passes:
            over = rig.overrun if len(cut.passes) == 1 else 0.0
            least = rig.lead_in + each.length + over
            fixed += least / cut.travel_speed + least / rig.return_speed
        fixed += len(cut.passes) * (rig.pre_flow + rig.post_flow) / 60
    return fixed
