"""What the hands take on a rig, as layout reckons with it before there is an order of work."""

from __future__ import annotations

import math

from stripplan.layout import HandTimes
from stripplan.model.rig import Process, Rig
from stripplan.rig.machine.timing import dry_run_seconds, post_flow_seconds, return_seconds

USUAL_WAY = 100.0
"""Way of the fence from one reading to the next that is reckoned with [mm]: an order takes near ones after each other.
"""
USUAL_CUT = 500.0
"""Length of cut for which the wait after the arc is taken [mm], where the air flows on the way home too."""


def hand_times(rig: Rig, process: Process, areal_mass: float) -> HandTimes:
    """The rig's seconds for plates of a process and mass [kg/mm2], from its own settings alone."""
    seconds = rig.seconds
    per_length = 60 / process.travel_speed + return_seconds([1.0], rig.return_speed) + seconds.scrape_per_m / 1000
    beyond = rig.lead_in + rig.overrun  # what the torch travels besides the metal
    cut = rig.pre_flow + post_flow_seconds(rig, [USUAL_CUT]) + seconds.clear + seconds.scrape_each + beyond * per_length
    return HandTimes(
        cut=cut,
        per_length=per_length,
        aside=seconds.fetch,
        push=seconds.push,
        per_area=seconds.per_kg * areal_mass,
        heavy=rig.two_person_mass / areal_mass if areal_mass else math.inf,
        two_person=seconds.two_person,
        setting=seconds.fence + USUAL_WAY * seconds.fence_per_mm,
        stop=seconds.end_stop,
        stop_per_length=dry_run_seconds(rig, 1.0),
        stop_span=max(0.0, rig.overrun_max - rig.overrun),
    )
