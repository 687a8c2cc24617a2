"""Speeds and kerfs by formula, chart and power law, each with its source; which of them holds, `speed` tells."""

from __future__ import annotations

import csv
import functools
import math
from bisect import bisect_left
from dataclasses import dataclass
from importlib import resources

from stripplan.model.material import family_of
from stripplan.model.plate import density

CONDUCTIVITY = 30.0
"""Of steel, mean at high temperature [W/mK]: EN 1993-1-2 gives 54 - 0.0333 T below 800 deg C and 27.3 above (seen in an
article).
"""
MELTING_RISE = 1480.0
"""From the room to melting, steel [K]: from memory."""
HEAT_CAPACITY = 675.0
"""Of steel, mean up to melting [J/kgK]: from memory."""
EFFICIENCY = 0.75
"""Share of the arc power that goes into the kerf: set by comparing the line source with makers' charts, 20-40 A, 3-15
mm.
"""
QUALITY = 0.75
"""Speed of a good cut over the greatest that severs; 0.60 to 0.85: common practice, read from makers' charts."""


@dataclass(frozen=True)
class AssumedKerf:
    """A kerf to assume until it is measured [mm], the range it may lie in, how it came about."""

    kerf: float
    low: float
    high: float
    how: str
    status: str = "not measured"


_KERFS = ((25.0, 30.0, 1.27, 1.52), (40.0, 50.0, 1.65, 2.03), (65.0, 80.0, 2.03, 2.79))
"""Current from, to [A], kerf from, to [mm], air plasma on mild steel: slide of a training course (seen)."""
_WIDER = (0.13, 0.25)
"""Kerf of stainless and aluminium above that of steel [mm], 0.005 to 0.010 in: the same slide."""


def assumed_kerf(
    *, current: float | None = None, orifice: float | None = None, material: str = "mild steel"
) -> AssumedKerf | None:
    """The kerf to assume for air plasma where none was measured: 1.5 times the nozzle's `orifice` [mm], else by
    `current` [A].

    By current: the middle of the row, straight between rows. None where neither says anything: below 20 A and above 80
    A. Orifice rule: a trade page, common practice. Rows: slide of a training course.

    >>> assumed_kerf(orifice=1.0).kerf
    1.5
    >>> assumed_kerf(current=40).kerf, assumed_kerf(current=35).kerf
    (1.84, 1.617)
    """
    if orifice is not None:
        kerf = 1.5 * above_zero("orifice", orifice, "mm")
        how = f"1.5 times the nozzle's orifice of {orifice:g} mm (common practice)"
        return AssumedKerf(round(kerf, 3), round(orifice, 3), round(2 * orifice, 3), how)
    if current is None:
        return None
    above_zero("current", current, "A")
    if not 20 <= current <= _KERFS[-1][1]:
        return None
    below = max((row for row in _KERFS if row[0] <= current), default=_KERFS[0])
    above = min((row for row in _KERFS if row[1] >= current), default=_KERFS[-1])
    share = 0.0 if below is above else (current - below[1]) / (above[0] - below[1])
    kerf = (1 - share) * (below[2] + below[3]) / 2 + share * (above[2] + above[3]) / 2
    # Below the first row a trade article on small machines gives 0.8 mm as the least.
    low, high = (0.8 if current < _KERFS[0][0] else below[2]), above[3]
    how = f"usual for air plasma at {current:g} A (slide of a training course)"
    if not is_mild_steel(material):
        low, high, kerf = low + _WIDER[0], high + _WIDER[1], kerf + sum(_WIDER) / 2
        how += ", wider by 0.13 to 0.25 mm as for stainless and aluminium"
    return AssumedKerf(round(kerf, 3), round(low, 3), round(high, 3), how)


def arc_power(current: float) -> float:
    """Power of a cutting arc [W] at the conventional load voltage U2 = 80 + 0.4 I2: IEC 60974-1, from memory.

    >>> round(arc_power(40))
    3840
    """
    return (80 + 0.4 * current) * above_zero("current", current, "A")


def severing_speed(
    thickness: float, current: float, kerf: float, *, efficiency: float = EFFICIENCY, power: float | None = None
) -> float:
    """The greatest speed that severs mild steel [mm/min], 0 where the arc is too weak: moving line source of heat.

    eta P = 8 k theta t (1/5 + v w / (4 a)), a = k / (rho c): Wells 1952, form from memory. `power` [W] in place of the
    conventional one. All figures overridable but the constants of steel.

    >>> round(severing_speed(8, 40, 1.5)), round(severing_speed(6, 30, 1.3))
    (737, 806)
    """
    diffusivity = CONDUCTIVITY / (density("mild steel") * HEAT_CAPACITY)
    width = above_zero("kerf", kerf, "mm") / 1000
    given = efficiency * (arc_power(current) if power is None else above_zero("arc power", power, "W"))
    into_plate = 8 * CONDUCTIVITY * MELTING_RISE * above_zero("thickness", thickness, "mm") / 1000
    return max(0.0, 4 * diffusivity / width * (given / into_plate - 0.2) * 60_000)


def power_law_speed(thickness: float, current: float) -> float:
    """Speed of a good cut [mm/min] in mild steel: v = 9.25 I^2.17 t^-1.82, 3-12 mm and 20-40 A, ±20 %.

    Fitted for this project to one maker's chart (common practice); at 10 mm and 20 A it says half as much again as the
    chart.

    >>> round(power_law_speed(8, 40)), round(power_law_speed(6, 30))
    (629, 569)
    """
    above_zero("current", current, "A")
    return 9.25 * math.pow(current, 2.17) * math.pow(above_zero("thickness", thickness, "mm"), -1.82)


@functools.cache
def chart() -> dict[tuple[float, float], float]:
    """Speed of a good cut [mm/min] by thickness [mm] and current [A]: one maker's chart, common practice."""
    text = resources.files(__package__).joinpath("data", "good_speed_air_plasma.csv").read_text(encoding="utf-8")
    rows = csv.DictReader(text.splitlines())
    return {(float(row["thickness_mm"]), float(row["current_a"])): float(row["speed_mm_min"]) for row in rows}


def chart_speed(thickness: float, current: float) -> float | None:
    """Speed of a good cut [mm/min] from the chart, straight in logarithms between its figures; None where it has none
    around.

    >>> chart_speed(6, 30), round(chart_speed(5, 35)), chart_speed(12, 25)
    (600.0, 1070, None)
    """
    table = chart()
    across = _shares(sorted({t for t, _ in table}), thickness)
    along = _shares(sorted({i for _, i in table}), current)
    total = 0.0
    for t, share_t in across:
        for i, share_i in along:
            if (t, i) not in table:
                return None
            total += share_t * share_i * math.log(table[t, i])
    return math.exp(total) if across and along else None


def _shares(values: list[float], wanted: float) -> list[tuple[float, float]]:
    """The one or two values around `wanted` and their shares, straight in logarithms; empty outside."""
    if not values[0] <= wanted <= values[-1]:
        return []
    place = bisect_left(values, wanted)
    if values[place] == wanted:
        return [(wanted, 1.0)]
    below, above = values[place - 1], values[place]
    share = math.log(wanted / below) / math.log(above / below)
    return [(below, 1 - share), (above, share)]


def is_mild_steel(material: str) -> bool:
    return family_of(material) == "mild steel"


def above_zero(what: str, value: float, unit: str) -> float:
    if not (math.isfinite(value) and value > 0):
        raise ValueError(f"{what} {value:g} {unit} must be above 0")
    return float(value)
