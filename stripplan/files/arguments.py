"""Plates and parts as words on the command line.

A part is WIDTHxQUANTITY (a strip) or WIDTHxLENGTHxQUANTITY, a plate LENGTHxWIDTH or LENGTHxWIDTHxTHICKNESS,
each with `name=` in front if wanted and units on any number; a plate may end in *N, how many there are.
"""

from __future__ import annotations

import re

from ..errors import Fault, InputError
from ..model.part import Part, Strip, as_rectangle
from ..model.plate import Plate
from ..model.units import parse_length
from .schema import MOST_PARTS, named

PART_FORM = "write WIDTHxQUANTITY as 50x6, or WIDTHxLENGTHxQUANTITY as 120x300x2"
PLATE_FORM = "write LENGTHxWIDTH as 2000x1000, or LENGTHxWIDTHxTHICKNESS as 2000x1000x6, and *3 for three of them"


def parse_part(text: str, *, units: str = "mm", number: int) -> Part:
    """A part from one word.

    >>> parse_part("shelf=120x300x2", number=1).name, parse_part('2"x6', number=1).quantity
    ('shelf', 6)
    """
    name, body = _named(text, f"part {number}")
    numbers = _split(body)
    if len(numbers) not in (2, 3):
        raise InputError(Fault("part", f"{text[:60]!r}", "this is no part", PART_FORM))
    count = numbers.pop()
    if re.fullmatch(r"\d{1,9}", count) is None or not 1 <= int(count) <= MOST_PARTS:
        words = f"the quantity {count[:60]!r} is no whole number from 1 to {MOST_PARTS:,}"
        raise InputError(Fault("part", f"{text[:60]!r}", words, PART_FORM))
    lengths = [_above(each, units, text, PART_FORM) for each in numbers]
    strip = Strip(name=name, width=lengths[0], quantity=int(count))
    return strip if len(lengths) == 1 else as_rectangle(strip, lengths[1])


def parse_plate(text: str, *, units: str = "mm", number: int, material: str | None = None) -> Plate:
    """A plate from one word.

    >>> plate = parse_plate("2000x1000x6*2", number=1)
    >>> plate.length, plate.width, plate.thickness, plate.quantity
    (2000.0, 1000.0, 6.0, 2)
    """
    name, body = _named(text, f"plate {number}")
    size, star, count = body.partition("*")
    if star and (re.fullmatch(r"\s*\d{1,6}\s*", count) is None or int(count) < 1):
        raise InputError(Fault("plate", f"{text[:60]!r}", f"{count[:60]!r} is no number of plates", PLATE_FORM))
    numbers = _split(size)
    if len(numbers) not in (2, 3):
        raise InputError(Fault("plate", f"{text[:60]!r}", "this is no plate", PLATE_FORM))
    lengths = [_above(each, units, text, PLATE_FORM) for each in numbers]
    return Plate(
        name=name,
        length=lengths[0],
        width=lengths[1],
        thickness=lengths[2] if len(lengths) == 3 else None,
        material=material,
        quantity=int(count) if star else None,
    )


def _named(text: str, default: str) -> tuple[str, str]:
    """Name and sizes; sizes never hold `=`, so a name may."""
    name, equals, body = text.rpartition("=")
    if not equals:
        return default, text
    try:
        return named(name.strip()), body
    except ValueError as error:
        raise InputError(Fault("name", f"{text[:60]!r}", str(error), "write shelf=50x6")) from None


def _split(sizes: str) -> list[str]:
    return [each.strip() for each in re.split(r"[xX×]", sizes)]


def _above(text: str, units: str, whole: str, form: str) -> float:
    try:
        value = parse_length(text, units)
    except ValueError as error:
        words, _, hint = str(error).partition("; write ")
        raise InputError(Fault("length", f"{whole[:60]!r}", words, f"write {hint}" if hint else form)) from None
    if value <= 0:
        raise InputError(Fault("length", f"{whole[:60]!r}", f"{text} is not above 0", form))
    return value
