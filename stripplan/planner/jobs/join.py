"""Several jobs as one: plates that are alike pooled, parts kept apart and called by their job, wishes put together.

What a job leaves out its own plates and parts fill in before it is joined; what two jobs ask of the whole plan must be
the same, or one of them must leave it out.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import fields, replace
from typing import Any

from stripplan.errors import Fault, InputError
from stripplan.model.effort import Effort
from stripplan.model.job import Job, OneJob, Options, joint_name
from stripplan.model.part import Part, Rectangle, Strip
from stripplan.model.plan.jobs import names_of
from stripplan.model.plate import Plate
from stripplan.model.rig import Rig
from stripplan.planner.settling.materials import may_serve, with_materials
from stripplan.wording.message import Facts, length

LONGEST = 200
"""Most letters of a part's name, with that of its job before it, as in the files of jobs and plans."""
NOT_TOLD = ("effort", "before", "first", "partial")
"""Options that are put together in a way of their own."""

Given = tuple[str, Job, Rig]
"""The file that a job comes from, the job, and its rig."""


def joined(some: Sequence[Given]) -> tuple[Job, Rig]:
    """One job, and the rig of all. Raises InputError with every fault; each names the files that are at fault."""
    _check(some)
    filled = [(file, _filled(file, job, rig)) for file, job, rig in some]
    pool = _Pool(filled)
    parts = [
        (file, _apart(part, job, pool.names[at]), part, job)
        for at, (file, job) in enumerate(filled)
        for part in job.parts
    ]
    options = _options(filled, pool)
    faults = list[Fault]()
    whole = []
    for file, part, own, job in parts:
        if isinstance(part, Strip):
            part = _strip(file, part, (own, job), pool.plates, faults, bare=options.trim == 0)
        whole.append(part)
        if len(part.name) > LONGEST:
            facts = Facts(count=len(part.name), most=LONGEST)
            faults.append(Fault("name", f"{file}, part {own.name}", facts, "long_name_of_jobs"))
    if faults:
        raise InputError(faults)
    first = filled[0][1]
    one = Job(
        name=joint_name([each.name for _, job in filled for each in _jobs(job)]),
        plates=pool.plates,
        parts=tuple(whole),
        options=options,
        units=first.units,
        currency=next((job.currency for _, job in filled if job.currency), ""),
        inch_fraction=next((job.inch_fraction for _, job in filled if job.units == "in"), first.inch_fraction),
        left_out=tuple(replace(each, name=_called(job, each.name)) for _, job in filled for each in job.left_out),
        jobs=tuple(each for _, job in filled for each in _jobs(job)),
    )
    return one, some[0][2]


def _jobs(job: Job) -> tuple[OneJob, ...]:
    return job.jobs or (OneJob(name=job.name, due=job.due, parts=tuple(_called(job, part.name) for part in job.parts)),)


# --- what cannot be put together ------------------------------------------------------------------------------------


def _check(some: Sequence[Given]) -> None:
    """Names apart, one rig, one currency, prices in one way."""
    faults = list[Fault]()
    names = [(file, name) for file, job, _ in some for name in names_of(job.jobs, job.name)]
    for name, count in Counter(name for _, name in names).items():
        if count > 1:
            files = tuple(file for file, each in names if each == name)
            faults.append(Fault("same_name", _files(files), Facts(name=name), "jobs_of_one_name"))
    (one, _, rig), *others = some
    for file, _, other in others:
        if other != rig:
            keys = tuple(each.name for each in fields(Rig) if getattr(rig, each.name) != getattr(other, each.name))
            faults.append(Fault("rigs", _files((one, file)), Facts(keys=keys[:4]), "rigs_of_jobs"))
    currencies = {job.currency: file for file, job, _ in reversed(some) if job.currency}
    if len(currencies) > 1:
        facts = Facts(currencies=tuple(reversed(currencies)))
        faults.append(Fault("currency", _files(tuple(reversed(currencies.values()))), facts, "currencies_of_jobs"))
    ways: dict[str, str] = {}
    for file, job, _ in some:
        for plate in job.plates:
            way = "cost" if plate.cost is not None else "price_per_kg" if plate.price_per_kg is not None else "none"
            ways.setdefault(way, file)
    if len(ways) > 1:
        facts = Facts(ways=tuple(ways))
        faults.append(Fault("mixed_prices", _files(tuple(dict.fromkeys(ways.values()))), facts, "prices_of_jobs"))
    if faults:
        raise InputError(faults)


def _files(files: Sequence[str]) -> str:
    return ", ".join(files)


def _options(some: Sequence[tuple[str, Job]], pool: _Pool) -> Options:
    """What is asked of the whole plan: what some job says and no other says otherwise."""
    usual, given = Options(), dict[str, Any]()
    faults = list[Fault]()
    for each in fields(Options):
        if each.name not in NOT_TOLD:
            given[each.name] = _one_of(each.name, [(file, job.options) for file, job in some], usual, faults)
    effort: dict[str, Any] = {
        each.name: _one_of(each.name, [(file, job.options.effort) for file, job in some], Effort(), faults)
        for each in fields(Effort)
    }
    if faults:
        raise InputError(faults)
    before = tuple(
        (pool.names[at].get(one, one), pool.names[at].get(other, other))
        for at, (_, job) in enumerate(some)
        for one, other in job.options.before
    )
    return Options(
        **given,
        effort=Effort(**effort),
        before=before,
        first=tuple(_called(job, name) for _, job in some for name in job.options.first),
        partial=any(job.options.partial for _, job in some),
    )


def _one_of(key: str, tables: Sequence[tuple[str, object]], usual: object, faults: list[Fault]) -> object:
    """What the tables say of a key where they do not contradict each other; what is usual where none says anything."""
    said = [(file, getattr(table, key)) for file, table in tables if getattr(table, key) != getattr(usual, key)]
    different = [pair for n, pair in enumerate(said) if pair[1] not in [value for _, value in said[:n]]]
    if len(different) > 1:
        facts = Facts(key=key, values=tuple(str(value) for _, value in different))
        faults.append(Fault("option", _files([file for file, _ in different]), facts, "options_of_jobs"))
    return different[0][1] if different else getattr(usual, key)


# --- plates and parts -----------------------------------------------------------------------------------------------


def _filled(file: str, job: Job, rig: Rig) -> Job:
    """The job with materials and thicknesses that its own plates tell; as it is where these would be assumed.

    Raises InputError that names the file.
    """
    if not job.plates:
        return job
    try:
        found, assumed = with_materials(job, rig)
    except InputError as error:
        raise InputError([replace(each, where=f"{file}, {each.where}") for each in error.faults]) from None
    return job if assumed else found


class _Pool:
    """The plates of all jobs: those alike are one kind with as many as all list. `names` are, for each job, what its
    plates are called together.
    """

    def __init__(self, some: Sequence[tuple[str, Job]]) -> None:
        kinds: dict[Plate, str] = {}
        counts: dict[str, int | None] = {}
        self.names: list[Mapping[str, str]] = []
        for _, job in some:
            names: dict[str, str] = {}
            for plate in job.plates:
                kind = replace(plate, name="", quantity=None)
                name = kinds.get(kind)
                if name is None:
                    name = kinds[kind] = _free(plate.name, job.name, counts)
                    counts[name] = plate.limit
                else:
                    count = counts[name]
                    counts[name] = None if count is None or plate.limit is None else count + plate.limit
                names[plate.name] = name
            self.names.append(names)
        self.plates = tuple(replace(kind, name=name, quantity=counts[name]) for kind, name in kinds.items())


def _free(name: str, job: str, taken: Mapping[str, object]) -> str:
    """A name that no other plate has."""
    for each in (name, f"{name} ({job})"):
        if each not in taken:
            return each
    return next(each for n in range(2, len(taken) + 3) if (each := f"{name} ({job}, {n})") not in taken)


def _called(job: Job, name: str) -> str:
    """What a part is called together with others; of several jobs in one file it is called by its own already."""
    return name if job.jobs else f"{job.name}: {name}"


def _apart(part: Part, job: Job, plates: Mapping[str, str]) -> Part:
    """A part called by its job, and bound to the plate as it is called now."""
    plate = None if part.plate is None else plates.get(part.plate, part.plate)
    return replace(part, name=_called(job, part.name), plate=plate)


def _strip(
    file: str, part: Strip, own: tuple[Part, Job], plates: Sequence[Plate], faults: list[Fault], *, bare: bool
) -> Part:
    """A strip as it is where all its plates are of one length; where other jobs bring plates of others, a rectangle as
    long as the plates of its own job. A fault where that would be another part: its ends would be trimmed, or dressed.
    """
    lengths = {plate.length for plate in plates if may_serve(part, plate)}
    if len(lengths) < 2:
        return part
    named, job = own
    mine = {plate.length for plate in job.plates if may_serve(named, plate)}
    if len(mine) != 1 or not bare or part.allowance:
        several = tuple(map(length, sorted(lengths)))
        faults.append(Fault("strip_length", f"{file}, part {named.name}", Facts(lengths=several), "strip_of_jobs"))
        return part
    given = {each.name: getattr(part, each.name) for each in fields(Strip) if each.init}
    return Rectangle(**{**given, "rotate": False}, length=mine.pop())
