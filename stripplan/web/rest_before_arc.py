"""The clock of the rig view: how long the power source rests before an arc may begin."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from stripplan.model.plan.bevel import BevelCut
from stripplan.model.plan.cut import Cut, Minutes
from stripplan.model.rig import Rig

SHORTEST_REST = 0.5 / 60
"""Shorter rests are not on the sheet either [min]."""


def waits(times: Sequence[Minutes]) -> list[float]:
    """How long after the cut before was ticked each arc may begin [s], from the times of the cuts; 0 where no rest is
    asked.

    The rest stands after all setting up, which cools the power source too (it is what the plan counted on). So the
    clock runs for the whole time that the plan has between the two arcs; a cut is never ticked before its arc is out,
    so this is never too short.

    >>> from dataclasses import replace
    >>> air = Minutes(post_flow=0.1, return_=0.2, pre_flow=0.05, arc=3.0)
    >>> waits([replace(air, fetch=1.0), replace(air, fence=0.5, rest=2.0)])
    [0.0, 171.0]
    """
    made, before = [], 0.0
    for minutes in times:
        after = minutes.post_flow + minutes.return_
        ready = minutes.total - minutes.arc - after
        made.append(round(60 * (before + ready), 1) if minutes.rest > SHORTEST_REST else 0.0)
        before = after
    return made


def clock(cuts: Sequence[Cut | BevelCut], rig: Rig) -> dict[str, Any]:
    """What the rig view's clocks count: waits [s], and air after each cut [s]."""
    return {"waits": waits([cut.minutes for cut in cuts]), "post_flow": rig.post_flow}
