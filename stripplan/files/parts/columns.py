"""CSV cut lists as spreadsheets write them: forgiving headers, `,` `;` or tab, decimal commas where they are clear.

What stands above the header, rows without a part, and columns that no plan needs are passed over with a note; what can
be read in two ways is refused with both.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from itertools import islice
from pathlib import Path
from typing import Any, TypeVar

from stripplan.errors import Fault, InputError
from stripplan.files.fault_words import capped, fault, fault_of, meant, shortened
from stripplan.files.parts.bevels import Asked, bevels_of, read_bevels
from stripplan.files.parts.counts import Counted, counted, numbered, quantity_of
from stripplan.files.parts.csv_rows import csv_rows, decoded, heading
from stripplan.files.parts.decimal_marks import Exact, Mark, decimal_mark, read_length
from stripplan.files.parts.drawings.layers import thickness_and_material
from stripplan.files.parts.headers import (
    HEADERS,
    LENGTHS,
    MOST_COLUMNS,
    SIZED,
    WORDS,
    Column,
    Header,
    is_known,
    read_header,
    row_of_header,
)
from stripplan.files.parts.named_shapes import Named, outline_of
from stripplan.files.parts.row_kinds import PassedOver, few_numbers, kind_of, last_with_a_size
from stripplan.files.parts.shape_cells import read_corners, read_ends
from stripplan.files.parts.size_cells import Size, read_size
from stripplan.files.parts.title_rows import Told, told_above
from stripplan.files.toml.quantities import MOST_ENTRIES, MOST_PARTS, ValueRefusedError, read_name, refused_unit
from stripplan.model.job import LeftOut
from stripplan.model.part import AS_MANY_AS_FIT, Part, Rectangle, Shape, Strip
from stripplan.model.polygon import Outline
from stripplan.wording.message import Fact, Message
from stripplan.wording.quantity import MM_PER, UnitError

__all__ = ["HEADERS", "MOST_COLUMNS", "Cell", "CutList", "header_row", "parts_from_rows", "read_cut_list"]

T = TypeVar("T")

MOST_TITLES = 50
"""So many rows that are not blank may stand above the header."""
MOST_CELLS = 8
"""So many cells are named that have one and the same fault."""
SAME = 0.01
"""A thickness that is said twice may differ by so much [mm]."""
_CHOICES = {"rolling": ("length", "width", "free"), "square": ("none", "long", "all")}
_YES, _NO = ("yes", "y", "true", "1", "x"), ("no", "n", "false", "0", "-")
_GAUGE = re.compile(r"(?:#\s*)?[0-9]{1,2}\s*(?:ga|gauge|swg|g)\.?|gauge\s*[0-9]{1,2}|#\s*[0-9]{1,2}", re.IGNORECASE)
_AROUND_THICKNESS = re.compile(
    r"^(?:thickness|thk|t|plate|pl|sheet)\.?\s*=?\s*(?=[0-9.])|\s*(?:thk|thick|plate|pl|sheet)\.?$", re.IGNORECASE
)


@dataclass(frozen=True)
class CutList:
    """The parts of a list, what its reader should know about how it was read (`notes`), and in a drawing the layer of
    each part and what is left out."""

    parts: tuple[Part, ...]
    notes: tuple[Fault, ...] = ()
    layers: tuple[str, ...] = ()
    left_out: tuple[LeftOut, ...] = ()


Cell = str | ValueRefusedError
"""What a cell says, or why that cannot be used."""

Row = tuple[int, Sequence[Cell]]
"""The number of a row, as a spreadsheet counts, and its cells."""


def read_cut_list(path: Path | str, *, units: str = "mm", first: int = 1, asked: bool = False) -> CutList:
    """Parts from a CSV file, with notes; a row without length is a strip, one without name is part `first`, `first` + 1
    ...

    `units` are those of bare numbers where neither the column's header nor a title names one; where they were `asked`
    for, they go before a title. Raises InputError with every faulty row.
    """
    path = Path(path)
    text, notes = decoded(path)
    rows = csv_rows(text, path.name, known=is_known)
    listed = parts_from_rows(rows, path.name, units=units, first=first, asked=asked)
    return replace(listed, notes=(*notes, *listed.notes))


def header_row(rows: Sequence[Row]) -> int:
    """Which of the rows of a list that are not blank names its columns."""
    return row_of_header([[str(cell) for cell in row] for _, row in rows[:MOST_TITLES]])


def parts_from_rows(
    rows: Iterable[Row],
    name: str,
    *,
    units: str,
    first: int,
    asked: bool = False,
    cell: Callable[[int, int], str] | None = None,
) -> CutList:
    """Parts from (row number, cells) of the rows of a list that are not blank, one of which names the columns.

    `name` is what messages call the list, `cell` what they call the cell in a row and a column counted from 0;
    None = by its row. Raises InputError with every faulty row.
    """
    several = list(islice(rows, MOST_ENTRIES + MOST_TITLES))
    if not several:
        raise InputError(fault("empty.list", name))
    at = header_row(several)
    told, faults = told_above(([str(each) for each in row] for _, row in several[:at]), name)
    if faults:
        raise InputError(faults)
    number, cells = several[at]
    here = _header(cells, number, name, cell)
    below = several[at + 1 :]
    units_row = _units_row(below[0][1], here) if below else {}
    bare = told.units if told.units is not None and not asked else units
    header = read_header(here, f"{name} row {number}", bare, _column_cells(below, len(here)))
    header = replace(
        header, columns={k: replace(c, units=units_row.get(c.at, c.units)) for k, c in header.columns.items()}
    )
    passed = PassedOver(above=tuple(number for number, _ in several[:at]), columns=header.passed)
    reader = _Rows(header, here, name, cell, told, bare, first, below, passed)
    parts = reader.parts(below[1:] if units_row else below)
    return CutList(parts, tuple(passed.notes(name, told, bare, units)))


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


def _column_cells(rows: Sequence[Row], width: int) -> dict[int, list[str]]:
    few = [row for _, row in rows[:1000]]
    return {at: [str(row[at]) for row in few if at < len(row)] for at in range(min(width, MOST_COLUMNS + 1))}


def _units_row(row: Sequence[Cell], header: Sequence[str]) -> dict[int, str]:
    """Units by column where a row below the header holds nothing else."""
    cells = {at: str(each).strip("()[] .").lower() for at, each in enumerate(row) if each}
    units = {at: {"inch": "in", "inches": "in", '"': "in"}.get(each, each) for at, each in cells.items()}
    sized = [at for at in units if at < len(header) and units[at] in MM_PER]
    return {at: units[at] for at in sized} if sized and len(sized) == len(units) else {}


# --- rows -----------------------------------------------------------------------------------------------------------


@dataclass
class _Faults:
    """Faults of rows: one that several rows have is told once, with all of them."""

    name: str
    found: dict[tuple[Message, str], list[str]] = field(default_factory=dict)

    def add(self, said: Message, at: str, key: str = "") -> None:
        """A fault at a row or cell, of the key of a part."""
        self.found.setdefault((said, key), []).append(at)

    def told(self) -> list[Fault]:
        """Each fault once."""
        return capped([fault_of(said, self._where(places, key)) for (said, key), places in self.found.items()])

    def _where(self, places: Sequence[str], key: str) -> str:
        shown = list(dict.fromkeys(places))
        if len(shown) > 1 and all(each.startswith("row ") for each in shown):
            words = f"rows {few_numbers([int(each.removeprefix('row ')) for each in shown])}"
        else:
            more = f" and {len(shown) - MOST_CELLS} more" if len(shown) > MOST_CELLS else ""
            words = ", ".join(shown[:MOST_CELLS]) + more
        return f"{self.name} {words}" + (f", {key}" if key else "")


class _Rows:
    """Reads the rows of one list."""

    def __init__(
        self,
        header: Header,
        names: Sequence[str],
        name: str,
        cell: Callable[[int, int], str] | None,
        told: Told,
        bare: str,
        first: int,
        rows: Sequence[Row],
        passed: PassedOver,
    ) -> None:
        self._header, self._cell, self._told, self._first, self._passed = header, cell, told, first, passed
        self._bare = bare
        self._columns: Mapping[str, Column] = header.columns
        self._headings = [heading(each, WORDS)[0] for each in names]
        self._faults = _Faults(name)
        self._marks: Mark | None = decimal_mark(self._lengths(rows))
        named = self._columns.get("name") or self._columns.get("number")
        self._named = named
        self._numbers = numbered(
            counted(str(row[named.at])) for _, row in rows if named is not None and named.at < len(row)
        )
        self._sum = self._since = 0

    def parts(self, rows: Sequence[Row]) -> tuple[Part, ...]:
        """The parts. Raises InputError with every fault."""
        last = last_with_a_size(rows, self._columns)
        found: list[Part] = []
        idents: list[str] = []
        for index, (number, row) in enumerate(rows):
            at = f"row {number}"
            if number > MOST_ENTRIES:
                self._faults.add(_message("too_many.rows", most=MOST_ENTRIES), at)
                break
            kind = kind_of(row, self._columns, self._headings, after=index > last)
            if kind == "total" or (kind == "sum" and self._is_sum(row)):
                self._total(number, row, labelled=kind == "total")
            elif kind in ("again", "remark"):
                self._passed.add(kind, number)
            elif (part := self._part(number, row, self._first + len(found))) is not None:
                found.append(part)
                ident = self._columns.get("number")
                idents.append(str(row[ident.at]) if ident is not None and ident.at < len(row) else "")
                self._sum, self._since = self._sum + part.wanted, self._since + part.wanted
        if not found and not self._faults.found:
            raise InputError(fault("empty.parts", self._faults.name))
        if self._faults.found:
            raise InputError(self._faults.told())
        return _told_apart(found, idents)

    def _lengths(self, rows: Iterable[Row]) -> Iterable[str]:
        """Texts of all cells that hold lengths."""
        columns = [column.at for key, column in self._columns.items() if key in SIZED]
        for _, row in rows:
            yield from (each for at in columns if at < len(row) and isinstance(each := row[at], str))

    # totals

    def _is_sum(self, row: Sequence[Cell]) -> bool:
        return bool(self._sum) and self._said_total(row) in (self._sum, self._since)

    def _said_total(self, row: Sequence[Cell]) -> int | None:
        column = self._columns.get("quantity")
        cell = row[column.at] if column is not None and column.at < len(row) else ""
        found = re.fullmatch(r"([0-9]{1,9})(?:[.,]0+)?(?:\s*[a-z.]+)?", cell.lower()) if isinstance(cell, str) else None
        return int(found[1]) if found else None

    def _total(self, number: int, row: Sequence[Cell], *, labelled: bool) -> None:
        """A row that sums up what stands above: where it says another number, something is missing."""
        said = self._said_total(row)
        if said is not None and labelled and not self._faults.found and said not in (self._sum, self._since):
            self._faults.add(_message("total.differs", said=said, found=self._sum), f"row {number}")
        self._passed.add("total", number)
        self._since = 0

    # parts

    def _part(self, number: int, row: Sequence[Cell], default: int) -> Part | None:
        """The part of a row; None where it is faulty."""
        before = len(self._faults.found), sum(map(len, self._faults.found.values()))
        if any(row[self._header.width :]):
            self._faults.add(_message("too_wide.row", header=self._header.width), f"row {number}")
            return None
        cells = {
            key: row[column.at] for key, column in self._columns.items() if column.at < len(row) and row[column.at]
        }
        given = _Cells(number, cells, self._columns, self._cell, self._faults)
        values = self._values(given, row)
        if before != (len(self._faults.found), sum(map(len, self._faults.found.values()))):
            return None
        named = {"name": f"part {default}"} | {key: value for key, value in values.items() if value is not None}
        asked = named.pop("bevels", ())
        if "ends" in named or "corners" in named:
            return self._shape(given, named, asked)
        return self._bevelled(given, Rectangle(**named) if "length" in named else Strip(**named), asked, None)

    def _bevelled(
        self, given: _Cells, part: Part, asked: Sequence[Asked], outline: Outline | None, *, ends: bool = False
    ) -> Part | None:
        """The part with the bevels of its row; None where there are none such."""
        bevels, faults = bevels_of(asked, part, outline, "", ends=ends)
        for each in faults:
            given.refuse(each.message.key, "bevels", **each.facts)
        return None if faults else replace(part, bevels=bevels)

    def _shape(self, given: _Cells, named: dict[str, Any], asked: Sequence[Asked]) -> Part | None:
        """The straight-sided part that cells describe; None where it is none."""
        told = Named(
            width=named.pop("width"), length=named.pop("length", None), ends=named.pop("ends", None),
            corners=named.pop("corners", None), others=("square",) if named.get("square", "none") != "none" else (),
        )  # fmt: skip
        outline, faults = outline_of(told, lambda _: "")
        for each in faults:
            given.refuse(each.message.key, told.ways[0], **each.facts)
        if outline is None:
            return None
        ends = told.ends is not None
        return self._bevelled(given, Shape(**named, outline=outline), asked, outline, ends=ends)

    def _values(self, given: _Cells, row: Sequence[Cell]) -> dict[str, Any]:
        marks = self._marks
        values: dict[str, Any] = {}
        for key in LENGTHS:
            units = self._columns[key].units if key in self._columns else "mm"
            reader = _thickness if key == "thickness" else _length
            values[key] = given.read(key, partial(reader, units=units, marks=marks, key=key))
        for key, choices in _CHOICES.items():
            values[key] = given.read(key, partial(_choice, choices=choices))
        values |= {"rotate": given.read("rotate", _yes), "filler": given.read("filler", _yes)}
        values["ends"] = given.read("ends", read_ends)
        if "corners" in self._columns:
            units = self._columns["corners"].units
            each = partial(_length, units=units, marks=marks, key="corners")
            values["corners"] = given.read("corners", partial(read_corners, read=each))
        if "bevels" in self._columns:
            units = self._columns["bevels"].units
            each = partial(_length, units=units, marks=marks, key="allowance")
            values["bevels"] = given.read("bevels", partial(read_bevels, read=each))
        self._sized(given, values)
        self._material(given, values)
        self._counted(given, values)
        if values["filler"] and values["square"] not in (None, "none"):
            given.refuse("filler.square", "square")
        if "width" not in given.cells and "size" not in given.cells:
            given.refuse("no_width.row")
        values["note"] = self._note(given, row, values.pop("note", ""))
        return values

    def _sized(self, given: _Cells, values: dict[str, Any]) -> None:
        """Width and length from a cell that holds both."""
        if "size" not in given.cells:
            return
        units, marks = self._columns["size"].units, self._marks
        size: Size | None = given.read(
            "size",
            lambda text: read_size(
                text, self._header.order, lambda each: _length(each, units, marks, "size"),
                counted="quantity" in given.cells,
            ),
        )  # fmt: skip
        if size is None:
            return
        for key in ("width", "length", "thickness"):
            found = getattr(size, key)
            if found is not None and values[key] is not None and abs(values[key] - found) > SAME:
                given.refuse("size.differs", "size", what=key)
            values[key] = found if found is not None else values[key]

    def _material(self, given: _Cells, values: dict[str, Any]) -> None:
        """The material; a thickness beside it is taken where no other cell says one. Then what the title says."""
        text = given.read("material", read_name) or self._told.material
        thick, material = thickness_and_material(text) if text else (None, None)
        if thick is not None and values["thickness"] is not None and abs(values["thickness"] - thick) > SAME:
            given.refuse("size.differs", "material", what="thickness")
        values["material"] = material if thick is not None else text
        values["thickness"] = thick if values["thickness"] is None else values["thickness"]
        if values["thickness"] is None and self._told.thickness is not None:
            said = self._told.thickness
            values["thickness"] = given.read_text(
                "thickness", said, lambda text: _thickness(text, self._bare, None, "thickness")
            )

    def _counted(self, given: _Cells, values: dict[str, Any]) -> None:
        """Name and quantity: a name may say how many too."""
        key = "name" if "name" in given.cells else "number"
        name = given.read(key, read_name)
        said = counted(name or "")
        stated = given.read("quantity", _quantity)
        if name is not None:
            plain = said.count is not None and said.name is not None
            values["name"] = said.name if plain else name
        if values["filler"] and "quantity" not in given.cells:
            values["quantity"] = AS_MANY_AS_FIT
            return
        if stated is None and "quantity" in given.cells:
            return
        count = quantity_of([said if name else Counted()], [] if stated is None else [stated], self._numbers)
        if isinstance(count, Message):
            given.add(count, key)
        elif count is not None and not 1 <= count <= MOST_PARTS:
            given.add(ValueRefusedError("quantity", count=count, most=MOST_PARTS).message, key)
        else:
            values["quantity"] = count

    def _note(self, given: _Cells, row: Sequence[Cell], more: str) -> str | None:
        notes = [more] if more else []
        for at, before in self._header.notes:
            if at < len(row) and row[at]:
                said = given.read_text("note", row[at], read_name)
                notes += [before + said] if said is not None else []
        text = "; ".join(notes)
        try:
            return read_name(text) if text else None
        except ValueRefusedError as error:
            given.add(error.message, "note")
            return None


def _message(says: str, **facts: Fact) -> Message:
    return fault(says, "", **facts).message


@dataclass
class _Cells:
    """The cells of one row by key, and how they are read: a fault is kept with the place of its cell."""

    number: int
    cells: Mapping[str, Cell]
    columns: Mapping[str, Column]
    cell: Callable[[int, int], str] | None
    faults: _Faults

    def read(self, key: str, reader: Callable[[str], T]) -> T | None:
        """What a cell says; None where it is blank or faulty."""
        return self.read_text(key, self.cells[key], reader) if key in self.cells else None

    def read_text(self, key: str, text: Cell, reader: Callable[[str], T]) -> T | None:
        """What a text says; None where it is faulty."""
        try:
            if isinstance(text, ValueRefusedError):
                raise text
            return reader(text)
        except (UnitError, ValueRefusedError) as error:
            refused = refused_unit(error) if isinstance(error, UnitError) else error
            self.add(refused.fault("").message, key)
            return None

    def refuse(self, says: str, key: str = "", **facts: Fact) -> None:
        """A fault of the row, or of one of its cells."""
        self.add(_message(says, **facts), key)

    def add(self, said: Message, key: str = "") -> None:
        """A fault as it is said."""
        at = self.cell(self.number, self.columns[key].at) if self.cell and key in self.columns else f"row {self.number}"
        self.faults.add(said, at, key)


def _told_apart(parts: Sequence[Part], idents: Sequence[str]) -> tuple[Part, ...]:
    """Parts of one name, each with the mark that its row has, where these differ."""
    count = Counter(part.name for part in parts)
    marks: dict[str, list[str]] = {}
    for part, ident in zip(parts, idents, strict=True):
        marks.setdefault(part.name, []).append(ident)
    apart = {name for name, own in marks.items() if count[name] > 1 and all(own) and len(set(own)) == len(own)}
    return tuple(
        replace(part, name=f"{part.name[:150]} ({ident[:40]})") if part.name in apart else part
        for part, ident in zip(parts, idents, strict=True)
    )


# --- cells ----------------------------------------------------------------------------------------------------------


def _length(text: str, units: str, marks: Mark | None, key: str) -> float:
    mm = read_length(text, units, marks)
    if mm == 0 and key not in ("allowance", "tolerance"):
        raise ValueRefusedError("zero", said=shortened(text), key=key)
    return mm


def _thickness(text: str, units: str, marks: Mark | None, key: str) -> float:
    """A thickness, also as "10 thk" or "PL10"; a gauge is none, for its thickness depends on what it is of."""
    if _GAUGE.fullmatch(text.strip()):
        raise ValueRefusedError("gauge", said=shortened(text))
    return _length(text if isinstance(text, Exact) else _AROUND_THICKNESS.sub("", text), units, marks, key)


def _quantity(text: str) -> int:
    match = re.fullmatch(r"([0-9]{1,15})(?:[.,]0{1,2})?", text)
    said = counted(text)
    if match is None and (said.count is None or said.name is not None):
        likely = re.match(r"[0-9]{1,7}(?![0-9.,/])", re.sub(r"[., '](?=[0-9]{3}(?![0-9]))", "", text))
        raise ValueRefusedError("no_quantity", said=shortened(text), number=likely[0] if likely else "4")
    count = int(match[1]) if match else said.count or 0
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
