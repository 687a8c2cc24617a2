"""The belt drive: pitches, teeth, gearbox output, steps and counts."""

from __future__ import annotations

import math

import pytest

from stripplan.rig.machine.drive import belt, belts, rpm_for, serving_output, travel_speed
from stripplan.wording.quantity import parse_speed
from stripplan.wording.show import worded


@pytest.mark.parametrize(
    ("name", "pitch", "standard"),
    [
        ("MXL", 2.032, "ISO 5296"),  # seen: glossary; 0.080 in
        ("XL", 5.08, "ISO 5296"),  # seen: glossary; 1/5 in
        ("L", 9.525, "ISO 5296"),  # seen: glossary; 3/8 in
        ("H", 12.7, "ISO 5296"),  # seen: glossary; 1/2 in
        ("T2.5", 2.5, "ISO 17396"),  # pitch seen: engineering directory; number of the standard from memory
        ("T5", 5, "ISO 17396"),
        ("T10", 10, "ISO 17396"),
        ("T20", 20, "ISO 17396"),
        ("AT5", 5, "ISO 17396"),
        ("AT10", 10, "ISO 17396"),
        ("AT20", 20, "ISO 17396"),
        ("2 mm round tooth", 2, ""),  # common practice, pitch seen
        ("3 mm round tooth", 3, ""),
        ("5 mm round tooth", 5, ""),
    ],
)
def test_pitch_by_name(name: str, pitch: float, standard: str) -> None:
    """Each belt has the pitch of its standard."""
    assert (belt(name).pitch, belt(name).standard) == (pitch, standard)


def test_inch_belts_are_round_in_inches() -> None:
    """MXL 2/25, XL 1/5, L 3/8, H 1/2 in, exactly: 1 in = 25.4 mm by definition."""
    assert [belt(name).pitch / 25.4 for name in ("MXL", "XL", "L", "H")] == pytest.approx([0.08, 0.2, 0.375, 0.5])


def test_every_belt_names_its_source() -> None:
    """No pitch without source and status; the table holds each name once."""
    assert all(each.source and each.status for each in belts())
    assert len({each.name for each in belts()}) == len(belts()) == 14


@pytest.mark.parametrize(
    ("teeth", "pitch", "rpm"),
    [
        (20, 2, 19.05),  # computed, v = n z p; pitches seen
        (10, "XL", 15.0),
        (20, "MXL", 18.75),
        (10, "L", 8.0),
        (12, "T5", 12.7),
    ],
)
def test_output_for_thirty_inches_a_minute(teeth: int, pitch: float | str, rpm: float) -> None:
    """30 in/min = 762 mm/min exactly; the gearbox output that gives it, and back."""
    assert parse_speed("30 in/min") == 762
    assert rpm_for(762, teeth, pitch) == pytest.approx(rpm, abs=0.0005)
    assert travel_speed(rpm, teeth, pitch) == pytest.approx(762, abs=0.001)


def test_serving_output_in_a_sentence() -> None:
    """The greatest wanted speed at full turns; the ratio to what is fitted; how far the motor is turned down."""
    found = serving_output([500, 1050, 210], 20, "MXL", rpm_now=18.75)
    assert found.rpm == pytest.approx(1050 / 40.64)
    assert found.ratio == pytest.approx(1050 / 762)
    assert found.least_share == pytest.approx(0.2)
    assert worded(found.said).text == (
        "A gearbox output of 25.8 rpm gives 1050 mm/min: 20 teeth of 2.032 mm pitch move the carriage 40.64 mm a turn. "
        "That is 1.38 times the output fitted now (18.75 rpm, 762 mm/min). "
        "For 210 mm/min the motor then runs at 20 % of its turns."
    )
    assert worded(serving_output([762], 10, "XL").said).text.endswith("50.8 mm a turn.")


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("T7", "did you mean T5 or T10?"),
        ("AT 2.5", "did you mean AT5 or AT10?"),
        ("XXL", "did you mean XL or MXL?"),
        ("Z3", "did you mean 3 mm round tooth?"),
        ("quux", "known are MXL, XL, L, H,"),
    ],
)
def test_unknown_belt_offers_near_names(name: str, words: str) -> None:
    """The error names the belt, what may be meant, and that a pitch may be given."""
    with pytest.raises(ValueError, match="is not known") as caught:
        travel_speed(15, 10, name)
    assert repr(name) in str(caught.value)
    assert words in str(caught.value)
    assert "Or give the pitch in mm" in str(caught.value)


def test_what_cannot_be() -> None:
    """Each error names the thing, the figure and what it must be."""
    with pytest.raises(ValueError, match=r"pitch -2 mm must be above 0"):
        travel_speed(15, 10, -2)
    with pytest.raises(ValueError, match=r"gearbox output nan rpm must be above 0"):
        travel_speed(math.nan, 10, 2)
    with pytest.raises(ValueError, match=r"10.5 teeth: a pulley has a whole number of teeth"):
        travel_speed(15, 10.5, 2)  # type: ignore[arg-type]
    with pytest.raises(ValueError, match=r"speed 2 is 0 mm/min: a wanted speed must be above 0"):
        serving_output([500, 0], 10, 2)
    with pytest.raises(ValueError, match=r"no travel speed is wanted"):
        serving_output([], 10, 2)
