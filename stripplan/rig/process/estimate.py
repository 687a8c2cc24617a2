"""A process for a plate that the rig has none for: kerf, travel speed and current as estimates, marked as such wherever
they go.

Currents are those of the rig's processes and every tenth ampere between (tips come so: common practice, no source), no
higher than the power source is rated. The current taken is the highest whose good cut the carriage can keep up with
(design rule: the current is chosen for the plate); where even the least is too quick for it, the least, at the top
speed of the carriage.

Speed: mild steel by `rig/process/speed.py`, for which published figures are held. For other materials none are held, so
the rig's own nearest process of that family is carried on by the law of mild steel, v ~ I^2.17 t^-1.82: a guess at a
guess, to be trusted to half or twice. Kerf: that of the rig's process of the family at that current, else what
`rig/process/speed_formulas.py` assumes.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from stripplan.model.material import Family, family_of
from stripplan.model.plate import Plate
from stripplan.model.rig import Process, Rig
from stripplan.rig.process import speed, speed_formulas

USUAL_MOST = 40.0
"""Current up to which is estimated where the rig names no current at all [A]: the chart's own."""
KERF_STEP = 0.1
"""Estimated kerfs are rounded to this [mm]: more would feign sureness."""
LAW = (2.17, 1.82)
"""Powers of current and thickness in `speed_formulas.power_law_speed`."""
CARRIED = (0.5, 2.0)
"""Least and greatest true speed over the estimate, where a process is carried on: common practice, no source."""
FARTHEST = 3.5
"""A process is carried on to plate up to so many times thicker or thinner: common practice, no source."""


@dataclass(frozen=True)
class Estimated:
    """The process, the range its speed should lie in [mm/min], where it comes from, and the speed of a good cut where
    the carriage is slower.
    """

    process: Process
    low: float
    high: float
    how: str
    too_quick: float | None = None


def estimated(rig: Rig, plate: Plate) -> Estimated | None:
    """What to begin with on a plate that the rig has no process for; None where no estimate reaches.

    >>> from stripplan.files.rig.read import load_rig
    >>> found = estimated(load_rig(), Plate(name="p", length=1000, width=500, thickness=9.525, material="A36"))
    >>> found.process.name, found.process.current, found.process.kerf, found.process.travel_speed
    ('A36 9.525 ESTIMATED', 40.0, 1.8, 436.0)
    """
    family = family_of(plate.material)
    if family is None or plate.thickness is None:
        return None
    least = None
    for current in _currents(rig):
        found = _speed_at(rig, family, plate.thickness, current)
        if found is None or found[0] < rig.travel_min:
            continue
        if found[0] <= rig.travel_max:
            return _made(rig, plate, family, current, *found)
        least = current, found
    if least is None:
        return None
    current, (good, low, high, how) = least
    return _made(rig, plate, family, current, rig.travel_max, low, high, how, too_quick=good)


def _currents(rig: Rig) -> list[float]:
    """Currents to choose from, the highest first."""
    own = {each.current for each in rig.processes if each.current is not None}
    rated = {point for each in rig.processes for point, _ in each.duty}
    most = max(rated | own, default=USUAL_MOST)
    return sorted({*own, *(float(each) for each in range(20, int(most) + 1, 10))}, reverse=True)


def _speed_at(rig: Rig, family: Family, thickness: float, current: float) -> tuple[float, float, float, str] | None:
    """Speed of a good cut, its range [mm/min], where it comes from; None where nothing says."""
    if family == "mild steel":
        found = speed.starting_speed(family, thickness, current)
        if found.speed is None or found.low is None or found.high is None:
            return None
        return found.speed, found.low, found.high, "published figures for air plasma on mild steel"
    held = [each for each in rig.processes if family_of(each.material) == family and each.current is not None]
    near = [each for each in held if 1 / FARTHEST <= thickness / each.thickness <= FARTHEST]
    if not near or not speed.PROPORTION[0] / 2 <= thickness / current <= speed.PROPORTION[1]:
        return None
    base = min(near, key=lambda each: (abs(each.thickness - thickness), each.name))
    ratio = (current / (base.current or current)) ** LAW[0] * (base.thickness / thickness) ** LAW[1]
    good = float(round(base.travel_speed * ratio))
    return good, good * CARRIED[0], good * CARRIED[1], f"process {base.name}, carried on as mild steel would be"


def _made(
    rig: Rig,
    plate: Plate,
    family: Family,
    current: float,
    travel_speed: float,
    low: float,
    high: float,
    how: str,
    too_quick: float | None = None,
) -> Estimated | None:
    kerf = _kerf(rig, family, plate.thickness or 0.0, current)
    if kerf is None:
        return None
    duty = next((each.duty for each in rig.processes if each.duty), ())
    process = Process(
        name=f"{plate.material} {plate.thickness:g} ESTIMATED",
        material=plate.material or "",
        thickness=plate.thickness or 0.0,
        kerf=kerf,
        travel_speed=travel_speed,
        current=current,
        duty=duty,
        estimated=True,
    )
    return Estimated(process, low, high, how, too_quick)


def _kerf(rig: Rig, family: Family, thickness: float, current: float) -> float | None:
    """That of the rig's nearest process of the family at this current, else the one to assume [mm]."""
    same = [each for each in _of_family(rig, family) if each.current == current]
    if same:
        return min(same, key=lambda each: (abs(each.thickness - thickness), each.name)).kerf
    assumed = speed_formulas.assumed_kerf(current=current, material=family)
    return round(round(assumed.kerf / KERF_STEP) * KERF_STEP, 6) if assumed is not None else None


def _of_family(rig: Rig, family: Family) -> Iterator[Process]:
    return (each for each in rig.processes if family_of(each.material) == family)
