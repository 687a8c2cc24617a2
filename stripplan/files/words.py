"""Plates and parts as words on the command line.

A part is WIDTHxQUANTITY (a strip) or WIDTHxLENGTHxQUANTITY, a plate LENGTHxWIDTH or LENGTHxWIDTHxTHICKNESS,
a filler WIDTHxLENGTH, each with `name=` in front if wanted and units on any length; a plate may end in *N, how
many there are, a filler in *N, how many at most. The last number of a part is always its quantity: `50x600` is 600
strips, and whoever calls says so to the person.
"""

from __future__ import annotations

import re

from stripplan.errors import Fault, InputError
from stripplan.files.fault_words import shortened
from stripplan.files.toml.quantities import MOST_PARTS, ValueRefusedError, read_name
from stripplan.model.part import AS_MANY_AS_FIT, Part, Rectangle, Strip
from stripplan.model.plate import Plate
from stripplan.wording.quantity import UnitError, parse_length

PART_FORM = "write WIDTHxQUANTITY as 50x6, or WIDTHxLENGTHxQUANTITY as 120x300x2"
FILLER_FORM = "write WIDTHxLENGTH as 60x60, and *20 for at most 20 of them"
PLATE_FORM = "write LENGTHxWIDTH as 2000x1000, or LENGTHxWIDTHxTHICKNESS as 2000x1000x6, and *3 for three of them"


def parse_part(text: str, *, units: str = "mm", number: int) -> Part:
    """A part from one word; without a name it is part `number`. Raises InputError.

    >>> parse_part("shelf=120x300x2", number=1).name, parse_part('2"x6', number=1).quantity
    ('shelf', 6)
    """
    name, body = _named(text, f"part {number}")
    numbers = _split(body)
    if len(numbers) not in (2, 3):
        raise InputError(Fault("part", shortened(text), "this is no part", PART_FORM))
    *sizes, count = numbers
    width, *length = [_above(each, units, text, PART_FORM) for each in sizes]
    quantity = _quantity(count, units, text)
    if length:
        return Rectangle(name=name, width=width, length=length[0], quantity=quantity)
    return Strip(name=name, width=width, quantity=quantity)


def parse_filler(text: str, *, units: str = "mm", number: int) -> Part:
    """A filler from one word; without a name it is filler `number`. Raises InputError.

    >>> parse_filler("pad=60x60*20", number=1).most, parse_filler("60x60", number=1).most
    (20, None)
    """
    name, body = _named(text, f"filler {number}")
    size, star, count = body.partition("*")
    numbers = _split(size)
    if len(numbers) == 3 and not star:
        hint = f"for at most {numbers[2]} of them write {'x'.join(numbers[:2])}*{numbers[2]}"
        hint = hint if len(hint) < 90 else FILLER_FORM
        raise InputError(Fault("filler", shortened(text), "a filler has two sizes", hint))
    if len(numbers) != 2:
        raise InputError(Fault("filler", shortened(text), "this is no filler", FILLER_FORM))
    if star and not _is_count(count):
        words = f"{shortened(count)} is no number of fillers from 1 to {MOST_PARTS}"
        raise InputError(Fault("filler", shortened(text), words, FILLER_FORM))
    width, length = [_above(each, units, text, FILLER_FORM) for each in numbers]
    return Rectangle(
        name=name, width=width, length=length, quantity=int(count) if star else AS_MANY_AS_FIT, filler=True
    )


def _is_count(text: str) -> bool:
    return re.fullmatch(r"\s*[0-9]{1,7}\s*", text) is not None and 1 <= int(text) <= MOST_PARTS


def parse_plate(text: str, *, units: str = "mm", number: int, material: str | None = None) -> Plate:
    """A plate from one word; without a name it is plate `number`. Raises InputError.

    >>> plate = parse_plate("2000x1000x6*2", number=1)
    >>> plate.length, plate.width, plate.thickness, plate.quantity
    (2000.0, 1000.0, 6.0, 2)
    """
    name, body = _named(text, f"plate {number}")
    size, star, count = body.partition("*")
    numbers = _split(size)
    if len(numbers) == 4 and not star:
        hint = f"for several plates alike write {'x'.join(numbers[:3])}*{numbers[3]}"
        raise InputError(
            Fault("plate", shortened(text), "a plate has two or three sizes", hint if len(hint) < 90 else PLATE_FORM)
        )
    if len(numbers) not in (2, 3):
        raise InputError(Fault("plate", shortened(text), "this is no plate", PLATE_FORM))
    if star and not _is_count(count):
        words = f"{shortened(count)} is no number of plates from 1 to {MOST_PARTS}"
        raise InputError(Fault("plate", shortened(text), words, PLATE_FORM))
    length, width, *thickness = [_above(each, units, text, PLATE_FORM) for each in numbers]
    return Plate(
        name=name, length=length, width=width, thickness=thickness[0] if thickness else None,
        material=_material(material), quantity=int(count) if star else None,
    )  # fmt: skip


def _named(text: str, default: str) -> tuple[str, str]:
    """Name and sizes; sizes never hold `=`, so a name may."""
    name, equals, body = text.rpartition("=")
    if not equals:
        return default, text
    try:
        return read_name(name), body
    except ValueRefusedError as error:
        raise InputError(Fault("name", shortened(text), error.said, "write shelf=50x6")) from None


def _material(material: str | None) -> str | None:
    try:
        return None if material is None else read_name(material)
    except ValueRefusedError as error:
        raise InputError(Fault("material", "material", error.said, error.hint)) from None


def _split(sizes: str) -> list[str]:
    return [each.strip() for each in re.split(r"[xX×✕]", sizes)]


def _quantity(count: str, units: str, text: str) -> int:
    """The last number of a part. A length in its place is told apart from a slip."""
    if re.fullmatch(r"[0-9]{1,7}", count) and 1 <= int(count) <= MOST_PARTS:
        return int(count)
    words = f"the quantity {shortened(count)} is no whole number from 1 to {MOST_PARTS}"
    try:
        parse_length(count, units)
    except UnitError:
        hint = PART_FORM
    else:
        hint = f"the last number is how many; for one rectangle write {text}x1" if len(text) < 60 else PART_FORM
    raise InputError(Fault("part", shortened(text), words, PART_FORM if re.fullmatch("[0-9]+", count) else hint))


def _above(size: str, units: str, text: str, form: str) -> float:
    try:
        value = parse_length(size, units)
    except UnitError as error:
        raise InputError(Fault("length", shortened(text), error.said, error.hint if size else form)) from None
    if value == 0:
        raise InputError(Fault("length", shortened(text), f"{size} is not above 0", form))
    return value
