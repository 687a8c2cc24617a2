"""From a rig and a plate to the CutRules that layout works by; which process cuts a plate."""

from __future__ import annotations

import math

from ..errors import Fault, InputError
from ..model.plate import Plate, density
from ..model.rig import Process, Rig
from ..model.rules import CutRules
from .duty import PERIOD, duty_at
from .setting import longest_one_pass, longest_two_pass

SAME_THICKNESS = 0.05
"""Greatest difference in thickness at which a process still fits a plate [mm]."""


def process_for(rig: Rig, plate: Plate, wanted: str | None = None) -> Process:
    """The process that cuts `plate`: material equal, thickness within 0.05 mm.

    Of several the one named by the plate or the job, else the first. Raises InputError that names the
    nearest process where none fits.
    """
    named = plate.process or wanted
    fitting = [each for each in rig.processes if fits(each, plate)]
    if plate.process and plate.process not in {each.name for each in fitting}:
        raise InputError(
            Fault(
                "process_unknown",
                f"plate {plate.name}",
                f"process {plate.process!r} does not fit {_plate_words(plate)}",
                _offer([each.name for each in fitting] or [each.name for each in rig.processes]),
            )
        )
    if not fitting:
        raise InputError(
            Fault(
                "no_process",
                f"plate {plate.name}",
                f"the rig has no process for {_plate_words(plate)}",
                f"nearest is {_nearest(rig, plate)}; add a [[process]] with the kerf and speed of this plate",
            )
        )
    return next((each for each in fitting if each.name == named), fitting[0])


def fits(process: Process, plate: Plate) -> bool:
    """Whether a process is for that material and thickness."""
    return (
        plate.thickness is not None
        and word(process.material) == word(plate.material)
        and abs(process.thickness - plate.thickness) <= SAME_THICKNESS + 1e-9
    )


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
    )


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


def word(material: str | None) -> str:
    """A material's name as it is compared: case and spaces do not matter."""
    return " ".join((material or "").lower().split())


def _plate_words(plate: Plate) -> str:
    return f"{plate.material or 'no material'} {plate.thickness or 0:g} mm"


def _offer(names: list[str]) -> str:
    return "choose one of " + ", ".join(names) if names else "the rig has no process at all"


def _nearest(rig: Rig, plate: Plate) -> str:
    if not rig.processes:
        return "none: the rig has no process at all"
    same = [each for each in rig.processes if word(each.material) == word(plate.material)]
    thickness = plate.thickness or 0.0
    best = min(same or rig.processes, key=lambda each: (abs(each.thickness - thickness), each.name))
    return f"{best.name!r} ({best.material}, {best.thickness:g} mm)"
