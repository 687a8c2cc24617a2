"""A travel speed to start from before any test cut: estimates with their range, by whichever method holds for the
plate.

Everything here is an estimate and says so. A speed found by test cuts on the rig always wins over it.

| method | material | plate | current | where from |
|---|---|---|---|---|
| chart | mild steel | 2 to 15 mm, where the chart has figures around | 20 to 40 A | maker's chart [1] |
| chart carried on | mild steel | 3 to 25 mm and 0.075 to 0.5 mm an ampere | 20 to 80 A | chart, heat flow [2] |
| power law | mild steel | 3 to 12 mm, same proportions | 20 to 40 A | fitted to that chart for this project |
| line source | mild steel | 3 to 25 mm and 0.075 to 0.5 mm an ampere | 20 to 80 A | heat flow [3] |

[1] One maker's chart for good cuts with air: common practice. [2] The chart's nearest figure below times the ratio of
line sources. [3] Moving line source of heat (Wells 1952, form from memory).

A method higher in the table goes before one below it. No published figure is held for other materials at such currents:
the handbook rows for stainless and aluminium (AWS Welding Handbook, tables 17-2 and 17-3) begin at 250 A.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from stripplan.rig.process.speed_formulas import (
    QUALITY,
    above_zero,
    arc_power,
    assumed_kerf,
    chart,
    chart_speed,
    is_mild_steel,
    power_law_speed,
    severing_speed,
)
from stripplan.wording.message import Fact, Facts, Message, length
from stripplan.wording.message import current as current_of
from stripplan.wording.message import speed as speed_of

SURE = (0.8, 1.2)
"""Least and greatest true speed over the estimate, chart and power law: the spread of the fit, and that of quality over
severing speed.
"""
THICKER_RANGE = (0.6, 1.2)
"""The same for the chart carried on to thicker plate: holds the chart's own figures carried on to up to 1.7 times the
thickness.
"""
STRONGER_RANGE = (0.8, 2.5)
"""And to more current, up to twice as much."""


@dataclass(frozen=True)
class Method:
    """A way to estimate a speed and where it holds: thickness [mm], current [A], its source, and how sure it is."""

    name: str
    thickness: tuple[float, float]
    current: tuple[float, float]
    source: str
    status: str


METHODS = (
    Method(
        "chart", (2, 15), (20, 40), "one maker's chart for a 40 A machine, good cuts with air", "common practice (seen)"
    ),
    Method(
        "chart carried on",
        (3, 25),
        (20, 80),
        "the chart's nearest figure below times the ratio of the line source's speeds",
        "model, checked by carrying the chart on within itself",
    ),
    Method(
        "power law",
        (3, 12),
        (20, 40),
        "v = 9.25 I^2.17 t^-1.82, fitted to that chart for this project",
        "derived, ±20 %",
    ),
    Method(
        "line source",
        (3, 25),
        (20, 80),
        "moving line source of heat, efficiency 0.75 (Wells 1952)",
        "model, form from memory",
    ),
)
"""The table of ranges, best first."""
PROPORTION = (0.075, 0.5)
"""Plate by current [mm/A] outside which no method but the chart is trusted: the proportions that the chart itself has
from 3 mm up.
"""


@dataclass(frozen=True)
class StartingSpeed:
    """A speed for the first test cut [mm/min] and the range in which the good cut should lie; None where no figure is
    held.

    `how` tells the inputs. `beside` are the other methods' speeds. `serving_current` [A] is the greatest
    whole current whose speed the rig can travel (or the least, where the speed lies below the rig's), `gearbox_ratio`
    how many times the present top speed would serve at the current as it is; None where not needed or not found.
    """

    speed: float | None
    low: float | None
    high: float | None
    how: Message
    status: str = "estimate"
    notes: tuple[Message, ...] = ()
    beside: tuple[tuple[str, float], ...] = ()
    serving_current: float | None = None
    gearbox_ratio: float | None = None


def methods_for(material: str, thickness: float, current: float) -> tuple[Method, ...]:
    """The methods of the table that hold for this plate at this current [A], best first; empty where none does.

    >>> [method.name for method in methods_for("mild steel", 6, 30)]
    ['chart', 'power law', 'line source']
    >>> [method.name for method in methods_for("mild steel", 12, 25)], methods_for("stainless", 6, 40)
    (['chart carried on', 'power law', 'line source'], ())
    """
    if not is_mild_steel(material):
        return ()
    in_proportion = PROPORTION[0] <= thickness / current <= PROPORTION[1]
    on_chart = _on_chart(thickness, current)
    trusted = {"chart": on_chart, "chart carried on": in_proportion and not on_chart}
    return tuple(
        method
        for method in METHODS
        if method.thickness[0] <= thickness <= method.thickness[1]
        and method.current[0] <= current <= method.current[1]
        and trusted.get(method.name, in_proportion)
    )


def _on_chart(thickness: float, current: float) -> bool:
    return chart_speed(thickness, current) is not None


def starting_speed(
    material: str,
    thickness: float,
    current: float,
    *,
    kerf: float | None = None,
    v_max: float | None = None,
    v_min: float | None = None,
) -> StartingSpeed:
    """A speed for the first test cut with air plasma [mm/min], its range, and whether the rig can travel it.

    `kerf` [mm] where measured; `v_max`, `v_min` are the rig's travel speeds. Where no method holds, `speed` is None and
    `how` says why.

    >>> found = starting_speed("mild steel", 6, 40, v_max=760)
    >>> found.speed, found.low, found.high, found.serving_current, found.gearbox_ratio
    (1050.0, 840.0, 1260.0, 33.0, 1.382)
    """
    for what, value, unit in (("thickness", thickness, "mm"), ("current", current, "A")):
        above_zero(what, value, unit)
    for what, given in (("kerf", kerf), ("greatest travel speed", v_max), ("least travel speed", v_min)):
        if given is not None:
            above_zero(what, given, "mm" if what == "kerf" else "mm/min")
    if v_max is not None and v_min is not None and v_min > v_max:
        raise ValueError(f"least travel speed {v_min:g} mm/min lies above the greatest, {v_max:g} mm/min")
    methods = methods_for(material, thickness, current)
    speeds = [(method, _speed_by(method, thickness, current, kerf)) for method in methods]
    if not speeds:
        return _not_held(material, thickness, current)
    method, speed = speeds[0]
    factors, notes = _range(method, thickness, current)
    found = StartingSpeed(
        speed=_rounded(speed),
        low=_rounded(speed * factors[0]),
        high=_rounded(speed * factors[1]),
        how=_how(method, thickness, current, kerf),
        notes=(*notes, Message("test_first")),
        beside=tuple((each.name, _rounded(value)) for each, value in speeds[1:]),
    )
    return _against_rig(found, material, thickness, current, kerf, v_max, v_min)


def _rounded(speed: float) -> float:
    """To whole mm/min: more would feign sureness."""
    return float(round(speed))


def _kerf(current: float, kerf: float | None) -> float:
    """The measured kerf, else the one to assume, which every current of the table of ranges has."""
    if kerf is not None:
        return kerf
    assumed = assumed_kerf(current=current)
    assert assumed is not None
    return assumed.kerf


def _speed_by(method: Method, thickness: float, current: float, kerf: float | None) -> float:
    """Speed of a good cut by that method, inside its range [mm/min]; there the line source always severs."""
    ways: dict[str, Callable[[], float]] = {
        "chart": lambda: chart_speed(thickness, current) or 0.0,
        "power law": lambda: power_law_speed(thickness, current),
        "chart carried on": lambda: _carried_on(thickness, current, kerf),
        "line source": lambda: QUALITY * severing_speed(thickness, current, _kerf(current, kerf)),
    }
    return ways[method.name]()


def _nearest_below(thickness: float, current: float) -> tuple[float, float]:
    """The thickest plate and the greatest current up to these for which the chart has a figure."""
    most = min(current, METHODS[0].current[1])
    if _on_chart(thickness, most):
        return thickness, most
    return max(t for t, _ in chart() if t <= thickness and _on_chart(t, most)), most


def _carried_on(thickness: float, current: float, kerf: float | None) -> float:
    """The chart's nearest figure below, times the ratio of line sources; never quicker than the chart at its next
    current above.
    """
    below, weaker = _nearest_below(thickness, current)
    base = severing_speed(below, weaker, _kerf(weaker, kerf))
    speed = (chart_speed(below, weaker) or 0.0) * severing_speed(thickness, current, _kerf(current, kerf)) / base
    above = (chart_speed(thickness, i) for _, i in chart() if i >= current)
    return min([speed, *(each for each in above if each is not None)])


def _range(method: Method, thickness: float, current: float) -> tuple[tuple[float, float], list[Message]]:
    """Factors of the least and the greatest speed, and what to say of them."""
    if method.name == "chart":
        return SURE, []
    below, weaker = _nearest_below(thickness, current)
    low, high = 1.0, 1.0
    if below < thickness:
        low, high = THICKER_RANGE
    if weaker < current:
        low, high = min(low, STRONGER_RANGE[0]), max(high, STRONGER_RANGE[1])
    facts = Facts(
        thickness=length(below), current=current_of(weaker), thicker=below < thickness, stronger=weaker < current
    )  # fmt: skip
    return (low, high), [Message("model_only", facts=facts)]


def _how(method: Method, thickness: float, current: float, kerf: float | None) -> Message:
    facts = Facts(thickness=length(thickness), current=current_of(current), source=method.source, status=method.status)
    if method.name in ("chart", "power law"):
        return Message("speed_by_figures", method.name, facts)
    more: dict[str, Fact] = {} if method.name != "line source" else {"quality": QUALITY}
    facts = Facts(
        **facts, kerf=length(_kerf(current, kerf)), measured=kerf is not None, kilowatts=arc_power(current) / 1000,
        **more,
    )  # fmt: skip
    return Message("speed_by_model", method.name, facts)


def _not_held(material: str, thickness: float, current: float) -> StartingSpeed:
    if not is_mild_steel(material):
        how = Message("no_published_figure", material, Facts(current=current_of(current)), "no_speed_of_material")
    else:
        held = tuple(
            Message(
                "speed_range",
                each.name,
                Facts(
                    thin=length(each.thickness[0]), thick=length(each.thickness[1]),
                    least=current_of(each.current[0]), most=current_of(each.current[1]),
                ),
            )
            for each in METHODS
        )  # fmt: skip
        least, most = map(length, PROPORTION)
        facts = Facts(
            thickness=length(thickness), current=current_of(current), held=held, least=least, most=most
        )  # fmt: skip
        how = Message("no_published_figure", facts=facts, says="no_speed_held")
    return StartingSpeed(None, None, None, how, status="not held", notes=(how,))


def _best(material: str, thickness: float, current: float, kerf: float | None) -> float | None:
    """The estimate alone at another current [mm/min]."""
    methods = methods_for(material, thickness, current)
    return _speed_by(methods[0], thickness, current, kerf) if methods else None


def _against_rig(
    found: StartingSpeed,
    material: str,
    thickness: float,
    current: float,
    kerf: float | None,
    v_max: float | None,
    v_min: float | None,
) -> StartingSpeed:
    """The same with a warning where the rig is too slow or too quick for it, and what would serve."""
    speed = found.speed or 0.0
    least, most = METHODS[-1].current
    if v_max is not None and speed > v_max:
        lower = (float(each) for each in range(math.ceil(current) - 1, math.floor(least) - 1, -1))
        serves = next((each for each in lower if 0 < (_best(material, thickness, each, kerf) or 0) <= v_max), None)
        ratio = round(speed / v_max, 3)
        note = _too_slow(found, thickness, current, v_max, serves, ratio)
        return replace(found, notes=(note, *found.notes), serving_current=serves, gearbox_ratio=ratio)
    if v_min is not None and speed < v_min:
        higher = (float(each) for each in range(math.floor(current) + 1, math.floor(most) + 1))
        serves = next((each for each in higher if (_best(material, thickness, each, kerf) or 0) >= v_min), None)
        facts = Facts(
            travel_min=speed_of(v_min), speed=speed_of(speed), thickness=length(thickness),
            current=current_of(current), **_serving(serves),
        )  # fmt: skip
        return replace(
            found, notes=(Message("too_fast_for_current", facts=facts), *found.notes), serving_current=serves
        )
    return found


def _too_slow(
    found: StartingSpeed, thickness: float, current: float, v_max: float, serves: float | None, ratio: float
) -> Message:
    facts = Facts(
        current=current_of(current), thickness=length(thickness), speed=speed_of(found.speed or 0.0),
        travel_max=speed_of(v_max), ratio=ratio, within=found.low is not None and found.low <= v_max,
        **_serving(serves),
    )  # fmt: skip
    return Message("too_slow_for_current", facts=facts)


def _serving(current: float | None) -> dict[str, Fact]:
    """The current that would serve, where one does."""
    return {} if current is None else {"serves": current_of(current)}
