"""Lengths and speeds as people write them: every accepted spelling, and what is said of the others."""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stripplan.wording.quantity import (
    LENGTH_PATTERN,
    SPEED_PATTERN,
    UnitError,
    parse_length,
    parse_speed,
    show_length,
    show_speed,
)
from tests.checking import in_turn

ACCEPTED = [
    ("250", 250), ("250.", 250), (".5", 0.5), ("0.125", 0.125), (" 250 ", 250), ("0", 0),
    ("250mm", 250), ("250 mm", 250), ("250 MM", 250), ("12 millimetres", 12), ("12 millimeter", 12),
    ("25 cm", 250), ("2.5 m", 2500), (".5 m", 500), ("2 metres", 2000), ("2 meter", 2000), ("3 centimetres", 30),
    ("10 in", 254), ("10in", 254), ("10 in.", 254), ("10 inch", 254), ("10 Inches", 254), ("2.5 in", 63.5),
    ('10"', 254), ("10''", 254), ("10″", 254), ("10”", 254), ("10′′", 254),
    ("1 1/2 in", 38.1), ('1-1/2"', 38.1), ("1 - 1/2 in", 38.1), ("1–1/2 in", 38.1), ("1\u00a01/2 in", 38.1),
    ("3/8 in", 9.525), ("3 / 8 in", 9.525), ("5/16 in", 7.9375), ("3/2 in", 38.1), ("1 1/2 mm", 1.5),
    ("½ in", 12.7), ("3 ¼ in", 82.55), ("3¼ in", 82.55), ("3-¼″", 82.55), ("1⁄2 in", 12.7),
    ("8 ft", 2438.4), ("4 ft", 1219.2), ("4 feet", 1219.2), ("1 foot", 304.8), ("8'", 2438.4), ("8′", 2438.4),
    ("1/2 ft", 152.4),
    ("4' 6\"", 1371.6), ("4'6\"", 1371.6), ("4′ 6″", 1371.6), ("4 ft 6 in", 1371.6), ("4 feet 6 inches", 1371.6),
    ("4'-6\"", 1371.6), ("4'6", 1371.6), ("4' 6 1/2\"", 1384.3), ("4' 6½″", 1384.3), ("4' 0\"", 1219.2),
    ("4' 6.5''", 1384.3),
]  # fmt: skip
"""Text and mm; all by 1 in = 25.4 mm exactly."""

REFUSED = [
    ("3 1/4 inchs", "write 3 1/4 in"), ("12 millimetrs", "write 12 mm"), ("3 ins", "write 3 in"),
    ("4 foots", "write 4 ft"),
    ("1,5", "write 1.5"), ("2,5 in", "write 2.5 in"), ("0,125", "write 0.125"), ("1.234,5", "write 1234.5"),
    ("1,500", "write 1500 or 1.500"), ("1,000,000", "write 1000000"), ("2 500", "write 2500"), ("1_000", "write 1000"),
    ("1'000", "write 1000"), ("1 000 mm", "write 1000 mm"), ("1e3", "write 1000"), ("2.5e2 mm", "write 250 mm"),
    ("+5", "write 5"), ("~5 mm", "write 5 mm"), ("5 mm;", "write 5 mm"), ("-5", "write 5"), ("−5 in", "write 5 in"),
    ("1/2", "write 1/2 in"), ("1 1/2", "write 1 1/2 in"), ("1 2/2 in", "write 2 in"), ("4' 12\"", "write 5' 0\""),
    ("1 3/2 in", "write 2 1/2 in"), ("4' 13\"", "write 5' 1\""),
    ("5 furlongs", "write it in mm, cm, m, in or ft"), ("5 km", "write it in mm"), ("5 m/min", "write it in mm"),
    ("2000 m", "write 1 km or less"), ("0.0001", "write 0.001 mm or more"),
    ("", "write 250,"), ("   ", "write 250,"), ("abc", "write 250,"), ("mm", "write 250,"), ("nan", "write 250,"),
    ("inf", "write 250,"),
    ("1e999999", "write 250,"), ("1 2 3", "write 250,"), ("1.5.2", "write 250,"), ("5 mm mm", "write 250,"),
    ("½½", "write 250,"),
    ("1/0 in", "write 250,"), ("9" * 60, "write 250,"), ("10x20", "write 250,"), ("٣", "write 250,"),
    ("5 in 3", "write 250,"),
    ("4 ft 6 ft", "write 250,"), ("-", "write 250,"), ("'", "write 250,"), ("1/2/3 in", "write"),
    ("5\x005", "write 250,"),
]  # fmt: skip
"""Text and the hint that its message must give."""

SPEEDS = [
    ("30 in/min", 762), ("30 ipm", 762), ("30ipm", 762), ("30 IPM", 762), ("12.7 mm/s", 762), ("600", 600),
    ("600 mm/min", 600),
    ("600 mm / min", 600), ("0.6 m/min", 600), ("7 1/2 in/min", 190.5),
]  # fmt: skip

SPEEDS_REFUSED = [
    ("600 mm", "write 600 mm/min"), ("30 inch/min", "write 30 in/min"), ("10 mm/sec", "write 10 mm/s"),
    ("12 mm/minute", "write 12 mm/min"),
    ("5 m/s", "write it in mm/min"), ("abc", "write 600,"), ("-5", "write 5"), ("1,5 mm/s", "write 1.5 mm/s"),
    ("", "write 600,"),
    ("2000000", "write 600,"),
]  # fmt: skip


@in_turn(("text", "mm"), ACCEPTED)
def test_accepted_spellings(text: str, mm: float) -> None:
    """Each spelling gives exactly its length, and the pattern for editors takes it."""
    assert parse_length(text) == mm
    assert re.search(LENGTH_PATTERN, text)


@in_turn(("text", "hint"), REFUSED)
def test_refused_spellings_say_what_to_write(text: str, hint: str) -> None:
    """Everything else is refused with the nearest accepted form."""
    with pytest.raises(UnitError) as caught:
        parse_length(text)
    assert caught.value.hint.startswith(hint)
    assert str(caught.value) == f"{caught.value.said}: {caught.value.hint}"


@in_turn("text", [text for text, _ in REFUSED])
def test_what_is_offered_can_be_read(text: str) -> None:
    """A message that offers a form offers one that is accepted."""
    with pytest.raises(UnitError) as caught:
        parse_length(text)
    offer = caught.value.hint.removeprefix("write ")
    if not offer.startswith(("it in", "1 km", "250,", "0.001")):
        assert all(parse_length(each) >= 0 for each in offer.split(" or "))


@pytest.mark.parametrize(("text", "speed"), SPEEDS)
def test_speeds(text: str, speed: float) -> None:
    """Exact by the definition of the inch, and the pattern for editors takes them."""
    assert parse_speed(text) == speed
    assert re.search(SPEED_PATTERN, text)


@pytest.mark.parametrize(("text", "hint"), SPEEDS_REFUSED)
def test_refused_speeds_say_what_to_write(text: str, hint: str) -> None:
    """A length is no speed, and metres a second are not quietly something else."""
    with pytest.raises(UnitError) as caught:
        parse_speed(text)
    assert caught.value.hint.startswith(hint)


@pytest.mark.parametrize(
    ("value", "words"),
    [
        (float("nan"), "nan is no finite number"), (float("inf"), "inf is no finite number"),
        (True, "True is no number"),
        (10**400, "far too large"), (1e300, "far too large"), (1e-300, "far too small"), (-5, "-5 is below 0"),
        (-0.5, "below 0"),
    ],
)  # fmt: skip
def test_numbers_that_are_no_lengths(value: float, words: str) -> None:
    """Not-a-number, infinity, truth, exponents gone wild and negative numbers are refused."""
    with pytest.raises(UnitError, match=words):
        parse_length(value)


def test_bare_numbers_are_in_the_files_units() -> None:
    """2 in a file in inches is 50.8 mm, and a fraction is one of an inch; a text with its own unit keeps it."""
    assert (parse_length(2, "in"), parse_length("1/2", "in"), parse_length("2 mm", "in"), parse_speed(30, "in")) == (
        50.8, 12.7, 2.0, 762.0,
    )  # fmt: skip


def test_decimal_comma_where_it_is_allowed() -> None:
    """1,5 is 1.5; what could also be thousands is refused all the same."""
    assert parse_length("1,5", comma=True) == 1.5
    assert parse_length("0,125 in", comma=True) == 3.175
    with pytest.raises(UnitError, match=r"two ways: write 2500 or 2\.500"):
        parse_length("2,500", comma=True)


def test_lengths_below_0_where_they_are_allowed() -> None:
    """A fence zero of minus a sixteenth of an inch is -1.5875 mm; nothing becomes minus nothing."""
    assert parse_length("-1/16 in", signed=True) == -1.5875
    assert str(parse_length(-0.0)) == "0.0"


def test_published_conversions() -> None:
    """Figures that follow from 1 in = 25.4 mm exactly (international yard and pound agreement, 1959)."""
    assert parse_speed("30 in/min") == pytest.approx(762, abs=0.001)
    assert parse_speed("30 in/min") / 60 == pytest.approx(12.7, abs=0.0001)
    assert parse_speed("19.685 in/min") / 25.4 == pytest.approx(500 / 25.4, abs=0.0001)
    assert (parse_length("8 ft"), parse_length("4 ft")) == pytest.approx((2438.4, 1219.2), abs=0.01)
    assert parse_length("3/8 in") == pytest.approx(9.525, abs=0.0001)
    assert parse_length("5/16 in") == pytest.approx(7.9375, abs=0.0001)
    assert parse_speed("12.7 mm/s") == pytest.approx(762, abs=0.001)


@given(whole=st.integers(0, 240), part=st.integers(0, 63), bottom=st.sampled_from([2, 4, 8, 16, 32, 64]))
def test_inches_are_exact_decimals(whole: int, part: int, bottom: int) -> None:
    """A fraction of an inch comes out as the float whose digits are the exact mm."""
    top = part % bottom
    exact = (whole + Fraction(top, bottom)) * Fraction(254, 10)
    assert Fraction(Decimal(repr(parse_length(f"{whole} {top}/{bottom} in")))) == exact


@given(sixtyfourths=st.integers(1, 64 * 120))
def test_inches_shown_read_back(sixtyfourths: int) -> None:
    """A length shown to 1/64 in is the length that is read again."""
    mm = sixtyfourths * 25.4 / 64
    assert parse_length(show_length(mm, "in", 64)) == pytest.approx(mm, abs=1e-9)


@given(hundredths=st.integers(0, 300_000))
def test_millimetres_shown_read_back(hundredths: int) -> None:
    """A length shown in mm is the length that is read again."""
    assert parse_length(show_length(hundredths / 100)) == hundredths / 100


@given(mm=st.floats(0, 3000), denominator=st.sampled_from([16, 32, 64]))
def test_shown_inches_are_the_nearest_mark(mm: float, denominator: int) -> None:
    """No other mark of 1/denominator lies nearer than the one shown."""
    shown = parse_length(show_length(mm, "in", denominator))
    assert abs(shown - mm) <= 25.4 / denominator / 2 + 1e-9


@given(text=st.text(alphabet=st.sampled_from("0123456789 ./-'\"½″,+eimncftx\t_~"), max_size=14) | st.text(max_size=50))
def test_any_text_is_read_or_plainly_refused(text: str) -> None:
    """Nothing but UnitError comes out of text that is no length or speed, in whatever mode."""
    readers = (
        parse_length, parse_speed,
        lambda each: parse_length(each, "in", comma=True), lambda each: abs(parse_length(each, signed=True)),
    )  # fmt: skip
    for reader in readers:
        try:
            assert 0 <= reader(text) <= 10**6
        except UnitError as error:
            assert error.said
            assert error.hint.startswith("write ")
            assert len(str(error)) < 200


@pytest.mark.parametrize(
    ("shown", "words"),
    [
        (show_length(50.750), "50.75"), (show_length(0.004), "0"), (show_length(0.125), "0.13"),
        (show_length(100), "100"),
        (show_length(-0.001), "0"), (show_length(-1.5), "-1.5"), (show_length(12, unit=True), "12 mm"),
        (show_length(1219.2, "in"), '48"'), (show_length(38.1, "in", unit=True), '1 1/2"'),
        (show_length(0.396875, "in"), '1/32"'),
        (show_length(9, "in", 16), '3/8"'), (show_length(9, "in", 64), '23/64"'),
        (show_length(-1.5875, "in"), '-1/16"'),
        (show_length(0.1, "in"), '0"'), (show_speed(762, "in"), "30 in/min"), (show_speed(500, "in"), "19.7 in/min"),
        (show_speed(600.5), "601 mm/min"),
    ],
)  # fmt: skip
def test_shown(shown: str, words: str) -> None:
    """Figures as the sheet shows them: nearest mark, ties up, no trailing zeros, no minus before nothing."""
    assert shown == words
