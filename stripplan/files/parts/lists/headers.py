"""Which column of a list holds what: names of columns as people write them, and the row that they stand in.

A list from a spreadsheet has a title, a name and a date above its header, and columns that no plan needs. What no plan
needs is passed over with a note; what may be a mistyped name, or a size by another name, is refused.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from stripplan.errors import Fault, InputError
from stripplan.files.fault_words import capped, fault, shortened
from stripplan.files.parts.lists.csv_rows import heading
from stripplan.wording.message import Fact

MOST_COLUMNS = 100
HEADERS = {
    "name": ("name", "part", "mark", "item", "description", "part name", "designation", "piece"),
    "width": ("width", "w", "wide", "breadth", "cut width", "finished width"),
    "length": ("length", "l", "long", "len", "lg", "cut length", "finished length"),
    "size": ("size", "sizes", "dimensions", "dims", "w x l", "l x w", "l x w x t", "width x length", "length x width"),
    "quantity": (
        "quantity", "qty", "pieces", "pcs", "count", "no", "number", "how many", "no off", "off", "required", "reqd",
        "qty reqd", "quantity reqd", "qty required",
    ),
    "thickness": ("thickness", "t", "thick", "thk", "plate thickness"),
    "material": ("material", "mat", "steel", "matl", "mat'l", "grade", "steel grade", "alloy"),
    "allowance": ("allowance",),
    "tolerance": ("tolerance", "tol"),
    "plus_minus": ("plus minus", "plus or minus", "+-", "±"),
    "straightness": ("straightness", "bow", "camber"),
    "rolling": ("rolling", "rolling direction", "grain"),
    "rotate": ("rotate", "turn", "may turn"),
    "square": ("square", "square edges"),
    "filler": ("filler", "fill"),
    "ends": ("ends", "end angles", "mitres", "miters"),
    "corners": ("corners", "clipped corners"),
    "bevels": ("bevels", "bevel", "weld preparation", "weld prep", "edge preparation"),
    "note": ("note", "notes", "remark", "remarks", "comment", "comments", "holes", "drilling"),
    "number": ("item no", "item number", "part no", "part number", "pos", "position", "ref", "id", "tag", "#", "line"),
}  # fmt: skip
WORDS = {alias: key for key, aliases in HEADERS.items() for alias in aliases}
LENGTHS = ("width", "length", "thickness", "allowance", "tolerance", "plus_minus", "straightness")
SIZED = (*LENGTHS, "size", "corners", "bevels")
"""Columns that may name a unit."""
TOLD_WITH_ITS_NAME = ("holes", "drilling")
"""Notes that say nothing without the name of their column."""

_MEANT = [alias for alias, key in WORDS.items() if len(alias) > 2 and key != "number"]
_NAMED_BY = ("name", "part name", "description", "designation", "part", "piece", "mark", "item")
"""What a part is called by where several columns name it, the first that there is."""
_NUMBERED_BY = ("mark", "item", "part", "piece")
_EITHER = ("no", "number")
"""How many, or which."""
_NOT_NEEDED = {
    "weight", "mass", "kg", "price", "cost", "finish", "colour", "color", "area", "unit", "uom", "date", "rev",
    "revision", "drawing", "supplier", "total", "amount", "status", "stock", "location", "customer", "project", "job",
    "assembly", "process", "machine", "paint", "coating", "surface", "treatment", "checked", "ordered", "rate",
}  # fmt: skip
_HELD = {
    "width": "width", "length": "length", "thickness": "thickness", "thk": "thickness", "qty": "quantity",
    "quantity": "quantity", "pcs": "quantity", "material": "material", "matl": "material", "grade": "material",
}  # fmt: skip
"""Words within the name of a column, and what such a column may hold."""
_A_SIZE = {"height", "high", "depth", "dia", "diameter", "ø", "⌀", "od", "radius", "angle"}
_ORDER = re.compile(
    r"(?:(?:cut |finished |part |plate )?(?:sizes?|dims?|dimensions)\s*)?"
    r"(?P<order>(?:w|width|l|length|lg|t|thk|thickness)(?:\s*[x×]\s*(?:w|width|l|length|lg|t|thk|thickness)){1,2})?"
)


@dataclass(frozen=True)
class Column:
    """Where in a row a key stands, and the unit of its bare numbers."""

    at: int
    units: str


@dataclass(frozen=True)
class Header:
    """The columns of a list by what they hold; `order` is that of the figures in a size ("wl", "lwt", "" where its name
    does not say), `notes` are columns whose cells go with the part, each with what stands before it, `passed` names of
    columns that are not needed, `width` how many columns there are."""

    columns: Mapping[str, Column]
    order: str
    notes: tuple[tuple[int, str], ...]
    passed: tuple[str, ...]
    width: int


def key_of(word: str) -> str | None:
    """What a column of that name holds, None for a name that is not known."""
    return WORDS.get(word) or ("size" if size_order(word) is not None else None)


def size_order(word: str) -> str | None:
    """The order of the figures in a column of sizes; "" where its name says none, None where it is no such column.

    >>> size_order("w x l"), size_order("size l x w x thk"), size_order("size"), size_order("weight")
    ('wl', 'lwt', '', None)
    """
    found = _ORDER.fullmatch(word) if word else None
    if found is None:
        return None
    order = "".join(each.strip()[0] for each in re.split("[x×]", found["order"] or "") if each.strip())
    return order if len(set(order)) == len(order) else None


def is_known(cell: str) -> bool:
    """Whether a cell is the name of a column."""
    return key_of(heading(cell, WORDS)[0]) is not None


def row_of_header(rows: Sequence[Sequence[object]]) -> int:
    """Which of the first rows names the columns: the first that names a width or a size, else the one with most names.

    >>> row_of_header([["Gate"], ["Name", "Width"], ["rail", "50"]])
    1
    """
    keys = [{key_of(heading(str(cell), WORDS)[0]) for cell in row} - {None} for row in rows]
    sized = (at for at, found in enumerate(keys) if found & {"width", "size"})
    return next(sized, max(range(len(rows)), key=lambda at: (len(keys[at]), -at), default=0))


def has_header(rows: Sequence[Sequence[object]]) -> bool:
    """Whether one of the rows names a width or a size, and so begins a list."""
    return any(key_of(heading(str(cell), WORDS)[0]) in ("width", "size") for row in rows for cell in row)


def read_header(header: Sequence[str], where: str, units: str, column_cells: Mapping[int, Sequence[str]]) -> Header:
    """What each column holds, and units named in the header, as in "Width (mm)". `column_cells` are cells below the
    header by their column. Raises InputError."""
    if not any(letter.isalpha() for cell in header for letter in cell):
        raise InputError(fault("no_header.list", where))
    if len(header) > MOST_COLUMNS:
        raise InputError(fault("too_many.columns", where, most=MOST_COLUMNS))
    headings = [heading(cell, WORDS) for cell in header]
    keys, faults = _keys([word for word, _ in headings], header, where, column_cells)
    columns: dict[str, Column] = {}
    notes: list[tuple[int, str]] = []
    passed: list[str] = []
    for at, (key, (word, unit)) in enumerate(zip(keys, headings, strict=True)):
        if key is None:
            filled = any(column_cells.get(at, ()))
            passed += [shortened(header[at])] if word else [f"column {at + 1}"] if filled else []
        elif key == "note":
            notes.append((at, f"{word}: " if word in TOLD_WITH_ITS_NAME else ""))
        elif key in columns:
            faults.append(fault("same_column.list", where, one=columns[key].at + 1, other=at + 1, key=key))
        elif unit and key not in SIZED:
            column: dict[str, Fact] = {"column": at + 1, "cell": shortened(header[at])}
            faults.append(fault("unknown_column.unit", where, **column, key=key))
        else:
            columns[key] = Column(at, unit or units)
    if not columns.keys() & {"width", "size"} and not faults:
        faults.append(fault("no_width.column", where))
    if faults:
        raise InputError(capped(faults))
    order = next((size_order(headings[columns[key].at][0]) or "" for key in ("size",) if key in columns), "")
    return Header(columns, order, tuple(notes), tuple(passed), len(header))


def _keys(
    words: Sequence[str], header: Sequence[str], where: str, cells: Mapping[int, Sequence[str]]
) -> tuple[list[str | None], list[Fault]]:
    """What each column holds, None for one that is not needed, and faults of those of which that is not clear."""
    keys = [key_of(word) for word in words]
    faults: list[Fault] = []
    counted = [at for at, key in enumerate(keys) if key == "quantity" and words[at] not in _EITHER]
    for at in [at for at, word in enumerate(words) if word in _EITHER]:
        if counted:
            keys[at] = "number"
        elif _only_numbers_rows(cells.get(at, ())):
            faults.append(fault("unknown_column.number", where, column=at + 1, cell=shortened(header[at])))
    named = sorted((at for at, key in enumerate(keys) if key == "name"), key=lambda at: _NAMED_BY.index(words[at]))
    for at in named[1:]:
        keys[at] = "number" if words[at] in _NUMBERED_BY and words[at] != words[named[0]] else None
    numbers = [at for at, key in enumerate(keys) if key == "number"]
    best = next((at for at in numbers if words[at] in _NUMBERED_BY), numbers[0] if numbers else None)
    for at in numbers:
        keys[at] = "number" if at == best else None
    for at, word in enumerate(words):
        if key_of(word) is None and word:
            faults += _doubts(at, word, header[at], keys, where)
    return keys, faults


def _only_numbers_rows(cells: Iterable[str]) -> bool:
    """Whether cells are 1, 2, 3 ... down the column."""
    several = [each for each in cells if each]
    return len(several) > 1 and several == [str(number) for number in range(1, len(several) + 1)]


def _doubts(at: int, word: str, cell: str, keys: Sequence[str | None], where: str) -> list[Fault]:
    """What may be wrong with the name of a column that is not known; nothing where no plan needs it."""
    column: dict[str, Fact] = {"column": at + 1, "cell": shortened(cell)}
    if len(word) == 1 or set(word.split()) & _A_SIZE:
        return [fault("unknown_column.size", where, **column)]
    held = next((key for each, key in _HELD.items() if each in word.split()), None)
    if held is not None and (held == "quantity" or held not in keys):
        says = "unknown_column.second" if held in keys else "unknown_column.list"
        return [fault(says, where, **column, near=held)]
    if set(word.split()) & _NOT_NEEDED:
        return []
    near = difflib.get_close_matches(word[:60], _MEANT, 1, 0.75)
    return [fault("unknown_column.list", where, **column, near=near[0])] if near else []
