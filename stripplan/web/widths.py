"""Widths that were measured at the rig: whether each is within its band, and what they say of widths to come."""

from __future__ import annotations

from collections.abc import Mapping
from statistics import fmean
from typing import Any

from stripplan.book.day import NO_DRIFT
from stripplan.errors import Fault, InputError
from stripplan.wording.figures import show_fine
from stripplan.wording.message import Facts
from stripplan.wording.quantity import UnitError, parse_length

SLIPS = (0.1, 10.0, 0.01, 100.0, 25.4, 1 / 25.4)
"""What a figure is multiplied by where its point was set wrong, or its unit was the other one."""
NEAR = 2.0
"""So near to the width expected is what may have been meant [mm]: chosen, beyond any tolerance of the cut."""
TOLD = 0.05
"""By so much a width must be expected to differ from the plan's before it is told: callipers show no less [mm]."""


def read_width(text: str, units: str) -> float:
    """A width as a person writes it [mm]. Raises InputError with what would be understood."""
    try:
        return parse_length(text, "in" if units == "in" else "mm", comma=True)
    except UnitError as error:
        raise InputError(Fault("measured", "the measured width", facts=Facts(said=str(error)))) from None


def refuse_far(text: str, number: int, shown: Mapping[str, Any]) -> None:
    """A width far off the one expected after a cut is no drift of the rig: it was mistyped, or another side was
    measured. Raises InputError with what may have been meant.
    """
    width, measure = read_width(text, shown["units"]), shown["cuts"][number - 1]["measure"]
    if measure is None:
        return
    wanted = read_width(measure["expected"], shown["units"])
    if abs(width - wanted) > NO_DRIFT:
        meant = next((width * by for by in SLIPS if abs(width * by - wanted) <= NEAR), None)
        facts = {
            "said": text.strip(),
            "expected": measure["expected"],
            "meant": "" if meant is None else show_fine(meant, shown["units"]),
        }
        raise InputError(Fault("measured", "the measured width", facts=Facts(**facts), says="measured_far"))


def verdicts(measured: Mapping[str, str], shown: Mapping[str, Any]) -> dict[str, str]:
    """ "go" or "out" for each width, by number of its cut."""
    found = {}
    for number, text in measured.items():
        band = _band(shown, int(number))
        if band is not None:
            found[number] = "go" if within(read_width(text, shown["units"]), band) else "out"
    return found


def expected(measured: Mapping[str, str], shown: Mapping[str, Any], facts: Mapping[str, Any]) -> dict[str, Any]:
    """What cuts that were not measured yet will give, where cuts measured before say that it differs from the plan.

    Sizes that are made of the same settings and kerfs are off alike, so the mean of what those measured are off by is
    added. By number of the cut: the width as callipers show it, the cuts that it comes from, whether it is in the band.
    """
    off: dict[str, list[tuple[int, float]]] = {}
    asked = {cut["number"]: cut["measured"] for cut in facts["cuts"] if cut["measured"] is not None}
    for number, text in measured.items():
        if (each := asked.get(int(number))) is not None:
            difference = read_width(text, shown["units"]) - each["width"]
            off.setdefault(str(each["made_of"]), []).append((int(number), difference))
    found = {}
    for number, each in asked.items():
        known, band = off.get(str(each["made_of"]), []), _band(shown, number)
        if str(number) in measured or not known or band is None:
            continue
        by = fmean(difference for _, difference in known)
        if abs(by) >= TOLD:
            width = each["width"] + by
            found[str(number)] = {
                "width": show_fine(width, shown["units"]),
                "cuts": sorted(cut for cut, _ in known),
                "good": within(width, band),
            }
    return found


def within(width: float, band: tuple[float, float]) -> bool:
    """Whether a width is in a band, its ends counted in [mm]."""
    return band[0] - 1e-9 <= width <= band[1] + 1e-9


def _band(shown: Mapping[str, Any], number: int) -> tuple[float, float] | None:
    """Least and greatest width of a cut [mm], as they are printed."""
    cuts = shown["cuts"]
    measure = cuts[number - 1]["measure"] if 1 <= number <= len(cuts) else None
    if measure is None:
        return None
    return read_width(measure["low"], shown["units"]), read_width(measure["high"], shown["units"])
