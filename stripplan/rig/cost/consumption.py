"""What a cut takes: power from the mains, air, a share of the life of tips and electrodes.

| figure | by | where from |
|---|---|---|
| power | U2 = 80 + 0.4 I over the source's efficiency | IEC 60974-1, from memory; efficiency assumed |
| air | flow by current, while it flows | a trade guide: common practice |
| tips, electrodes | starts / N + arc hours / H, or the greater | common practice |
"""

from __future__ import annotations

import math

from stripplan.model.prices import ARC_HOURS, STARTS, Wear, number_faults
from stripplan.rig.process.speed_formulas import arc_power

EFFICIENCY = 0.85
"""Power at the arc over power from the mains, source with an inverter: assumed, from memory; the source's plate or
manual says better.
"""

_AIR = ((20.0, 30.0, 113.0), (40.0, 50.0, 142.0), (60.0, 80.0, 170.0), (85.0, 100.0, 227.0))
"""Current from, to [A], free air [l/min] at 90 psi (6.2 bar): 4, 5, 6 and 8 cubic feet a minute, a trade guide, common
practice.
"""


def _checked(name: str, value: float, *, above: bool = False, most: float = math.inf) -> float:
    faults = number_faults(name, value, above=above, most=most)
    if faults:
        raise ValueError(faults[0])
    return value


def mains_power(current: float, *, efficiency: float = EFFICIENCY) -> float:
    """Power that the source draws while the arc burns [W]: (80 + 0.4 I) I over its efficiency (0..1], current in A.

    The arc's power is the conventional one of IEC 60974-1 (from memory), made for rating sources: an estimate. The
    default efficiency is assumed. What the source draws between the cuts is not in it.

    >>> round(mains_power(40, efficiency=1)), round(mains_power(40))
    (3840, 4518)
    """
    return arc_power(_checked("current", current, above=True)) / _checked("efficiency", efficiency, above=True, most=1)


def cut_energy(current: float, arc_minutes: float, *, efficiency: float = EFFICIENCY) -> float:
    """Energy from the mains for one cut [kWh]: power while the arc burns times its minutes. An estimate, as
    `mains_power` is.

    Travel in air before and after the metal counts as arc, which is on the safe side.

    >>> round(cut_energy(40, 60, efficiency=0.8), 3)
    4.8
    """
    return mains_power(current, efficiency=efficiency) / 1000 * _checked("arc minutes", arc_minutes) / 60


def air_flow(current: float) -> float | None:
    """Free air that an air plasma torch takes at a current [A] [l/min]; straight between the rows, None outside 20 to
    100 A.

    20-30, 40-50, 60-80, 85-100 A: 113, 142, 170, 227 l/min, a trade guide, common practice. The torch's manual says
    better.

    >>> air_flow(25), air_flow(45), air_flow(35), air_flow(120)
    (113.0, 142.0, 127.5, None)
    """
    _checked("current", current, above=True)
    if not _AIR[0][0] <= current <= _AIR[-1][1]:
        return None
    below = max(row for row in _AIR if row[0] <= current)
    above = min(row for row in _AIR if row[1] >= current)
    share = 0.0 if below is above else (current - below[1]) / (above[0] - below[1])
    return below[2] + share * (above[2] - below[2])


def air_litres(flow: float, *, pre_flow: float, arc: float, post_flow: float) -> float:
    """Free air for one cut [l]: flow [l/min] times the seconds before, during and after the arc [s].

    >>> air_litres(120, pre_flow=0.5, arc=64, post_flow=3)
    135.0
    """
    seconds = {"pre-flow": pre_flow, "arc": arc, "post-flow": post_flow}
    return _checked("flow", flow) * sum(_checked(name, each) for name, each in seconds.items()) / 60


def compressor_energy(kw_per_m3_min: float) -> float:
    """Energy for a cubic metre of free air [kWh/m3], from the power that the compressor draws for a flow [kW per
    m3/min].

    >>> compressor_energy(7.5)
    0.125
    """
    return _checked("compressor power", kw_per_m3_min) / 60


def wear_share(
    starts: float, arc_hours: float, *, life_starts: float = STARTS, life_hours: float = ARC_HOURS, wear: Wear = "sum"
) -> float:
    """Share of a tip's or an electrode's life that some cuts take: starts / N + arc hours / H, or the greater of the
    two.

    The sum is linear damage, as if starts and arc time wore it apart from each other; a model. Each pass is a start.

    >>> wear_share(20, 0.3), wear_share(20, 0.3, wear="max")
    (0.2, 0.1)
    """
    shares = (
        _checked("starts", starts) / _checked("life in starts", life_starts, above=True),
        _checked("arc hours", arc_hours) / _checked("life in arc hours", life_hours, above=True),
    )
    return sum(shares) if wear == "sum" else max(shares)
