"""Lengths and speeds as people write them: every accepted spelling, and what is said of the others."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stripplan.model.units import parse_length, parse_speed, show_length, show_speed

ACCEPTED = [
    ("250", 250), ("250mm", 250), ("250 mm", 250), ("250 MM", 250), ("25 cm", 250), ("2.5 m", 2500), (".5 m", 500),
    ("10 in", 254), ("10in", 254), ('10"', 254), ("10 inch", 254), ("10 inches", 254), ("10 in.", 254), ("10''", 254),
    ("10″", 254), ("10”", 254), ("1 1/2 in", 38.1), ('1-1/2"', 38.1), ("1 - 1/2 in", 38.1), ("3/8 in", 9.525),
    ("5/16 in", 7.9375), ("½ in", 12.7), ("3 ¼ in", 82.55), ("3¼ in", 82.55), ("1/2", 0.5), ("8 ft", 2438.4), ("4 feet", 1219.2),
    ("8'", 2438.4), ("4' 6\"", 1371.6), ("4'6\"", 1371.6), ("4 ft 6 in", 1371.6), ("4' 6 1/2\"", 1384.3), ("4'6", 1371.6),
    ("250.", 250), (" 250 ", 250), ("1\u00a01/2 in", 38.1), ("12 millimetres", 12),
]  # fmt: skip

REFUSED = [
    ("", "nothing is written"), ("abc", "is no length"), ("-5", "below 0"), ("1,5", "write 1.5"), ("3 1/4 inchs", "write 3 1/4 mm or 3 1/4 in"),
    ("5 furlongs", "write 5 mm or 5 in"), ("1/0 in", "divides by 0"), ("1e3", "is no length"), ("1 2 3", "is no length"),
    ("9" * 60, "too long"), ("2000 m", "longer than a kilometre"), ("5 mm mm", "is no length"), ("mm", "is no length"), ("½½", "is no length"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "mm"), ACCEPTED)
def test_accepted_spellings(text: str, mm: float) -> None:
    """Each spelling gives exactly its length (1 in = 25.4 mm by definition)."""
    assert parse_length(text) == mm


@pytest.mark.parametrize(("text", "words"), REFUSED)
def test_refused_spellings_say_what_to_write(text: str, words: str) -> None:
    """Everything else is refused with the nearest accepted form."""
    with pytest.raises(ValueError, match=words.replace("(", r"\(")):
        parse_length(text)


@pytest.mark.parametrize("value", [float("nan"), float("inf"), True])
def test_numbers_that_are_no_lengths(value: float) -> None:
    """Not-a-number, infinity and true are refused."""
    with pytest.raises(ValueError, match="is no"):
        parse_length(value)


def test_bare_numbers_are_in_the_files_units() -> None:
    """2 in a file in inches is 50.8 mm; a number with its own unit keeps it."""
    assert (parse_length(2, "in"), parse_length("2 mm", "in"), parse_length("1,5", comma=True)) == (50.8, 2.0, 1.5)


@pytest.mark.parametrize(
    ("text", "speed"),
    [("30 in/min", 762), ("30 ipm", 762), ("12.7 mm/s", 762), ("600", 600), ("600 mm/min", 600), ("0.6 m/min", 600)],
)
def test_speeds(text: str, speed: float) -> None:
    """Exact by the definition of the inch."""
    assert parse_speed(text) == speed


def test_speed_of_a_length_is_refused() -> None:
    """600 mm is no speed."""
    with pytest.raises(ValueError, match="is no speed"):
        parse_speed("600 mm")


@given(sixtyfourths=st.integers(1, 64 * 120))
def test_inches_shown_read_back(sixtyfourths: int) -> None:
    """A length shown to 1/64 in is the length that is read again."""
    mm = sixtyfourths * 25.4 / 64
    assert parse_length(show_length(mm, "in", 64)) == pytest.approx(mm, abs=1e-9)


@given(hundredths=st.integers(0, 300_000))
def test_millimetres_shown_read_back(hundredths: int) -> None:
    """A length shown in mm is the length that is read again."""
    assert parse_length(show_length(hundredths / 100)) == pytest.approx(hundredths / 100, abs=1e-9)


@given(text=st.text(max_size=30))
def test_any_text_is_a_length_or_a_plain_refusal(text: str) -> None:
    """Nothing but ValueError comes out of text that is no length."""
    try:
        assert parse_length(text) >= 0
    except ValueError as error:
        assert str(error)


def test_shown() -> None:
    """Figures as the sheet shows them."""
    assert show_length(50.750) == "50.75"
    assert show_length(0.004) == "0"
    assert show_length(1219.2, "in") == '48"'
    assert show_speed(762, "in") == "30 in/min"
