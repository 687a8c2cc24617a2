"""Job files: parts, plates, rig and options in one TOML file."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from ..errors import Fault, InputError
from ..model.effort import Effort
from ..model.job import Job, Options
from ..model.part import Part, Strip, as_rectangle
from ..model.plate import Plate
from ..model.rig import Rig
from ..model.units import parse_length
from .checked import checked
from .faults import capped, read_toml
from .rig_toml import load_rig, rig_from
from .schema import MOST_PARTS, JobTable, OptionsTable, PartTable, PlateTable
from .tables import load_cut_list


def load_job(path: Path | str) -> tuple[Job, Rig]:
    """The job in a file and the rig it names. Raises InputError with every fault and its place."""
    path = Path(path)
    data, text = read_toml(path)
    table = checked(JobTable, data, text, path.name)
    parts = [_part(each, number, table.units, path.name) for number, each in enumerate(table.part, 1)]
    if table.cut_list is not None:
        parts += load_cut_list(path.parent / table.cut_list, units=table.units)
    try:
        job = Job(
            name=table.name or path.stem,
            plates=tuple(_plate(each, number, table.units) for number, each in enumerate(table.plate, 1)),
            parts=tuple(parts),
            options=_options(table.options, table.units),
            units=table.units,
            currency=table.currency,
        )
    except ValueError as error:
        raise InputError(Fault("job", path.name, str(error))) from None
    check_job(job, path.name)
    return job, _rig(table, path)


def check_job(job: Job, where: str) -> None:
    """What no single entry shows: something to make, something to make it from, names apart, prices alike."""
    faults = []
    if not job.plates:
        faults.append(Fault("no_plate", where, "there is no plate", "add a [[plate]]"))
    if not job.parts:
        faults.append(Fault("no_part", where, "there is no part", "add a [[part]]"))
    for kind, names in (("part", [p.name for p in job.parts]), ("plate", [p.name for p in job.plates])):
        twice = sorted({name for name in names if names.count(name) > 1}) if len(names) < 20_000 else []
        faults += [
            Fault("same_name", where, f"two {kind}s are called {name!r}", "give each its own name") for name in twice
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
        return load_rig(beside if beside.is_file() or "." in table.rig else table.rig)
    return rig_from(table.rig, where=f"{path.name}, [rig]")


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


def _part(table: PartTable, number: int, units: str, where: str) -> Part:
    name = table.name or f"part {number}"
    if table.outline is not None:
        raise InputError(
            Fault(
                "outline",
                f"{where}, [[part]] {number} {name!r}",
                "shapes cannot be laid out yet",
                "give width and length",
            )
        )
    strip = Strip(
        name=name,
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
