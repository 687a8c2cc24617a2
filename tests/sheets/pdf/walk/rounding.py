"""Figures as a person would round them."""

from __future__ import annotations

import math
import re
import unicodedata
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

INCH = 25.4
NEAR = 1e-5
"""Figures of the plan file are rounded to a millionth; so far may sums of them be off."""


def rounded(value: float, places: int) -> str:
    """To so many decimals, halves up; what is below a millionth is noise of the file."""
    exact = Decimal(repr(round(value, 6)))
    return f"{exact.quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP):f}"


def bare(value: float, places: int) -> str:
    """The same without zeros at the end."""
    text = rounded(value, places)
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text


def inches(mm: float, parts: int) -> str:
    """Whole inches and a fraction to the nearest of so many parts, halves up."""
    count = math.floor(Fraction(repr(round(mm, 6))) * 10 / 254 * parts + Fraction(1, 2))
    whole, rest = divmod(count, parts)
    return " ".join([str(whole)] * bool(whole or not rest) + [str(Fraction(rest, parts))] * bool(rest)) + '"'


def about(minutes: float) -> str:
    """A time to the minute, from a quarter of an hour on to five; half a step may go either way."""
    near = sorted({_about(minutes - NEAR / 10), _about(minutes + NEAR / 10)})
    return near[0] if len(near) == 1 else f"{{{near[0]}|{near[1]}}}"


def _about(minutes: float) -> str:
    whole = round(minutes) if minutes < 15 else 5 * round(minutes / 5)
    return " ".join(
        ([f"{whole // 60} h"] if whole >= 60 else []) + ([f"{whole % 60} min"] if whole % 60 or whole < 60 else [])
    )


def clock(minutes: float) -> str:
    """Seconds below a minute, minutes and seconds below an hour, then hours and minutes;
    half a second may go either way.
    """
    near = sorted({_clock(minutes - NEAR / 10), _clock(minutes + NEAR / 10)})
    return near[0] if len(near) == 1 else f"{{{near[0]}|{near[1]}}}"


def _clock(minutes: float) -> str:
    seconds = round(minutes * 60)
    if seconds < 60:
        return f"{seconds} s"
    if seconds < 3600:
        return " ".join([f"{seconds // 60} min"] + [f"{seconds % 60} s"] * bool(seconds % 60))
    return f"{round(minutes) // 60} h {round(minutes) % 60} min"


NUMBERED = re.compile(r"\[U\+[0-9A-F]{4,6}\]")
"""A letter by its number: in a drawing of a plate a question mark, where there is no room for more."""


def printed(name: str) -> str:
    """A name as the paper shows it: spaces for white space, a character's number where the letter cannot be shown."""

    def one(letter: str) -> str:
        if letter.isspace():
            return " "
        hidden = unicodedata.category(letter)[0] == "C" or ord(letter) > 0xFFFF or "CJK" in unicodedata.name(letter, "")
        return f"[U+{ord(letter):04X}]" if hidden else letter

    return "".join(map(one, unicodedata.normalize("NFC", name)))
