"""A travel speed to start from: figures held, ranges, refusals, what the rig can travel."""

from __future__ import annotations

import math

import pytest

from stripplan.model.rig import Rig
from stripplan.rig.process.speed import STRONGER_RANGE, THICKER_RANGE, StartingSpeed, methods_for, starting_speed
from stripplan.rig.process.speed_formulas import QUALITY, assumed_kerf, chart, chart_speed, severing_speed
from stripplan.wording.show import worded

CHART = {
    2: (1950, 2950, 5100),
    3: (950, 1950, 3150),
    4: (600, 1150, 1900),
    6: (240, 600, 1050),
    8: (120, 360, 650),
    10: (60, 260, 390),
    12: (None, 190, 310),
    15: (None, 110, 180),
}
"""Good cuts in mild steel with air at 20, 30, 40 A [mm/min]: read from one maker's chart for a 40 A machine, common
practice (seen).
"""


def codes(found: StartingSpeed) -> list[str]:
    """Codes of its notes."""
    return [note.code for note in found.notes]


def test_ranges_of_the_models_hold_every_figure_of_the_chart() -> None:
    """From 3 mm up, at the kerf assumed: line source alone, and carried on from each lower current of the chart."""
    severed = {(t, i): severing_speed(t, i, assumed_kerf(current=i).kerf) for t, i in chart() if t >= 3}  # type: ignore[union-attr]
    carried = 0
    for (t, i), v in severed.items():
        assert 0.45 <= chart()[t, i] / (QUALITY * v) <= 2.4, (t, i)
        for (thinner, weaker), base in severed.items():
            if not t / 1.7 <= thinner <= t or weaker > i or (thinner, weaker) == (t, i):
                continue
            true = chart()[t, i] / (chart()[thinner, weaker] * v / base)
            low = THICKER_RANGE[0] if thinner < t else STRONGER_RANGE[0]
            high = STRONGER_RANGE[1] if weaker < i else THICKER_RANGE[1]
            assert low <= true <= high, (thinner, weaker, t, i)
            carried += 1
    assert carried > 40


@pytest.mark.long
def test_more_current_is_never_slower_nor_thicker_plate_quicker() -> None:
    """Across all methods and their borders, every 0.5 A and 0.5 mm."""
    table = {(t / 2, i / 2): starting_speed("steel", t / 2, i / 2).speed for t in range(4, 51) for i in range(40, 161)}
    known = {key: speed for key, speed in table.items() if speed is not None}
    assert len(known) > 2000
    for (t, i), speed in known.items():
        assert known.get((t, i + 0.5), math.inf) >= speed - 1
        assert known.get((t + 0.5, i), 0) <= speed + 1


@pytest.mark.parametrize(
    ("thickness", "current", "names"),
    [
        (6, 30, ["chart", "power law", "line source"]),
        (2, 20, ["chart"]),
        (12, 25, ["chart carried on", "power law", "line source"]),
        (15, 40, ["chart", "line source"]),
        (10, 60, ["chart carried on", "line source"]),
        (25, 60, ["chart carried on", "line source"]),
        (14, 28, ["chart carried on", "line source"]),
        (10.5, 20, []),
        (3, 60, []),
        (1.5, 20, []),
        (6, 18, []),
        (12, 90, []),
    ],
)
def test_methods_by_range(thickness: float, current: float, names: list[str]) -> None:
    """The table of ranges, best first; the first one gives the speed, the others stand beside it."""
    assert [method.name for method in methods_for("mild steel", thickness, current)] == names
    found = starting_speed("mild steel", thickness, current)
    assert (found.speed is None) == (not names)
    assert [name for name, _ in found.beside] == names[1:]
    assert found.status == ("estimate" if names else "not held")
    if found.speed is not None:
        assert worded(found.how).text.startswith(f"{names[0]}: {thickness:g} mm mild steel at {current:g} A")
        assert found.low < found.speed < found.high  # type: ignore[operator]
        assert codes(found)[-1] == "test_first"


def test_plain_estimate_within_the_rig() -> None:
    """8 mm at 40 A is 650 mm/min by the chart: a fifth either way, nothing to warn of on the built-in rig."""
    rig = Rig()
    found = starting_speed("mild steel", 8, 40, v_max=rig.travel_max, v_min=rig.travel_min)
    assert (found.speed, found.low, found.high) == (650, 520, 780)
    assert codes(found) == ["test_first"]
    assert found.serving_current is found.gearbox_ratio is None


def test_thick_plate_at_low_current_is_less_sure() -> None:
    """12 mm at 25 A: the chart ends at 10 mm there, 134 mm/min;
    the line source is 0.716 as quick at 12 mm as at 10 mm (worked by hand).
    """
    found = starting_speed("mild steel", 12, 25)
    assert codes(found) == ["model_only", "test_first"]
    assert found.speed == pytest.approx(134.2 * 0.716, abs=1)
    assert (found.low, found.high) == pytest.approx((0.6 * 96, 1.2 * 96), abs=1)
    assert worded(found.notes[0]).text == (
        "The chart's nearest figure is for 10 mm at 25 A; from there a model of heat flow carries it on. "
        "For thicker plate that errs to the quick side."
    )


def test_models_tell_their_inputs() -> None:
    """A measured kerf is used and named; without one the assumed kerf is, as not measured.
    Narrower kerf, more speed.
    """
    assumed, measured = starting_speed("S355J2", 20, 60), starting_speed("S355J2", 20, 60, kerf=2.6)
    assert "kerf 2.22 mm (not measured), arc 6.24 kW" in worded(assumed.how).text
    assert "kerf 2.60 mm (measured)" in worded(measured.how).text
    beside = dict(measured.beside)["line source"]
    assert beside == pytest.approx(0.75 * severing_speed(20, 60, 2.6), abs=0.5)
    assert dict(assumed.beside)["line source"] == pytest.approx(beside * 2.6 / 2.22, rel=0.01)
    ratio = severing_speed(20, 60, 2.6) / severing_speed(15, 40, 2.6)
    assert measured.speed == pytest.approx(180 * ratio, abs=1)
    assert (measured.low, measured.high) == pytest.approx((180 * ratio * 0.6, 180 * ratio * 2.5), abs=1)


def test_too_slow_for_the_current() -> None:
    """6 mm at 40 A wants 1050 mm/min of a rig that travels 760: the current that serves, the gearbox that would."""
    found = starting_speed("mild steel", 6, 40, v_max=760)
    assert codes(found) == ["too_slow_for_current", "test_first"]
    assert found.serving_current == 33
    assert chart_speed(6, 33) <= 760 < chart_speed(6, 34)  # type: ignore[operator]
    assert found.gearbox_ratio == pytest.approx(1050 / 760, abs=0.001)
    assert worded(found.notes[0]).text == (
        "At 40 A a good cut in 6 mm wants about 1050 mm/min; the rig travels 760 mm/min at most. Cut slower than "
        "that, the kerf is wide, dross hangs on below and strips bow more. About 33 A would serve, with the nozzle "
        "meant for it. Or a gearbox output 1.38 times as fast as now."
    )


def test_too_slow_but_within_the_range() -> None:
    """8 mm at 40 A, rig to 600: the estimate is above, its range is not; test cuts may still find a good cut."""
    found = starting_speed("mild steel", 8, 40, v_max=600)
    assert codes(found)[0] == "too_slow_for_current"
    assert "lies within the range of the estimate" in worded(found.notes[0]).text


def test_no_current_serves_thin_plate() -> None:
    """2 mm at 20 A wants 1950 mm/min: nothing lower is held, only another gearbox would serve."""
    found = starting_speed("mild steel", 2, 20, v_max=760)
    assert found.serving_current is None
    assert (
        "No lower current that a figure is held for would serve. Or a gearbox output 2.57 times as fast"
        in worded(found.notes[0]).text
    )


def test_the_rig_cannot_go_so_slowly() -> None:
    """10 mm at 20 A wants 60 mm/min of a rig that goes no slower than 100: the least current that serves is named."""
    found = starting_speed("mild steel", 10, 20, v_min=100)
    assert codes(found)[0] == "too_fast_for_current"
    assert found.serving_current == 24
    assert chart_speed(10, 23) < 100 <= chart_speed(10, 24)  # type: ignore[operator]
    assert "24 A would serve." in worded(found.notes[0]).text


@pytest.mark.parametrize("material", ["stainless", "aluminium"])
def test_other_materials_have_no_figure(material: str) -> None:
    """Handbook rows begin at 250 A (AWS tables 17-2 and 17-3, seen): nothing is guessed for a small source."""
    found = starting_speed(material, 6, 40, v_max=760)
    assert found.speed is found.low is found.high is None
    assert found.status == "not held"
    assert codes(found) == ["no_published_figure"]
    assert worded(found.how).text.startswith(f"no published speed is held for {material} at 40 A: handbook rows")


def test_outside_all_ranges_the_ranges_are_named() -> None:
    """1 mm at 20 A: why not, and what is held."""
    found = starting_speed("mild steel", 1, 20)
    assert worded(found.how).text.startswith(
        "no figure is held for 1 mm mild steel at 20 A. Held are: chart 2 to 15 mm at 20 to 40 A; chart carried "
        "on 3 to 25 mm"
    )


def test_what_cannot_be() -> None:
    """Each error names the thing, the figure and what it must be."""
    with pytest.raises(ValueError, match=r"thickness 0 mm must be above 0"):
        starting_speed("mild steel", 0, 40)
    with pytest.raises(ValueError, match=r"current nan A must be above 0"):
        starting_speed("mild steel", 6, math.nan)
    with pytest.raises(ValueError, match=r"kerf -1 mm must be above 0"):
        starting_speed("mild steel", 6, 40, kerf=-1)
    with pytest.raises(ValueError, match=r"greatest travel speed 0 mm/min must be above 0"):
        starting_speed("mild steel", 6, 40, v_max=0)
    with pytest.raises(ValueError, match=r"least travel speed 800 mm/min lies above the greatest, 760 mm/min"):
        starting_speed("mild steel", 6, 40, v_max=760, v_min=800)
