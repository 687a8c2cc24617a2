"""The rows of a CSV list as spreadsheets write them: any of `,` `;` or tab, in UTF-8, UTF-16 or Windows-1252."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable, Container, Iterator
from pathlib import Path

from stripplan.errors import Fault, InputError
from stripplan.files.fault_words import fault
from stripplan.files.read_file import read_bytes

TITLES = 50
"""So many lines are looked at for the one that names the columns."""
_UNITS = {
    "mm": "mm",
    "cm": "cm",
    "m": "m",
    "in": "in",
    "inch": "in",
    "inches": "in",
    '"': "in",
    "ft": "ft",
    "feet": "ft",
}


def decoded(path: Path) -> tuple[str, tuple[Fault, ...]]:
    """The text of a list, and a note where its encoding had to be guessed. Raises InputError."""
    data = read_bytes(path)
    if data.startswith(b"PK\x03\x04"):
        raise InputError(fault("binary.spreadsheet", path.name))
    try:
        return data.decode("utf-16" if data.startswith((b"\xff\xfe", b"\xfe\xff")) else "utf-8-sig"), ()
    except UnicodeDecodeError as error:
        row = data[: error.start].count(b"\n") + 1
    if b"\0" in data:
        raise InputError(fault("binary.no_text", path.name))
    note = fault("encoding.guessed", f"{path.name} row {row}")
    try:
        return data.decode("cp1252"), (note,)
    except UnicodeDecodeError:
        raise InputError(fault("encoding.unknown", f"{path.name} row {row}")) from None


def csv_rows(text: str, name: str, *, known: Callable[[str], bool]) -> Iterator[tuple[int, list[str]]]:
    """(row number as a spreadsheet counts, cells) of each row that is not blank; `known` tells the name of a column.

    Raises InputError, which calls the list `name`.
    """
    if "\0" in text:
        raise InputError(fault("binary.no_text", name))
    named = re.match(r"sep=(.)\r?\n", text)  # some spreadsheets name the delimiter in a row of its own
    delimiter = named[1] if named and named[1] in ";,\t" else _delimiter(text, known)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    number = 0
    try:
        for row in reader:
            number += 1
            if any(cell.strip() for cell in row) and not (named and number == 1):
                yield number, [cell.strip() for cell in row]
    except csv.Error:
        raise InputError(fault("csv.long_cell", f"{name} row {number + 1}")) from None


def _delimiter(text: str, known: Callable[[str], bool]) -> str:
    """The mark that parts a line into most known columns, else the first into most columns: above the header there may
    be a title."""
    lines = [line[:10_000] for line in text[:200_000].splitlines() if line.strip()][:TITLES]

    def score(mark: str) -> tuple[int, int]:
        rows = [next(csv.reader([line], delimiter=mark), []) for line in lines]
        return max((sum(map(known, row)) for row in rows), default=0), len(rows[0]) if rows else 0

    return max((",", ";", "\t"), key=score)


def heading(cell: str, words: Container[str]) -> tuple[str, str]:
    """Column name and unit of a header cell; what is in `words` as it stands has no unit.

    >>> known = ("width", "length", "no", "part name")
    >>> [heading(cell, known) for cell in ("Width (mm)", "length_in", "No.", "Part Name")]
    [('width', 'mm'), ('length', 'in'), ('no', ''), ('part name', '')]
    """
    word = " ".join(re.sub(r"[\s_.,()\[\]/:*]+", " ", cell[:200]).lower().split())
    name, _, unit = word.rpartition(" ")
    return (name, _UNITS[unit]) if word not in words and name and unit in _UNITS else (word, "")
