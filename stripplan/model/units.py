"""Lengths and speeds as people write them, exactly, and as they want to read them.

1 in = 25.4 mm by definition. Everything is worked out on fractions; only the result becomes a float, and
that float prints as the exact decimal where there is one (3/8 in = 9.525).
"""

from __future__ import annotations

import math
import re
from decimal import Decimal
from fractions import Fraction

MM_PER = {"mm": Fraction(1), "cm": Fraction(10), "m": Fraction(1000), "in": Fraction(254, 10), "ft": Fraction(3048, 10)}
SPEED_MM_PER_MIN = {
    "mm/min": Fraction(1),
    "mm/s": Fraction(60),
    "m/min": Fraction(1000),
    "in/min": Fraction(254, 10),
    "ipm": Fraction(254, 10),
}
FORMS = 'write 250, 250 mm, 25 cm, 2.5 m, 10 in, 1 1/2 in, 1-1/2", 3/8 in, 8 ft or 4\' 6"'
SPEED_FORMS = "write 600, 600 mm/min, 10 mm/s, 24 in/min or 24 ipm"
LONGEST = 40
LARGEST_MM = Fraction(10**6)

_SPELLINGS = {
    '"': "in", "''": "in", "inch": "in", "inches": "in", "in.": "in", "'": "ft", "foot": "ft", "feet": "ft",
    "ft.": "ft", "millimetre": "mm", "millimetres": "mm", "millimeter": "mm", "millimeters": "mm",
    "metre": "m", "metres": "m",
}  # fmt: skip
_GLYPHS = {
    "½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8",
    "″": '"', "”": '"', "“": '"', "′": "'", "’": "'", "⁄": "/", "\u00a0": " ", "–": "-",
}  # fmt: skip
_NUMBER = (
    r"(?:(?P<whole>\d+)(?:\s+|\s*-\s*)(?P<top>\d+)/(?P<bottom>\d+)"
    r"|(?P<ntop>\d+)/(?P<nbottom>\d+)|(?P<decimal>\d+\.?\d*|\.\d+))"
)
_LENGTH = re.compile(rf"^{_NUMBER}\s*(?P<unit>[a-zA-Z'\"./]*)$")
_FEET = re.compile(r"^(?P<feet>\d+)\s*(?:'|ft\.?|feet|foot)\s*-?\s*(?P<rest>\S.*)$", re.IGNORECASE)
_THOUSANDS = re.compile(r"(?<!\d)[1-9]\d{0,2}(?:,\d{3})+(?!\d)")


def parse_length(text: str | float, units: str = "mm", *, comma: bool = False) -> float:
    """A length in mm. A bare number is in `units` ("mm" or "in"); `comma` allows a decimal comma.

    Raises ValueError with the nearest accepted form.

    >>> parse_length("1-1/2 in"), parse_length("4' 6\\""), parse_length(2, "in")
    (38.1, 1371.6, 50.8)
    """
    value = _length(_cleaned(text, comma=comma), units)
    if value > LARGEST_MM:
        raise ValueError(f"{text!r} is longer than a kilometre; {FORMS}")
    return float(value)


def parse_speed(text: str | float, units: str = "mm") -> float:
    """A speed in mm/min. A bare number is in mm/min, or in/min where `units` is "in".

    >>> parse_speed("30 in/min"), parse_speed("12.7 mm/s")
    (762.0, 762.0)
    """
    clean = _cleaned(text, comma=False, forms=SPEED_FORMS)
    match = _LENGTH.match(clean)
    name = (match["unit"].lower() if match else "") or ("in/min" if units == "in" else "mm/min")
    if match is None or name not in SPEED_MM_PER_MIN:
        raise ValueError(f"{text!r} is no speed; {SPEED_FORMS}")
    return float(_number(match, text) * SPEED_MM_PER_MIN[name])


def _cleaned(text: str | float, *, comma: bool, forms: str = FORMS) -> str:
    if not isinstance(text, str):
        text = _written(text, forms)
    clean = "".join(_GLYPHS.get(letter, letter) for letter in text).strip()
    if not clean:
        raise ValueError(f"nothing is written; {forms}")
    if len(clean) > LONGEST:
        raise ValueError(f"{clean[:LONGEST]!r}... is too long for a length; {forms}")
    if clean.startswith("-"):
        raise ValueError(f"{clean} is below 0; {forms}")
    return _with_point(clean, comma=comma) if "," in clean else clean


def _written(number: float, forms: str) -> str:
    """A number as a person would write it: no exponent, and no more digits than are read."""
    if isinstance(number, bool) or not isinstance(number, (int, float)):
        raise ValueError(f"{str(number)[:60]} is no number; {forms}")
    if isinstance(number, int):
        if abs(number) >= 10**LONGEST:
            raise ValueError(f"the number is far too large; {forms}")
        return str(number)
    if not math.isfinite(number):
        raise ValueError(f"{number!r} is no finite number; {forms}")
    return f"{Decimal(repr(number)):f}"


def _with_point(clean: str, *, comma: bool) -> str:
    # 1,200 is 1200 to one person and 1.2 to the next: a wrong guess would spoil the plate.
    if _THOUSANDS.search(clean):
        raise ValueError(
            f"{clean!r} can be read in two ways; write {clean.replace(',', '')} or {clean.replace(',', '.', 1)}"
        )
    if clean.count(",") > 1 or "." in clean:
        raise ValueError(f"{clean!r} is no number; {FORMS}")
    if not comma:
        raise ValueError(f"{clean!r} has a comma; write {clean.replace(',', '.')}")
    return clean.replace(",", ".")


def _length(clean: str, units: str) -> Fraction:
    feet = _FEET.match(clean)
    if feet is not None:
        inches = _LENGTH.match(feet["rest"])
        if inches is not None and _unit(inches["unit"] or "in", clean) == "in":
            return Fraction(feet["feet"]) * MM_PER["ft"] + _number(inches, clean) * MM_PER["in"]
    match = _LENGTH.match(clean)
    if match is None:
        raise ValueError(f"{clean!r} is no length; {FORMS}")
    return _number(match, clean) * MM_PER[_unit(match["unit"] or units, clean)]


def _unit(name: str, clean: str) -> str:
    key = _SPELLINGS.get(name.lower(), name.lower())
    if key not in MM_PER:
        number = clean[: len(clean) - len(name)].strip()
        raise ValueError(f"{clean!r} has the unit {name!r}; write {number} mm or {number} in")
    return key


def _number(match: re.Match[str], text: object) -> Fraction:
    bottoms = [match["bottom"], match["nbottom"]]
    if any(bottom is not None and int(bottom) == 0 for bottom in bottoms):
        raise ValueError(f"{text!r} divides by 0; {FORMS}")
    if match["whole"] is not None:
        return Fraction(match["whole"]) + Fraction(int(match["top"]), int(match["bottom"]))
    if match["ntop"] is not None:
        return Fraction(int(match["ntop"]), int(match["nbottom"]))
    return Fraction(match["decimal"])


def show_length(mm: float, units: str = "mm", denominator: int = 32, *, unit: bool = False) -> str:
    """A length to read: mm to two decimals, or inches to the nearest 1/`denominator`.

    `unit` adds " mm"; inches always carry their sign, so that 1 1/2" is never taken for mm.

    >>> show_length(50.75), show_length(38.1, "in"), show_length(9.525, "in")
    ('50.75', '1 1/2"', '3/8"')
    """
    if units == "in":
        return _inches(mm, denominator)
    text = f"{mm:.2f}".rstrip("0").rstrip(".")
    text = "0" if text in ("-0", "") else text
    return f"{text} mm" if unit else text


def _inches(mm: float, denominator: int) -> str:
    parts = round(Fraction(repr(float(mm))) / MM_PER["in"] * denominator)
    sign = "-" if parts < 0 else ""
    whole, rest = divmod(abs(parts), denominator)
    fraction = Fraction(rest, denominator)
    if not rest:
        return f'{sign}{whole}"'
    text = f"{fraction.numerator}/{fraction.denominator}"
    return f'{sign}{whole} {text}"' if whole else f'{sign}{text}"'


def show_speed(mm_per_min: float, units: str = "mm") -> str:
    """A speed to read, with its unit.

    >>> show_speed(762, "in"), show_speed(600)
    ('30 in/min', '600 mm/min')
    """
    if units == "in":
        return f"{mm_per_min / 25.4:.1f}".rstrip("0").rstrip(".") + " in/min"
    return f"{mm_per_min:.0f} mm/min"
