"""CSV cut lists as spreadsheets write them: forgiving headers, `,` `;` or tab, decimal commas where they are clear."""

from __future__ import annotations

import difflib
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar

from stripplan.errors import Fault, InputError
from stripplan.files.fault_words import capped, fault, meant, shortened
from stripplan.files.parts.csv_rows import csv_rows, decoded, heading
from stripplan.files.toml.quantities import MOST_ENTRIES, MOST_PARTS, ValueRefusedError, read_name, refused_unit
from stripplan.model.job import LeftOut
from stripplan.model.part import AS_MANY_AS_FIT, Part, Rectangle, Strip
from stripplan.wording.message import Fact
from stripplan.wording.quantity import UnitError, parse_length

T = TypeVar("T")

MOST_COLUMNS = 100
HEADERS = {
    "name": ("name", "part", "mark", "item", "description", "part name"),
    "width": ("width", "w", "wide"),
    "length": ("length", "l", "long", "len"),
    "quantity": ("quantity", "qty", "pieces", "pcs", "count", "no", "number", "how many"),
    "thickness": ("thickness", "t", "thick"),
    "material": ("material", "mat", "steel"),
    "allowance": ("allowance",),
    "tolerance": ("tolerance", "tol"),
    "plus_minus": ("plus minus", "plus or minus", "+-", "±"),
    "straightness": ("straightness", "bow", "camber"),
    "rolling": ("rolling", "rolling direction", "grain"),
    "rotate": ("rotate", "turn", "may turn"),
    "square": ("square", "square edges"),
    "filler": ("filler", "fill"),
    "note": ("note", "notes", "remark", "comment"),
}
_WORDS = {alias: key for key, aliases in HEADERS.items() for alias in aliases}
_LENGTHS = ("width", "length", "thickness", "allowance", "tolerance", "plus_minus", "straightness")
_CHOICES = {"rolling": ("length", "width", "free"), "square": ("none", "long", "all")}
_YES, _NO = ("yes", "y", "true", "1", "x"), ("no", "n", "false", "0", "-")


@dataclass(frozen=True)
class CutList:
    """The parts of a list, what its reader should know about how it was read (`notes`), and in a drawing the layer of
    each part and what is left out."""

    parts: tuple[Part, ...]
    notes: tuple[Fault, ...] = ()
    layers: tuple[str, ...] = ()
    left_out: tuple[LeftOut, ...] = ()


@dataclass(frozen=True)
class _Column:
    """Where in a row a key stands, and the unit of its bare numbers."""

    at: int
    units: str


Cell = str | ValueRefusedError
"""What a cell says, or why that cannot be used."""


def read_cut_list(path: Path | str, *, units: str = "mm", first: int = 1) -> CutList:
    """Parts from a CSV file, with notes; a row without length is a strip, one without name is part `first`, `first` + 1
    ...

    `units` are those of bare numbers where the column's header names none. Raises InputError with every
    faulty row.
    """
    path = Path(path)
    text, notes = decoded(path)
    rows = csv_rows(text, path.name, known=lambda cell: _heading(cell)[0] in _WORDS)
    return CutList(parts_from_rows(rows, path.name, units=units, first=first), notes)


def parts_from_rows(
    rows: Iterable[tuple[int, Sequence[Cell]]],
    name: str,
    *,
    units: str,
    first: int,
    cell: Callable[[int, int], str] | None = None,
) -> tuple[Part, ...]:
    """Parts from (row number, cells) of the rows of a list that are not blank, the first of which names the columns.

    `name` is what messages call the list, `cell` what they call the cell in a row and a column counted from 0;
    None = by its row. Raises InputError with every faulty row.
    """
    rows = iter(rows)
    number, header = next(rows, (1, []))
    if not header:
        raise InputError(fault("empty.list", name))
    columns = _columns(_header(header, number, name, cell), f"{name} row {number}", units)
    parts: list[Part] = []
    faults: list[Fault] = []
    for number, row in rows:
        where = f"{name} row {number}"
        if number > MOST_ENTRIES:
            faults.append(fault("too_many.rows", where, most=MOST_ENTRIES))
            break
        places = {key: f"{name} {cell(number, column.at)}" if cell else where for key, column in columns.items()}
        try:
            cells = _cells(row, columns, len(header), where)
            parts.append(_part(cells, columns, first + len(parts), where, places))
        except InputError as error:
            faults += error.faults
    if not parts and not faults:
        faults.append(fault("empty.parts", name))
    if faults:
        raise InputError(capped(faults))
    return tuple(parts)


# --- header ---------------------------------------------------------------------------------------------------------


def _header(header: Sequence[Cell], number: int, name: str, cell: Callable[[int, int], str] | None) -> list[str]:
    """The header as text. Raises InputError where a cell of it holds none."""
    refused = [
        each.fault(f"{name} {cell(number, at)}" if cell else f"{name} row {number}")
        for at, each in enumerate(header)
        if isinstance(each, ValueRefusedError)
    ]
    if refused:
        raise InputError(capped(refused))
    return [str(each) for each in header]


def _columns(header: list[str], where: str, units: str) -> dict[str, _Column]:
    """Which column holds what, and units named in the header, as in "Width (mm)"."""
    if not any(letter.isalpha() for cell in header for letter in cell):
        raise InputError(fault("no_header.list", where))
    if len(header) > MOST_COLUMNS:
        raise InputError(fault("too_many.columns", where, most=MOST_COLUMNS))
    columns: dict[str, _Column] = {}
    faults = []
    for at, cell in enumerate(header):
        word, unit = _heading(cell)
        key = _WORDS.get(word)
        column: dict[str, Fact] = {"column": at + 1, "cell": shortened(cell)}
        if key is None:
            faults += [fault("unknown_column.list", where, **column, **_near_column(word))] if word else []
        elif key in columns:
            faults.append(fault("same_column.list", where, one=columns[key].at + 1, other=at + 1, key=key))
        elif unit and key not in _LENGTHS:
            faults.append(fault("unknown_column.unit", where, **column, key=key))
        else:
            columns[key] = _Column(at, unit or units)
    if "width" not in columns and not faults:
        faults.append(fault("no_width.column", where))
    if faults:
        raise InputError(capped(faults))
    return columns


def _heading(cell: str) -> tuple[str, str]:
    return heading(cell, _WORDS)


def _near_column(word: str) -> dict[str, Fact]:
    near = difflib.get_close_matches(word[:60], [alias for alias in _WORDS if len(alias) > 2], 1, 0.75)
    return {"near": near[0]} if near else {"known": tuple(HEADERS), "more": 0}


# --- one row --------------------------------------------------------------------------------------------------------


def _cells(row: Sequence[Cell], columns: Mapping[str, _Column], width: int, where: str) -> dict[str, Cell]:
    """What a row says, by key; a cell beyond the header would mean that sizes have shifted."""
    if any(row[width:]):
        raise InputError(fault("too_wide.row", where, header=width))
    return {key: row[column.at] for key, column in columns.items() if column.at < len(row) and row[column.at]}


def _part(
    cells: dict[str, Cell], columns: Mapping[str, _Column], number: int, where: str, places: Mapping[str, str]
) -> Part:
    """The part of a row; `places` are what its cells are called. Raises InputError with all its faults."""
    faults: list[Fault] = []

    def read(key: str, reader: Callable[[str], T]) -> T | None:
        try:
            return reader(_said(cells[key])) if key in cells else None
        except (UnitError, ValueRefusedError) as error:
            refused = refused_unit(error) if isinstance(error, UnitError) else error
            faults.append(refused.fault(f"{places[key]}, {key}"))
            return None

    values: dict[str, Any] = {key: read(key, read_name) for key in ("name", "material")}
    for key in _LENGTHS:
        values[key] = read(key, lambda text, key=key: _length(text, columns[key].units, key))  # type: ignore[misc]
    for key, choices in _CHOICES.items():
        values[key] = read(key, lambda text, choices=choices: _choice(text, choices))  # type: ignore[misc]
    values |= {"quantity": read("quantity", _quantity), "rotate": read("rotate", _yes), "filler": read("filler", _yes)}
    if values["filler"] and values["square"] not in (None, "none"):
        faults.append(fault("filler.square", f"{places['square']}, square"))
    if values["filler"] and "quantity" not in cells:
        values["quantity"] = AS_MANY_AS_FIT
    if "width" not in cells:
        faults.append(fault("no_width.row", where))
    if faults:
        raise InputError(faults)
    given = {"name": f"part {number}"} | {key: value for key, value in values.items() if value is not None}
    return Rectangle(**given) if "length" in given else Strip(**given)


def _said(cell: Cell) -> str:
    if isinstance(cell, ValueRefusedError):
        raise cell
    return cell


def _length(text: str, units: str, key: str) -> float:
    mm = parse_length(text, units, comma=True)
    if mm == 0 and key not in ("allowance", "tolerance"):
        raise ValueRefusedError("zero", said=shortened(text), key=key)
    return mm


def _quantity(text: str) -> int:
    match = re.fullmatch(r"([0-9]{1,15})(?:[.,]0{1,2})?", text)
    if match is None:
        likely = re.match(r"[0-9]{1,7}(?![0-9.,/])", re.sub(r"[., '](?=[0-9]{3}(?![0-9]))", "", text))
        raise ValueRefusedError("no_quantity", said=shortened(text), number=likely[0] if likely else "4")
    count = int(match[1])
    if not 1 <= count <= MOST_PARTS:
        raise ValueRefusedError("quantity", count=count, most=MOST_PARTS)
    return count


def _choice(text: str, choices: tuple[str, ...]) -> str:
    if text.lower() not in choices:
        raise ValueRefusedError("choice", said=shortened(text), **meant(text, choices))
    return text.lower()


def _yes(text: str) -> bool:
    if text.lower() not in _YES + _NO:
        raise ValueRefusedError("yes_or_no", said=shortened(text))
    return text.lower() in _YES
