"""The clock of the rig view: how long the power source rests before an arc may begin."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

AFTER_THE_ARC = ("post_flow", "return")
SHORTEST_REST = 0.5 / 60
"""Shorter rests are not on the sheet either [min]."""


def waits(cuts: Sequence[Mapping[str, Any]]) -> list[float]:
    """How long after the cut before was ticked each arc may begin [s], of cuts as in a plan file; 0 where no rest is asked.

    The rest stands after all setting up, which cools the power source too (it is what the plan counted on). So the clock runs for the whole
    time that the plan has between the two arcs; a cut is never ticked before its arc is out, so this is never too short.

    >>> air = {"post_flow": 0.1, "return": 0.2, "pre_flow": 0.05, "arc": 3.0}
    >>> waits([{"minutes": {**air, "fetch": 1.0}}, {"minutes": {**air, "fence": 0.5, "rest": 2.0}}])
    [0.0, 171.0]
    """
    made, before = [], 0.0
    for cut in cuts:
        minutes = cut["minutes"]
        after = sum(minutes.get(key, 0.0) for key in AFTER_THE_ARC)
        ready = sum(minutes.values()) - minutes.get("arc", 0.0) - after
        made.append(round(60 * (before + ready), 1) if minutes.get("rest", 0.0) > SHORTEST_REST else 0.0)
        before = after
    return made


def clock(cuts: Sequence[Mapping[str, Any]], rig: Mapping[str, Any]) -> dict[str, Any]:
    """What the rig view's clocks count, of cuts and rig as in a plan file: waits [s], and air after each cut [s]."""
    return {"waits": waits(cuts), "post_flow": float(rig.get("post_flow", 0.0))}
