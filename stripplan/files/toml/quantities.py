"""Kinds of values in job and rig files: how each is read, and how JSON Schema describes it.

Lengths and speeds come out in mm and mm/min. What unit a bare number has is told by the validation context,
`{"units": "mm" | "in"}`: a file says it once, for all its tables.
"""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Callable
from datetime import date, datetime
from decimal import Decimal
from typing import Annotated, Any

from pydantic import BeforeValidator, PlainValidator, ValidationInfo, WithJsonSchema

from stripplan.files.fault_words import shortened
from stripplan.wording.quantity import (
    LENGTH_PATTERN,
    LONGEST_TEXT,
    SPEED_PATTERN,
    UnitError,
    parse_length,
    parse_speed,
)

MOST_PARTS = 1_000_000
"""Most parts of a job, all quantities together; and most plates."""
MOST_ENTRIES = 20_000
"""Most [[part]] or [[plate]] tables in a file, and most rows in a list."""
MOST_LISTS = 100
"""Most lists of a job."""
GREATEST = 10**9
"""Greatest amount of money, seconds, kilograms or amperes."""
LONGEST_NAME = 200
MOST_BAR = 20
"""Greatest pressure of air [bar]: workshop compressors give half of it. It finds psi written as bar."""
BAR_PER_PSI = 0.06894757
"""1 psi is 6894.757 Pa, rounded: NIST Special Publication 811, appendix B (from memory, certain)."""
PRESSURE_FORM = 'write bar as a number, or text such as "75 psi"'
SHARE_FORM = 'write "2 %" or 0.02; it is below 1'


class ValueRefusedError(ValueError):
    """A value that is refused: `said` what is wrong with it, `hint` what to write."""

    def __init__(self, said: str, hint: str) -> None:
        super().__init__(f"{said}: {hint}")
        self.said = said
        self.hint = hint


def _shown(value: object, units: str) -> str:
    if isinstance(value, (int, float)) and not isinstance(value, bool) and abs(value) < GREATEST:
        return f"{value} {units}"
    return shortened(value) if isinstance(value, str) else str(value)


def _units(info: ValidationInfo) -> str:
    """Units of bare numbers in this file."""
    return str((info.context or {})["units"])


def _length(value: object, info: ValidationInfo, *, least: str) -> float:
    """mm; `least` is "above 0", "0 or more" or "" for any sign."""
    units = _units(info)
    if isinstance(value, bool) or not isinstance(value, (int, float, str)):
        raise ValueRefusedError("this is no length", 'write a number, or text such as "10 in"')
    try:
        mm = parse_length(value, units, signed=True)
    except UnitError as error:
        raise ValueRefusedError(error.said, error.hint) from None
    if mm < 0 and least:
        positive = str(value).strip().lstrip("-−– ")
        raise ValueRefusedError(
            f"{_shown(value, units)} is not above 0" if least == "above 0" else f"{_shown(value, units)} is below 0",
            f"no {info.field_name} is below 0; write {positive}",
        )
    if mm == 0 and least == "above 0":
        raise ValueRefusedError(f"{_shown(value, units)} is not above 0", f"write a {info.field_name} above 0")
    return mm


def length_above(value: object, info: ValidationInfo) -> float:
    """A size: mm, above 0."""
    return _length(value, info, least="above 0")


def length_from_0(value: object, info: ValidationInfo) -> float:
    """A distance: mm, 0 or more."""
    return _length(value, info, least="0 or more")


def length_signed(value: object, info: ValidationInfo) -> float:
    """An offset: mm, of any sign."""
    return _length(value, info, least="")


def speed_above(value: object, info: ValidationInfo) -> float:
    """A speed: mm/min, above 0."""
    if isinstance(value, bool) or not isinstance(value, (int, float, str)):
        raise ValueRefusedError("this is no speed", 'write a number, or text such as "24 in/min"')
    try:
        speed = parse_speed(value, _units(info))
    except UnitError as error:
        raise ValueRefusedError(error.said, error.hint) from None
    if speed == 0:
        raise ValueRefusedError(f"{value} is not above 0", f"write a {info.field_name} above 0")
    return speed


def _number(value: object, _: ValidationInfo) -> float:
    if isinstance(value, str) and _is_number(value):
        raise ValueRefusedError(f"{shortened(value)} is text", f"write {value.strip()} without quotes")
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        said = shortened(value) if isinstance(value, str) else "this"
        raise ValueRefusedError(f"{said} is no number", "write a plain number without unit")
    if isinstance(value, float) and not math.isfinite(value):
        raise ValueRefusedError(f"{value} is no finite number", "write a plain number")
    if abs(value) > GREATEST:
        raise ValueRefusedError("the number is too large", f"{GREATEST:,.0f} is the most")
    return float(value)


def read_pressure(value: object) -> float:
    """A pressure [bar], written 5 or "5 bar" or "75 psi". Raises ValueRefusedError.

    >>> read_pressure(5), read_pressure("5.5 bar"), round(read_pressure("75 psi"), 2)
    (5.0, 5.5, 5.17)
    """
    plain = isinstance(value, (int, float, str)) and not isinstance(value, bool)
    match = re.fullmatch(r"\s*([0-9]{1,9}(?:\.[0-9]{1,9})?)\s*(bar|psi)?\s*", str(value)) if plain else None
    if match is None:
        said = shortened(value) if isinstance(value, str) else "this"
        raise ValueRefusedError(f"{said} is no pressure", PRESSURE_FORM)
    bar = float(match[1]) * (BAR_PER_PSI if match[2] == "psi" else 1.0)
    if not 0 < bar <= MOST_BAR:
        raise ValueRefusedError(f"{bar:g} bar is {'too much' if bar else 'not above 0'}", PRESSURE_FORM)
    return bar


def _is_number(text: str) -> bool:
    try:
        return math.isfinite(float(text))
    except ValueError:
        return False


def _whole(value: object, _: ValidationInfo) -> object:
    """A whole number, also where it is written 4.0; anything else is left to say what it is."""
    if isinstance(value, float) and value.is_integer() and abs(value) <= GREATEST:
        return int(value)
    if isinstance(value, str):
        hint = f"write {value.strip()} without quotes" if _is_number(value) else "write a whole number"
        raise ValueRefusedError(f"{shortened(value)} is no whole number", hint)
    if isinstance(value, bool) or not isinstance(value, int):
        if isinstance(value, float) and abs(value) < GREATEST:
            raise ValueRefusedError(f"{value} is no whole number", f"write {math.floor(value)} or {math.ceil(value)}")
        raise ValueRefusedError("this is no whole number", "write a whole number")
    return value


def within(
    read: Callable[[object, ValidationInfo], Any], least: float, most: float, *, above: bool = False
) -> Callable[[object, ValidationInfo], Any]:
    """A reader of numbers held within `least`..`most`, or above `least`."""

    bound = f"{'above' if above else 'at least'} {least:g}"

    def check(value: object, info: ValidationInfo) -> Any:
        number = read(value, info)
        if number < least or (above and number == least):
            raise ValueRefusedError(f"{number:g} is not {bound}", f"write a number {bound}")
        if number > most:
            said = "the number" if number >= 10**15 else f"{number:g}" if isinstance(number, float) else f"{number}"
            raise ValueRefusedError(f"{said} is too {'many' if read is _whole else 'much'}", f"at most {most:,.0f}")
        return number

    return check


def read_share(value: object) -> float:
    """A share from 0 to below 1, written 0.02 or "2 %". Raises ValueRefusedError.

    >>> read_share("2 %"), read_share("2%"), read_share(0.02)
    (0.02, 0.02, 0.02)
    """
    text = str(value).strip() if isinstance(value, (int, float, str)) and not isinstance(value, bool) else ""
    match = re.fullmatch(r"([0-9]{1,9}(?:\.[0-9]{1,9})?|\.[0-9]{1,9})\s*(%?)", text)
    if match is None:
        said = shortened(value) if isinstance(value, str) else "this"
        raise ValueRefusedError(f"{said} is no share", SHARE_FORM)
    share = float(Decimal(match[1]) / (100 if match[2] else 1))
    if share >= 1:
        hint = f'write "{match[1]} %" in quotes' if not match[2] and share < 100 else SHARE_FORM
        raise ValueRefusedError(f"{shortened(text)[1:-1]} is all of it or more", hint)
    return share


_UNSEEN = "\u00ad\u200b\u200c\u200d\u200e\u200f\u2060\ufeff"
"""Soft hyphen, joiners and marks without width, as pasted text has them: they are left out of names."""


def read_name(value: object) -> str:
    """A name that can be printed on a sheet; spaces of every width as one plain one. Raises ValueRefusedError."""
    if not isinstance(value, str):
        raise ValueRefusedError("this is no text", "write a name in quotes")
    value = "".join(" " if unicodedata.category(each) == "Zs" else each for each in value if each not in _UNSEEN)
    if not value.strip():
        raise ValueRefusedError("the name is empty", "write a name, or leave the key out")
    if any(not letter.isprintable() for letter in value):
        raise ValueRefusedError(f"{shortened(value)} holds a control character", "one line of plain text")
    if len(value) > LONGEST_NAME:
        raise ValueRefusedError(f"the name has {len(value)} letters", f"at most {LONGEST_NAME}")
    return value.strip()


def read_file_name(value: object) -> str:
    """The name of a file, with folders or without. Raises ValueRefusedError."""
    if not isinstance(value, str):
        raise ValueRefusedError("this is no text", "write the file's name in quotes")
    if not value.strip():
        raise ValueRefusedError("the name is empty", "name a file")
    return value


def _date(value: object) -> str:
    """An ISO date, as TOML writes it with or without quotes."""
    if isinstance(value, datetime):
        return value.date().isoformat()
    if isinstance(value, date):
        return value.isoformat()
    try:
        return date.fromisoformat(str(value)).isoformat()
    except ValueError:
        raise ValueRefusedError(f"{shortened(str(value))} is no date", "write year-month-day, as 2026-05-30") from None


def no_outline(_: object) -> None:
    """Shapes are refused in plain words."""
    raise ValueRefusedError(
        "shapes cannot be laid out, only strips and rectangles", "give width and length, no outline"
    )


def _texts(number: dict[str, Any], pattern: str) -> dict[str, Any]:
    text = {"type": "string", "pattern": pattern, "maxLength": LONGEST_TEXT}
    return {"anyOf": [{"type": "number", **number}, text]}


def _numbers(**limits: float) -> dict[str, Any]:
    return {"type": "number", **limits}


_SIGNED_PATTERN = LENGTH_PATTERN.replace(r"^\s*", r"^\s*[-−–]?\s*", 1)
_PRINTED = r"[^\u0000-\u001f\u007f]*"

KIND = "x-kind"
KINDS: dict[str, dict[str, Any]] = {
    "size": _texts({"exclusiveMinimum": 0}, LENGTH_PATTERN),
    "length": _texts({"minimum": 0}, LENGTH_PATTERN),
    "offset": _texts({}, _SIGNED_PATTERN),
    "speed": _texts({"exclusiveMinimum": 0}, SPEED_PATTERN),
    "amount": _numbers(minimum=0, maximum=GREATEST),
    "name": {"type": "string", "maxLength": LONGEST_NAME, "pattern": rf"^{_PRINTED}\S{_PRINTED}$"},
}
"""JSON Schema of the kinds that many keys share; in a whole schema they stand under `$defs`."""


def kind(name: str) -> WithJsonSchema:
    """A mark that the whole schema turns into a reference to one of the KINDS."""
    return WithJsonSchema({KIND: name})


Size = Annotated[float, PlainValidator(length_above), kind("size")]
Length = Annotated[float, PlainValidator(length_from_0), kind("length")]
Signed = Annotated[float, PlainValidator(length_signed), kind("offset")]
Speed = Annotated[float, PlainValidator(speed_above), kind("speed")]
Number = Annotated[float, PlainValidator(_number), WithJsonSchema(_numbers())]
Amount = Annotated[float, PlainValidator(within(_number, 0, GREATEST)), kind("amount")]
Positive = Annotated[
    float,
    PlainValidator(within(_number, 0, GREATEST, above=True)),
    WithJsonSchema(_numbers(exclusiveMinimum=0, maximum=GREATEST)),
]
Degrees = Annotated[float, PlainValidator(within(_number, 0, 180)), WithJsonSchema(_numbers(minimum=0, maximum=180))]
Percent = Annotated[
    float,
    PlainValidator(within(_number, 0, 100, above=True)),
    WithJsonSchema(_numbers(exclusiveMinimum=0, maximum=100)),
]
Count = Annotated[
    int,
    PlainValidator(within(_whole, 1, MOST_PARTS)),
    WithJsonSchema({"type": "integer", "minimum": 1, "maximum": MOST_PARTS}),
]
Whole = Annotated[
    int,
    PlainValidator(within(_whole, 0, GREATEST)),
    WithJsonSchema({"type": "integer", "minimum": 0, "maximum": GREATEST}),
]
Share = Annotated[
    float,
    PlainValidator(read_share),
    WithJsonSchema(
        {
            "anyOf": [
                {"type": "number", "minimum": 0, "exclusiveMaximum": 1},
                {"type": "string", "pattern": r"^\s*(?:[0-9]{1,2}(?:\.[0-9]{1,9})?\s*%|0?\.[0-9]{1,9})\s*$"},
            ]
        }
    ),
]
Pressure = Annotated[
    float,
    PlainValidator(read_pressure),
    WithJsonSchema(
        {
            "anyOf": [
                {"type": "number", "exclusiveMinimum": 0, "maximum": MOST_BAR},
                {"type": "string", "pattern": r"^\s*[0-9]{1,9}(?:\.[0-9]{1,9})?\s*(?:bar|psi)?\s*$"},
            ]
        }
    ),
]
Name = Annotated[str, BeforeValidator(read_name), kind("name")]
FileName = Annotated[str, PlainValidator(read_file_name), WithJsonSchema({"type": "string", "pattern": r"\S"})]
Day = Annotated[str, PlainValidator(_date), WithJsonSchema({"type": "string", "format": "date"})]
Outline = Annotated[None, PlainValidator(no_outline), WithJsonSchema({"not": {}})]
