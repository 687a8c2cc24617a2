"""Plates and parts as words on the command line.

A part is WIDTHxQUANTITY (a strip) or WIDTHxLENGTHxQUANTITY, behind which `:triangle`, `:ends=45/45` or `:corners=20`
may say that it is no rectangle; a plate LENGTHxWIDTH or LENGTHxWIDTHxTHICKNESS,
a filler WIDTHxLENGTH, each with `name=` in front if wanted and units on any length; a plate may end in *N, how
many there are, a filler in *N, how many at most. The last number of a part is always its quantity: `50x600` is 600
strips, and whoever calls says so to the person. A name that counts ("6x Rail") must say the same.
"""

from __future__ import annotations

import re
from typing import Literal

from stripplan.errors import InputError
from stripplan.files.fault_words import fault, shortened
from stripplan.files.parts.lists.counts import Counted, counted
from stripplan.files.parts.lists.shape_cells import read_corners, read_ends
from stripplan.files.parts.named_shapes import Named, outline_of
from stripplan.files.toml.quantities import MOST_PARTS, ValueRefusedError, read_name
from stripplan.model.part import AS_MANY_AS_FIT, Part, Rectangle, Shape, Strip
from stripplan.model.plate import Plate
from stripplan.model.polygon import Outline
from stripplan.wording.message import Fact
from stripplan.wording.quantity import UnitError, parse_length

LONGEST_ECHO = 60
"""Longest word that a message repeats to show how it is meant to be written."""


def parse_part(text: str, *, units: str = "mm", number: int) -> Part:
    """A part from one word; without a name it is part `number`. Raises InputError.

    >>> parse_part("shelf=120x300x2", number=1).name, parse_part('2"x6', number=1).quantity
    ('shelf', 6)
    >>> parse_part("6x Rail=50x300x6", number=1).name
    'Rail'
    >>> parse_part("gusset=80x120x24:triangle", number=1).outline
    ((0.0, 0.0), (120.0, 0.0), (0.0, 80.0))
    """
    sized, way, says = _shaped(text)
    name, body = _named(sized, f"part {number}")
    numbers = _split(body)
    behind = re.search(r"(?<=[0-9])\s*:\s*[a-z].*", text, re.IGNORECASE | re.DOTALL)
    if behind is not None and (len(numbers) not in (2, 3) or ":" in numbers[-1]):
        raise InputError(fault("part.shape", shortened(text), said=shortened(behind[0])))
    if len(numbers) not in (2, 3):
        raise InputError(fault("part.sizes", shortened(text)))
    *sizes, count = numbers
    width, *length = [_above(each, units, text, "part") for each in sizes]
    quantity = _quantity(count, units, text)
    said = counted(name) if body != sized else Counted()
    if said.count is not None and said.name is not None:
        if said.count != quantity:
            raise InputError(fault("part.two_counts", shortened(text), one=said.count, other=quantity, name=said.name))
        name = said.name
    if way:
        outline = _outline(text, width, length[0] if length else None, way, says, units)
        return Shape(name=name, outline=outline, quantity=quantity)
    if length:
        return Rectangle(name=name, width=width, length=length[0], quantity=quantity)
    return Strip(name=name, width=width, quantity=quantity)


def _shaped(text: str) -> tuple[str, str, str]:
    """The word without what makes it a shape: the kind of shape, and what is said of it."""
    found = re.fullmatch(r"(.*):\s*(triangle|ends|corners)\b\s*=?(.*)", text, re.IGNORECASE | re.DOTALL)
    return (text, "", "") if found is None else (found[1], found[2].lower(), found[3].strip())


def _outline(text: str, width: float, length: float | None, way: str, says: str, units: str) -> Outline:
    """The outline of a part that is no rectangle. Raises InputError."""
    try:
        ends = read_ends(says) if way == "ends" else None
        corners = read_corners(says, lambda each: parse_length(each, units)) if way == "corners" else None
    except UnitError as error:
        raise InputError(fault("length.unit", shortened(text), said=error.said, way_out=error.hint)) from None
    except ValueRefusedError as error:
        raise InputError(error.fault(shortened(text), code="word")) from None
    if way == "triangle" and says:
        raise InputError(fault("part.triangle", shortened(text), said=shortened(says)))
    triangle: Literal["triangle"] | None = "triangle" if way == "triangle" else None
    told = Named(width=width, length=length, shape=triangle, ends=ends, corners=corners)
    outline, faults = outline_of(told, lambda _: shortened(text))
    if outline is None:
        raise InputError(faults)
    return outline


def parse_filler(text: str, *, units: str = "mm", number: int) -> Part:
    """A filler from one word; without a name it is filler `number`. Raises InputError.

    >>> parse_filler("pad=60x60*20", number=1).most, parse_filler("60x60", number=1).most
    (20, None)
    """
    name, body = _named(text, f"filler {number}")
    size, star, count = body.partition("*")
    numbers = _split(size)
    if len(numbers) == 3 and not star:
        raise InputError(fault("filler.three_sizes", shortened(text), **_starred(numbers)))
    if len(numbers) != 2:
        raise InputError(fault("filler.sizes", shortened(text)))
    if star and not _is_count(count):
        raise InputError(fault("filler.count", shortened(text), count=shortened(count), most=MOST_PARTS))
    width, length = [_above(each, units, text, "filler") for each in numbers]
    return Rectangle(
        name=name, width=width, length=length, quantity=int(count) if star else AS_MANY_AS_FIT, filler=True
    )


def _starred(numbers: list[str]) -> dict[str, Fact]:
    """What stands before and after the star that was meant, where it is short enough to be said again."""
    *sizes, count = numbers
    joined = "x".join(sizes)
    return {"sizes": joined, "count": count} if len(joined) + 2 * len(count) < LONGEST_ECHO else {}


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
        raise InputError(fault("plate.four_sizes", shortened(text), **_starred(numbers)))
    if len(numbers) not in (2, 3):
        raise InputError(fault("plate.sizes", shortened(text)))
    if star and not _is_count(count):
        raise InputError(fault("plate.count", shortened(text), count=shortened(count), most=MOST_PARTS))
    length, width, *thickness = [_above(each, units, text, "plate") for each in numbers]
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
        raise InputError(fault("name.word", shortened(text), why=error.message)) from None


def _material(material: str | None) -> str | None:
    try:
        return None if material is None else read_name(material)
    except ValueRefusedError as error:
        raise InputError(error.fault("material", code="material")) from None


def _split(sizes: str) -> list[str]:
    return [each.strip() for each in re.split(r"[xX×✕]", sizes)]


def _quantity(count: str, units: str, text: str) -> int:
    """The last number of a part. A length in its place is told apart from a slip."""
    if re.fullmatch(r"[0-9]{1,7}", count) and 1 <= int(count) <= MOST_PARTS:
        return int(count)
    facts: dict[str, Fact] = {"count": shortened(count), "most": MOST_PARTS}
    if len(text) < LONGEST_ECHO and not re.fullmatch("[0-9]+", count) and _is_length(count, units):
        raise InputError(fault("part.length_for_quantity", shortened(text), text=text, **facts))
    raise InputError(fault("part.quantity", shortened(text), **facts))


def _is_length(text: str, units: str) -> bool:
    try:
        parse_length(text, units)
    except UnitError:
        return False
    return True


def _above(size: str, units: str, text: str, form: str) -> float:
    """A size above 0; `form` is what the word is to be, a "part", a "filler" or a "plate"."""
    try:
        value = parse_length(size, units)
    except UnitError as error:
        facts: dict[str, Fact] = {"way_out": error.hint} if size else {"form": form}
        says = "length.unit" if size else "length.missing"
        raise InputError(fault(says, shortened(text), said=error.said, **facts)) from None
    if value == 0:
        raise InputError(fault("length.nothing", shortened(text), size=size, form=form))
    return value
