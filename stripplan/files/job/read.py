"""Job files: parts, plates, rig and options in one TOML file."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, TypeVar

from stripplan.errors import Fault, InputError
from stripplan.files.fault_words import capped, fault, message, printable, shortened
from stripplan.files.job.list_table import ListTable
from stripplan.files.job.schema import JobTable, OptionsTable, PartTable, PlateTable
from stripplan.files.parts.bevels import Asked, bevels_of
from stripplan.files.parts.lists.cut_list import CutList
from stripplan.files.parts.named_shapes import WAYS, Named, outline_of
from stripplan.files.parts.read import HowRead, ListFile, read_lists
from stripplan.files.read_file import is_file
from stripplan.files.rig.read import RigFile, read_rig, renamed, rig_from
from stripplan.files.toml.document import TomlFile, read_toml
from stripplan.files.toml.quantities import MOST_LISTS, MOST_PARTS, ValueRefusedError, read_file_name
from stripplan.files.toml.validate import Place, checked, place_words
from stripplan.model.effort import Effort
from stripplan.model.job import MATERIAL_FACTORS, Job, LeftOut, OneJob, Options, joint_name
from stripplan.model.part import AS_MANY_AS_FIT, Hole, Part, Rectangle, Shape, Strip
from stripplan.model.plate import Plate
from stripplan.model.polygon import Outline
from stripplan.model.rig import Rig

T = TypeVar("T")

EFFORT_KEYS = ("seed", "steps", "seconds", "good_enough", "stop_after")


@dataclass(frozen=True)
class JobFile:
    """What a job file says, and what its reader should know about how it was read (`notes`). `rest_of`: the id of the
    plan of which it is the rest, "" of none."""

    job: Job
    rig: Rig
    notes: tuple[Fault, ...] = ()
    rest_of: str = ""


def load_job(path: Path | str) -> tuple[Job, Rig]:
    """The job in a file and the rig it names. Raises InputError with every fault and its place."""
    read = read_job(path)
    return read.job, read.rig


def read_job(path: Path | str, *, rack: bool = False) -> JobFile:
    """As `load_job`, with notes; where plates may come off the `rack` the file need not name any."""
    path = Path(path)
    return job_from(read_toml(path, name=path.name), name=path.stem, rack=rack)


def job_from(file: TomlFile, *, name: str, rack: bool = False) -> JobFile:
    """The job that a table describes, called `name` where it has no name. Raises InputError with every fault."""
    units = file.data["units"] if file.data.get("units") in ("mm", "in") else "mm"
    faults: list[Fault] = []
    rig = _collected(lambda: _rig(file, units), faults)
    table, more = checked(JobTable, _without_apart(file.data), file, units=units)
    faults += more
    listed = _collected(lambda: _listed(file, file.folder, units), faults)
    plates = [_plate(each, n, file, faults) for n, each in enumerate(table.plate if table else (), 1)]
    parts = [_part(each, n, file, faults) for n, each in enumerate(table.part if table else (), 1)]
    if faults or table is None or rig is None or listed is None:
        raise InputError(capped(faults))
    named = tuple(each for each in parts if each is not None)
    jobs = _jobs(table, named, file, faults)
    if jobs and listed.parts:
        faults.append(fault("several_jobs.list", file.where(("cut_list",), "cut_list")))
    if faults:
        raise InputError(capped(faults))
    job = Job(
        name=table.name or (joint_name([each.name for each in jobs]) if jobs else name),
        plates=tuple(each for each in plates if each is not None),
        parts=(*(_called(part, given.job) for part, given in zip(named, table.part, strict=True)), *listed.parts),
        jobs=jobs,
        options=_options(table.options),
        units=table.units,
        currency=table.currency,
        inch_fraction=table.inch_fraction,
        due=table.due,
        left_out=(*(LeftOut(**each.model_dump()) for each in table.not_planned), *listed.left_out),
    )
    check_job(job, file.name, rack=rack)
    return JobFile(job, rig.rig, (*rig.notes, *listed.notes), table.rest_of or "")


def _jobs(table: JobTable, parts: Sequence[Part], file: TomlFile, faults: list[Fault]) -> tuple[OneJob, ...]:
    """The jobs that a file holds; every part belongs to one of them, or there are none."""
    known = {each.name for each in table.job}
    if len(known) < len(table.job):
        faults.append(fault("several_jobs.same_name", file.where(("job",), "[[job]]")))
    for number, each in enumerate(table.part):
        if (each.job is not None or known) and each.job not in known:
            at: Place = ("part", number) if each.job is None else ("part", number, "job")
            where = file.where(at, place_words(file.data, ("part", number, "job")))
            faults.append(fault("several_jobs.unknown", where, known=tuple(sorted(known)[:6])))
    pairs = list(zip(parts, table.part, strict=True)) if len(parts) == len(table.part) else []
    return tuple(
        OneJob(
            name=each.name,
            due=each.due,
            parts=tuple(_called(part, given.job).name for part, given in pairs if given.job == each.name),
        )
        for each in table.job
    )


def _called(part: Part, job: str | None) -> Part:
    """A part by its job and its own name."""
    return part if job is None else replace(part, name=f"{job}: {part.name}")


def _collected(read: Callable[[], T], faults: list[Fault]) -> T | None:
    """What `read` gives; its faults are kept, so that one run names those of other places too."""
    try:
        return read()
    except InputError as error:
        faults += error.faults
        return None


def _without_apart(data: dict[str, Any]) -> dict[str, Any]:
    """The job without what is checked apart: its lists, and its table of overrides, which has units of its own."""
    apart = {"cut_list", "rig"} if isinstance(data.get("rig"), dict) else {"cut_list"}
    return {key: value for key, value in data.items() if key not in apart}


def _rig(file: TomlFile, units: str) -> RigFile:
    named = file.data.get("rig")
    if isinstance(named, dict):
        rig = rig_from(named, file, units=units, name="built-in, changed by the job", at=("rig",))
        return RigFile(rig, renamed(named, file, ("rig",)))
    if not isinstance(named, str):  # left out, or something that the job's own check refuses
        return read_rig()
    if not named.strip():
        raise InputError(fault("rig.no_name", file.where(("rig",), "rig")))
    beside = file.folder / named
    return read_rig(beside if is_file(beside) or Path(named).suffix or len(Path(named).parts) > 1 else named)


def _listed(file: TomlFile, folder: Path, units: str) -> CutList:
    """The parts of the lists that a job names."""
    given, parts = file.data.get("cut_list", []), file.data.get("part")
    several = given if isinstance(given, list) else [given]
    if len(several) > MOST_LISTS:
        where = file.where(("cut_list",), "cut_list")
        raise InputError(fault("too_many.lists", where, count=len(several), most=MOST_LISTS))
    faults: list[Fault] = []
    files = [
        _list_file(each, ("cut_list", at) if isinstance(given, list) else ("cut_list",), file, folder, units, faults)
        for at, each in enumerate(several)
    ]
    first = 1 + (len(parts) if isinstance(parts, list) else 0)
    read = _collected(lambda: read_lists([each for each in files if each], units=units, first=first), faults)
    if faults or read is None:
        raise InputError(faults)
    return read


def _list_file(
    given: object, at: Place, file: TomlFile, folder: Path, units: str, faults: list[Fault]
) -> ListFile | None:
    """One of the lists, where it is named as it should be."""

    def called(*keys: str) -> str:
        return file.where((*at, *keys), place_words(file.data, (*at, *keys)))

    if isinstance(given, dict):
        table, more = checked(ListTable, given, file, units=units, at=at)
        faults += more
        return None if table is None else ListFile(folder / table.file, _how(table), called)
    try:
        return ListFile(folder / read_file_name(given), called=called)
    except ValueRefusedError as error:
        faults.append(error.fault(called()) if isinstance(given, str) else fault("value.list", called()))
        return None


def _how(table: ListTable) -> HowRead:
    layers = {name: (each.thickness, each.material) for name, each in (table.layers or {}).items()}
    return HowRead(
        units=table.units, tolerance=table.tolerance, layers=layers or None, layer_names=table.layer_names,
        sheet=table.sheet, leave_out=table.leave_out, drill_later=table.drill_later,
    )  # fmt: skip


def _plate(table: PlateTable, number: int, file: TomlFile, faults: list[Fault]) -> Plate | None:
    name = table.name or f"plate {number}"
    if table.cost is not None and table.price_per_kg is not None:
        where = file.where(("plate", number - 1, "price_per_kg"), f"[[plate]] {number} {shortened(name)}")
        faults.append(fault("two_prices.plate", where))
        return None
    first, second, third, fourth = table.edges or ["cut" if table.offcut else "mill"] * 4
    return Plate(
        **(
            table.model_dump()
            | {"name": name, "edges": (first, second, third, fourth), "note": printable(table.note or "")}
        )
    )


def _part(table: PartTable, number: int, file: TomlFile, faults: list[Fault]) -> Part | None:
    """A part; None where something is wrong with it, which is then among the faults."""
    if table.filler and table.square != "none":
        words = f"[[part]] {number} {shortened(table.name or f'part {number}')}, square"
        faults.append(fault("filler.square", file.where(("part", number - 1, "square"), words)))
        return None
    name = table.name or f"part {number}"
    quantity = table.quantity if table.quantity is not None else AS_MANY_AS_FIT if table.filler else 1
    given = table.model_dump(exclude={*WAYS, "length_to", "note", "length", "width", "holes", "bevels", "job"})
    given |= {"name": name, "quantity": quantity, "note": printable(table.note or "")}
    given["holes"] = tuple(
        Hole(x=each.x, y=each.y, length=each.length, width=each.width or each.length, round=each.round)
        for each in table.holes
    )

    def where(key: str) -> str:
        return file.where(("part", number - 1, key), place_words(file.data, ("part", number - 1, key)))

    named = _named(table)
    if named.ways:
        outline, wrong = outline_of(named, where)
        faults += wrong
        if outline is None:
            return None
        return _bevelled(Shape(**given, outline=outline), table, outline, where("bevels"), faults)
    if table.length_to != "long":
        faults.append(fault("shape_ends.none", where("length_to")))
    given["width"] = table.width
    plain = Strip(**given) if table.length is None else Rectangle(**given, length=table.length)
    return _bevelled(plain, table, None, where("bevels"), faults)


def _bevelled(part: Part, table: PartTable, outline: Outline | None, where: str, faults: list[Fault]) -> Part:
    """The part with the bevels that its table asks for."""
    if not table.bevels:
        return part
    asked = [Asked(each.edge.lower(), each.angle, each.root_face, each.depth, each.face) for each in table.bevels]
    bevels, wrong = bevels_of(asked, part, outline, where, ends=table.ends is not None)
    faults += wrong
    return replace(part, bevels=bevels)


def _named(table: PartTable) -> Named:
    """What a part's table says of its shape."""
    return Named(
        width=table.width,
        length=table.length,
        outline=None if table.outline is None else tuple((x, y) for x, y in table.outline),
        shape=table.shape,
        ends=None if table.ends is None else (table.ends[0], table.ends[1]),
        length_to=table.length_to,
        corners=None if table.corners is None else tuple(table.corners),
        others=("square",) * (table.square != "none") + ("fence",) * (table.fence is not None),
    )


def _options(table: OptionsTable) -> Options:
    effort = {key: getattr(table, key) for key in EFFORT_KEYS}
    given = table.model_dump(exclude={*EFFORT_KEYS, "keep", "before", "first"})
    if table.keep is not None:
        given["keep"] = (table.keep[0], table.keep[1])
    given["material_factors"] = {**MATERIAL_FACTORS, **table.material_factors}
    given["before"] = tuple((one, other) for one, other in table.before)
    given["first"] = tuple(table.first)
    return Options(**given, effort=Effort(**effort))


# --- the job as a whole ---------------------------------------------------------------------------------------------


def check_job(job: Job, where: str, *, rack: bool = False) -> None:
    """What no single entry shows: something to make, something to make it from (unless that is the `rack`), names
    apart, prices alike.

    Each part and each plate has its own name: it is what stands on the sheet and on the metal. Raises InputError.
    """
    faults = []
    if not job.plates and not rack:
        faults.append(fault("no_plate.job", where))
    if not job.parts:
        faults.append(fault("no_part.job", where))
    elif all(part.filler for part in job.parts):
        faults.append(fault("no_part.fillers", where))
    faults += _same_names("part", [each.name for each in job.parts], where)
    faults += _same_names("plate", [each.name for each in job.plates], where)
    faults += _mixed_prices(job.plates, where)
    count = sum(part.wanted for part in job.parts)
    if count > MOST_PARTS:
        faults.append(fault("too_many.parts", where, count=count, most=MOST_PARTS))
    if faults:
        raise InputError(capped(faults))


def _same_names(what: str, names: list[str], where: str) -> list[Fault]:
    faults = []
    for name in [name for name, count in Counter(names).items() if count > 1][:100]:
        numbers = tuple(number for number, each in enumerate(names, 1) if each == name)
        faults.append(
            fault(f"same_name.{what}s", where, name=shortened(name), numbers=numbers[:4], all_said=len(numbers) <= 4)
        )
    return faults


def _mixed_prices(plates: tuple[Plate, ...], where: str) -> list[Fault]:
    priced = {
        "cost": [each.name for each in plates if each.cost is not None],
        "price_per_kg": [each.name for each in plates if each.price_per_kg is not None],
        "no price": [each.name for each in plates if each.cost is None and each.price_per_kg is None],
    }
    ways = {key: names for key, names in priced.items() if names}
    if len(ways) < 2:
        return []
    said = tuple(
        message("mixed_prices.way", way=way, plates=tuple(map(shortened, names[:3])), all_said=len(names) <= 3)
        for way, names in ways.items()
    )
    return [fault("mixed_prices.plates", where, ways=said)]
