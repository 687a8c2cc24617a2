"""What a person types for one value of a notebook, as TOML has it: the same for the page and the command line."""

from __future__ import annotations

import re
import shlex
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from stripplan.errors import InputError
from stripplan.files.fault_words import fault, meant, shortened
from stripplan.files.notebook.read import KINDS, model_of

Sort = Literal["length", "speed", "number", "seconds", "whole", "text", "process", "choice", "truth", "day"]

SORTS: dict[str, Sort] = {
    "process": "process", "on": "day", "note": "text", "tip": "text", "air": "text", "ignore": "truth",
    "mark": "number", "current": "number", "lag_angle": "number", "bevel": "number", "seconds": "seconds",
    "starts_on_tip": "whole", "travel_speed": "speed", "dross": "choice", "drag_lines": "choice",
    "severed": "truth", "top_spatter": "truth", "wide_kerf": "truth", "rounded_edge": "truth",
}  # fmt: skip
"""What a value is, by its key, whatever the kind of row; all others are lengths."""


def sort_of(key: str) -> Sort:
    """What the value of a key is.

    >>> sort_of("mark"), sort_of("width")
    ('number', 'length')
    """
    return SORTS.get(key, "length")


@dataclass(frozen=True)
class Typed:
    """What was typed as a row of TOML; `typed_in` are the places in the form of the figures of each column."""

    text: str
    typed_in: Mapping[str, tuple[int, ...]]


@dataclass(frozen=True)
class TypedRow:
    """A row as it was typed in one line: its kind, its number from 0 where it has one, and values as TOML has them."""

    kind: str
    number: int | None
    values: Mapping[str, str]

    @property
    def text(self) -> str:
        """The row as it stands in a notebook."""
        return "\n".join([f"[[{self.kind}]]", *(f"{key} = {value}" for key, value in self.values.items())]) + "\n"


def typed_row(text: str, *, numbered: bool) -> TypedRow:
    """A row typed in one line; a key that stands more than once, or takes several figures, makes a list.

    `numbered`: its number among those of its kind, from 1, stands after the kind. Raises InputError with every fault.

    >>> print(typed_row("kerf_test process=steel-6 before=150 after=80,1 after=68.35", numbered=False).text)
    [[kerf_test]]
    process = "steel-6"
    before = 150
    after = [80.1, 68.35]
    <BLANKLINE>
    """
    example = "timed_run 2 seconds=94.1" if numbered else "timed_run mark=4 distance=500 seconds=93.6"
    try:
        kind, *words = shlex.split(text)
    except ValueError:
        raise InputError(fault("row.how", "", said=shortened(text), example=example)) from None
    if kind not in KINDS:
        raise InputError(fault("row.unknown_kind", "", kind=shortened(kind), **meant(kind, KINDS)))
    number = words.pop(0) if numbered and words else "1"
    if (numbered and not re.fullmatch("[1-9][0-9]{0,3}", number)) or not all("=" in each for each in words):
        raise InputError(fault("row.how", "", said=shortened(text), example=example))
    fields, faults = model_of(kind).model_fields, []
    found: dict[str, list[str]] = {}
    for word in words:
        key, _, value = word.partition("=")
        if key not in fields:
            faults.append(fault("unknown_key.of_row", kind, kind=kind, key=shortened(key), **meant(key, fields)))
            continue
        try:
            found.setdefault(key, []).append(literal(sort_of(key), value) if value else "")
        except ValueError as error:
            said, _, hint = str(error).partition(": ")
            faults.append(fault("value.typed", f"{kind}, {key}", said=said, way_out=hint))
    if faults:
        raise InputError(faults)
    several = {key for key, field in fields.items() if "list[" in str(field.annotation)}
    values = {key: f"[{', '.join(each)}]" if key in several and any(each) else each[-1] for key, each in found.items()}
    return TypedRow(kind, int(number) - 1 if numbered else None, values)


def literal(sort: Sort, text: str) -> str:
    """What was typed as TOML: a plain number as it was written, everything else as text for the notebook's own reader.

    A decimal comma counts where it has one meaning. Raises ValueError, "what is wrong: what to write".

    >>> [literal("length", each) for each in ("58.20", "58,2", "-.5", "3 1/4 in", "58,2 cm")]
    ['58.20', '58.2', '-0.5', '"3 1/4 in"', '"58.2 cm"']
    >>> literal("number", "3 1/2"), literal("seconds", "1:05"), literal("truth", "yes"), literal("text", '5 "bar"')
    ('3.5', '65', 'true', '"5 \\\\"bar\\\\""')
    """
    if sort == "truth" and text in ("yes", "no"):
        return "true" if text == "yes" else "false"
    if sort in ("text", "process", "choice", "truth", "day"):
        return quoted(text)
    if re.match(r"[-+−]?[1-9][0-9]{0,2},[0-9]{3}(?![0-9])", text):
        raise ValueError(f"{shortened(text)} can be read in two ways: write {text.replace(',', '')} or "
            f"{text.replace(',', '.')}")  # fmt: skip
    pointed = re.sub(r"^([-+−]?[0-9]*),([0-9]+)(?![0-9.,])", r"\1.\2", text)
    number = _number(pointed)
    if number is None and sort == "seconds":
        number = _clock(text)
    if number is None and sort in ("number", "whole"):
        number = _mixed(text)
    if number is not None:
        return number
    if sort in ("length", "speed"):
        return quoted(pointed)
    if sort == "seconds":
        raise ValueError(f"{shortened(text)} is no time: write seconds, 65.4, or minutes and seconds, 1:05.4")
    raise ValueError(f"{shortened(text)} is no number: write a plain number without unit")


def quoted(text: str) -> str:
    """A text as TOML has it."""
    import tomlkit

    return tomlkit.string(text).as_string()


def _number(text: str) -> str | None:
    """A plain number as TOML writes it."""
    found = re.fullmatch(r"([-+−]?)([0-9]{0,12})(?:\.([0-9]{0,12}))?", text)
    if found is None or not (found[2] or found[3]):
        return None
    sign, whole, part = found.groups()
    made = f"{'-' if sign in ('-', '−') else ''}{whole.lstrip('0') or '0'}"
    return f"{made}.{part}" if part else made


def _clock(text: str) -> str | None:
    """Minutes and seconds of a watch, in seconds."""
    found = re.fullmatch(r"([0-9]{1,3}):([0-5][0-9](?:[.,][0-9]{1,3})?)", text)
    return str(60 * int(found[1]) + Decimal(found[2].replace(",", "."))) if found else None


def _mixed(text: str) -> str | None:
    """A fraction, with a whole number or without."""
    found = re.fullmatch(r"(?:([0-9]{1,6})[ -])?([0-9]{1,4})/([1-9][0-9]{0,3})", text)
    return f"{float(int(found[1] or 0) + Fraction(int(found[2]), int(found[3]))):g}" if found else None
