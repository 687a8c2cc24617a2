"""Messages and quantities as a person reads them: the one place where a figure gets its unit.

A sentence is a text with fields, `{width:g}`. What stands behind the colon says how the figure reads in mm, as in
Python's own format language, and ends with marks of ours:

    {width:g}             "12.5 mm", or 1/2" for a person who reads inches
    {width:g-}            without its unit, where more figures follow: {width:g-} x {length:g}; inches keep their sign
    {least:g^}            rounded up where it must be rounded: what is a least
    {names:|, }           several, with ", " between them
    {sizes:g-| and }      several figures
    {fault:?}             a message with its hint in brackets
    {finding:!}           a message, a colon, and its hint

`{length_unit}`, `{speed_unit}` and `{mass_unit}` are the units alone, for the head of a table.

In inches a figure is rounded as its mm are, then shown as 64ths where it is a whole number of them; else as the nearest
fraction, or as a decimal where it is to be measured or typed (`exact`).
"""

from __future__ import annotations

import math
import string
from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import ROUND_HALF_UP, ROUND_UP, Decimal
from typing import Any, Literal

from stripplan.wording.figures import KG_PER_LB
from stripplan.wording.message import Fact, Facts, Message, Quantity
from stripplan.wording.quantity import inches, show_speed
from stripplan.wording.sentence import Text

_UNITS = {
    "length": " mm",
    "speed": " mm/min",
    "area": " m2",
    "mass": " kg",
    "current": " A",
    "minutes": " min",
    "seconds": " s",
    "angle": "°",
    "percent": " %",
    "number": "",
}


MM2_PER, AREA = {"mm": 1e6, "in": 304.8**2}, {"mm": "m2", "in": "ft2"}
"""Plate is counted in square metres, or square feet."""

_UNIT_NAMES: Mapping[str, Mapping[str, Fact]] = {
    "mm": {"length_unit": "mm", "speed_unit": "mm/min", "mass_unit": "kg"},
    "in": {"length_unit": "in", "speed_unit": "in/min", "mass_unit": "lb"},
}
"""Facts that every sentence has."""


@dataclass(frozen=True)
class Units:
    """The units a person reads. `denominator` is the finest fraction of an inch on their rule.

    `exact`: figures are to be measured or typed, so inches have four decimals where they are no fraction. `decimal`:
    they were measured with a calliper or a gauge, which shows no fractions. `up`: what is rounded is rounded up, as the
    figures of a way out must be.
    """

    system: Literal["mm", "in"] = "mm"
    denominator: int = 32
    exact: bool = False
    up: bool = False
    decimal: bool = False


MM = Units()


def figure(value: float, spec: str = "g") -> str:
    """A number by a format of Python's, never with an exponent.

    >>> figure(1e6), figure(0.000004), figure(2.5, ".0f")
    ('1000000', '0.000004', '2')
    """
    text = format(value, spec)
    return f"{Decimal(text):f}" if "e" in text else text


def show(quantity: Quantity, units: Units = MM, spec: str = "g", *, unit: bool = True) -> str:
    """A quantity in a person's units.

    >>> show(Quantity(12.7, "length")), show(Quantity(12.7, "length"), Units("in"))
    ('12.7 mm', '1/2"')
    >>> show(Quantity(508, "speed"), Units("in"))
    '20 in/min'
    """
    if quantity.dimension == "area":
        return figure(quantity.value / MM2_PER[units.system], spec) + (f" {AREA[units.system]}" if unit else "")
    text = figure(quantity.value, spec)
    if units.system == "mm" or not math.isfinite(quantity.value):
        return text + _UNITS[quantity.dimension] if unit else text
    if quantity.dimension == "length":
        return "+" * (text[0] == "+") + length_in_inches(text, units)
    if quantity.dimension == "mass":
        return figure(quantity.value / KG_PER_LB, ".3g") + " lb" * unit
    if quantity.dimension == "speed":
        return _speed_in_inches(quantity.value, text) + " in/min" * unit
    return text + _UNITS[quantity.dimension] if unit else text


def _speed_in_inches(mm_per_min: float, text: str) -> str:
    """To a tenth as it reads in mm; what is less than an inch a minute, as doubts of a speed are, to two figures."""
    small = abs(mm_per_min) / 25.4 < 0.95
    return figure(mm_per_min / 25.4, ".2g") if small else show_speed(float(text), "in").removesuffix(" in/min")


def length_in_inches(mm: str, units: Units) -> str:
    """A length that reads so in mm, in inches: a fraction where it is one, else near enough for what it is there for.

    Whole 64ths become fractions. Else, from an inch up, figures are rounded to the nearest 1/`denominator`, and below
    to three decimals; where `exact`, all have up to four decimals.

    >>> length_in_inches("21.7", Units("in")), length_in_inches("2034.54", Units("in", exact=True))
    ('0.854"', '80.1"')
    >>> length_in_inches("97", Units("in", up=True)), length_in_inches("0.00001", Units("in"))
    ('3 27/32"', '0.00000039"')
    """
    written = Decimal(mm)
    value = written / Decimal("25.4")
    if _in_64ths(written) and not units.decimal:
        return inches(float(written), 64)
    if not units.exact and abs(value) >= 1:
        parts = math.ceil(value * units.denominator) if units.up else None
        return inches(float(written) if parts is None else parts / units.denominator * 25.4, units.denominator)
    tiny = 0 < abs(value) < Decimal("0.0005")
    step = Decimal("0.00000001") if tiny else Decimal("0.0001") if units.exact else Decimal("0.001")
    rounded = value.quantize(step, ROUND_UP if units.up else ROUND_HALF_UP)
    return f'{rounded.normalize() + 0 if units.exact or tiny else rounded:f}"'


def _in_64ths(mm: Decimal) -> bool:
    """Whether a figure is a whole number of 64ths, as near as it is written: at six digits 34.5281 stands for
    34.528125.
    """
    written = -int(mm.as_tuple().exponent)
    step = Decimal("25.4") / 64
    return mm != 0 and abs(mm - (mm / step).to_integral_value() * step) <= Decimal(5).scaleb(-max(written, 3) - 1)


@dataclass(frozen=True)
class Worded:
    """What a person reads: what is so, and what would help, where something would."""

    text: str
    hint: str = ""


def worded(message: Message, units: Units = MM) -> Worded:
    """A message in words. KeyError for a code that has no sentence, or a sentence that asks for a fact it has not."""
    from stripplan.wording.sentences import sentence_of  # the sentences are many, and few runs have anything to say

    sentence = sentence_of(message.key)
    texts = [text_for(each, message.facts) for each in (sentence.text, sentence.hint)]
    facts: dict[str, Fact] = {"about": message.about, **message.facts}
    hint = filled(texts[1], facts, replace(units, up=units.up or units.exact))
    return Worded(filled(texts[0], facts, units), hint)


def told(message: Message, units: Units = MM) -> str:
    """A message in one line, with what would help behind it."""
    return _with_hint(worded(message, units), "?")


def text_for(text: Text, facts: Facts) -> str:
    """The text that the facts ask for."""
    return text(facts) if callable(text) else text


def filled(text: str, facts: Mapping[str, Fact], units: Units = MM) -> str:
    """A text with its fields filled in.

    >>> facts = {"names": ("x", "y"), "a": Quantity(3, "length"), "b": Quantity(4, "length")}
    >>> filled("{names:|, } of {a:g-} x {b:g}", facts)
    'x, y of 3 x 4 mm'
    """
    return _Filler(units).vformat(text, (), {**_UNIT_NAMES[units.system], **facts}).strip()


class _Filler(string.Formatter):
    def __init__(self, units: Units) -> None:
        self.units = units

    def format_field(self, value: Any, format_spec: str) -> str:
        spec, between, joint = format_spec.partition("|")
        if between:
            return joint.join(self.format_field(each, spec) for each in value)
        least, bare = spec.endswith("^"), spec.rstrip("^").endswith("-")
        spec = spec.rstrip("^-")
        units = replace(self.units, up=True) if least else self.units
        if isinstance(value, Quantity):
            return show(value, units, spec or "g", unit=not bare)
        if isinstance(value, Message):
            return _with_hint(worded(value, units), spec)
        return figure(value, spec) if isinstance(value, float) and spec else format(value, spec)


def _with_hint(said: Worded, mark: str) -> str:
    """A message within another: its text, and its hint as the mark says."""
    form = {"?": "{} ({})", "!": "{}: {}"}.get(mark, "{}") if said.hint else "{}"
    return form.format(said.text, said.hint)
