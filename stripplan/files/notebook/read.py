"""Notebooks of a rig: rows in a TOML file, and in CSV lists beside it."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any, get_args

from pydantic import BaseModel

from stripplan.errors import Fault, InputError
from stripplan.files.fault_words import capped, fault, meant, shortened
from stripplan.files.notebook.schema import MOST_ROWS, DriveTable, NotebookTable, Row
from stripplan.files.parts.lists.csv_rows import csv_rows, decoded, heading
from stripplan.files.toml.document import TomlFile, read_toml
from stripplan.files.toml.quantities import ValueRefusedError
from stripplan.files.toml.validate import checked
from stripplan.model.notebook import (
    BowCheck,
    Drive,
    FenceCheck,
    HeightCheck,
    KerfTest,
    Notebook,
    ParallelCheck,
    RailCheck,
    SquareCheck,
    TestCut,
    TimedRun,
)

KINDS = (
    "timed_run", "kerf_test", "fence_check", "height_check", "rail_check", "parallel_check", "square_check",
    "test_cut", "bow_check",
)  # fmt: skip
"""Kinds of rows."""

_YES, _NO = ("yes", "y", "true", "x"), ("no", "n", "false", "-")


def load_notebook(path: Path | str) -> Notebook:
    """The notebook in a file and the lists that it names. Raises InputError with every fault and its place."""
    path = Path(path)
    return notebook_from(read_toml(path, name=path.name), name=path.stem)


def notebook_from(file: TomlFile, *, name: str) -> Notebook:
    """The notebook that a table describes, called `name` where it has no name. Raises InputError with every fault."""
    units = file.data["units"] if file.data.get("units") in ("mm", "in") else "mm"
    table, faults = checked(NotebookTable, file.data, file, units=units)
    listed: dict[str, list[Any]] = {kind: [] for kind in KINDS}
    for kind, listed_in in _lists(file, faults):
        try:
            listed[kind] += listed_rows(file.folder / listed_in, kind, units)
        except InputError as error:
            faults += error.faults
    if table is None or faults:
        raise InputError(capped(faults))
    rows = {kind: [each for each in (*getattr(table, kind), *listed[kind]) if not each.ignore] for kind in KINDS}
    given = {key: getattr(table, key) for key in ("caliper", "rule", "watch") if getattr(table, key) is not None}
    return Notebook(
        name=table.name or name,
        units="in" if units == "in" else "mm",
        **given,
        drive=_drive(table.drive, file),
        timed_runs=tuple(TimedRun(**_given(each)) for each in rows["timed_run"]),
        kerf_tests=tuple(KerfTest(**_given(each)) for each in rows["kerf_test"]),
        fence_checks=tuple(FenceCheck(**_given(each)) for each in rows["fence_check"]),
        height_checks=tuple(HeightCheck(**_given(each)) for each in rows["height_check"]),
        rail_checks=tuple(RailCheck(**_given(each)) for each in rows["rail_check"]),
        parallel_checks=tuple(_parallel(each) for each in rows["parallel_check"]),
        square_checks=tuple(SquareCheck(**_given(each)) for each in rows["square_check"]),
        test_cuts=tuple(TestCut(**_given(each, "note")) for each in rows["test_cut"]),
        bow_checks=tuple(BowCheck(**_given(each)) for each in rows["bow_check"]),
    )


def _given(row: Row, *kept: str) -> dict[str, Any]:
    """The fields of a row, lists as tuples; its note is for the reader of the file, but for `kept`."""
    fields = row.model_dump(exclude_none=True, exclude={"note", "ignore"} - set(kept))
    return {key: tuple(value) if isinstance(value, list) else value for key, value in fields.items()}


def _parallel(row: Row) -> ParallelCheck:
    given = _given(row)
    return ParallelCheck(exit_=given.pop("exit"), **given)


def _drive(table: DriveTable | None, file: TomlFile) -> Drive | None:
    if table is None:
        return None
    if (table.belt is None) == (table.pitch is None):
        says = "drive.no_pitch" if table.belt is None else "drive.two_pitches"
        raise InputError(fault(says, file.where(("drive",), "[drive]")))
    return Drive(**table.model_dump())


# --- CSV lists ------------------------------------------------------------------------------------------------------


def _lists(file: TomlFile, faults: list[Fault]) -> list[tuple[str, str]]:
    """Kind of row and file of each list."""
    named = file.data.get("lists")
    found = []
    for kind, name in (named if isinstance(named, dict) else {}).items():
        if kind not in KINDS:
            where = file.where(("lists", kind), f"[lists], {shortened(kind)}")
            faults.append(fault("unknown_key.row", where, **meant(kind, KINDS)))
        elif isinstance(name, str):
            found.append((kind, name))
    return found


def listed_rows(path: Path, kind: str, units: str) -> list[Row]:
    """The rows of a CSV list. Raises InputError with every faulty row, and the columns that are missing."""
    model = model_of(kind)
    text, _ = decoded(path)
    columns = {key.replace("_", " "): key for key in model.model_fields}
    rows = csv_rows(text, path.name, known=lambda cell: _column(cell, columns) is not None)
    number, header = next(rows, (1, []))
    if not header:
        raise InputError(fault("empty.rows", path.name, columns=tuple(columns)))
    keys = _keys(header, columns, model, f"{path.name} row {number}")
    found: list[Row] = []
    faults: list[Fault] = []
    for number, cells in rows:
        where = f"{path.name} row {number}"
        if len(found) + len(faults) >= MOST_ROWS:
            faults.append(fault("too_many.rows", where, most=MOST_ROWS))
            break
        if any(cells[len(header) :]):
            faults.append(fault("too_wide.row", where, header=len(header)))
            continue
        try:
            data = _data(cells, keys, model)
        except ValueRefusedError as error:
            faults.append(error.fault(where))
            continue
        row, more = checked(model, data, TomlFile(where, "", data), units=units)
        faults += more
        found += [row] if row is not None else []
    if faults:
        raise InputError(capped(faults))
    return found


def model_of(kind: str) -> type[Row]:
    """The shape of a kind of row."""
    model: type[Row] = get_args(NotebookTable.model_fields[kind].annotation)[0]
    return model


def _column(cell: str, columns: dict[str, str]) -> tuple[str, str] | None:
    """Key and unit of a header cell, None where it is no column; "after 2" is one more figure of `after`.

    >>> _column("Width (mm)", {"width": "width"}), _column("after 2", {"after": "after"}), _column("colour", {})
    (('width', 'mm'), ('after', ''), None)
    """
    word, unit = heading(cell, columns)
    if word not in columns:
        word, unit = heading(re.sub(r"[\s_]+[0-9]{1,4}(?=\W*[a-z]*\W*$)", " ", cell.lower()), columns)
    return (columns[word], unit) if word in columns else None


def _keys(
    header: list[str], columns: dict[str, str], model: type[BaseModel], where: str
) -> list[tuple[str, str] | None]:
    """Key and unit of each column. Raises InputError for columns that are not known, and for those that are missing."""
    found = [_column(cell, columns) for cell in header]
    faults = [
        fault("unknown_column.row", where, column=at, cell=shortened(cell), **meant(cell, columns))
        for at, (cell, key) in enumerate(zip(header, found, strict=True), 1)
        if key is None and cell
    ]
    names = [key[0] for key in found if key is not None]
    there = set(names)
    faults += [
        fault("same_column.row", where, key=key.replace("_", " "))
        for key in sorted(there)
        if names.count(key) > 1 and "list[" not in str(model.model_fields[key].annotation)
    ]
    lacking = [key for key, field in model.model_fields.items() if field.is_required() and key not in there]
    faults += [
        fault(
            "missing_column.row", where, what=key.replace("_", " "), key=key,
            purpose=model.model_fields[key].description or "",
        )
        for key in lacking
    ]  # fmt: skip
    if faults:
        raise InputError(capped(faults))
    return found


def _data(cells: list[str], keys: list[tuple[str, str] | None], model: type[BaseModel]) -> dict[str, Any]:
    """A row as a TOML table would have it."""
    data: dict[str, Any] = {}
    for cell, key in zip(cells, keys, strict=False):
        if key is None or not cell:
            continue
        name, unit = key
        if "list[" in str(model.model_fields[name].annotation):
            several = cell.split()
            plain = all(re.fullmatch(r"-?[0-9]+([.,][0-9]*)?", each) for each in several)
            data.setdefault(name, []).extend(_value(each, unit, "") for each in (several if plain else [cell]))
        else:
            data[name] = _value(cell, unit, str(model.model_fields[name].annotation))
    return data


def _value(cell: str, unit: str, kind: str) -> Any:
    """A cell as a number, a truth, or text; a unit named in the header goes with the number.

    >>> _value("12,5", "", "float"), _value("12.5", "in", "float"), _value("6", "", "str")
    (12.5, '12.5 in', '6')
    >>> _value("yes", "", "bool | None")
    True
    """
    if "bool" in kind and cell.lower() in _YES + _NO:
        return cell.lower() in _YES
    if "float" not in kind and "int" not in kind and kind:
        return cell
    if re.fullmatch(r"-?[0-9]{1,3}(,[0-9]{3})+", cell):
        raise ValueRefusedError(
            "two_ways", said=repr(cell), thousands=cell.replace(",", ""), decimal=cell.replace(",", ".")
        )
    plain = re.sub(r"^(-?[0-9]+),([0-9]+)$", r"\1.\2", cell)
    if not re.fullmatch(r"-?[0-9]+(\.[0-9]*)?", plain):
        return cell
    return f"{plain} {unit}" if unit else float(plain) if "." in plain else int(plain)
