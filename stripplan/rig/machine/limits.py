"""From a rig and a plate to the CutRules that layout works by; which process cuts a plate."""

from __future__ import annotations

import math

from stripplan.errors import Fault, InputError
from stripplan.model.cut_rules import CutRules
from stripplan.model.material import family_of, near_material, word
from stripplan.model.plate import Plate, density
from stripplan.model.rig import Process, Rig
from stripplan.rig.machine.duty import PERIOD, duty_at
from stripplan.rig.machine.setting import longest_one_pass, longest_two_pass
from stripplan.rig.process.estimate import estimated
from stripplan.wording.message import Facts, Message, Quantity
from stripplan.wording.message import length as quantity

SAME_THICKNESS = 0.05
"""Greatest difference in thickness at which a process still fits a plate [mm]."""


LIGHT = 0.1
"""Parts lighter than this may be blown off the bed by the jet [kg]: common practice, no source."""


def process_for(rig: Rig, plate: Plate, wanted: str | None = None) -> Process:
    """The process that cuts `plate`: material equal, or else of its family, thickness within 0.05 mm.

    Of several the one named by the plate or the job, else the first. Where none fits an estimate, and where none
    reaches that far InputError that names the nearest process.
    """
    named = plate.process or wanted
    of_family = [each for each in rig.processes if fits(each, plate)]
    fitting = [each for each in of_family if word(each.material) == word(plate.material)] or of_family
    if plate.process and plate.process not in {each.name for each in fitting}:
        facts = Facts(
            process=plate.process,
            **_plate_facts(plate),
            known=tuple(each.name for each in fitting) or tuple(each.name for each in rig.processes),
        )
        raise InputError(Fault("process_unknown", f"plate {plate.name}", facts=facts))
    if not fitting:
        guess = estimated(rig, plate)
        if guess is None:
            raise InputError(_no_process(rig, plate))
        return guess.process
    return next((each for each in fitting if each.name == named), fitting[0])


def fits(process: Process, plate: Plate) -> bool:
    """Whether a process is for that thickness and that material, by its word or its family."""
    family = family_of(plate.material)
    same = word(process.material) == word(plate.material) or (
        family is not None and family_of(process.material) == family
    )
    return plate.thickness is not None and same and abs(process.thickness - plate.thickness) <= SAME_THICKNESS + 1e-9


def cut_rules(rig: Rig, plate: Plate, process: Process, *, trim: float = 0.0) -> CutRules:
    """What cuts the rig can make in `plate`."""
    by_duty = longest_by_duty(rig, process)
    return CutRules(
        kerf=process.kerf,
        longest_one_pass=min(by_duty, longest_one_pass(rig)),
        longest_two_pass=min(by_duty, longest_two_pass(rig)),
        narrowest_offcut=rig.narrowest_offcut,
        fence_min=rig.fence_min,
        fence_max=rig.fence_max,
        marked=rig.marked,
        piece_mass_max=rig.piece_mass_max,
        areal_mass=(plate.thickness or 0.0) * density(plate.material) * 1e-9,
        trim=trim,
        square_side=rig.square_side,
        bed_length=rig.bed_length,
        far_max=rig.far_max,
        turn_over_mass_max=turn_over_limit(rig),
    )


def turn_over_limit(rig: Rig) -> float | None:
    """The heaviest piece that may be turned over between two passes [kg]; None = no limit, as with a hoist.

    Left out, twice what is one person's load: two people lift. Common practice, no source.

    >>> turn_over_limit(Rig(two_person_mass=25)), turn_over_limit(Rig(turn_over_mass_max=80))
    (50.0, 80)
    >>> turn_over_limit(Rig(hoist=True)) is None
    True
    """
    if rig.hoist:
        return None
    return 2.0 * rig.two_person_mass if rig.turn_over_mass_max is None else rig.turn_over_mass_max


def least_part(rig: Rig, thickness: float, kerf: float) -> float:
    """Least width of a part as cut [mm]: 1.5 times the thickness or two kerfs, whichever is more, unless the rig says
    otherwise.

    Narrower, the metal melts rather than parts. Common practice, no source.

    >>> least_part(Rig(), 8, 1.5), least_part(Rig(), 1, 1.5), least_part(Rig(narrowest_part=5), 8, 1.5)
    (12.0, 3.0, 5)
    """
    return max(1.5 * thickness, 2 * kerf) if rig.narrowest_part is None else rig.narrowest_part


def hold_down_reason(rig: Rig, width: float, length: float, mass: float) -> Message | None:
    """Why a part of this size [mm] and mass [kg] does not stay where it lies; None where it does.

    It falls through where the bed's slots are wider than both its sides, and the jet may move it below `LIGHT`. Common
    practice, no source.

    >>> hold_down_reason(Rig(slot_width=50), 40, 45, 0.2).says
    'falls_through'
    """
    size = {"width": quantity(width), "length": quantity(length)}
    if rig.slot_width is not None and max(width, length) < rig.slot_width:
        return Message("hold_down", facts=Facts(**size, slots=quantity(rig.slot_width)), says="falls_through")
    if mass < LIGHT:
        return Message("hold_down", facts=Facts(**size, grams=1000 * mass), says="blown_off")
    return None


def longest_by_duty(rig: Rig, process: Process) -> float:
    """Longest cut whose arc the power source may burn without a stop [mm]; rests come between cuts, never inside one.

    All of a cut's travel counts as arc: lead-ins, the greatest overrun, rounding of end stops, overlap.
    """
    share = duty_at(process.duty, process.current) if process.current is not None else 1.0
    if share is None:
        return 0.0
    if share >= 1.0:
        return math.inf
    travel = share * PERIOD * process.travel_speed / 60
    return travel - 2 * (rig.lead_in + rig.end_stop_step) - max(rig.overrun_max, rig.two_pass_overlap, rig.end_stop_min)


def _plate_facts(plate: Plate) -> dict[str, str | Quantity]:
    return {"material": plate.material or "no material", "thickness": quantity(plate.thickness or 0.0)}


def _no_process(rig: Rig, plate: Plate) -> Fault:
    """Nothing fits the plate, and no estimate reaches it: a name that is spelt wrong, or plate that is out of range."""
    where, facts = f"plate {plate.name}", _plate_facts(plate)
    if family_of(plate.material) is not None:
        return Fault("no_process", where, facts=Facts(**facts, **_nearest(rig, plate)), says="no_process_nor_estimate")
    if plate.material and (near := near_material(plate.material, tuple(each.material for each in rig.processes))):
        return Fault("no_process", where, facts=Facts(**facts, near=near), says="no_process_of_that_name")
    return Fault("no_process", where, facts=Facts(**facts, **_nearest(rig, plate)))


def _nearest(rig: Rig, plate: Plate) -> dict[str, str | Quantity]:
    """The process nearest to a plate; nothing where the rig has none."""
    if not rig.processes:
        return {}
    family = family_of(plate.material)
    same = [each for each in rig.processes if family is not None and family_of(each.material) == family]
    thickness = plate.thickness or 0.0
    best = min(same or rig.processes, key=lambda each: (abs(each.thickness - thickness), each.name))
    return {"nearest": best.name, "nearest_material": best.material, "nearest_thickness": quantity(best.thickness)}
