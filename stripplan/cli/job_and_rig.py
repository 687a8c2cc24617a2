"""What the shell gave, as a job and a rig."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Literal, TypeVar

import click

from stripplan.cli.list_options import ListOptions, list_files
from stripplan.cli.streams import say
from stripplan.errors import Fault, InputError
from stripplan.wording.message import Facts
from stripplan.wording.show import Units

if TYPE_CHECKING:
    from stripplan.model.job import Aim, Fill, Job
    from stripplan.model.job import Units as System
    from stripplan.model.part import Part
    from stripplan.model.rig import Rig

T = TypeVar("T")
W = TypeVar("W")
MOST_SKIPPED = 10
"""So many things in drawings that are no parts are told one by one."""
EXAMPLE = "stripplan plan --plate 1250x1000x6 50x6 75x4"


@dataclass(frozen=True, kw_only=True)
class PlanOptions:
    """The words and options of one `stripplan plan`, as they stand in the command; None = left out."""

    what: tuple[str, ...]
    plates: tuple[str, ...]
    fillers: tuple[str, ...]
    lists: tuple[Path, ...]
    reading: ListOptions
    material: str | None
    trim: str | None
    rig: str | None
    out: Path | None
    units: System | None
    seed: int | None
    steps: int | None
    seconds: float | None
    good_enough: str | None
    stop_after: int | None
    fill: Fill | None
    aim: Aim | None
    end_stop: str | None
    pins: tuple[str, ...]
    fences: tuple[str, ...]
    use_first: tuple[str, ...]
    keep: Path | None
    partial: bool
    page: Literal["a4", "letter"]
    dxf: Literal["R2000", "R2004", "R2007", "R2010", "R2013", "R2018"]
    short_sheet: bool
    cautions: Literal["with", "once"]
    choices: bool
    choose: int | None
    as_json: bool
    explain: bool
    quiet: bool
    hours_a_day: float | None = None
    start: str | None = None
    rack: bool = False
    book_file: Path | None = None

    @property
    def from_rack(self) -> bool:
        """Whether plates may come off the rack: naming a book says so too."""
        return self.rack or self.book_file is not None


def job_and_rig(given: PlanOptions) -> tuple[Job, Rig, str]:
    """The job that is meant, its rig, and the id of the plan of which it is the rest, "" of none. Raises InputError or
    click.UsageError with every fault."""
    rest_of = ""
    if given.plates:
        job, rig = _typed_job(given), _rig_named(given.rig)
    elif len(given.what) > 1 and not given.lists and all(map(_is_file_name, given.what)):
        job, rig = _several_jobs(given)
    else:
        from stripplan.files.job.read import read_job

        read = read_job(_job_file(given), rack=given.from_rack)
        _tell(read.notes)
        job, rig, rest_of = read.job, _rig_named(given.rig) if given.rig else read.rig, read.rest_of
    return _with_start(_with_options(_bound(_with_fillers(job, given), given), given)), rig, rest_of


def _several_jobs(given: PlanOptions) -> tuple[Job, Rig]:
    """Several job files as one job; one of them may hold the plates of all. Raises InputError with the faults of every
    file.
    """
    from stripplan.files.job.read import read_job
    from stripplan.planner import joined

    if given.reading.given() or given.material:
        raise click.UsageError("with several job files there is no --list and no --material: say it in the files")
    read, faults = [], list[Fault]()
    for word in given.what:
        try:
            read.append((Path(word).name, read_job(Path(word), rack=True)))
        except InputError as error:
            faults += error.faults
    if not faults and not given.from_rack and not any(each.job.plates for _, each in read):
        faults.append(Fault("no_plate", ", ".join(name for name, _ in read)))
    if faults:
        raise InputError(dict.fromkeys(faults))  # of the rig of all each file has the same
    rig = _rig_named(given.rig) if given.rig else None
    _tell(dict.fromkeys(note for _, each in read for note in each.notes))
    try:
        return joined([(name, _with_options(each.job, given), rig or each.rig) for name, each in read])
    except InputError as error:
        raise error.in_units(Units(given.units or read[0][1].job.units)) from None


def _with_start(job: Job) -> Job:
    """The job with the day on which its work begins, where days are counted: today, if nothing is said."""
    if job.options.hours_a_day is None or job.options.start is not None or not job.each_job:
        return job
    from stripplan.cli.source_date import today

    return replace(job, options=replace(job.options, start=today()))


def _bound(job: Job, given: PlanOptions) -> Job:
    """The job with parts bound to plates, and plates that are to be used first. Raises InputError for a part that there
    is not; plates are asked for when all of them are known, those of the rack too.
    """
    if not given.pins and not given.use_first and not given.fences:
        return job
    from stripplan.files.fault_words import fault
    from stripplan.model.part import Shape
    from stripplan.wording.quantity import parse_length

    faults = list[Fault]()
    readings = _of_parts(
        job, given.fences, "--fence", faults, no="names no part and reading", way_out="as PART=READING: rail=83"
    )
    fences = {part: parse_length(reading, given.units or job.units) for part, reading in readings.items()}
    pins = _of_parts(
        job, given.pins, "--pin", faults, no="binds no part to a plate", way_out="as PART=PLATE: rail=offcut"
    )
    shapes = {each.name for each in job.parts if isinstance(each, Shape)}
    faults += [fault("shape_without.part", f"--fence, part {name}", key="fence") for name in fences if name in shapes]
    plates = {each.name for each in job.plates}
    for name in given.use_first:
        if name not in plates:
            facts = Facts(name=name, known=tuple(sorted(plates)[:6]))
            faults.append(Fault("no_plate", "--use-first", facts, "no_plate_of_that_name"))
    if faults:
        raise InputError(faults)
    parts = tuple(
        replace(each, plate=pins.get(each.name, each.plate), fence=fences.get(each.name, each.fence))
        for each in job.parts
    )
    first = tuple(replace(each, first=each.first or each.name in given.use_first) for each in job.plates)
    return replace(job, parts=parts, plates=first)


def _of_parts(
    job: Job, words: Iterable[str], option: str, faults: list[Fault], *, no: str, way_out: str
) -> dict[str, str]:
    """What is said of parts, as PART=TEXT, by their names; what cannot be understood goes to the `faults`."""
    found, known = dict[str, str](), {each.name for each in job.parts}
    for word in words:
        part, equals, said = (each.strip() for each in word.rpartition("="))
        if not equals or not said:
            faults.append(Fault("option", option, Facts(said=f"{word!r} {no}", way_out=way_out)))
        elif part not in known:
            facts = Facts(name=part, known=tuple(sorted(known)[:6]))
            faults.append(Fault("no_part", option, facts, "no_part_of_that_name"))
        else:
            found[part] = said
    return found


def _rig_named(source: str | None) -> Rig:
    from stripplan.files.rig.read import read_rig

    read = read_rig(source)
    _tell(read.notes)
    return read.rig


def _with_fillers(job: Job, given: PlanOptions) -> Job:
    """The job with the fillers of the command after its own parts."""
    if not given.fillers:
        return job
    from stripplan.files.job.read import check_job
    from stripplan.files.words import parse_filler

    units, faults = given.units or job.units, list[Fault]()
    fillers: list[Part] = _each(
        given.fillers, lambda word, number: parse_filler(word, units=units, number=number), faults
    )
    if faults:
        raise InputError(faults)
    job = replace(job, parts=(*job.parts, *fillers))
    check_job(job, "the command")
    return job


def _job_file(given: PlanOptions) -> Path:
    """The one word that is a job file."""
    if len(given.what) == 1 and not given.lists and _is_file_name(given.what[0]):
        if given.reading.given():
            words = f"{given.reading.given()[0]} goes with --list; in a job file `cut_list` says how a list is read"
            raise click.UsageError(words)
        if given.material:
            raise click.UsageError("--material goes with --plate; in a job file each plate has its own material")
        return Path(given.what[0])
    if any(_is_file_name(word) for word in given.what):
        raise click.UsageError("give job files and nothing beside them, or --plate with parts")
    what = (
        "parts are given, but no --plate to cut them from" if given.what or given.lists else "nothing to plan is given"
    )
    raise click.UsageError(f"{what}: name a job file, or plates and parts as in `{EXAMPLE}`")


def _is_file_name(word: str) -> bool:
    """Whether a word means a file rather than a part."""
    return word.lower().endswith(".toml") or Path(word).exists() or not any(letter.isdigit() for letter in word)


def _typed_job(given: PlanOptions) -> Job:
    from stripplan.files.job.read import check_job
    from stripplan.files.parts.lists.cut_list import CutList
    from stripplan.files.parts.read import read_lists
    from stripplan.files.words import parse_part, parse_plate
    from stripplan.model.job import Job

    if any(word.lower().endswith(".toml") for word in given.what):
        raise click.UsageError("give a job file, or --plate with parts, not both")
    if given.reading.given() and not given.lists:
        raise click.UsageError(f"{given.reading.given()[0]} goes with --list: name the list to read")
    units, faults = given.units or "mm", list[Fault]()
    parts = _each(given.what, lambda word, number: parse_part(word, units=units, number=number), faults)
    plates = _each(
        given.plates,
        lambda word, number: parse_plate(word, units=units, number=number, material=given.material),
        faults,
    )
    listed = CutList(())
    try:
        if given.lists:
            files = list_files(given.lists, given.reading, units)
            listed = read_lists(files, units=units, first=len(parts) + 1)
    except InputError as error:
        faults += error.faults
    if faults:
        raise InputError(faults)
    _tell(listed.notes)
    name = given.lists[0].stem if given.lists else "job"
    job = Job(name=name, plates=tuple(plates), parts=(*parts, *listed.parts), left_out=listed.left_out)
    check_job(job, "the command")
    return job


def _tell(notes: Iterable[Fault]) -> None:
    """How a file was read, where that is not plain: beside the output, not in it."""
    skipped = 0
    for note in notes:
        skipped += note.code == "skipped"
        if note.code != "skipped" or skipped <= MOST_SKIPPED:
            say(f"note: {note.sentence()}", err=True)
    if skipped > MOST_SKIPPED:
        more = f"and {skipped - MOST_SKIPPED} more that are not taken"
        say(f"note: {more}; `stripplan check` on the drawing names all", err=True)


def _each(words: Sequence[W], read: Callable[[W, int], T], faults: list[Fault]) -> list[T]:
    """All words read; faults are collected, so that one run names them all."""
    found = []
    for number, word in enumerate(words, 1):
        try:
            found.append(read(word, number))
        except InputError as error:
            faults += error.faults
    return found


def _with_options(job: Job, given: PlanOptions) -> Job:
    """The job with the options of the command in place of its own."""
    from stripplan.wording.quantity import parse_length

    units = given.units or job.units
    from stripplan.files.toml.quantities import ValueRefusedError, read_share

    keys = ("seed", "steps", "seconds", "stop_after")
    effort = {key: getattr(given, key) for key in keys if getattr(given, key) is not None}
    try:
        if given.good_enough is not None:
            effort["good_enough"] = read_share(given.good_enough)
        options = replace(
            job.options, effort=replace(job.options.effort, **effort), partial=job.options.partial or given.partial
        )
        if given.trim is not None:
            options = replace(options, trim=parse_length(given.trim, units))
        if given.end_stop is not None:
            options = replace(options, end_stop=parse_length(given.end_stop, units))
        if given.fill is not None:
            options = replace(options, fill=given.fill)
        if given.aim is not None:
            options = replace(options, aim=given.aim)
        if given.hours_a_day is not None:
            options = replace(options, hours_a_day=given.hours_a_day)
        if given.start is not None:
            options = replace(options, start=given.start)
    except ValueRefusedError as error:
        raise InputError(error.fault("--good-enough", code="option")) from None
    except ValueError as error:
        raise InputError(Fault("option", "the command", facts=Facts(said=str(error), way_out=""))) from None
    return replace(job, options=options, units=units)
