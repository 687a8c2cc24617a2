"""Lists of parts in whatever file they come: CSV, a workbook, or a drawing of their outlines; and how they are read."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from stripplan.errors import Fault, InputError
from stripplan.files.fault_words import capped, fault, shortened
from stripplan.files.parts.drawings.layers import HowDrawn, Layers
from stripplan.files.parts.lists.csv_list import read_cut_list
from stripplan.files.parts.lists.cut_list import CutList
from stripplan.model.job import LeftOut
from stripplan.model.part import Part
from stripplan.wording.message import Fact

if TYPE_CHECKING:
    from stripplan.files.parts.drawings.outlines import Skipped

BOOKS, DRAWINGS = (".xlsx",), (".dxf", ".svg")
LISTS = (".csv", ".tsv", ".txt", *BOOKS, *DRAWINGS)
"""Endings of lists; a file with any other is read as CSV."""

_GOES_WITH = {
    "leave_out": DRAWINGS,
    "drill_later": DRAWINGS,
    "tolerance": DRAWINGS,
    "layers": DRAWINGS,
    "layer_names": DRAWINGS,
    "sheet": BOOKS,
}
"""Options that do not go with every list, and endings of those that they go with."""


@dataclass(frozen=True, kw_only=True)
class HowRead:
    """How a list is read, beyond what the file itself says; what is left out is left to the file.

    `units` ("mm", "cm", "m", "in", "ft") are those of bare numbers in CSV and workbooks, and of a drawing, where they
    go before what it names. An outline in a drawing may be off a true rectangle by `tolerance` [mm]. Of a drawing only
    `layers` are read, with the thickness [mm] and the material of their parts; `layer_names` takes both from the
    layers' names. `sheet` is the sheet of a workbook.

    What is drawn and is no part is refused, unless it is to be left out (`leave_out`); a rectangle with holes is a part
    only where they are drilled later (`drill_later`).
    """

    units: str | None = None
    tolerance: float | None = None
    layers: Layers | None = None
    layer_names: bool = False
    sheet: str | None = None
    leave_out: bool = False
    drill_later: bool = False

    def fitting(self, path: Path) -> HowRead:
        """The same without what does not go with this kind of file."""
        return replace(self, **{key: getattr(HowRead(), key) for key in self.unfitting(path)})

    def unfitting(self, path: Path) -> list[str]:
        """Options that are given and do not go with this kind of file."""
        given = [key for key in _GOES_WITH if getattr(self, key) not in (None, False)]
        return [key for key in given if path.suffix.lower() not in _GOES_WITH[key]]


@dataclass(frozen=True)
class ListFile:
    """A list, how it is read, and what messages call its options."""

    path: Path
    how: HowRead = HowRead()
    called: Callable[[str], str] = str


def read_lists(files: Sequence[ListFile], *, units: str = "mm", first: int = 1) -> CutList:
    """The parts of several lists in a row. Raises InputError with the faults of all.

    `units` are those of bare numbers where no list says its own; parts without a name are numbered from `first` on.
    """
    faults: list[Fault] = []
    read: list[tuple[ListFile, CutList]] = []
    for at, each in enumerate(files):
        if any(_same_file(each, other) for other in files[:at]):
            faults.append(fault("same_list.job", each.path.name))
            continue
        number = first + sum(len(one.parts) for _, one in read)
        try:
            found = read_list(each.path, each.how, units=units, first=number, called=each.called)
        except InputError as error:
            faults += error.faults
        else:
            read.append((each, found))
    faults += _shared_names(read)
    if faults:
        raise InputError(capped(faults))
    lists = [each for _, each in read]
    return CutList(
        tuple(part for each in lists for part in each.parts),
        tuple(note for each in lists for note in each.notes),
        tuple(layer for each in lists for layer in each.layers or [""] * len(each.parts)),
        tuple(left for each in lists for left in each.left_out),
    )


def read_list(
    path: Path | str,
    how: HowRead = HowRead(),
    *,
    units: str = "mm",
    first: int = 1,
    called: Callable[[str], str] | None = None,
) -> CutList:
    """The parts of a list, told apart by the file's ending; what a drawing holds that is no outline is among the notes.

    `units` are those of bare numbers in a list that does not say its own, `called` is what messages call an option.
    Raises InputError, also where a drawing holds no part, and where an option does not go with the file.
    """
    path = Path(path)
    called = called or (lambda key: f"{path.name}, {key}")
    _check(path, how, called)
    ending = path.suffix.lower()
    if ending in DRAWINGS:
        return _drawn(path, how, first=first)
    units, asked = how.units or units, how.units is not None
    if ending in BOOKS:
        from stripplan.files.parts.lists.workbook import read_workbook

        return read_workbook(path, sheet=how.sheet, units=units, first=first, asked=asked)
    return read_cut_list(path, units=units, first=first, asked=asked)


def unfit(key: str, name: str, where: str) -> Fault:
    """An option that does not go with the file called `name`."""
    return fault(f"option.{key}", where, file=name)


def _check(path: Path, how: HowRead, called: Callable[[str], str]) -> None:
    faults = [unfit(key, path.name, called(key)) for key in how.unfitting(path)]
    if how.tolerance is not None and not faults:
        from stripplan.files.parts.drawings.outlines import checked_tolerance

        checked_tolerance(how.tolerance, called("tolerance"))
    if faults:
        raise InputError(faults)


def _drawn(path: Path, how: HowRead, *, first: int) -> CutList:
    if path.suffix.lower() == ".dxf":
        from stripplan.files.parts.drawings.dxf.read import read_dxf_parts as read
    else:
        from stripplan.files.parts.drawings.svg.read import read_svg_parts as read
    given = {} if how.tolerance is None else {"tolerance": how.tolerance}
    asked = HowDrawn(
        units=how.units, layers=how.layers, layer_names=how.layer_names, first=first, drill_later=how.drill_later,
        **given,
    )  # fmt: skip
    drawn = read(path, asked)
    missing = _alike(drawn.skipped)
    if missing and not how.leave_out:
        raise InputError(_missing(path.name, missing))
    skipped = tuple(
        fault("skipped.outline", ", ".join(filter(None, (path.name, each.where))), what=each.what, why=each.reason)
        for each in drawn.skipped
    )
    if not drawn.parts:
        raise InputError(capped([fault("no_part.drawing", path.name), *skipped]))
    notes = (*(_at_home(note, path.name) for note in drawn.notes), *skipped)
    return CutList(drawn.parts, notes, drawn.layers, tuple(left for _, left in missing))


def _alike(skipped: Iterable[Skipped]) -> list[tuple[Skipped, LeftOut]]:
    """What a list would lack, things of one name and one reason once, with how many there are, at the first place."""
    found: dict[tuple[str, str, int], tuple[Skipped, LeftOut]] = {}
    for each in skipped:
        if (left := each.missing) is None:
            continue
        first, before = found.get((left.name, left.why, left.count), (each, None))
        quantity = left.quantity + (before.quantity if before is not None else 0)
        found[left.name, left.why, left.count] = first, replace(left, quantity=quantity)
    return list(found.values())


def _missing(name: str, missing: Sequence[tuple[Skipped, LeftOut]]) -> list[Fault]:
    """What a plan would lack without a word, and the ways out, named once for the drawing."""
    holes = any(left.why == "holes" for _, left in missing)
    faults = [fault("left_out.ways", name, count=len(missing), holes=holes)]
    for each, left in missing:
        where = ", ".join(filter(None, (name, each.where)))
        if left.why == "text":
            faults.append(fault("left_out.text", where, name=left.name, reason=each.reason))
            continue
        facts: dict[str, Fact] = {"quantity": left.quantity, "why": left.why, "count": left.count}
        faults.append(fault("left_out.outline", where, name=left.name, what=each.what, reason=each.reason, **facts))
    return capped(faults)


def _at_home(note: Fault, name: str) -> Fault:
    """A note whose place names the drawing: there may be several."""
    return note if note.where.startswith(name) else replace(note, where=f"{name}, {note.where}")


# --- several lists ---------------------------------------------------------------------------------------------------


def _same_file(one: ListFile, other: ListFile) -> bool:
    return os.path.normpath(one.path) == os.path.normpath(other.path) and one.how == other.how


def _shared_names(read: Sequence[tuple[ListFile, CutList]]) -> list[Fault]:
    """Names that parts of two lists have; within one list they are looked at with the whole job."""
    faults = []
    holder: dict[str, tuple[ListFile, Part]] = {}
    for file, found in read:
        for part in found.parts:
            before, same = holder.setdefault(part.name, (file, part))
            if before is not file:
                apart = before.path.name != file.path.name
                names = [each.path.name if apart else str(each.path) for each in (before, file)]
                alike = replace(part, quantity=same.quantity) == same
                where = " and ".join(names)
                faults.append(fault("same_name.lists", where, name=shortened(part.name), alike=alike))
    return faults
