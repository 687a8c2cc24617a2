"""A cut list as a table, whatever file it stands in: header, units, rows, names of their own.

What stands above the header, rows without a part, and columns that no plan needs are passed over with a note; what can
be read in two ways is refused with both.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from itertools import islice

from stripplan.errors import InputError
from stripplan.files.fault_words import capped, fault, shortened
from stripplan.files.parts.lists.cut_list import Cell, CutList, Row
from stripplan.files.parts.lists.headers import MOST_COLUMNS, read_header, row_of_header
from stripplan.files.parts.lists.part_rows import PartRows
from stripplan.files.parts.lists.row_kinds import PassedOver
from stripplan.files.parts.lists.title_rows import told_above
from stripplan.files.toml.quantities import MOST_ENTRIES, ValueRefusedError
from stripplan.model.part import Part
from stripplan.wording.quantity import MM_PER

MOST_TITLES = 50
"""So many rows that are not blank may stand above the header."""


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
    reader = PartRows(header, here, name, cell, told, bare, first, below, passed)
    parts, again = _of_own_names(reader.parts(below[1:] if units_row else below))
    said = tuple(fault("same_name.rows", name, name=shortened(each), count=count) for each, count in again.items())
    return CutList(parts, (*passed.notes(name, told, bare, units), *said))


def _of_own_names(parts: Sequence[Part]) -> tuple[tuple[Part, ...], dict[str, int]]:
    """Parts with names of their own, as people's lists hold five straps: the later ones are numbered; and how many had
    each name that several had."""
    count = Counter(part.name for part in parts)
    taken, found = set(count), list[Part]()
    seen: Counter[str] = Counter()
    for part in parts:
        name = part.name
        seen[name] += 1
        if seen[name] > 1:
            number = seen[name]
            while f"{name} ({number})" in taken:
                number += 1
            taken.add(name := f"{name} ({number})")
        found.append(replace(part, name=name))
    return tuple(found), {name: number for name, number in count.items() if number > 1}


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
