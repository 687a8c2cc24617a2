"""Lengths and speeds as people write them, exactly, and as they want to read them.

1 in = 25.4 mm by definition. Everything is worked out on fractions; only the result becomes a float, and that
float prints as the exact decimal where there is one (3/8 in = 9.525). What could be read in two ways is refused
rather than guessed: `2,500` (2.5 or 2500), `1'000` (a foot or a thousand), `1/2` where a bare number is in mm.
"""

from __future__ import annotations

import difflib
import math
import re
import unicodedata
from collections.abc import Callable, Iterator, Mapping
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

MM_PER = {"mm": Fraction(1), "cm": Fraction(10), "m": Fraction(1000), "in": Fraction(254, 10), "ft": Fraction(3048, 10)}
MM_PER_MIN = {"mm/min": Fraction(1), "mm/s": Fraction(60), "m/min": Fraction(1000), "in/min": Fraction(254, 10)}
FORMS = 'write 250, 250 mm, 25 cm, 2.5 m, 10 in, 1 1/2 in, 1-1/2", 3/8 in, 8 ft or 4\' 6"'
SPEED_FORMS = "write 600, 600 mm/min, 10 mm/s, 0.6 m/min, 24 in/min or 24 ipm"
UNITS_KNOWN = {FORMS: "write it in mm, cm, m, in or ft", SPEED_FORMS: "write it in mm/min, mm/s, m/min or in/min"}
LONGEST_TEXT = 40
LEAST_MM, GREATEST_MM = Fraction(1, 1000), Fraction(10**6)
GREATEST_SPEED = Fraction(10**6)

_UNITS = {
    "mm": ("mm", "millimetre", "millimetres", "millimeter", "millimeters"),
    "cm": ("cm", "centimetre", "centimetres", "centimeter", "centimeters"),
    "m": ("m", "metre", "metres", "meter", "meters"),
    "in": ("in", "in.", "inch", "inches", '"', "''"),
    "ft": ("ft", "ft.", "foot", "feet", "'"),
}
_SPEEDS = {key: (key,) for key in MM_PER_MIN} | {"in/min": ("in/min", "ipm")}
_FRACTIONS = "½¼¾⅛⅜⅝⅞⅓⅔⅕⅖⅗⅘⅙⅚⅐⅑⅒"
_GLYPHS = str.maketrans(
    {"″": '"', "”": '"', "“": '"', "′": "'", "’": "'", "‘": "'", "⁄": "/", "–": "-", "‐": "-", "‑": "-", "−": "-"}
    | {glyph: " " + unicodedata.normalize("NFKC", glyph).replace("⁄", "/") for glyph in _FRACTIONS}
)
_NUMBER = r"(?:[0-9]+[ -])?[0-9]+/[0-9]+|[0-9]+\.?[0-9]*|\.[0-9]+"
_PLAIN = re.compile(rf"({_NUMBER}) ?([a-z./]*|\"|'{{1,2}})")
_FEET = re.compile(rf"([0-9]+) ?(?:'|ft\.?|feet|foot)[ -]?({_NUMBER}) ?(in\.?|inch|inches|\"|'')?")
_THOUSANDS = re.compile(r"[0-9]{1,3}(?:([,' _])[0-9]{3})(?:\1[0-9]{3})*(?![0-9])")


class UnitError(ValueError):
    """No length or speed: `said` tells what is wrong with what was written, `hint` the nearest accepted form."""

    def __init__(self, said: str, hint: str) -> None:
        super().__init__(f"{said}: {hint}")
        self.said = said
        self.hint = hint


def parse_length(text: str | float, units: str = "mm", *, comma: bool = False, signed: bool = False) -> float:
    """A length in mm. A bare number is in `units` ("mm" or another key of MM_PER).

    `comma` allows a decimal comma, `signed` a length below 0. Raises UnitError, a ValueError that says
    what is wrong and the nearest accepted form; so too above a kilometre and below a thousandth of a mm.

    >>> parse_length("1-1/2 in"), parse_length("4' 6\\""), parse_length(2, "in")
    (38.1, 1371.6, 50.8)
    >>> parse_length("3 1/4 inchs")
    Traceback (most recent call last):
    stripplan.wording.quantity.UnitError: '3 1/4 inchs' is no length: write 3 1/4 in
    """
    value = _read(text, lambda clean: _length(clean, units), FORMS, comma=comma, signed=signed)
    if abs(value) > GREATEST_MM:
        raise UnitError(f"{_said(text)} is longer than a kilometre", "write 1 km or less in mm, m, in or ft")
    if 0 < abs(value) < LEAST_MM:
        raise UnitError(f"{_said(text)} is less than a thousandth of a millimetre", "write 0.001 mm or more")
    return float(value)


def parse_sides(text: str, units: str = "mm") -> tuple[float, ...]:
    """Lengths with an x between them [mm]. Raises UnitError.

    >>> parse_sides("980 x 640"), parse_sides('20"x1 1/2"', "in")
    ((980.0, 640.0), (508.0, 38.1))
    """
    return tuple(parse_length(each.strip(), units) for each in re.split("[xX×]", text))


def parse_speed(text: str | float, units: str = "mm") -> float:
    """A speed in mm/min. A bare number is in mm/min, or in/min where `units` is "in". Raises UnitError.

    >>> parse_speed("30 in/min"), parse_speed("12.7 mm/s")
    (762.0, 762.0)
    """
    bare = "in/min" if units == "in" else "mm/min"
    value = _read(text, lambda clean: _speed(clean, bare), SPEED_FORMS, comma=False, signed=False)
    if value > GREATEST_SPEED:
        raise UnitError(f"{_said(text)} is faster than a kilometre a minute", SPEED_FORMS)
    return float(value)


# --- reading ------------------------------------------------------------------------------------------------------


def _read(
    text: str | float, parse: Callable[[str], Fraction | None], forms: str, *, comma: bool, signed: bool
) -> Fraction:
    """What `parse` makes of the cleaned text; UnitError with the nearest form that it would take."""
    clean = _cleaned(text, forms)
    below, clean = clean.startswith("-"), clean.removeprefix("-").strip()
    if "," in clean:
        clean = _with_point(clean, parse, forms, comma=comma)
    value = parse(clean)
    if value is None:
        what = "speed" if forms is SPEED_FORMS else "length"
        if re.search("/0+(?![0-9])", clean):
            raise UnitError(f"{_said(text)} divides by 0", forms)
        raise UnitError(f"{_said(text)} is no {what}", _near(clean, parse, forms))
    if below and value and not signed:
        raise UnitError(f"{_said(text)} is below 0", f"write {clean}")
    return -value if below else value


def _said(text: object) -> str:
    """What was written, in quotes and not longer than a message bears."""
    if not isinstance(text, str):
        return repr(text)
    shown = repr(text[:LONGEST_TEXT])
    return shown if text[LONGEST_TEXT:] == "" and len(shown) < 60 else f"{shown[:LONGEST_TEXT]}'..."


def _cleaned(text: str | float, forms: str) -> str:
    """Small letters, single blanks, plain signs; numbers as they would be written without an exponent."""
    written = text if isinstance(text, str) else _written(text, forms)
    if len(written) > LONGEST_TEXT:
        raise UnitError(f"{_said(written)} is too long", forms)
    clean = " ".join(written.translate(_GLYPHS).lower().split())
    if not clean:
        raise UnitError("nothing is written", forms)
    return re.sub(r" ?([/-]) ?", r"\1", clean)


def _written(number: float, forms: str) -> str:
    if isinstance(number, bool) or not isinstance(number, (int, float)):
        raise UnitError(f"{number!r} is no number", forms)
    if isinstance(number, float) and not math.isfinite(number):
        raise UnitError(f"{number!r} is no finite number", forms)
    if number and not 1e-15 < abs(number) < 10**15:
        raise UnitError(f"the number is far too {'large' if abs(number) > 1 else 'small'}", forms)
    return f"{Decimal(repr(number)):f}"


def _with_point(clean: str, parse: Callable[[str], Fraction | None], forms: str, *, comma: bool) -> str:
    """The text with a decimal point for its comma, where that is allowed and has one meaning."""
    pointed = clean.replace(",", ".")
    if clean.count(",") > 1 or "." in clean or parse(pointed) is None:
        raise UnitError(f"{_said(clean)} has a comma", _near(clean, parse, forms))
    if _THOUSANDS.match(clean) and not clean.startswith("0"):
        raise UnitError(f"{_said(clean)} can be read in two ways", f"write {clean.replace(',', '')} or {pointed}")
    if not comma:
        raise UnitError(f"{_said(clean)} has a comma", f"write {pointed}")
    return pointed


def _length(clean: str, units: str) -> Fraction | None:
    """mm of a cleaned text, None where it is no length. A bare fraction is no length in mm: it means inches."""
    feet = _FEET.fullmatch(clean)
    if feet is not None:
        inches = _number(feet[2])
        whole = feet[3] is None and re.fullmatch("[0-9]{3,}", feet[2]) is not None  # 1'000 is no feet and inches
        return None if inches is None or inches >= 12 or whole else int(feet[1]) * MM_PER["ft"] + inches * MM_PER["in"]
    plain = _PLAIN.fullmatch(clean)
    if plain is None or ("/" in plain[1] and not plain[2] and units not in ("in", "ft")):
        return None
    unit = _key(plain[2] or units, _UNITS)
    number = _number(plain[1])
    return None if unit is None or number is None else number * MM_PER[unit]


def _speed(clean: str, bare: str) -> Fraction | None:
    plain = _PLAIN.fullmatch(clean)
    unit = None if plain is None else _key(plain[2] or bare, _SPEEDS)
    number = None if plain is None else _number(plain[1])
    return None if unit is None or number is None else number * MM_PER_MIN[unit]


def _key(word: str, spellings: Mapping[str, tuple[str, ...]]) -> str | None:
    return next((key for key, words in spellings.items() if word in words), None)


def _number(text: str) -> Fraction | None:
    """A number or fraction; None where it divides by 0 or the fraction beside a whole number is not below 1."""
    if "/" not in text:
        return Fraction(text)
    whole, top, bottom = (int(each) for each in re.fullmatch(r"(?:([0-9]+)[ -])?(.+)/(.+)", text).groups("0"))  # type: ignore[union-attr]
    mixed = " " in text or "-" in text
    return None if not bottom or (mixed and top >= bottom) else whole + Fraction(top, bottom)


# --- the nearest accepted form --------------------------------------------------------------------------------------


def _near(clean: str, parse: Callable[[str], Fraction | None], forms: str) -> str:
    """ "write ..." with the first likely meaning that can be read, else all forms."""
    for offers in _meanings(clean):
        if all(len(each) <= LONGEST_TEXT and parse(each) is not None for each in offers):
            return "write " + " or ".join(offers)
    strange = re.fullmatch(r"[0-9][0-9./ -]*[a-z][a-z./]*", clean) is not None
    return forms if not strange else UNITS_KNOWN[forms]


def _meanings(clean: str) -> Iterator[tuple[str, ...]]:
    """What may have been meant, the likeliest first; several together where none is likelier."""
    bare = clean.lstrip("+~= ").rstrip(".;: ")
    yield (bare,)
    yield (re.sub(r"[,' _](?=[0-9]{3}(?![0-9]))", "", bare),)  # 1 000 and 1,000
    yield (re.sub(r"\.(?=[0-9]{3}(?![0-9]))", "", bare).replace(",", "."),)  # 1.250,5
    yield (bare.replace(",", "."),)
    exponent = re.fullmatch(r"([0-9.]+e[+-]?[0-9]{1,2})(.*)", bare)
    if exponent is not None:
        yield (f"{_decimal(exponent[1]):f}{exponent[2]}",)
    if re.fullmatch(_NUMBER, bare) and "/" in bare:  # a bare fraction where numbers are in mm
        yield (f"{bare} in",)
    improper = re.fullmatch(r"([0-9]+)[ -]([0-9]+)/([1-9][0-9]*)(.*)", bare)
    if improper is not None:
        whole, rest = divmod(int(improper[2]), int(improper[3]))
        yield (f"{int(improper[1]) + whole}" + (f" {rest}/{improper[3]}" if rest else "") + (improper[4] or " in"),)
    feet = re.fullmatch(r"([0-9]+) ?(?:'|ft\.?|feet|foot)[ -]?([0-9]+) ?(?:in\.?|inch|inches|\"|'')", bare)
    if feet is not None:
        yield (f"{int(feet[1]) + int(feet[2]) // 12}' {int(feet[2]) % 12}\"",)
    word = re.fullmatch(r"(.*?[0-9.]) ?([a-z][a-z./]*)", bare)
    if word is not None:
        yield from ((f"{word[1]} {unit}",) for unit in _units_near(word[2]))


def _decimal(text: str) -> Decimal:
    try:
        return Decimal(text)
    except ArithmeticError:
        return Decimal("NaN")


def _units_near(word: str) -> Iterator[str]:
    """Units that a misspelt word can only mean: km or m/s are units too, and nothing is offered for them."""
    distance, _, time = word.partition("/")
    key = _key(distance, _UNITS)
    if key is not None:
        yield f"{key}/{'s' if time.startswith('s') else 'min'}"
    words = {each: key for key, several in _UNITS.items() for each in several if each[0] == word[0]}
    near = difflib.get_close_matches(word, words, 1, 0.75) if len(word) > 2 else []
    yield from (words[each] for each in near)


# --- patterns for JSON Schema ---------------------------------------------------------------------------------------


def _any_case(words: tuple[str, ...]) -> str:
    letters = ("".join(f"[{c}{c.upper()}]" if c.isalpha() else re.escape(c) for c in word) for word in words)
    return "|".join(sorted(letters, key=len, reverse=True))


_RAW_NUMBER = (
    rf"(?:(?:[0-9]+(?:\s+|\s*[-–−]\s*))?[0-9]+\s*[/⁄]\s*0*[1-9][0-9]*"
    rf"|(?:[0-9]+\s*-?\s*)?[{_FRACTIONS}]|[0-9]+\.?[0-9]*|\.[0-9]+)"
)
_RAW_INCH = rf"(?:{_any_case(_UNITS['in'])}|[″”“]|[′’‘]{{2}})"
_RAW_FOOT = rf"(?:{_any_case(_UNITS['ft'])}|[′’‘])"
_RAW_UNIT = rf"(?:{'|'.join(_any_case(_UNITS[key]) for key in ('mm', 'cm', 'm'))}|{_RAW_INCH}|{_RAW_FOOT})"
LENGTH_PATTERN = rf"^\s*(?:{_RAW_NUMBER}\s*{_RAW_UNIT}?|[0-9]+\s*{_RAW_FOOT}\s*-?\s*{_RAW_NUMBER}\s*{_RAW_INCH}?)\s*$"
"""Regular expression (also ECMA 262) of the texts that are lengths; it cannot see sizes, `1/2` in mm or `1 3/2`."""
_RAW_SPEED = "|".join(_any_case(each) for each in _SPEEDS.values()).replace("/", r"\s*/\s*")
SPEED_PATTERN = rf"^\s*{_RAW_NUMBER}\s*(?:{_RAW_SPEED})?\s*$"
"""The same for speeds."""


# --- showing --------------------------------------------------------------------------------------------------------


def show_length(mm: float, units: str = "mm", denominator: int = 32, *, unit: bool = False) -> str:
    """A length to read: mm to two decimals without trailing zeros, or inches to the nearest 1/`denominator`.

    Rounding is to the nearest and a tie goes up, away from 0. Nothing marks a figure as rounded: what the rig
    is set to is already a mark of its scale, and any other figure is exact in plan.json. `unit` adds " mm";
    inches always carry their sign, so that 1 1/2" is never taken for mm.

    >>> show_length(50.75), show_length(38.1, "in"), show_length(9.525, "in"), show_length(0.125)
    ('50.75', '1 1/2"', '3/8"', '0.13')
    """
    if units == "in":
        return inches(mm, denominator)
    text = _rounded(mm, "0.01")
    return f"{text} mm" if unit else text


def _rounded(value: float | Decimal, step: str) -> str:
    rounded = Decimal(str(value)).quantize(Decimal(step), ROUND_HALF_UP)
    return f"{rounded.normalize() + 0:f}"  # + 0: no "-0"


def inches(mm: float, denominator: int) -> str:
    exact = abs(Fraction(repr(float(mm)))) / MM_PER["in"] * denominator
    parts = math.floor(exact + Fraction(1, 2))
    sign = "-" if mm < 0 and parts else ""
    whole, rest = divmod(parts, denominator)
    if not rest:
        return f'{sign}{whole}"'
    fraction = Fraction(rest, denominator)
    text = f"{fraction.numerator}/{fraction.denominator}"
    return f'{sign}{whole} {text}"' if whole else f'{sign}{text}"'


def show_speed(mm_per_min: float, units: str = "mm") -> str:
    """A speed to read, with its unit: whole mm/min, or in/min to one decimal; a tie goes up.

    >>> show_speed(762, "in"), show_speed(600)
    ('30 in/min', '600 mm/min')
    """
    if units == "in":
        return _rounded(Decimal(str(mm_per_min)) / Decimal("25.4"), "0.1") + " in/min"
    return _rounded(mm_per_min, "1") + " mm/min"
