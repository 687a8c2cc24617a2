"""What things cost in this workshop, and how long what wears out lasts."""

from __future__ import annotations

import math
from dataclasses import dataclass, fields
from numbers import Real
from typing import Any, Literal

Wear = Literal["sum", "max"]

STARTS = 200.0
"""Starts that a tip stands: 150 to 300, common practice (a trade page). An electrode has no figure of its own and is
taken alike.
"""
ARC_HOURS = 3.0
"""Arc hours that a set of tip and electrode stands: 2 to 3 by hand, 3 to 5 by machine, common practice (a maker's
rule).
"""


MOST, MOST_PERCENT = 1e6, 1000.0
"""Greatest price and markup: beyond them it is a slip of the finger."""


@dataclass(frozen=True)
class Life:
    """What a tip or an electrode stands: so many starts alone, or so many arc hours alone;
    which of the two is assumed.
    """

    starts: float
    arc_hours: float
    starts_assumed: bool
    hours_assumed: bool


@dataclass(frozen=True, kw_only=True)
class Prices:
    """What things cost, in the job's currency. None = not asked for: the line is left out, and the quotation says so.

    `per_hour` at the rig; `per_kwh` of power; `per_m3_air`, free air, or in its place `compressor_kw_per_m3_min`, what
    the compressor draws [kW] for each m3/min of free air, priced by `per_kwh`; `tip_price` and `electrode_price` each.
    Their lives `..._starts` and `..._hours` [arc hours] are assumed where they are None: 200 starts, 3 arc hours,
    common practice. `wear` adds the two up ("sum": linear damage) or takes the greater of each cut ("max").
    `scrap_per_kg` is what scrap brings back; `markup` [%] goes on all the rest. `efficiency` of the power source
    (0..1], assumed where None; with `credit_offcuts` offcuts kept are taken off at their share of the plate's price.
    """

    per_hour: float | None = None
    per_kwh: float | None = None
    per_m3_air: float | None = None
    compressor_kw_per_m3_min: float | None = None
    tip_price: float | None = None
    tip_starts: float | None = None
    tip_hours: float | None = None
    electrode_price: float | None = None
    electrode_starts: float | None = None
    electrode_hours: float | None = None
    scrap_per_kg: float | None = None
    markup: float | None = None
    efficiency: float | None = None
    credit_offcuts: bool = False
    wear: Wear = "sum"

    def __post_init__(self) -> None:
        faults = []
        for each in fields(self):
            if each.name not in ("wear", "credit_offcuts") and getattr(self, each.name) is not None:
                share = each.name == "efficiency"
                life = each.name in _LIVES
                most = 1.0 if share else math.inf if life else MOST_PERCENT if each.name == "markup" else MOST
                above = share or life
                faults += number_faults(each.name, getattr(self, each.name), above=above, most=most)
        if self.wear not in ("sum", "max"):
            faults.append(f"wear {self.wear!r} must be one of sum, max")
        if self.compressor_kw_per_m3_min is not None:
            if self.per_m3_air is not None:
                faults.append("give per_m3_air or compressor_kw_per_m3_min, not both")
            elif self.per_kwh is None:
                faults.append("compressor_kw_per_m3_min needs per_kwh, the price of its power")
        if faults:
            raise ValueError("prices: " + "; ".join(faults))

    @property
    def tip_life(self) -> Life:
        """What a tip stands."""
        return _life(self.tip_starts, self.tip_hours)

    @property
    def electrode_life(self) -> Life:
        """What an electrode stands."""
        return _life(self.electrode_starts, self.electrode_hours)

    @property
    def assumed(self) -> tuple[str, ...]:
        """Names of the lives that were not given, and are assumed."""
        return tuple(name for name in _LIVES if getattr(self, name) is None)


_LIVES = ("tip_starts", "tip_hours", "electrode_starts", "electrode_hours")


def _life(starts: float | None, hours: float | None) -> Life:
    return Life(
        starts=STARTS if starts is None else starts,
        arc_hours=ARC_HOURS if hours is None else hours,
        starts_assumed=starts is None,
        hours_assumed=hours is None,
    )


def number_faults(name: str, value: Any, *, above: bool = False, most: float = math.inf) -> list[str]:
    """What is wrong with a figure, as a list of no or one sentence."""
    if not isinstance(value, Real) or isinstance(value, bool):
        return [f"{name} {value!r} must be a number"]
    if not math.isfinite(value):
        return [f"{name} {value} must be a finite number"]
    figure = float(value)
    if figure < 0 or (above and figure == 0):
        return [f"{name} {figure:g} must {'be above' if above else 'not be below'} 0"]
    return [f"{name} {figure:g} must not be above {most:g}"] if figure > most else []
