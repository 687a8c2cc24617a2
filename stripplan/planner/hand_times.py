"""What the hands take on a rig, as layout reckons with it before there is an order of work."""

from __future__ import annotations

import math
from collections.abc import Mapping

from stripplan.layout import HandTimes
from stripplan.model.job import AIM_WEIGHTS, WEIGHT_KEYS, Options
from stripplan.model.rig import Process, Rig
from stripplan.rig.machine.timing import dry_run_seconds, post_flow_seconds, return_seconds
from stripplan.sequence import UNEQUAL_SECONDS

USUAL_WAY = 100.0
"""Way of the fence from one reading to the next that is reckoned with [mm]: an order takes near ones after each other.
"""
USUAL_CUT = 500.0
"""Length of cut for which the wait after the arc is taken [mm], where the air flows on the way home too."""

MEASURE_SECONDS = 240.0
"""What it is worth that no part rests on the size of a plate that was not measured [s]: measuring it, and the doubt.
Chosen, not measured.
"""


def cause_weights(options: Options) -> Mapping[str, float]:
    """Factors on seconds by cause that the person asks for, and those of an aim that is about hands.

    That the usual aim makes settings dearer is for the order of work alone: there it keeps parts of a width together.
    """
    aimed = AIM_WEIGHTS[options.aim] if options.aim in ("few_settings", "light_hands") else {}
    return {cause: options.weights.get(cause, 1.0) * aimed.get(cause, 1.0) for cause in WEIGHT_KEYS}


def hand_times(rig: Rig, process: Process, areal_mass: float, weights: Mapping[str, float]) -> HandTimes:
    """The rig's seconds for plates of a process and mass [kg/mm2], times the weights by cause."""
    seconds = rig.seconds
    scrape = weights["dress"] * seconds.scrape_per_m / 1000
    per_length = 60 / process.travel_speed + return_seconds([1.0], rig.return_speed) + scrape
    beyond = rig.lead_in + rig.overrun  # what the torch travels besides the metal
    air = rig.pre_flow + post_flow_seconds(rig, [USUAL_CUT])
    cut = air + weights["clear"] * seconds.clear + weights["dress"] * seconds.scrape_each + beyond * per_length
    return HandTimes(
        cut=cut,
        per_length=per_length,
        aside=weights["fetch"] * seconds.fetch,
        push=weights["push"] * seconds.push,
        over=weights["turn_over"] * seconds.turn_over,
        per_area=seconds.per_kg * areal_mass,
        heavy=rig.two_person_mass / areal_mass if areal_mass else math.inf,
        two_person=seconds.two_person,
        setting=weights["fence"] * (seconds.fence + USUAL_WAY * seconds.fence_per_mm),
        stop=weights["end_stop"] * seconds.end_stop,
        stop_per_length=dry_run_seconds(rig, 1.0),
        stop_span=max(0.0, rig.overrun_max - rig.overrun),
        uneven=UNEQUAL_SECONDS,
        unmeasured=MEASURE_SECONDS,
        mark=rig.fence_scale * rig.fence_step,
        zero=process.kerf / 2 - rig.fence_zero,
    )
