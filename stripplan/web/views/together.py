"""Lists that are planned together, as one list: what was typed in each stays as it was typed, under its job.

Whether they go together, which plates are alike and what each part is called then is the planner's to say (`joined`);
here its answer is put into a list again, so that it can be read, changed and kept like any other.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Any

from stripplan.errors import Fault, InputError
from stripplan.files.job.in_units import System, in_units, shown_length
from stripplan.model.job import Job
from stripplan.model.part import Part, Rectangle, Strip
from stripplan.model.plate import Plate
from stripplan.model.rack.piece import piece_name
from stripplan.planner import joined
from stripplan.web.tasks import read_list
from stripplan.web.views.typed_list import FROM_RACK, PIECES, job_of, numbers_in

OFF_THE_RACK = "off the rack"


@dataclass(frozen=True)
class _Typed:
    """A list as it was typed, in the units of all, the table that it is, and the job."""

    table: Mapping[str, Any]
    job: Job

    def rows(self, kind: str) -> list[Mapping[str, Any]]:
        """Its rows of a kind."""
        return list(self.table.get(kind, ()))


def together(lists: Sequence[Mapping[str, Any]]) -> dict[str, Any]:
    """Several typed lists as one, each list's parts under its own job. Raises InputError with the faults of all, each
    with the name of its list.
    """
    units: System = "in" if lists[0].get("units") == "in" else "mm"
    faults, given = list[Fault](), []
    for number, each in enumerate(lists, 1):
        name = str(each.get("name") or f"job {number}")
        try:
            given.append((name, *_read({**each, "name": name}, units)))
        except InputError as error:
            faults += [replace(one, where=f"{name}, {one.where.removeprefix('the list, ')}") for one in error.faults]
    if faults:
        raise InputError(faults)
    one, _ = joined([(name, _apart(each), rig) for name, each, rig in given])
    some = [each for _, each, _ in given]
    first = some[0].table
    table: dict[str, Any] = {
        "name": one.name,
        "units": units,
        "currency": one.currency,
        "inch_fraction": one.inch_fraction if units == "in" else None,
        "rig": lists[0].get("rig"),
        "job": [{key: value for key, value in (("name", each.name), ("due", each.due)) if value} for each in one.jobs],
        "plate": list(_plates(one, some)),
        "part": list(_parts(one, some, units)),
        "not_planned": [asdict(each) for each in one.left_out],
        "options": _options(one, some),
        FROM_RACK: any(each.table.get(FROM_RACK) for each in some) or None,
        "schema": first.get("schema"),
    }
    return {key: value for key, value in table.items() if value not in (None, "", [], {})}


def _read(typed: Mapping[str, Any], units: System) -> tuple[_Typed, Any]:
    """A list, and the rig that it names."""
    table = in_units(typed, units)
    read = read_list(job_of(table), str(Path()), rack=True)
    return _Typed(table, read.job), read.rig


def _apart(each: _Typed) -> Job:
    """The job, its plates off the rack told from others: each of them is one piece and no kind that can be bought."""
    rows = each.rows("plate")
    plates = (
        replace(plate, note=OFF_THE_RACK) if row.get(PIECES) else plate
        for plate, row in zip(each.job.plates, rows, strict=True)
    )
    return replace(each.job, plates=tuple(plates))


def _plates(one: Job, some: Iterable[_Typed]) -> Iterable[dict[str, Any]]:
    """The plates of all: as the first list that has one typed it, with as many as all have."""
    typed = [(plate, row) for each in some for plate, row in zip(_apart(each).plates, each.rows("plate"), strict=True)]
    for plate in one.plates:
        rows = [row for given, row in typed if _kind(given) == _kind(plate)]
        pieces = {number for row in rows for number in numbers_in(row.get(PIECES))}
        row = {key: value for key, value in rows[0].items() if key not in ("quantity", PIECES)}
        count = len(pieces) or plate.quantity
        row |= {"name": plate.name} | ({} if count is None else {"quantity": count})
        yield {**row, PIECES: ", ".join(map(piece_name, sorted(pieces)))} if pieces else row


def _kind(plate: Plate) -> Plate:
    return replace(plate, name="", quantity=None)


def _parts(one: Job, some: Iterable[_Typed], units: System) -> Iterable[dict[str, Any]]:
    """The parts of all as they were typed, each under its job; what was plain among its own plates and is not among
    those of all is written out."""
    typed = [(part, row) for each in some for part, row in zip(each.job.parts, each.rows("part"), strict=True)]
    several = {key: len({getattr(plate, key) for plate in one.plates}) > 1 for key in ("thickness", "material")}
    for part, (own, row) in zip(one.parts, typed, strict=True):
        job, name = one.own_name(part.name)
        yield {**row, "name": name, "job": job, **_written_out(part, own, several, units)}


def _written_out(part: Part, own: Part, several: Mapping[str, bool], units: System) -> dict[str, Any]:
    found: dict[str, Any] = {} if part.plate is None else {"plate": part.plate}
    if isinstance(own, Strip) and isinstance(part, Rectangle):
        found |= {"length": shown_length(part.length, units), "rotate": False}
    if several["thickness"] and own.thickness is None and part.thickness is not None:
        found["thickness"] = shown_length(part.thickness, units)
    if several["material"] and own.material is None and part.material is not None:
        found["material"] = part.material
    return found


def _options(one: Job, some: Sequence[_Typed]) -> dict[str, Any]:
    """What is asked of the plan, as it was typed: no two lists contradict each other here any more."""
    found: dict[str, Any] = {}
    for each in reversed(some):
        found |= each.table.get("options") or {}
    found["before"] = [list(pair) for pair in one.options.before]
    found["first"] = list(one.options.first)
    return {key: value for key, value in found.items() if value not in (None, "", [], {})}
