"""Settling a job: what was left out, what contradicts itself, and rounding once."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from typing import TypeVar

from stripplan.errors import Fault, InputError
from stripplan.layout.grid import common_grid, rounded_down, rounded_up, too_fine
from stripplan.model.job import Job
from stripplan.model.material import family_of, near_material, serves, word
from stripplan.model.part import Part, Rectangle, Strip
from stripplan.model.plan.plan import PlanWarning
from stripplan.model.plate import Plate
from stripplan.model.rig import Process, Rig
from stripplan.rig.machine.duty import duty_at
from stripplan.rig.machine.limits import SAME_THICKNESS, process_for

T = TypeVar("T")


def settled(job: Job, rig: Rig) -> tuple[Job, list[PlanWarning]]:
    """The job with materials and thicknesses filled in, fillers last and, only where no exact grid serves, rounded."""
    faults: list[Fault] = []
    if not job.plates:
        faults.append(Fault("no_plate", "job", "there is no plate", "add a plate"))
    if not any(part.wanted for part in job.parts):
        words = "all parts are fillers: nothing opens a plate" if job.parts else "there is no part"
        faults.append(Fault("no_part", "job", words, "add a part that is wanted" if job.parts else "add a part"))
    if faults:
        raise InputError(faults)
    _names_apart(job)
    _trim_wide_enough(job, rig)
    warnings: list[PlanWarning] = []
    job = replace(job, parts=tuple(sorted(job.parts, key=lambda part: part.filler)))
    job = _filled(job, rig, warnings)
    _priced_alike(job)
    _strip_lengths(job)
    _arcs_allowed(job, rig)
    job = _rounded(job, rig, warnings)
    return job, warnings


def _names_apart(job: Job) -> None:
    faults = []
    for kind, names in (("part", [part.name for part in job.parts]), ("plate", [plate.name for plate in job.plates])):
        twice = [name for name, count in Counter(names).items() if count > 1]
        faults += [
            Fault("same_name", "job", f"two {kind}s are called {name!r}", "give each its own name") for name in twice
        ]
    if faults:
        raise InputError(faults)


def _trim_wide_enough(job: Job, rig: Rig) -> None:
    trim = job.options.trim
    if 0 < trim < rig.narrowest_offcut:
        raise InputError(
            Fault(
                "trim",
                "options, trim",
                f"a trim of {trim:g} mm is narrower than the narrowest offcut, {rig.narrowest_offcut:g} mm",
                f"trim 0, or at least {rig.narrowest_offcut:g} mm",
            )
        )


def _filled(job: Job, rig: Rig, warnings: list[PlanWarning]) -> Job:
    material = _only({each.material for each in (*job.plates, *job.parts)} - {None})
    thickness = _only({each.thickness for each in (*job.plates, *job.parts)} - {None})
    process = next(
        (p for p in rig.processes if p.name == job.options.process), rig.processes[0] if rig.processes else None
    )
    missing = (
        material is None and any(plate.material is None for plate in job.plates),
        thickness is None and any(plate.thickness is None for plate in job.plates),
    )
    if process is not None and any(missing):
        material = _default_material(job, process) if missing[0] else material
        thickness = _default_thickness(job, process) if missing[1] else thickness
        warnings.append(
            PlanWarning(code="assumed_plate", about="plates", text=_assumed_words(material, thickness, missing))
        )
    plates = tuple(replace(p, material=p.material or material, thickness=p.thickness or thickness) for p in job.plates)
    open_plates = [p for p in plates if p.material is None or p.thickness is None]
    if open_plates:
        raise InputError(
            [
                Fault(
                    "plate_open",
                    f"plate {p.name}",
                    "its material or thickness is not clear",
                    "give both for each plate",
                )
                for p in open_plates
            ]
        )
    return replace(job, plates=plates, parts=tuple(_part_filled(part, plates) for part in job.parts))


def _assumed_words(material: str | None, thickness: float | None, missing: tuple[bool, bool]) -> str:
    sizes = f"{thickness:g} mm" if thickness is not None else ""
    what = {(True, True): f"{material}, {sizes}", (True, False): material, (False, True): sizes}
    asked = {(True, True): "material or thickness", (True, False): "material", (False, True): "thickness"}
    return f"No {asked[missing]} was given: {what[missing]} is assumed, as in the rig's first process."


def _only(found: set[T | None]) -> T | None:
    return found.pop() if len(found) == 1 else None


def _default_material(job: Job, process: Process) -> str:
    named = {each.material for each in (*job.plates, *job.parts)} - {None}
    if named:
        raise InputError(
            Fault("plate_open", "plates", "the job has several materials", "give the material of each plate")
        )
    return process.material


def _default_thickness(job: Job, process: Process) -> float:
    named = {each.thickness for each in (*job.plates, *job.parts)} - {None}
    if named:
        raise InputError(Fault("plate_open", "plates", "the job has several thicknesses", "give that of each plate"))
    return process.thickness


def _part_filled(part: Part, plates: Sequence[Plate]) -> Part:
    materials = {word(plate.material) for plate in plates}
    material = _material_of(part, plates) or (plates[0].material if len(materials) == 1 else None)
    fitting = [plate for plate in plates if material is None or word(plate.material) == word(material)]
    thicknesses = {plate.thickness for plate in fitting}
    thickness = part.thickness or (next(iter(thicknesses)) if len(thicknesses) == 1 else None)
    if material is None or (thickness is None and fitting):
        raise InputError(
            Fault(
                "part_open",
                f"part {part.name}",
                "the plates differ in material or thickness, and the part does not say which it wants",
                "give the part's material and thickness",
            )
        )
    return replace(part, material=material, thickness=thickness)


def _material_of(part: Part, plates: Sequence[Plate]) -> str | None:
    """The material of a part as its plates name it: "mild steel" is made from S235, "304" from 1.4301.

    Raises InputError where several plates would serve that are not the same to the person, and where the name is spelt like another.
    """
    asked = part.material
    if asked is None or any(word(plate.material) == word(asked) for plate in plates):
        return asked
    thick = [
        plate
        for plate in plates
        if part.thickness is None or abs(part.thickness - (plate.thickness or 0)) <= SAME_THICKNESS
    ]
    found = list(dict.fromkeys(plate.material for plate in thick if serves(plate.material, asked)))
    if len(found) > 1:
        words = f"{asked} may be {' or '.join(map(str, found))} of the plates"
        raise InputError(Fault("part_open", f"part {part.name}", words, "give the part the material of one of them"))
    if not found and family_of(asked) is None:
        near = near_material(asked, tuple(plate.material or "" for plate in plates))
        if near is not None:
            words = f"no plate is of {asked}, and no grade is known by that name"
            raise InputError(Fault("part_material", f"part {part.name}", words, f"did you mean {near}?"))
    return found[0] if found else asked


def _priced_alike(job: Job) -> None:
    with_cost = [p.name for p in job.plates if p.cost is not None]
    with_mass = [p.name for p in job.plates if p.price_per_kg is not None]
    bare = [p.name for p in job.plates if p.cost is None and p.price_per_kg is None]
    if sum(1 for each in (with_cost, with_mass, bare) if each) > 1:
        words = [
            f"{', '.join(names)} {what}"
            for names, what in ((with_cost, "by cost"), (with_mass, "by price_per_kg"), (bare, "not at all"))
            if names
        ]
        raise InputError(
            Fault("mixed_prices", "plates", "prices are mixed: " + "; ".join(words), "price all plates alike, or none")
        )


def _strip_lengths(job: Job) -> None:
    faults = []
    for part in job.parts:
        if isinstance(part, Strip):
            lengths = sorted({plate.length for plate in job.plates if same_stock(part, plate)})
            if len(lengths) > 1:
                faults.append(
                    Fault(
                        "strip_length",
                        f"part {part.name}",
                        "a strip runs as long as its plate, and its plates are "
                        + " and ".join(f"{each:g}" for each in lengths)
                        + " mm long",
                        "give the part a length",
                    )
                )
    if faults:
        raise InputError(faults)


def same_stock(part: Part, plate: Plate) -> bool:
    same = abs((part.thickness or 0) - (plate.thickness or 0)) <= SAME_THICKNESS + 1e-9
    return same and word(part.material) == word(plate.material)


def _arcs_allowed(job: Job, rig: Rig) -> None:
    """Currents within the ratings, travel speeds within the rig's range."""
    faults = []
    for plate in job.plates:
        process = process_for(rig, plate, job.options.process)
        if not rig.travel_min <= process.travel_speed <= rig.travel_max:
            faults.append(
                Fault(
                    "travel_speed",
                    f"process {process.name}",
                    f"travel speed {process.travel_speed:g} mm/min is outside the rig's {rig.travel_min:g} to {rig.travel_max:g} mm/min",
                    _serving(rig, process),
                )
            )
        if process.current is not None and duty_at(process.duty, process.current) is None:
            faults.append(
                Fault(
                    "current",
                    f"process {process.name}",
                    f"current {process.current:g} A is above the highest rating, {max(p[0] for p in process.duty):g} A",
                    "lower the current",
                )
            )
    if faults:
        raise InputError(list(dict.fromkeys(faults)))


def _serving(rig: Rig, process: Process) -> str:
    """What would make a speed that the rig does not have possible."""
    current = "choose a current that cuts well at a speed the rig has"
    if process.travel_speed < rig.travel_min:
        return current
    return f"{current}, or a gearbox output {process.travel_speed / rig.travel_max:.2f} times as fast"


def _rounded(job: Job, rig: Rig, warnings: list[PlanWarning]) -> Job:
    if common_grid(*all_lengths(job, rig)) is not None:
        return job
    plates = tuple(replace(p, length=rounded_down(p.length), width=rounded_down(p.width)) for p in job.plates)
    parts = tuple(_part_rounded(part) for part in job.parts)
    warnings.append(
        PlanWarning(
            code="rounded",
            about="lengths",
            text=too_fine(*all_lengths(job, rig)),
        )
    )
    job = replace(job, plates=plates, parts=parts, options=replace(job.options, trim=rounded_up(job.options.trim)))
    if common_grid(*all_lengths(job, rig)) is None:
        kerfs = sorted({process_for(rig, plate, job.options.process).kerf for plate in job.plates})
        raise InputError(
            Fault(
                "too_fine",
                f"rig {rig.name}",
                f"kerf {' and '.join(map(str, kerfs))} mm and narrowest offcut {rig.narrowest_offcut} mm share no workable "
                "unit even with sizes in hundredths of a millimetre",
                "give kerf and narrowest offcut to a hundredth of a millimetre",
            )
        )
    return job


def _part_rounded(part: Part) -> Part:
    part = replace(part, width=rounded_up(part.width), allowance=rounded_up(part.allowance))
    return replace(part, length=rounded_up(part.length)) if isinstance(part, Rectangle) else part


def all_lengths(job: Job, rig: Rig) -> tuple[list[float], list[float], float]:
    """Every length and kerf that layout counts in, and the largest plate."""
    lengths = [each for plate in job.plates for each in (plate.length, plate.width)]
    for part in job.parts:
        lengths.append(part.width_as_cut)
        if isinstance(part, Rectangle):
            lengths.append(part.length_as_cut)
    lengths += [job.options.trim, rig.narrowest_offcut]
    kerfs = [process_for(rig, plate, job.options.process).kerf for plate in job.plates]
    return lengths, kerfs, max(max(plate.length, plate.width) for plate in job.plates)
