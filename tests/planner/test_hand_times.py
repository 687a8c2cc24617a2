"""Seconds of the hands on one rig, as layout reckons with them: by hand."""

from __future__ import annotations

import math

import pytest

from stripplan.model.job import Options
from stripplan.model.rig import Process, Rig, Seconds
from stripplan.planner.hand_times import cause_weights, hand_times

PROCESS = Process(name="air", material="mild steel", thickness=6, kerf=1.5, travel_speed=600)
RIG = Rig(
    lead_in=10, overrun=8, overrun_max=60, return_speed=1200, pre_flow=0.5, post_flow=0, post_flow_returning=False,
    travel_max=700, fence_step=0.5, fence_scale=0.998, fence_zero=-1.25, two_person_mass=25,
    seconds=Seconds(
        fence=40, fence_per_mm=0.02, end_stop=20, fetch=45, push=12, clear=10, scrape_each=4, scrape_per_m=10,
        per_kg=0.6, two_person=2,
    ),
    processes=(PROCESS,),
)  # fmt: skip
AREAL = 47.1e-6
"""6 mm of steel [kg/mm2]."""


def test_seconds_of_a_rig_by_hand() -> None:
    """600 mm/min there, 1200 home, 10 s of scraping a metre: 0.1 + 0.05 + 0.01 s for a millimetre; and 18 mm beyond the
    metal, 0.5 s of air, 10 s to clear, 4 s to scrape for each cut.
    """
    times = hand_times(RIG, PROCESS, AREAL, cause_weights(Options()))
    assert times.per_length == pytest.approx(0.16)
    assert times.cut == pytest.approx(0.5 + 10 + 4 + 18 * 0.16)
    assert (times.aside, times.push, times.stop) == (45, 12, 20)
    assert times.setting == pytest.approx(40 + 100 * 0.02)
    assert times.per_area == pytest.approx(0.6 * AREAL)
    assert times.heavy == pytest.approx(25 / AREAL)
    assert times.two_person == 2
    assert times.stop_span == 52
    assert times.mark == pytest.approx(0.499)
    assert times.zero == pytest.approx(0.75 + 1.25)


def test_weights_make_their_causes_dearer() -> None:
    """A factor for fetching and one for the fence; an aim about hands has its own, the usual one none here."""
    times = hand_times(RIG, PROCESS, AREAL, cause_weights(Options(weights={"fetch": 3.0, "fence": 2.0})))
    assert (times.aside, times.push) == (135, 12)
    assert times.setting == pytest.approx(84)
    assert cause_weights(Options())["fence"] == 1
    assert cause_weights(Options(aim="few_settings", weights={"fence": 2.0}))["fence"] == 20
    assert cause_weights(Options(aim="light_hands"))["fetch"] == 5


def test_a_plate_without_mass_is_never_heavy() -> None:
    """Where nothing is known of the mass nobody is asked to help."""
    assert hand_times(RIG, PROCESS, 0.0, cause_weights(Options())).heavy == math.inf
