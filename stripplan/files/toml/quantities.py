"""Kinds of values in job and rig files: how each is read, and how JSON Schema describes it.

Lengths and speeds come out in mm and mm/min. What unit a bare number has is told by the validation context,
`{"units": "mm" | "in"}`: a file says it once, for all its tables.
"""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime
from decimal import Decimal
from typing import Annotated, Any

from pydantic import BeforeValidator, Field, PlainValidator, ValidationInfo, WithJsonSchema

from stripplan.errors import Fault
from stripplan.files.fault_words import fault_of, message, shortened
from stripplan.wording.message import Fact
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


class ValueRefusedError(ValueError):
    """A value that is refused, and in a message what is wrong with it and what to write."""

    def __init__(self, says: str, **facts: Fact) -> None:
        super().__init__(says)
        self.message = message(f"value.{says}", **facts)

    def fault(self, where: str, *, code: str = "value") -> Fault:
        """The same as a fault at that place."""
        return replace(fault_of(self.message, where), code=code)


class DateRefusedError(ValueRefusedError):
    """A cell of a workbook that holds a date where a size is wanted; `day` is that date (ISO 8601)."""

    def __init__(self, day: date) -> None:
        super().__init__("cell_date", shown=f"{day:%d %B}")
        self.day = f"{day:%Y-%m-%d}"


def refused_unit(error: UnitError) -> ValueRefusedError:
    """A length or speed that cannot be read, as a value that is refused."""
    return ValueRefusedError("unit", said=error.said, way_out=error.hint)


def _shown(value: object, units: str) -> str:
    if isinstance(value, (int, float)) and not isinstance(value, bool) and abs(value) < GREATEST:
        return f"{value} {units}"
    return shortened(value) if isinstance(value, str) else str(value)


def _text_or_this(value: object) -> str:
    return shortened(value) if isinstance(value, str) else "this"


def _units(info: ValidationInfo) -> str:
    """Units of bare numbers in this file."""
    return str((info.context or {})["units"])


def _length(value: object, info: ValidationInfo, *, least: str) -> float:
    """mm; `least` is "above 0", "0 or more" or "" for any sign."""
    units = _units(info)
    if isinstance(value, bool) or not isinstance(value, (int, float, str)):
        raise ValueRefusedError("no_length")
    try:
        mm = parse_length(value, units, signed=True)
    except UnitError as error:
        raise refused_unit(error) from None
    said, key = _shown(value, units), str(info.field_name)
    if mm < 0 and least:
        positive = str(value).strip().lstrip("-−– ")
        raise ValueRefusedError("negative", said=said, key=key, positive=positive, zero=least != "above 0")
    if mm == 0 and least == "above 0":
        raise ValueRefusedError("zero", said=said, key=key)
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
        raise ValueRefusedError("no_speed")
    try:
        speed = parse_speed(value, _units(info))
    except UnitError as error:
        raise refused_unit(error) from None
    if speed == 0:
        raise ValueRefusedError("zero", said=str(value), key=str(info.field_name))
    return speed


def _number(value: object, _: ValidationInfo) -> float:
    if isinstance(value, str) and _is_number(value):
        raise ValueRefusedError("quoted_number", said=shortened(value), number=value.strip())
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        raise ValueRefusedError("no_number", said=_text_or_this(value))
    if isinstance(value, float) and not math.isfinite(value):
        raise ValueRefusedError("not_finite", said=str(value))
    if abs(value) > GREATEST:
        raise ValueRefusedError("too_large", most=GREATEST)
    return float(value)


def read_pressure(value: object) -> float:
    """A pressure [bar], written 5 or "5 bar" or "75 psi". Raises ValueRefusedError.

    >>> read_pressure(5), read_pressure("5.5 bar"), round(read_pressure("75 psi"), 2)
    (5.0, 5.5, 5.17)
    """
    plain = isinstance(value, (int, float, str)) and not isinstance(value, bool)
    match = re.fullmatch(r"\s*([0-9]{1,9}(?:\.[0-9]{1,9})?)\s*(bar|psi)?\s*", str(value)) if plain else None
    if match is None:
        raise ValueRefusedError("no_pressure", said=_text_or_this(value))
    bar = float(match[1]) * (BAR_PER_PSI if match[2] == "psi" else 1.0)
    if not 0 < bar <= MOST_BAR:
        raise ValueRefusedError("pressure", bar=bar)
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
        number: dict[str, Fact] = {"number": value.strip()} if _is_number(value) else {}
        raise ValueRefusedError("no_whole_number", said=shortened(value), **number)
    if isinstance(value, bool) or not isinstance(value, int):
        if isinstance(value, float) and abs(value) < GREATEST:
            raise ValueRefusedError("between", said=str(value), below=math.floor(value), beyond=math.ceil(value))
        raise ValueRefusedError("no_whole_number", said="this")
    return value


def within(
    read: Callable[[object, ValidationInfo], Any], least: float, most: float, *, above: bool = False
) -> Callable[[object, ValidationInfo], Any]:
    """A reader of numbers held within `least`..`most`, or above `least`."""

    def check(value: object, info: ValidationInfo) -> Any:
        number = read(value, info)
        if number < least or (above and number == least):
            raise ValueRefusedError("too_little", said=_number_said(number), least=float(least), above=above)
        if number > most:
            says = "too_many" if read is _whole else "too_much"
            raise ValueRefusedError(says, said=_number_said(number), most=float(most))
        return number

    return check


def _number_said(number: float) -> str:
    """A number as it was written, where it has not more digits than anybody reads."""
    return "the number" if abs(number) >= 10**15 else f"{number:g}" if isinstance(number, float) else f"{number}"


def read_share(value: object) -> float:
    """A share from 0 to below 1, written 0.02 or "2 %". Raises ValueRefusedError.

    >>> read_share("2 %"), read_share("2%"), read_share(0.02)
    (0.02, 0.02, 0.02)
    """
    text = str(value).strip() if isinstance(value, (int, float, str)) and not isinstance(value, bool) else ""
    match = re.fullmatch(r"([0-9]{1,9}(?:\.[0-9]{1,9})?|\.[0-9]{1,9})\s*(%?)", text)
    if match is None:
        raise ValueRefusedError("no_share", said=_text_or_this(value))
    share = float(Decimal(match[1]) / (100 if match[2] else 1))
    if share >= 1:
        said = shortened(text)[1:-1]
        if match[2] or share >= 100:
            raise ValueRefusedError("whole_share", said=said)
        raise ValueRefusedError("bare_percent", said=said, number=match[1])
    return share


_UNSEEN = "\u00ad\u200b\u200c\u200d\u200e\u200f\u2060\ufeff"
"""Soft hyphen, joiners and marks without width, as pasted text has them: they are left out of names."""


def read_name(value: object) -> str:
    """A name that can be printed on a sheet; spaces of every width as one plain one. Raises ValueRefusedError."""
    if not isinstance(value, str):
        raise ValueRefusedError("no_name")
    value = "".join(" " if unicodedata.category(each) == "Zs" else each for each in value if each not in _UNSEEN)
    if not value.strip():
        raise ValueRefusedError("empty_name")
    if any(not letter.isprintable() for letter in value):
        raise ValueRefusedError("control_character", said=shortened(value))
    if len(value) > LONGEST_NAME:
        raise ValueRefusedError("long_name", count=len(value), most=LONGEST_NAME)
    return value.strip()


def read_file_name(value: object) -> str:
    """The name of a file, with folders or without. Raises ValueRefusedError."""
    if not isinstance(value, str):
        raise ValueRefusedError("no_file_name")
    if not value.strip():
        raise ValueRefusedError("empty_file_name")
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
        raise ValueRefusedError("no_date", said=shortened(str(value))) from None


def read_clip(value: object, info: ValidationInfo) -> tuple[float, float]:
    """What is clipped off a corner: one length for both sides, or along and across. Raises ValueRefusedError."""
    if not isinstance(value, list):
        one = length_from_0(value, info)
        return one, one
    if len(value) != 2:
        raise ValueRefusedError("clip", count=len(value))
    return length_from_0(value[0], info), length_from_0(value[1], info)


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
Tilt = Annotated[float, PlainValidator(within(_number, 0, 60)), WithJsonSchema(_numbers(minimum=0, maximum=60))]
BarStep = Annotated[
    float,
    PlainValidator(within(_number, 0, 45, above=True)),
    WithJsonSchema(_numbers(exclusiveMinimum=0, maximum=45)),
]
BevelAngle = Annotated[
    float,
    PlainValidator(within(_number, 0, 60, above=True)),
    WithJsonSchema(_numbers(exclusiveMinimum=0, maximum=60)),
]
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
Clip = Annotated[
    tuple[float, float],
    PlainValidator(read_clip),
    WithJsonSchema(
        {"anyOf": [{KIND: "length"}, {"type": "array", "items": {KIND: "length"}, "minItems": 2, "maxItems": 2}]}
    ),
]
Corner = Annotated[list[Signed], Field(min_length=2, max_length=2)]
