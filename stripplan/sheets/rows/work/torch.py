"""The torch as it is set up for a process, and the speed as a time that can be taken with a watch."""

from __future__ import annotations

from stripplan.model.plan.cut import Cut
from stripplan.model.rig import Process
from stripplan.sheets.rows.lookup import Bench
from stripplan.sheets.rows.row_types import Torch
from stripplan.wording.figures import show_exact, show_fine

NOT_GIVEN = "not given"
PROVED = "trigger unplugged"
"""How the end stop is proved."""
TIMED_OVER = {"mm": (500.0, "500 mm"), "in": (20 * 25.4, "20 in")}
"""Distance over which a speed is timed, by the job's units [mm], and in words."""
BAR = 14.5038
"""One bar in pounds on the square inch."""


def torch(bench: Bench, cut: Cut, before: Cut | None) -> Torch | None:
    """How to set up the torch before a cut: before the first, and where the process is another than that of the cut
    before."""
    process = bench.plates[cut.plate].process
    change = before is not None and bench.plates[before.plate].process != process
    if before is not None and not (change or cut.setup.process):
        return None
    return torch_for(bench, process, cut.kerf, change=before is not None)


def torch_for(bench: Bench, process: str, kerf: float, *, change: bool) -> Torch:
    """How to set up the torch for a process."""
    given = next((each for each in bench.plan.rig.processes if each.name == process), None)
    said = (given.current, given.tip, given.stand_off, given.air_pressure) if given is not None else (None,) * 4
    current, tip, stand_off, pressure = said
    facts = (
        ("current", _told(current, "A")),
        ("tip", tip or NOT_GIVEN),
        ("stand-off", _stand_off(bench, stand_off)),
        ("air", _air(bench, pressure)),
        ("post-flow", _told(bench.plan.rig.post_flow, "s")),
        ("kerf", _kerf(bench, kerf, given)),
    )
    return Torch(bench.process(process), change, facts)


def timed(bench: Bench, cut: Cut) -> str:
    """How long the carriage takes over a marked distance at the speed of a cut: a dial without a scale is set by it."""
    return timed_at(bench, cut.travel_speed)


def timed_at(bench: Bench, speed: float) -> str:
    """The same at a speed [mm/min]."""
    distance, words = TIMED_OVER[bench.units]
    seconds = distance / speed * 60
    return f"{seconds:.0f} s over {words}"


def dry_run(cut: Cut) -> str:
    """What is proved before the first cut at an end stop on a plate."""
    if not cut.setup.dry_run:
        return ""
    return PROVED


def kerf_known(given: Process | None) -> str:
    """How the kerf of a process is known."""
    if given is None or given.kerf_measured_on is None:
        return "ESTIMATED" if given is not None and given.estimated else "not measured"
    return f"measured {given.kerf_measured_on}"


def _kerf(bench: Bench, kerf: float, given: Process | None) -> str:
    width = bench.long(kerf) if bench.units == "mm" else show_fine(kerf, "in")
    return f"{width}, {kerf_known(given)}"


def _told(value: float | None, unit: str) -> str:
    return NOT_GIVEN if value is None else f"{value:g} {unit}"


def _stand_off(bench: Bench, value: float | None) -> str:
    if value is None:
        return NOT_GIVEN
    return show_exact(value, bench.units) + (" mm" if bench.units == "mm" else "")


def _air(bench: Bench, bar: float | None) -> str:
    if bar is None:
        return NOT_GIVEN
    return f"{bar * BAR:.0f} psi" if bench.units == "in" else f"{bar:g} bar"
