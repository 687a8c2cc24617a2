"""CSV cut lists as spreadsheets write them: forgiving headers, `,` `;` or tab, decimal comma where that is clear."""

from __future__ import annotations

import csv
import difflib
import io
import re
from collections.abc import Mapping
from pathlib import Path

from ..errors import Fault, InputError
from ..model.part import Part, Strip, as_rectangle
from ..model.units import parse_length
from .faults import capped, read_bytes
from .schema import MOST_PARTS, named

HEADERS = {
    "name": ("name", "part", "mark", "item", "description", "part name"),
    "width": ("width", "w", "wide"),
    "length": ("length", "l", "long", "len"),
    "quantity": ("quantity", "qty", "pieces", "pcs", "count", "no", "number", "how many"),
    "thickness": ("thickness", "t", "thick"),
    "material": ("material", "mat", "steel"),
    "allowance": ("allowance",),
    "tolerance": ("tolerance", "tol"),
    "rolling": ("rolling", "rolling direction", "grain"),
    "rotate": ("rotate", "turn", "may turn"),
    "square": ("square", "square edges"),
    "note": ("note", "notes", "remark", "comment"),
}
_CHOICES = {"rolling": ("length", "width", "free"), "square": ("none", "long", "all")}
_UNITS = ("mm", "cm", "m", "in", "inch", "inches", "ft")
_YES, _NO = ("yes", "y", "true", "1", "x"), ("no", "n", "false", "0")


def load_cut_list(path: Path | str, *, units: str = "mm", first: int = 1) -> tuple[Part, ...]:
    """Parts from a CSV file; a row without length is a strip, one without name is part `first`, part `first` + 1 ...

    Raises InputError with every faulty row.
    """
    path = Path(path)
    rows, delimiter = _rows(path)
    if not rows:
        raise InputError(Fault("empty", path.name, "the list is empty", "name the columns first: width, quantity ..."))
    number, header = rows[0]
    columns, column_units = _columns(header, f"{path.name} row {number}")
    parts: list[Part] = []
    faults: list[Fault] = []
    for number, row in rows[1:]:
        where = f"{path.name} row {number}"
        try:
            cells = _cells(row, columns, len(header), where)
            given = {key: column_units.get(key, units) for key in columns}
            parts.append(_part(cells, given, comma=delimiter != ",", number=first + len(parts), where=where))
        except InputError as error:
            faults += error.faults
    if not parts and not faults:
        faults.append(Fault("empty", path.name, "there is no part below the header", "add a row for each part"))
    if faults:
        raise InputError(capped(faults))
    return tuple(parts)


def _rows(path: Path) -> tuple[list[tuple[int, list[str]]], str]:
    """(row number, cells) of rows that are not blank, and the delimiter."""
    data = read_bytes(path)
    if b"\0" in data:
        raise InputError(Fault("binary", path.name, "this is no text file", "save the list as CSV, UTF-8"))
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        try:
            text = data.decode("cp1252")
        except UnicodeDecodeError as error:
            line = data[: error.start].count(b"\n") + 1
            words = "the text is neither UTF-8 nor Windows-1252"
            raise InputError(Fault("encoding", f"{path.name} line {line}", words, "save it as UTF-8")) from None
    first = next((line for line in text.splitlines() if line.strip()), "")
    delimiter = max(";\t,", key=lambda mark: (first.count(mark), mark == ","))
    try:
        rows = [(n, row) for n, row in enumerate(csv.reader(io.StringIO(text, newline=None), delimiter=delimiter), 1)]
    except csv.Error as error:
        raise InputError(Fault("csv", path.name, f"this is no CSV list: {error}")) from None
    return [(n, row) for n, row in rows if any(cell.strip() for cell in row)], delimiter


def _columns(header: list[str], where: str) -> tuple[dict[str, int], dict[str, str]]:
    """Which column holds what, and units named in the header, as in "Width (mm)"."""
    names = {alias: key for key, aliases in HEADERS.items() for alias in aliases}
    if not any(letter.isalpha() for cell in header for letter in cell):
        hint = "name them first: name, width, length, quantity"
        raise InputError(Fault("no_header", where, "this row holds no column names", hint))
    columns: dict[str, int] = {}
    units: dict[str, str] = {}
    faults = []
    for at, cell in enumerate(header):
        word, unit = _heading(cell, names)
        if not word:
            continue
        key = names.get(word)
        if key is None:
            faults.append(
                Fault("unknown_column", where, f"column {at + 1} {cell.strip()!r} is not known", _near_column(word))
            )
        elif key in columns:
            faults.append(Fault("same_column", where, f"two columns hold the {key}", "keep one"))
        else:
            columns[key] = at
            if unit:
                units[key] = unit
    if "width" not in columns and not faults:
        faults.append(Fault("no_width", where, "no column holds the width", "name one `width`"))
    if faults:
        raise InputError(capped(faults))
    return columns, units


def _heading(cell: str, names: Mapping[str, str]) -> tuple[str, str]:
    """Column name and unit of a header cell: "Width (mm)", "width_mm", "Width / in"."""
    word = " ".join(re.sub(r"[\s_.()\[\]/:]+", " ", cell).lower().split())
    name, _, unit = word.rpartition(" ")
    return (name, unit) if word not in names and name and unit in _UNITS else (word, "")


def _near_column(word: str) -> str:
    known = [alias for aliases in HEADERS.values() for alias in aliases if len(alias) > 2]
    near = difflib.get_close_matches(word[:60], known, 1, 0.75)
    hint = f"did you mean {near[0]}?" if near else "known are " + ", ".join(HEADERS)
    return f"{hint}; leave a column out that is not for the plan"


def _cells(row: list[str], columns: Mapping[str, int], width: int, where: str) -> dict[str, str]:
    """What a row says, by column; a cell beyond the header would shift sizes without a word."""
    if any(cell.strip() for cell in row[width:]):
        hint = "a decimal comma? write 12.5, or put semicolons between the columns"
        raise InputError(Fault("too_wide", where, f"the row has more cells than the {width} of the header", hint))
    return {key: row[at].strip() for key, at in columns.items() if at < len(row) and row[at].strip()}


def _part(cells: dict[str, str], units: dict[str, str], *, comma: bool, number: int, where: str) -> Part:
    faults: list[Fault] = []

    def length(key: str, default: float | None) -> float | None:
        text = cells.get(key)
        if text is None:
            return default
        try:
            return parse_length(text, units[key], comma=comma)
        except ValueError as error:
            words, write, form = str(error).partition("; write ")
            faults.append(Fault("value", f"{where}, {key}", words, f"write {form}" if write else ""))
            return default

    width = length("width", None)
    values = {key: length(key, None) for key in ("length", "thickness", "tolerance")}
    allowance = length("allowance", 0.0) or 0.0
    quantity = _quantity(cells.get("quantity", "1"), where, faults)
    choices = {key: _choice(key, cells.get(key), where, faults) for key in _CHOICES}
    rotate = _yes(cells.get("rotate", "yes"), where, faults)
    if width is None and "width" not in cells:
        faults.append(Fault("no_width", where, "the width is missing"))
    for key, value in (("width", width), ("length", values["length"]), ("thickness", values["thickness"])):
        if value is not None and value <= 0:
            faults.append(Fault("value", f"{where}, {key}", f"{value:g} is not above 0"))
    for key in ("name", "material"):
        try:
            named(cells.get(key, key))
        except ValueError as error:
            faults.append(Fault("value", f"{where}, {key}", str(error), "one line of plain text"))
    if faults or width is None:
        raise InputError(faults)
    strip = Strip(
        name=cells.get("name", f"part {number}"),
        width=width,
        quantity=quantity,
        thickness=values["thickness"],
        material=cells.get("material"),
        rolling=choices["rolling"] or "free",  # type: ignore[arg-type]
        rotate=rotate,
        allowance=allowance,
        tolerance=values["tolerance"],
        square=choices["square"] or "none",  # type: ignore[arg-type]
    )
    return strip if values["length"] is None else as_rectangle(strip, values["length"])


def _quantity(text: str, where: str, faults: list[Fault]) -> int:
    match = re.fullmatch(r"(\d{1,12})(?:[.,]0{1,2})?", text)
    if match is None:
        faults.append(Fault("value", f"{where}, quantity", f"{text!r} is no whole number", "write 4"))
        return 1
    count = int(match[1])
    if not 1 <= count <= MOST_PARTS:
        faults.append(Fault("value", f"{where}, quantity", f"{count:,} is not between 1 and {MOST_PARTS:,}"))
        return 1
    return count


def _choice(key: str, text: str | None, where: str, faults: list[Fault]) -> str | None:
    if text is None:
        return None
    if text.lower() not in _CHOICES[key]:
        faults.append(Fault("value", f"{where}, {key}", f"{text!r} is none of {', '.join(_CHOICES[key])}"))
    return text.lower()


def _yes(text: str, where: str, faults: list[Fault]) -> bool:
    if text.lower() not in _YES + _NO:
        faults.append(Fault("value", f"{where}, rotate", f"{text!r} is neither yes nor no"))
    return text.lower() not in _NO
