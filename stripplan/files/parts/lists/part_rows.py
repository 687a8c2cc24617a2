"""Rows of a list as parts: sizes, material, number and shape of each; totals are held against the parts above."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from functools import partial
from typing import Any

from stripplan.errors import InputError
from stripplan.files.fault_words import fault
from stripplan.files.parts.bevels import Asked, bevels_of, read_bevels
from stripplan.files.parts.drawings.layers import thickness_and_material
from stripplan.files.parts.lists.cells import (
    Cells,
    RowFaults,
    choice_in,
    length_in,
    message_of,
    quantity_in,
    thickness_in,
    yes_or_no,
)
from stripplan.files.parts.lists.counts import Counted, counted, numbered, quantity_of
from stripplan.files.parts.lists.csv_rows import heading
from stripplan.files.parts.lists.cut_list import Cell, Row
from stripplan.files.parts.lists.decimal_marks import Mark, decimal_mark
from stripplan.files.parts.lists.headers import LENGTHS, SIZED, WORDS, Column, Header
from stripplan.files.parts.lists.row_kinds import PassedOver, kind_of, last_with_a_size
from stripplan.files.parts.lists.shape_cells import read_corners, read_ends
from stripplan.files.parts.lists.size_cells import Size, read_size
from stripplan.files.parts.lists.title_rows import Told
from stripplan.files.parts.named_shapes import Named, outline_of
from stripplan.files.toml.quantities import MOST_ENTRIES, MOST_PARTS, ValueRefusedError, read_name
from stripplan.model.part import AS_MANY_AS_FIT, Part, Rectangle, Shape, Strip
from stripplan.model.polygon import Outline
from stripplan.wording.message import Message

SAME = 0.01
"""A thickness that is said twice may differ by so much [mm]."""
_CHOICES = {"rolling": ("length", "width", "free"), "square": ("none", "long", "all")}


class PartRows:
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
        self._faults = RowFaults(name)
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
                self._faults.add(message_of("too_many.rows", most=MOST_ENTRIES), at)
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
            self._faults.add(message_of("total.differs", said=said, found=self._sum), f"row {number}")
        self._passed.add("total", number)
        self._since = 0

    # parts

    def _part(self, number: int, row: Sequence[Cell], default: int) -> Part | None:
        """The part of a row; None where it is faulty."""
        before = len(self._faults.found), sum(map(len, self._faults.found.values()))
        if any(row[self._header.width :]):
            self._faults.add(message_of("too_wide.row", header=self._header.width), f"row {number}")
            return None
        cells = {
            key: row[column.at] for key, column in self._columns.items() if column.at < len(row) and row[column.at]
        }
        given = Cells(number, cells, self._columns, self._cell, self._faults)
        values = self._values(given, row)
        if before != (len(self._faults.found), sum(map(len, self._faults.found.values()))):
            return None
        named = {"name": f"part {default}"} | {key: value for key, value in values.items() if value is not None}
        asked = named.pop("bevels", ())
        if "ends" in named or "corners" in named:
            return self._shape(given, named, asked)
        return self._bevelled(given, Rectangle(**named) if "length" in named else Strip(**named), asked, None)

    def _bevelled(
        self, given: Cells, part: Part, asked: Sequence[Asked], outline: Outline | None, *, ends: bool = False
    ) -> Part | None:
        """The part with the bevels of its row; None where there are none such."""
        bevels, faults = bevels_of(asked, part, outline, "", ends=ends)
        for each in faults:
            given.refuse(each.message.key, "bevels", **each.facts)
        return None if faults else replace(part, bevels=bevels)

    def _shape(self, given: Cells, named: dict[str, Any], asked: Sequence[Asked]) -> Part | None:
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

    def _values(self, given: Cells, row: Sequence[Cell]) -> dict[str, Any]:
        marks = self._marks
        values: dict[str, Any] = {}
        for key in LENGTHS:
            units = self._columns[key].units if key in self._columns else "mm"
            reader = thickness_in if key == "thickness" else length_in
            values[key] = given.read(key, partial(reader, units=units, marks=marks, key=key))
        for key, choices in _CHOICES.items():
            values[key] = given.read(key, partial(choice_in, choices=choices))
        values |= {"rotate": given.read("rotate", yes_or_no), "filler": given.read("filler", yes_or_no)}
        values["ends"] = given.read("ends", read_ends)
        if "corners" in self._columns:
            units = self._columns["corners"].units
            each = partial(length_in, units=units, marks=marks, key="corners")
            values["corners"] = given.read("corners", partial(read_corners, read=each))
        if "bevels" in self._columns:
            units = self._columns["bevels"].units
            each = partial(length_in, units=units, marks=marks, key="allowance")
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

    def _sized(self, given: Cells, values: dict[str, Any]) -> None:
        """Width and length from a cell that holds both."""
        if "size" not in given.cells:
            return
        units, marks = self._columns["size"].units, self._marks
        size: Size | None = given.read(
            "size",
            lambda text: read_size(
                text, self._header.order, lambda each: length_in(each, units, marks, "size"),
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

    def _material(self, given: Cells, values: dict[str, Any]) -> None:
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
                "thickness", said, lambda text: thickness_in(text, self._bare, None, "thickness")
            )

    def _counted(self, given: Cells, values: dict[str, Any]) -> None:
        """Name and quantity: a name may say how many too."""
        key = "name" if "name" in given.cells else "number"
        name = given.read(key, read_name)
        said = counted(name or "")
        stated = given.read("quantity", quantity_in)
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

    def _note(self, given: Cells, row: Sequence[Cell], more: str) -> str | None:
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
