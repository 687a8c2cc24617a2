"""A list of plates and offcuts, as people keep it in a spreadsheet: CSV or workbook, a row for one piece or several.

Columns are known by the names that people give them; what the book has no use for is passed over with a note, and every
faulty row is named at once.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from stripplan.errors import Fault, InputError
from stripplan.files.fault_words import capped, fault, fault_of, printable, shortened
from stripplan.files.parts.lists.csv_rows import csv_rows, decoded, heading
from stripplan.files.parts.lists.cut_list import Cell
from stripplan.files.parts.lists.decimal_marks import Mark, decimal_mark, read_length
from stripplan.files.parts.lists.size_cells import read_size
from stripplan.files.parts.lists.table import MOST_TITLES
from stripplan.files.stock.cells import day_in, edges_in, kind_in, likely, money_in, rolling_in, yes_or_no
from stripplan.files.stock.outline import read_outline
from stripplan.files.toml.quantities import MOST_ENTRIES, DateRefusedError, ValueRefusedError, read_name, refused_unit
from stripplan.model.polygon import Outline
from stripplan.model.rack.piece import RackPiece, rectangle_in
from stripplan.wording.quantity import UnitError

HEADERS = {
    "length": ("length", "l", "len", "lg", "long"),
    "width": ("width", "w", "breadth", "wide"),
    "size": ("size", "dimensions", "dims", "length x width", "l x w", "l x w x t", "plate size", "sheet size"),
    "thickness": ("thickness", "t", "thick", "thk", "plate thickness"),
    "material": ("material", "mat", "grade", "steel", "steel grade", "alloy", "matl"),
    "quantity": ("quantity", "qty", "pieces", "pcs", "count", "no off", "how many", "stock"),
    "kind": ("kind", "type", "plate or offcut", "what"),
    "batch": ("batch", "heat", "heat no", "cast", "cast no", "charge", "certificate", "cert"),
    "cost": ("cost", "price", "value", "cost each", "price each"),
    "place": ("place", "location", "where", "rack", "shelf", "bay", "bin", "lies"),
    "edges": ("edges", "edge"),
    "outline": ("outline", "corners"),
    "rolling": ("rolling", "rolling direction", "grain"),
    "measured": ("measured",),
    "note": ("note", "notes", "remark", "remarks", "comment", "comments"),
    "code": ("code", "label"),
    "job": ("job", "reserved", "reserved for", "for job", "for"),
    "added": ("added", "since", "day", "date", "in since"),
    "number": ("piece", "number", "no", "#", "pos", "line", "id", "ref"),
}  # fmt: skip
"""Names of columns by what they hold; `number` is passed over, as the book gives its own."""
WORDS = {alias: key for key, aliases in HEADERS.items() for alias in aliases}
MOST_ALIKE = 1000
"""So many pieces one row may stand for."""


@dataclass(frozen=True)
class StockList:
    """The pieces of a list, and what its reader should know about how it was read."""

    pieces: tuple[RackPiece, ...]
    notes: tuple[Fault, ...] = ()


@dataclass(frozen=True)
class Given:
    """What holds for every row that does not say otherwise; `units` are those of bare numbers."""

    units: str = "mm"
    material: str | None = None
    thickness: float | None = None
    place: str = ""


def read_stock(path: Path, given: Given = Given(), *, sheet: str | None = None) -> StockList:
    """The pieces of a list. Raises InputError with every faulty row."""
    if path.suffix.lower() == ".xlsx":
        from stripplan.files.parts.lists.workbook import workbook_rows

        rows, notes, name = workbook_rows(path, sheet)
        return _read(rows, name, given, notes)
    text, notes = decoded(path)
    listed = [
        (number, list[Cell](row)) for number, row in csv_rows(text, path.name, known=lambda cell: _key(cell) != "")
    ]
    return _read(listed, path.name, given, notes)


def _key(cell: object) -> str:
    return WORDS.get(heading(str(cell), WORDS)[0], "")


def _read(rows: Sequence[tuple[int, Sequence[Cell]]], name: str, given: Given, notes: Iterable[Fault]) -> StockList:
    if not rows:
        raise InputError(fault("empty.list", name))
    counts = [len({_key(cell) for cell in row} - {""}) for _, row in rows[:MOST_TITLES]]
    head = counts.index(max(counts))
    number, header = rows[head]
    columns = _columns(header, f"{name} row {number}")
    table = _Table(name, columns, {at: heading(str(cell), WORDS)[1] or given.units for at, cell in enumerate(header)})
    below = rows[head + 1 :]
    if len(below) > MOST_ENTRIES:
        raise InputError(fault("too_many.rows", name, most=MOST_ENTRIES))
    marks = decimal_mark(
        str(each) for key in ("length", "width", "size", "thickness") for each in table.cells(key, below)
    )
    pieces: list[RackPiece] = []
    faults: list[Fault] = []
    for number, row in below:
        try:
            pieces += _pieces(_Row(table, number, row, marks), given)
        except InputError as error:
            faults += error.faults
    if not pieces and not faults:
        faults.append(fault("stock.nothing", name))
    if faults:
        raise InputError(capped(faults))
    passed = tuple(
        shortened(str(cell))
        for at, cell in enumerate(header)
        if str(cell).strip() and at not in columns.values() and _key(cell) != "number"
    )
    told = (fault("stock.passed", name, columns=passed),) if passed else ()
    return StockList(tuple(pieces), (*notes, *told))


def _columns(header: Sequence[Cell], where: str) -> dict[str, int]:
    """Where each key stands. Raises InputError where sizes are missing or a key stands twice."""
    found: dict[str, int] = {}
    for at, cell in enumerate(header):
        key = _key(cell)
        if not key or key == "number":
            continue
        if key in found:
            raise InputError(fault("same_column.list", where, one=found[key] + 1, other=at + 1, key=key))
        found[key] = at
    if not ("size" in found or {"length", "width"} <= found.keys()):
        raise InputError(fault("stock.no_size", where))
    return found


@dataclass(frozen=True)
class _Table:
    name: str
    columns: Mapping[str, int]
    units: Mapping[int, str]

    def cells(self, key: str, rows: Iterable[tuple[int, Sequence[Cell]]]) -> Iterable[Cell]:
        """All that stands in a column."""
        at = self.columns.get(key)
        return () if at is None else [row[at] for _, row in rows if at < len(row)]


@dataclass(frozen=True)
class _Row:
    """One row; what cannot be read in it is raised as an InputError that names the place."""

    table: _Table
    number: int
    row: Sequence[Cell]
    marks: Mark | None

    def cell(self, key: str) -> Cell:
        """The cell itself, "" where there is none."""
        at = self.table.columns.get(key)
        return self.row[at] if at is not None and at < len(self.row) else ""

    def text(self, key: str) -> str:
        """What stands there, "" where nothing does."""
        cell = self.cell(key)
        if isinstance(cell, ValueRefusedError):
            raise InputError(cell.fault(self.where(key)))
        return cell.strip() if type(cell) is str else cell

    def length(self, key: str, text: str, *, least: float | None = 0.0) -> float:
        """A length above the `least` [mm]."""
        units = self.table.units[self.table.columns[key]]
        try:
            mm = read_length(text, units, self.marks)
            if least is not None and mm <= least:
                raise ValueRefusedError("zero", said=shortened(text), key=key)
            return mm
        except UnitError as error:
            raise InputError(refused_unit(error).fault(self.where(key))) from None
        except ValueRefusedError as error:
            raise InputError(error.fault(self.where(key))) from None

    def refuse(self, key: str, says: str, **facts: Any) -> InputError:
        """What is wrong at a key of this row."""
        return InputError(fault(says, self.where(key), **facts))

    def where(self, key: str) -> str:
        """What messages call a cell of this row."""
        return f"{self.table.name} row {self.number}" + (f", {key}" if key else "")


def _pieces(row: _Row, given: Given) -> list[RackPiece]:
    """The pieces of a row; none of one that holds no size and hardly anything else."""
    if not any(letter.isdigit() for key in ("length", "width", "size", "outline") for letter in row.text(key)):
        filled = [each for each in row.row if str(each).strip()]
        if len(filled) > 2:  # a heading or a total is passed over, a piece without its size is not
            raise row.refuse("", "stock.no_size_in_row")
        return []
    outline: Outline = ()
    if row.text("outline"):
        said = row.text("outline")
        outline = read_outline(said, row.where("outline"), lambda each: row.length("outline", each, least=None))
        length, width = rectangle_in(outline)
        thickness = thickness_in(row, given)
    else:
        length, width, thickness = _size(row, given)
    likely((length, width, thickness), row.where(""))
    material = row.text("material") or given.material
    if not material:
        raise row.refuse("material", "stock.no_material")
    kind = kind_in(row.text("kind"), row.where("kind"))
    quantity, code = quantity_in(row), row.text("code")
    if code and quantity > 1:
        raise row.refuse("code", "stock.code_for_several", count=quantity)
    try:
        piece = RackPiece(
            kind=kind,
            length=length,
            width=width,
            thickness=thickness,
            material=read_name(material),
            batch=row.text("batch"),
            cost=money_in(row.text("cost"), row.where("cost")),
            place=row.text("place") or given.place,
            edges=edges_in(row.text("edges"), row.where("edges"), offcut=kind == "offcut"),
            rolling=rolling_in(row.text("rolling"), row.where("rolling")),
            measured=yes_or_no(row.text("measured"), row.where("measured")),
            note=printable(row.text("note")),
            code=code,
            job=row.text("job"),
            added=_day(row),
            outline=outline,
        )
    except ValueRefusedError as error:
        raise InputError(fault_of(error.message, row.where("material"))) from None
    return [piece] * quantity


def _size(row: _Row, given: Given) -> tuple[float, float, float]:
    """Length, width and thickness; the longer side of a size is the length where its column does not say."""
    thickness: float | None = None
    if row.text("size"):
        try:
            size = read_size(row.text("size"), "", lambda each: row.length("size", each), counted=True)
        except ValueRefusedError as error:
            raise InputError(error.fault(row.where("size"))) from None
        length, width, thickness = size.length, size.width, size.thickness
    else:
        for key in ("length", "width"):
            if not row.text(key):
                raise row.refuse(key, "stock.no_size_in_row")
        length, width = (row.length(key, row.text(key)) for key in ("length", "width"))
    return length, width, thickness if thickness and not row.text("thickness") else thickness_in(row, given)


def thickness_in(row: _Row, given: Given) -> float:
    if row.text("thickness"):
        return row.length("thickness", row.text("thickness"))
    if given.thickness is None:
        raise row.refuse("thickness", "stock.no_thickness")
    return given.thickness


def quantity_in(row: _Row) -> int:
    said = row.text("quantity")
    found = re.fullmatch(r"([0-9]{1,4})(?:[.,]0+)?\s*(?:pcs|off|x)?\.?", said.lower()) if said else None
    if said and (found is None or not 1 <= int(found[1]) <= MOST_ALIKE):
        raise row.refuse("quantity", "stock.quantity", said=shortened(said), most=MOST_ALIKE)
    return int(found[1]) if found else 1


def _day(row: _Row) -> str:
    cell = row.cell("added")
    return cell.day if isinstance(cell, DateRefusedError) else day_in(row.text("added"), row.where("added"))
