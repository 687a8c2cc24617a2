"""Processes for plates that the rig has none for."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stripplan.errors import InputError
from stripplan.files.rig.read import load_rig
from stripplan.model.plate import Plate
from stripplan.model.rig import Process, Rig
from stripplan.rig.machine.limits import hold_down_reason, least_part, process_for, turn_over_limit
from stripplan.rig.process.estimate import estimated
from stripplan.wording.show import worded
from tests.checking import in_turn

RIG = load_rig()


def plate(thickness: float, material: str = "mild steel") -> Plate:
    return Plate(name="p", length=1000, width=500, thickness=thickness, material=material)


@in_turn("thickness", [2, 2.5, 3.175, 4.7625, 6.35, 9.525, 12.7, 15, 16, 20])
@in_turn("material", ["S235", "S235JR", "S355", "A36", "304", "316", "1.4301", "5754", "6082"])
def test_usual_plates_work_at_once(thickness: float, material: str) -> None:
    """Each has a kerf, a current the source has, a speed the carriage has; kerfs within the published 1.27 to 2.03 mm
    of 20 to 50 A, and 0.25 mm more in stainless and aluminium (slide of a training course: common practice); marked.
    """
    made = process_for(RIG, plate(thickness, material))
    assert made.estimated
    assert "ESTIMATED" in made.name
    assert made.current is not None
    assert 20 <= made.current <= 40
    assert RIG.travel_min <= made.travel_speed <= RIG.travel_max
    assert 1.27 <= made.kerf <= 2.03 + 0.25
    assert made.kerf_measured_on is None
    assert made.duty == RIG.processes[0].duty


@pytest.mark.parametrize(("thickness", "current", "speed"), [(9.525, 40, 436), (15, 40, 180), (6.35, 30, 543)])
def test_estimates_in_steel_are_those_of_the_chart(thickness: float, current: float, speed: float) -> None:
    """15 mm at 40 A is 180 mm/min in the chart; between its figures straight in logarithms: at 40 A 8 mm 650 and 10 mm
    390, at 30 A 6 mm 600 and 8 mm 360 (one maker's chart, common practice).
    """
    made = process_for(RIG, plate(thickness))
    assert (made.current, made.travel_speed) == (current, pytest.approx(speed, abs=1))


def test_known_process_goes_before_an_estimate_and_the_plates_own_word_before_the_family() -> None:
    """S355 of 6 mm is cut as mild steel of 6 mm is, unless the rig has a process for S355."""
    assert process_for(RIG, plate(6, "S355")).name == "steel-6"
    own = Process(name="s355", material="S355", thickness=6, kerf=1.6, travel_speed=550)
    rig = replace(RIG, processes=(*RIG.processes, own))
    assert process_for(rig, plate(6, "s355")).name == "s355"
    assert process_for(rig, plate(6, "S235")).name == "steel-6"


def test_kerf_of_the_same_current_is_the_rigs_own() -> None:
    """A kerf that was measured at that current goes before one from a table."""
    measured = Process(
        name="m",
        material="mild steel",
        thickness=10,
        kerf=2.22,
        travel_speed=390,
        current=40,
        kerf_measured_on="2026-05-01",
    )
    made = process_for(Rig(processes=(measured,)), plate(12.7))
    assert (made.current, made.kerf) == (40, 2.22)


def test_a_carriage_too_slow_for_thin_plate_is_said() -> None:
    """2 mm at 20 A wants 1950 mm/min (chart): it is cut at the carriage's top speed, and the estimate knows."""
    found = estimated(RIG, plate(2))
    assert found is not None
    assert (found.process.current, found.process.travel_speed, found.too_quick) == (20, 760, 1950)


@pytest.mark.parametrize(
    ("thickness", "material", "words"),
    [
        (25, "S355", "no process for S355 25 mm, and no estimate reaches that far.*nearest is 'steel-12'"),
        (6, "mild stel", "did you mean mild steel"),
        (6, "brass", "nearest is"),
    ],
)
def test_out_of_reach_names_the_nearest(thickness: float, material: str, words: str) -> None:
    """What no estimate reaches is refused with the nearest process, a slip with the nearest name."""
    with pytest.raises(InputError, match=words):
        process_for(RIG, plate(thickness, material))


def test_no_family_to_carry_on_is_no_estimate() -> None:
    """A rig that cuts mild steel alone says nothing of stainless:
    no published speed is held for it at such currents.
    """
    steel = replace(RIG, processes=tuple(each for each in RIG.processes if each.material == "mild steel"))
    assert estimated(steel, plate(4.7625, "304")) is None
    assert estimated(RIG, plate(4.7625, "304")) is not None


def test_least_width_of_a_part() -> None:
    """The greater of 1.5 times the thickness and 2 kerfs: common practice, no source;
    the rig's own figure goes before, 0 switches it off.
    """
    assert (least_part(Rig(), 6, 1.5), least_part(Rig(), 1, 1.5)) == (9.0, 3.0)
    assert (least_part(Rig(narrowest_part=4), 6, 1.5), least_part(Rig(narrowest_part=0), 6, 1.5)) == (4, 0)


def test_what_may_be_turned_over() -> None:
    """Twice one person's load, unless the rig says otherwise; a hoist turns over anything.
    Common practice, no source.
    """
    assert (turn_over_limit(Rig()), turn_over_limit(Rig(two_person_mass=20))) == (50.0, 40.0)
    assert (turn_over_limit(Rig(turn_over_mass_max=70)), turn_over_limit(Rig(hoist=True))) == (70, None)


def test_what_does_not_stay_on_the_bed() -> None:
    """Smaller than the slots on both sides, or lighter than 100 g: common practice, no source."""
    slotted = Rig(slot_width=50)
    small, light = hold_down_reason(slotted, 40, 49, 1.0), hold_down_reason(Rig(), 30, 40, 0.0571)
    assert small is not None
    assert "falls through" in worded(small).text
    assert hold_down_reason(slotted, 40, 51, 1.0) is None
    assert light is not None
    assert "57 g" in worded(light).text
    assert hold_down_reason(Rig(), 60, 60, 0.17) is None
