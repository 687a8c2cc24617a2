"""Cut lists in workbooks (.xlsx): the headers and rules of a CSV list, faults named by their cells.

What is counted before anything is built, because an archive of kilobytes may unpack to gigabytes: bytes, marks,
rows and columns. What a workbook shows and a list cannot say is refused or noted, never passed over: merged cells,
hidden rows and columns, formulas without a stored result, and dates, which `3/8` becomes when it is typed in.
"""

from __future__ import annotations

import io
import math
import re
import warnings
import zipfile
from bisect import bisect_left
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, time, timedelta
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING, Any
from xml.parsers import expat

from stripplan.errors import Fault, InputError
from stripplan.files.fault_words import capped, fault, meant, shortened
from stripplan.files.parts.lists.cut_list import Cell, CutList
from stripplan.files.parts.lists.decimal_marks import Exact
from stripplan.files.parts.lists.headers import MOST_COLUMNS, has_header
from stripplan.files.parts.lists.table import MOST_TITLES, header_row, parts_from_rows
from stripplan.files.read_file import read_bytes
from stripplan.files.toml.quantities import MOST_ENTRIES, DateRefusedError, ValueRefusedError
from stripplan.wording.message import Fact
from stripplan.wording.quantity import MM_PER

if TYPE_CHECKING:
    from openpyxl import Workbook

UNPACKED = 100 * 2**20
"""Most bytes that a workbook may unpack to."""
MOST_PARTS_INSIDE = 1000
"""Most files in the archive that a workbook is."""
MOST_MARKS = {"sheets": 3_000_000, "texts": 1_500_000, "rest": 200_000}
"""Most `<` in the sheets, in the table of texts and in all the rest: each costs time to read."""
LAST_ROW, LAST_COLUMN = 1_048_576, 16_384
"""Last row and column of a sheet in the programs that write them (common practice, no source)."""
MOST_SHEETS = 20
"""So many sheets are looked through for a list."""
MOST_OTHERS = 100_000
"""Most marks of a sheet that are no cells: merges, formats, links."""

_UNIT = re.compile(r"\"\s*(mm|cm|m|in|ft)\.?\s*\"|\\?[ ]?\\(\")")


def read_workbook(
    path: Path | str, *, sheet: str | None = None, units: str = "mm", first: int = 1, asked: bool = False
) -> CutList:
    """Parts from a sheet of a workbook, as `read_cut_list` reads them from CSV.

    `sheet` names it; None = the only one that shows a list, else the first that is not hidden, with a note where there
    are others. `units` are those of bare numbers where neither header, title nor number format names one; where they
    were `asked` for, they go before a title. Needs `openpyxl`. Raises InputError.
    """
    rows, notes, name = workbook_rows(Path(path), sheet)
    listed = parts_from_rows(
        rows, name, units=units, first=first, asked=asked, cell=lambda row, at: f"{_letters(at)}{row}"
    )
    return replace(listed, notes=(*notes, *listed.notes))


def workbook_rows(path: Path, sheet: str | None = None) -> tuple[list[tuple[int, list[Cell]]], tuple[Fault, ...], str]:
    """Rows of a sheet that are not blank with their numbers, notes, and what messages call the sheet. Raises
    InputError."""
    data = read_bytes(path)
    surveys = _check_archive(data, path.name)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # of parts of the workbook that are not read here
        book = _opened(data, path.name)
        try:
            return _rows(book, surveys, data, path.name, sheet)
        finally:
            book.close()


# --- before it is opened --------------------------------------------------------------------------------------------


def _check_archive(data: bytes, name: str) -> dict[str, _Survey]:
    """Surveys of the sheets by their place in the archive. Refuses what is no workbook or would cost too much.

    Sizes in the archive's list bound what is unpacked.
    """
    if data.startswith(b"\xd0\xcf\x11\xe0"):
        raise InputError(fault("binary.xls", name))
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            _check_members(archive, name)
            return _surveys(archive, name)
    except InputError:
        raise
    except Exception:  # whatever stops the library, the archive is at fault
        raise InputError(fault("binary.no_workbook", name)) from None


def _check_members(archive: zipfile.ZipFile, name: str) -> None:
    members = archive.infolist()
    if len(members) > MOST_PARTS_INSIDE:
        raise InputError(fault("too_large.archive", name, most=MOST_PARTS_INSIDE))
    size = sum(each.file_size for each in members)
    if size > UNPACKED:
        raise InputError(fault("too_large.unpacked", name, size=size / 2**20, most=UNPACKED // 2**20))
    names = {each.filename for each in members}
    if "[Content_Types].xml" not in names or not any(each.startswith("xl/") for each in names):
        raise InputError(fault("binary.open_document" if "content.xml" in names else "binary.archive", name))
    marks = dict.fromkeys(MOST_MARKS, 0)
    for each in members:
        if not each.filename.startswith("xl/media/"):
            marks[_kind(each.filename)] += _marks(archive, each, name)
    for kind, most in MOST_MARKS.items():
        if marks[kind] > most:
            raise InputError(fault("too_large.marks", name, count=marks[kind], kind=kind, most=most))


def _kind(member: str) -> str:
    if member.startswith("xl/worksheets/"):
        return "sheets"
    return "texts" if "sharedstrings" in member.lower() else "rest"


def _marks(archive: zipfile.ZipFile, member: zipfile.ZipInfo, name: str) -> int:
    """How many `<` a file of the archive holds. Refuses declarations: they can make little text endless."""
    count, tail = 0, b""
    with archive.open(member) as stream:
        while chunk := stream.read(2**20):
            count += chunk.count(b"<")
            window = tail + chunk.replace(b"\0", b"")  # UTF-16 has a zero beside each of these letters
            if b"<!DOCTYPE" in window or b"<!ENTITY" in window:
                raise InputError(fault("binary.document_type", name, member=shortened(member.filename)))
            tail = window[-10:]
    return count


def _opened(data: bytes, name: str) -> Workbook:
    try:
        from openpyxl import load_workbook
    except ImportError:
        raise InputError(fault("not_installed.openpyxl", name)) from None
    try:
        return load_workbook(io.BytesIO(data), read_only=True, data_only=True, keep_links=False)
    except Exception:  # whatever stops the library, the file is at fault
        raise InputError(fault("binary.workbook", name)) from None


# --- the sheet ------------------------------------------------------------------------------------------------------


def _rows(
    book: Workbook, surveys: dict[str, _Survey], data: bytes, name: str, sheet: str | None
) -> tuple[list[tuple[int, list[Cell]]], tuple[Fault, ...], str]:
    """Rows that are not blank with their numbers, notes, and what messages call the sheet."""
    chosen, notes = _chosen(book, name, sheet)
    where = f"{name}, sheet {shortened(chosen.title)}"
    member = chosen._worksheet_path
    if member not in surveys:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            surveys[member] = _surveyed(archive, member, where)
    survey = surveys[member]
    if survey.too_wide:
        raise InputError(fault("too_many.sheet_columns", where, cell=survey.too_wide, most=MOST_COLUMNS))
    rows: list[tuple[int, list[Cell]]] = []
    try:
        chosen.reset_dimensions()
        last = max(survey.filled, default=0)  # what the library has not met by then is not needed
        for number, row in enumerate(chosen.iter_rows(max_col=MOST_COLUMNS), 1):
            if not last:
                break
            if number not in survey.filled:
                continue
            cells = [_cell(cell, survey.unsolved) for cell in row]
            while cells and not cells[-1]:
                cells.pop()
            if cells:
                rows.append((number, cells))
            if number > MOST_ENTRIES or number == last:
                break
    except Exception:  # whatever stops the library, the file is at fault
        raise InputError(fault("binary.sheet", where)) from None
    faults = _merged(survey, rows[header_row(rows) :], where)
    if faults:
        raise InputError(capped(faults))
    return rows, (*notes, *_notes(survey, rows, where)), where


def _chosen(book: Workbook, name: str, sheet: str | None) -> tuple[Any, list[Fault]]:
    """The sheet that is meant, and a note where it is one of several."""
    sheets = book.worksheets
    if sheet is not None:
        alike = [each for each in sheets if each.title.strip().lower() == sheet.strip().lower()]
        found = next((each for each in alike if each.title == sheet), alike[0] if alike else None)
        if found is None:
            near = meant(sheet, [shortened(each.title)[1:-1] for each in sheets])
            raise InputError(fault("no_sheet.name", name, sheet=shortened(sheet), **near))
        return found, []
    shown = [each for each in sheets if each.sheet_state == "visible"]
    if not shown:
        raise InputError(fault("no_sheet.hidden", name))
    if len(shown) == 1:
        return shown[0], []
    listed = [each for each in shown[:MOST_SHEETS] if _shows_list(each)]
    only = len(listed) == 1
    chosen = listed[0] if listed else shown[0]
    others = [shortened(each.title) for each in shown if each is not chosen]
    says = "sheets.only" if only else "sheets.first"
    facts: dict[str, Fact] = {"others": tuple(others[:5]), "all_said": len(others) <= 5}
    return chosen, [fault(says, name, first=shortened(chosen.title), **facts)]


def _shows_list(sheet: Any) -> bool:
    """Whether one of the first rows of a sheet names columns of a list."""
    try:
        sheet.reset_dimensions()
        rows = sheet.iter_rows(max_row=MOST_TITLES, max_col=MOST_COLUMNS, values_only=True)
        return has_header([[str(each) for each in row if each is not None] for row in rows])
    except Exception:  # whatever stops the library is told when the sheet is read
        return False


def _cell(cell: Any, unsolved: set[tuple[int, int]]) -> Cell:
    """What a cell says, written as a person would write it in a CSV list."""
    value = cell.value
    if value is None:
        here = (cell.row, cell.column) if unsolved and hasattr(cell, "row") else None
        if here in unsolved:
            return ValueRefusedError("no_result")
        return ""
    if cell.data_type == "e":
        return ValueRefusedError("cell_error", error=shortened(str(value)))
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (int, float)):
        return _number(value, str(cell.number_format or ""))
    if isinstance(value, date):
        return DateRefusedError(value)
    if isinstance(value, (time, timedelta)):
        return ValueRefusedError("cell_date", shown=str(value))
    return str(value).strip()


def _number(value: float, shown_as: str) -> Cell:
    """A number without exponent and without the last digits of a division, with the unit that its format shows."""
    if not math.isfinite(value):
        return ValueRefusedError("cell_not_finite")
    rounded = round(value, 9) if isinstance(value, float) else value
    text = f"{Decimal(repr(rounded)):f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    unit = _UNIT.search(shown_as.split(";")[0])
    return Exact(f"{text} {(unit[1] or 'in')}" if unit and (unit[1] or "in") in MM_PER else text)


def _letters(at: int) -> str:
    """Letters of a column counted from 0.

    >>> [_letters(at) for at in (0, 25, 26, 701, 702)]
    ['A', 'Z', 'AA', 'ZZ', 'AAA']
    """
    letters = ""
    at += 1
    while at:
        at, rest = divmod(at - 1, 26)
        letters = chr(65 + rest) + letters
    return letters


# --- what the library does not tell of a sheet that it streams -------------------------------------------------------


@dataclass
class _Survey:
    """Rows with something in them, formulas without result, and what is hidden or merged. Rows and columns from 1."""

    filled: set[int] = field(default_factory=set)
    unsolved: set[tuple[int, int]] = field(default_factory=set)
    formulas: int = 0
    hidden_rows: list[int] = field(default_factory=list)
    hidden_columns: set[int] = field(default_factory=set)
    merged: list[str] = field(default_factory=list)
    too_wide: str = ""
    marks: int = 0
    sized: bool = False


def _surveys(archive: zipfile.ZipFile, name: str) -> dict[str, _Survey]:
    """Surveys of all sheets. A sheet that does not state its size is read to its end when the workbook is opened, once
    for each of its names: that is counted too."""
    members = [each.filename for each in archive.infolist() if re.fullmatch(r"xl/worksheets/[^/]+\.xml", each.filename)]
    found = {each: _surveyed(archive, each, f"{name}, {shortened(each)}") for each in members}
    count = _Count("sheet")
    _parsed(archive, "xl/workbook.xml", name, count.start)
    largest = max((each.marks for each in found.values() if not each.sized), default=0)
    if count.found * largest > MOST_MARKS["sheets"] * 2:
        raise InputError(fault("too_large.sheets", name, count=count.found))
    return found


class _Count:
    """Counts the marks of one name."""

    def __init__(self, name: str) -> None:
        self._name, self.found = name, 0

    def start(self, tag: str, _: dict[str, str]) -> None:
        self.found += tag.rpartition(" ")[2] == self._name


def _surveyed(archive: zipfile.ZipFile, member: str, where: str) -> _Survey:
    """One pass over a sheet as it is stored. Refuses rows out of order, which the library would leave out."""
    reader = _Reader()
    _parsed(archive, member, where, reader.start, reader.end, reader.text)
    return reader.survey


def _parsed(
    archive: zipfile.ZipFile,
    member: str,
    where: str,
    start: Callable[[str, dict[str, str]], None],
    end: Callable[[str], None] | None = None,
    text: Callable[[str], None] | None = None,
) -> None:
    parser = expat.ParserCreate(namespace_separator=" ")
    parser.StartElementHandler, parser.EndElementHandler, parser.CharacterDataHandler = start, end, text
    try:
        with archive.open(member) as stream:
            parser.ParseFile(stream)
    except ValueRefusedError as error:
        raise InputError(error.fault(where, code="damaged")) from None
    except Exception:  # whatever stops the library, the file is at fault
        raise InputError(fault("binary.sheet", where)) from None


class _Reader:
    """Handlers of the marks of a sheet (ECMA-376 part 1, 18.3.1: row, c, f, v, is, col, mergeCell)."""

    def __init__(self) -> None:
        self.survey = _Survey()
        self._row = self._column = self._last_marked = self._others = 0
        self._kind, self._formula, self._value, self._in_value = "", False, False, False

    def start(self, tag: str, marks: dict[str, str]) -> None:
        name = tag.rpartition(" ")[2]
        self.survey.marks += 1
        if name == "c":
            self._start_cell(marks)
        elif name == "v":
            self._in_value = True
        elif name == "is":
            self._value = True
        elif name == "f":
            self._formula = True
        elif name == "row":
            self._start_row(marks)
        elif name == "mergeCell":
            self.survey.merged.append(marks.get("ref", ""))
        elif name == "col":
            self._column_marks(marks)
        elif name == "dimension":
            self.survey.sized = self.survey.sized or not self._row
        elif name not in ("t", "r", "rPr"):
            self._others += 1
            if self._others > MOST_OTHERS:
                raise ValueRefusedError("sheet_marks")

    def _column_marks(self, marks: dict[str, str]) -> None:
        one, last = int(marks["min"]), int(marks["max"])
        if one <= self._last_marked:
            raise ValueRefusedError("column_twice", column=one)
        self._last_marked = last
        if marks.get("hidden") in ("1", "true"):
            self.survey.hidden_columns.update(range(one, min(last, MOST_COLUMNS) + 1))

    def _start_row(self, marks: dict[str, str]) -> None:
        row = int(marks.get("r", self._row + 1))
        if not self._row < row <= LAST_ROW:
            raise ValueRefusedError("row_order", row=row, before=self._row)
        self._row, self._column = row, 0
        if marks.get("hidden") in ("1", "true"):
            self.survey.hidden_rows.append(row)

    def _start_cell(self, marks: dict[str, str]) -> None:
        self._kind, self._formula, self._value = marks.get("t", ""), False, False
        column = self._column + 1
        if "r" in marks:
            match = re.fullmatch(r"([A-Z]{1,3})([0-9]{1,7})", marks["r"])
            column = _column(match[1]) if match else 0
            if match is None or int(match[2]) != self._row or column <= self._column:
                raise ValueRefusedError("cell_place", cell=shortened(marks["r"]))
        if column > LAST_COLUMN:
            raise ValueRefusedError("row_cells", row=self._row)
        self._column = column

    def text(self, text: str) -> None:
        if self._in_value and text.strip():
            self._value = True

    def end(self, tag: str) -> None:
        name = tag.rpartition(" ")[2]
        if name == "v":
            self._in_value = False
        elif name == "c":
            unsolved = self._formula and not self._value and self._kind != "str"
            self.survey.formulas += self._formula
            if unsolved:
                self.survey.unsolved.add((self._row, self._column))
            if self._value or unsolved:
                self.survey.filled.add(self._row)
                if self._column > MOST_COLUMNS:
                    self.survey.too_wide = f"{_letters(self._column - 1)}{self._row}"


def _column(letters: str) -> int:
    number = 0
    for letter in letters:
        number = 26 * number + ord(letter) - 64
    return number


def _merged(survey: _Survey, rows: Sequence[tuple[int, Sequence[Cell]]], where: str) -> list[Fault]:
    """Merged cells that reach into rows that are read: of such only the first holds a value."""
    numbers = [number for number, _ in rows]
    faults = []
    for ref in survey.merged:
        match = re.fullmatch(r"[A-Z]{1,3}([0-9]{1,7}):[A-Z]{1,3}([0-9]{1,7})", ref)
        top, bottom = (int(match[1]), int(match[2])) if match else (0, 0)
        at = bisect_left(numbers, top)
        if at < len(numbers) and numbers[at] <= bottom:
            faults.append(fault("merged.cells", where, cells=ref))
        if len(faults) == 1000:
            break
    return faults


def _notes(survey: _Survey, rows: Sequence[tuple[int, Sequence[Cell]]], where: str) -> list[Fault]:
    notes = []
    if survey.formulas:
        notes.append(fault("formulas.read", where))
    read = {number for number, _ in rows}
    hidden = [row for row in survey.hidden_rows if row in read]
    if hidden:
        notes.append(fault("hidden.rows", where, **_few(hidden)))
    widest = max((len(cells) for _, cells in rows), default=0)
    columns = [_letters(column - 1) for column in sorted(survey.hidden_columns) if column <= widest]
    if columns:
        notes.append(fault("hidden.columns", where, **_few(columns)))
    return notes


def _few(things: Sequence[int | str]) -> dict[str, Fact]:
    """The first of several, and how many more there are."""
    return {"first": tuple(things[:10]), "more": max(0, len(things) - 10)}
