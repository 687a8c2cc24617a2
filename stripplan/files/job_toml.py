"""Job files: parts, plates, rig and options in one TOML file."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TypeVar

from ..errors import Fault, InputError
from ..model.effort import Effort
from ..model.job import Job, Options
from ..model.part import Part, Strip, as_rectangle
from ..model.plate import Plate
from ..model.rig import Rig
from ..model.units import parse_length
from .checked import checked
from .faults import capped, read_toml
from .rig_toml import is_file, load_rig, rig_from
from .schema import MOST_PARTS, JobTable, OptionsTable, PartTable, PlateTable
from .tables import load_cut_list

T = TypeVar("T")
M = TypeVar("M", PlateTable, PartTable)


def load_job(path: Path | str) -> tuple[Job, Rig]:
    """The job in a file and the rig it names. Raises InputError with every fault and its place."""
    path = Path(path)
    data, text = read_toml(path)
    table = checked(JobTable, data, text, path.name)
    plates = _each(_plate, table.plate, table.units, f"{path.name}, [[plate]]")
    parts = _each(_part, table.part, table.units, f"{path.name}, [[part]]")
    if table.cut_list is not None:
        parts += load_cut_list(path.parent / table.cut_list, units=table.units, first=len(parts) + 1)
    try:
        options = _options(table.options, table.units)
    except ValueError as error:
        raise InputError(Fault("value", f"{path.name}, [options]", str(error))) from None
    job = Job(
        name=table.name or path.stem,
        plates=tuple(plates),
        parts=tuple(parts),
        options=options,
        units=table.units,
        currency=table.currency,
        inch_fraction=table.inch_fraction,
    )
    check_job(job, path.name)
    return job, _rig(table, path)


def _each(make: Callable[[M, int, str], T], tables: Sequence[M], units: str, where: str) -> list[T]:
    """One value for each table. Lengths in inches may still pass what mm did not: those are faults here."""
    made, faults = [], []
    for number, table in enumerate(tables, 1):
        try:
            made.append(make(table, number, units))
        except ValueError as error:
            faults.append(Fault("value", f"{where} {number}", str(error)))
    if faults:
        raise InputError(capped(faults))
    return made


def check_job(job: Job, where: str) -> None:
    """What no single entry shows: something to make, something to make it from, names apart, prices alike."""
    faults = []
    if not job.plates:
        faults.append(Fault("no_plate", where, "there is no plate", "add a [[plate]]"))
    if not job.parts:
        faults.append(Fault("no_part", where, "there is no part", "add a [[part]]"))
    for kind, names in (("part", [p.name for p in job.parts]), ("plate", [p.name for p in job.plates])):
        twice = [(name, count) for name, count in Counter(names).items() if count > 1]
        faults += [
            Fault("same_name", where, f"{count} {kind}s are called {name!r}", "give each its own name")
            for name, count in twice
        ]
    count = sum(part.quantity for part in job.parts)
    if count > MOST_PARTS:
        faults.append(Fault("too_many", where, f"{count:,} parts are wanted", f"at most {MOST_PARTS:,} in one job"))
    if faults:
        raise InputError(capped(faults))


def _rig(table: JobTable, path: Path) -> Rig:
    if table.rig is None:
        return load_rig()
    if isinstance(table.rig, str):
        beside = path.parent / table.rig
        return load_rig(beside if is_file(beside) or Path(table.rig).suffix else table.rig)
    return rig_from(table.rig, where=f"{path.name}, [rig]", units=table.units)


def _plate(table: PlateTable, number: int, units: str) -> Plate:
    return Plate(
        name=table.name or f"plate {number}",
        length=parse_length(table.length, units),
        width=parse_length(table.width, units),
        thickness=None if table.thickness is None else parse_length(table.thickness, units),
        material=table.material,
        quantity=table.quantity,
        cost=table.cost,
        price_per_kg=table.price_per_kg,
        offcut=table.offcut,
        measured=table.measured,
        out_of_square=parse_length(table.out_of_square, units),
        edges=(table.edges[0], table.edges[1], table.edges[2], table.edges[3]),
        rolling=table.rolling,
        process=table.process,
    )


def _part(table: PartTable, number: int, units: str) -> Part:
    strip = Strip(
        name=table.name or f"part {number}",
        width=parse_length(table.width, units),
        quantity=table.quantity,
        thickness=None if table.thickness is None else parse_length(table.thickness, units),
        material=table.material,
        rolling=table.rolling,
        rotate=table.rotate,
        allowance=parse_length(table.allowance, units),
        tolerance=None if table.tolerance is None else parse_length(table.tolerance, units),
        square=table.square,
    )
    if table.length is None:
        return strip
    return as_rectangle(strip, parse_length(table.length, units))


def _options(table: OptionsTable, units: str) -> Options:
    options = Options(
        trim=parse_length(table.trim, units),
        effort=Effort(seed=table.seed, steps=table.steps, seconds=table.seconds),
        weights=dict(table.weights),
        price_per_minute=table.price_per_minute,
        partial=table.partial,
        process=table.process,
        depth=table.depth,
    )
    if table.keep is None:
        return options
    return replace(options, keep=(parse_length(table.keep[0], units), parse_length(table.keep[1], units)))
