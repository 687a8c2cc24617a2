"""Cells of a row as values, with faults that name the row or the cell; one that several rows have is told once."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TypeVar

from stripplan.errors import Fault
from stripplan.files.fault_words import capped, fault, fault_of, meant, shortened
from stripplan.files.parts.lists.counts import counted
from stripplan.files.parts.lists.cut_list import Cell
from stripplan.files.parts.lists.decimal_marks import Exact, Mark, read_length
from stripplan.files.parts.lists.headers import Column
from stripplan.files.parts.lists.row_kinds import few_numbers
from stripplan.files.toml.quantities import MOST_PARTS, ValueRefusedError, refused_unit
from stripplan.wording.message import Fact, Message
from stripplan.wording.quantity import UnitError

T = TypeVar("T")
MOST_CELLS = 8
"""So many cells are named that have one and the same fault."""
_YES, _NO = ("yes", "y", "true", "1", "x"), ("no", "n", "false", "0", "-")
_GAUGE = re.compile(r"(?:#\s*)?[0-9]{1,2}\s*(?:ga|gauge|swg|g)\.?|gauge\s*[0-9]{1,2}|#\s*[0-9]{1,2}", re.IGNORECASE)
_AROUND_THICKNESS = re.compile(
    r"^(?:thickness|thk|t|plate|pl|sheet)\.?\s*=?\s*(?=[0-9.])|\s*(?:thk|thick|plate|pl|sheet)\.?$", re.IGNORECASE
)


@dataclass
class RowFaults:
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


def message_of(says: str, **facts: Fact) -> Message:
    return fault(says, "", **facts).message


@dataclass
class Cells:
    """The cells of one row by key, and how they are read: a fault is kept with the place of its cell."""

    number: int
    cells: Mapping[str, Cell]
    columns: Mapping[str, Column]
    cell: Callable[[int, int], str] | None
    faults: RowFaults

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
        self.add(message_of(says, **facts), key)

    def add(self, said: Message, key: str = "") -> None:
        """A fault as it is said."""
        at = self.cell(self.number, self.columns[key].at) if self.cell and key in self.columns else f"row {self.number}"
        self.faults.add(said, at, key)


def length_in(text: str, units: str, marks: Mark | None, key: str) -> float:
    mm = read_length(text, units, marks)
    if mm == 0 and key not in ("allowance", "tolerance"):
        raise ValueRefusedError("zero", said=shortened(text), key=key)
    return mm


def thickness_in(text: str, units: str, marks: Mark | None, key: str) -> float:
    """A thickness, also as "10 thk" or "PL10"; a gauge is none, for its thickness depends on what it is of."""
    if _GAUGE.fullmatch(text.strip()):
        raise ValueRefusedError("gauge", said=shortened(text))
    return length_in(text if isinstance(text, Exact) else _AROUND_THICKNESS.sub("", text), units, marks, key)


def quantity_in(text: str) -> int:
    match = re.fullmatch(r"([0-9]{1,15})(?:[.,]0{1,2})?", text)
    said = counted(text)
    if match is None and (said.count is None or said.name is not None):
        likely = re.match(r"[0-9]{1,7}(?![0-9.,/])", re.sub(r"[., '](?=[0-9]{3}(?![0-9]))", "", text))
        raise ValueRefusedError("no_quantity", said=shortened(text), number=likely[0] if likely else "4")
    count = int(match[1]) if match else said.count or 0
    if not 1 <= count <= MOST_PARTS:
        raise ValueRefusedError("quantity", count=count, most=MOST_PARTS)
    return count


def choice_in(text: str, choices: tuple[str, ...]) -> str:
    if text.lower() not in choices:
        raise ValueRefusedError("choice", said=shortened(text), **meant(text, choices))
    return text.lower()


def yes_or_no(text: str) -> bool:
    if text.lower() not in _YES + _NO:
        raise ValueRefusedError("yes_or_no", said=shortened(text))
    return text.lower() in _YES
