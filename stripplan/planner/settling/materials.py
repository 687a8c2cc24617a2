"""Materials and thicknesses that were left out, filled in where there is only one answer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TypeVar

from stripplan.errors import Fault, InputError
from stripplan.model.job import Job
from stripplan.model.material import family_of, near_material, serves, word
from stripplan.model.part import Part
from stripplan.model.plate import Plate
from stripplan.model.rig import Process, Rig
from stripplan.rig.machine.limits import SAME_THICKNESS
from stripplan.wording.message import Facts, Message, length

T = TypeVar("T")


def same_stock(part: Part, plate: Plate) -> bool:
    """Whether a part may come from a plate, by material and thickness alone."""
    same = abs((part.thickness or 0) - (plate.thickness or 0)) <= SAME_THICKNESS + 1e-9
    return same and word(part.material) == word(plate.material)


def may_serve(part: Part, plate: Plate) -> bool:
    """Whether a part may come from a plate: by material and thickness, and by the plate that it is bound to."""
    return same_stock(part, plate) and part.plate in (None, plate.name)


def with_materials(job: Job, rig: Rig) -> tuple[Job, list[Message]]:
    """The job with material and thickness of every plate and part, and what was assumed; InputError where they are not
    clear.
    """
    material = _only({each.material for each in (*job.plates, *job.parts)} - {None})
    thickness = _only({each.thickness for each in (*job.plates, *job.parts)} - {None})
    process = next(
        (p for p in rig.processes if p.name == job.options.process), rig.processes[0] if rig.processes else None
    )
    missing = (
        material is None and any(plate.material is None for plate in job.plates),
        thickness is None and any(plate.thickness is None for plate in job.plates),
    )
    assumed = []
    if process is not None and any(missing):
        material = _default_material(job, process) if missing[0] else material
        thickness = _default_thickness(job, process) if missing[1] else thickness
        assumed.append(_assumed(material or "", thickness or 0.0, missing))
    plates = tuple(replace(p, material=p.material or material, thickness=p.thickness or thickness) for p in job.plates)
    unclear = [p for p in plates if p.material is None or p.thickness is None]
    if unclear:
        raise InputError([Fault("plate_open", f"plate {p.name}") for p in unclear])
    return replace(job, plates=plates, parts=tuple(_part_filled(part, plates) for part in job.parts)), assumed


def _assumed(material: str, thickness: float, missing: tuple[bool, bool]) -> Message:
    says = {
        (True, True): "assumed_plate",
        (True, False): "assumed_plate_material",
        (False, True): "assumed_plate_thickness",
    }
    facts = Facts(material=material, thickness=length(thickness))
    return Message("assumed_plate", "plates", facts, says=says[missing])


def _only(found: set[T | None]) -> T | None:
    return found.pop() if len(found) == 1 else None


def _default_material(job: Job, process: Process) -> str:
    if {each.material for each in (*job.plates, *job.parts)} - {None}:
        raise InputError(Fault("plate_open", "plates", says="several_materials"))
    return process.material


def _default_thickness(job: Job, process: Process) -> float:
    if {each.thickness for each in (*job.plates, *job.parts)} - {None}:
        raise InputError(Fault("plate_open", "plates", says="several_thicknesses"))
    return process.thickness


def _part_filled(part: Part, plates: Sequence[Plate]) -> Part:
    plates = [plate for plate in plates if plate.name == part.plate] or plates  # a plate that is named says what it is
    materials = {word(plate.material) for plate in plates}
    material = _material_of(part, plates) or (plates[0].material if len(materials) == 1 else None)
    fitting = [plate for plate in plates if material is None or word(plate.material) == word(material)]
    thicknesses = {plate.thickness for plate in fitting}
    thickness = part.thickness or (next(iter(thicknesses)) if len(thicknesses) == 1 else None)
    if material is None or (thickness is None and fitting):
        raise InputError(Fault("part_open", f"part {part.name}"))
    return replace(part, material=material, thickness=thickness)


def _material_of(part: Part, plates: Sequence[Plate]) -> str | None:
    """The material of a part as its plates name it: "mild steel" is made from S235, "304" from 1.4301.

    Raises InputError where several plates would serve that are not the same to the person, and where the name is spelt
    like another.
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
    where = f"part {part.name}"
    if len(found) > 1:
        facts = Facts(asked=asked, materials=tuple(map(str, found)))
        raise InputError(Fault("part_open", where, facts=facts, says="part_of_several_materials"))
    if not found and family_of(asked) is None:
        near = near_material(asked, tuple(plate.material or "" for plate in plates))
        if near is not None:
            raise InputError(Fault("part_material", where, facts=Facts(asked=asked, near=near)))
    return found[0] if found else asked
