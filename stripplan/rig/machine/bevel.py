"""A bevel along an edge of a part: where a tilted torch runs, and how fast.

Plane trigonometry of the section across the edge, no published source; angles are measured from the vertical, as those
of ISO 9692-1 are (from memory). The part lies on the fence with the edge away from it, the torch leans over the part.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from stripplan.errors import InputError
from stripplan.model.plate import Plate
from stripplan.model.rig import Process, Rig
from stripplan.rig.machine.limits import process_for
from stripplan.rig.process.estimate import LAW
from stripplan.rig.process.speed import PROPORTION

SAME_METAL = 0.05
"""So much more metal than the plate is thick is cut as the plate is [mm]."""


@dataclass(frozen=True)
class TiltShift:
    """By how much farther from the fence a tilted torch strikes than an upright one [mm]; whether that was measured."""

    mm: float
    measured: bool


@dataclass(frozen=True)
class BevelSpeed:
    """With which process a bevel is cut, how fast [mm/min], and whether that is an estimate."""

    process: Process
    speed: float
    estimated: bool


def set_back(depth: float, angle: float) -> float:
    """By how much the upper face is narrower than the root at a bevel `depth` deep [mm, deg]: depth tan(angle).

    >>> round(set_back(8, 30), 3), round(set_back(8, 45), 3)
    (4.619, 8.0)
    """
    return depth * math.tan(math.radians(angle))


def kerf_across(kerf: float, angle: float) -> float:
    """Width of the kerf along the upper face [mm]: kerf / cos(angle).

    >>> round(kerf_across(1.5, 60), 6)
    3.0
    """
    return kerf / math.cos(math.radians(angle))


def axis_inward(depth: float, angle: float, kerf: float) -> float:
    """How far in from the bevelled edge the torch's axis meets the upper face [mm]: what the face is set back by, less
    half the kerf across it. Below 0 the axis misses the metal.

    >>> round(axis_inward(8, 30, 1.5), 3)
    3.753
    """
    return set_back(depth, angle) - kerf_across(kerf, angle) / 2


def axis_from_datum(width: float, depth: float, angle: float, kerf: float) -> float:
    """How far from the edge on the fence the torch's axis meets the upper face of a piece of `width` [mm]: what stays
    of the face, and half the kerf across it.

    >>> round(axis_from_datum(100, 8, 30, 1.5), 3)
    96.247
    """
    return width - axis_inward(depth, angle, kerf)


def metal_through(depth: float, angle: float) -> float:
    """Metal along the axis of the torch [mm]: depth / cos(angle).

    >>> round(metal_through(8, 30), 3)
    9.238
    """
    return depth / math.cos(math.radians(angle))


def tilt_shift(rig: Rig, angle: float) -> TiltShift:
    """By how much farther from the fence the torch strikes at a tilt [deg].

    Measured: between the rig's pairs straight in the tangent of the angle, from 0 at no tilt, which is exact for a
    torch that turns about a point. Else, and beyond the greatest angle measured, the height of that point above the
    plate times the tangent, assumed.

    >>> tilt_shift(Rig(tilt_pivot=20), 45)
    TiltShift(mm=20.0, measured=False)
    >>> shifted = tilt_shift(Rig(tilt_shift=((45, 20.0),)), 30)
    >>> round(shifted.mm, 3), shifted.measured
    (11.547, True)
    """
    lean = math.tan(math.radians(angle))
    rows = [(0.0, 0.0), *sorted((math.tan(math.radians(at)), shift) for at, shift in rig.tilt_shift)]
    for (low, one), (high, other) in pairwise(rows):
        if lean <= high + 1e-12:
            return TiltShift(round(one + (other - one) * (lean - low) / (high - low), 6), measured=True)
    return TiltShift(round(rig.tilt_pivot * lean, 6) + 0.0, measured=False)


def bevel_speed(rig: Rig, process: Process, plate: Plate, through: float) -> BevelSpeed | None:
    """How to cut `through` mm of metal in a plate of a process; None where nothing reaches that far.

    Up to the plate's own thickness it is cut as the plate is. For more the plate's process is slowed by the law of
    `rig/process/speed.py`, v ~ t^-1.82 at one current, as long as the current is enough for it; else another process of
    the rig, or the one that is estimated for so much metal, is taken. Both are estimates.

    >>> steel = Process(name="p", material="mild steel", thickness=10, kerf=1.5, travel_speed=300, current=40)
    >>> bevel_speed(Rig(), steel, Plate(name="p", length=1, width=1, thickness=10, material="S235"), 11.547).speed
    230.0
    """
    if through <= process.thickness + SAME_METAL:
        return BevelSpeed(process, process.travel_speed, estimated=process.estimated)
    slowed = float(math.floor(process.travel_speed * (process.thickness / through) ** LAW[1]))
    if slowed >= rig.travel_min and (process.current is None or through <= PROPORTION[1] * process.current):
        return BevelSpeed(process, slowed, estimated=True)
    thick = Plate(name=plate.name, length=plate.length, width=plate.width, thickness=round(through, 2),
                  material=plate.material)  # fmt: skip
    try:
        found = process_for(rig, thick)
    except InputError:
        return None
    if not rig.travel_min <= found.travel_speed <= rig.travel_max:
        return None
    return BevelSpeed(found, found.travel_speed, estimated=True)
