"""How far a strip bows edgewise after thermal cuts (camber): a model, or strips that were measured.

A cut edge cools last, is stretched while hot and ends up short: the strip is hollow on that side. Beam theory turns the
shrinkage force F at one edge of a strip of width w, thickness t and length L into a bow

    delta = 0.75 F L^2 / (E t w^2) = C (L/w)^2

Plasma: F from Okerblom's shrinkage volume, V = mu (alpha/(c rho)) q with mu 0.335 (1958; from memory, fair to high),
and the heat q from a moving line source less the metal blown out (derived for this project). Flame: ECCS 1984, tension
block 1100 sqrt(t)/f_y (from memory, fair to high). The thermal values are those of steel in EN 1993-1-2.

**A model, not calibrated.** No published measured bow of plasma- or flame-cut strips is known here. Until strips of the
rig's own were measured (`calibrate`) the true bow may well be half or twice the estimate. Sheet cut from coil bows by
its own stress besides, either way. Mild steel only: no coefficients are held for stainless steel or aluminium.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

from stripplan.errors import FiguresError
from stripplan.rig.process.speed_formulas import CONDUCTIVITY, HEAT_CAPACITY, MELTING_RISE
from stripplan.rig.repeated_readings import scatter_or_reading
from stripplan.rig.standards import Limit, iso_2768_straightness
from stripplan.rig.uncertainty import Estimate, coverage_factor, resolution_u
from stripplan.wording.message import Facts, Message, measured
from stripplan.wording.message import length as length_of

CutProcess = Literal["plasma", "flame"]

NOT_CALIBRATED = (0.5, 2.0)
"""Least and greatest true bow over the model's while the rig has no C of its own: a guess at the model's worth, no
source."""
RESIDUE = 0.25
"""Share of one hot edge's bow that stays where two equally hot edges ought to cancel: common practice guess, no
source."""
SCATTER = 0.25
"""Standard deviation of C from strip to strip, as a share of it, while fewer than three strips show their own: a guess,
no source."""
SHOWS_SCATTER = 3
"""So many measured strips show how they scatter; fewer do not."""
DATUM_SHARE = 0.1
"""Share of a part's tolerance that the bow of a datum edge may take up: working rule of this project, no source."""
BLOCKS = 4.0
"""A strip narrower than so many tension blocks yields right through: the edge stress F/(w t) (1 + 3) reaches f_y (beam
theory)."""
_EPS = 1e-9


def positive(**values: float) -> float:
    """The last value; ValueError that names each that is not above 0."""
    faults = [name for name, value in values.items() if not (math.isfinite(value) and value > 0)]
    _say(faults, values, "must be above 0")
    return list(values.values())[-1]


def not_below(**values: float) -> None:
    """ValueError that names each value that is below 0."""
    faults = [name for name, value in values.items() if not (math.isfinite(value) and value >= 0)]
    _say(faults, values, "must not be below 0")


def _say(faults: Sequence[str], values: Mapping[str, float], rule: str) -> None:
    if faults:
        raise ValueError("; ".join(f"{name.replace('_', ' ')} {values[name]}: {rule}" for name in faults))


@dataclass(frozen=True, kw_only=True)
class Steel:
    """What the model needs to know of mild steel; `replace` to vary.

    `mu` Okerblom's coefficient (from memory, fair to high), `expansion` [1/K], `capacity` [J/kgK] and `density` [kg/m3]
    of his formula, `modulus` and `yield_stress` [N/mm2]. `capacity_warm` [J/kgK] holds for a strip after the heat has
    spread, `diffusivity` [mm2/s] likewise; `surface` is the heat given to still air by each face [W/m2K].
    """

    mu: float = 0.335
    expansion: float = 12e-6
    capacity: float = 600.0
    density: float = 7850.0
    modulus: float = 210_000.0
    yield_stress: float = 235.0
    capacity_warm: float = 500.0
    diffusivity: float = 14.0
    surface: float = 12.0

    def __post_init__(self) -> None:
        positive(**self.__dict__)

    @property
    def shrinkage(self) -> float:
        """alpha/(c rho) [m3/J].

        >>> f"{Steel().shrinkage:.4e}"
        '2.5478e-12'
        """
        return self.expansion / (self.capacity * self.density)


MILD_STEEL = Steel()
"""EN 1993-1-2 simple values (capacity, expansion), EN 1993-1-1 (modulus), S235; air at 12 W/m2K (derived for this
project)."""


@dataclass(frozen=True)
class BowEstimate:
    """About how far a strip will bow over its length [mm], from `low` to `high`.

    `calibrated` is True where C comes from measured strips. `beyond_model`: so narrow that it is hot right through, and
    the figures are only a warning. `hot_edges` counts the long edges that were cut.
    """

    bow: float
    low: float
    high: float
    calibrated: bool
    beyond_model: bool
    hot_edges: int


# --- the constant C -------------------------------------------------------------------------------------------------


def heat_per_thickness(travel_speed: float, kerf: float) -> float:
    """Heat that a plasma cut leaves in the metal on one side, per mm of cut and mm of thickness [J/mm2]: G = 0.5 k
    theta (1.6/v + w/a).

    `travel_speed` v [mm/min], `kerf` w [mm]; k, theta and the capacity in a = k/(rho c) as for the line source of
    `speed`. Derived for this project: not checked against any measurement.

    >>> round(heat_per_thickness(762, 1.5), 2), round(heat_per_thickness(381, 1.5), 2)
    (8.68, 11.48)
    """
    positive(travel_speed=travel_speed, kerf=kerf)
    diffusivity = CONDUCTIVITY / (MILD_STEEL.density * HEAT_CAPACITY)
    metres_per_second = travel_speed / 60_000
    heat = 0.5 * CONDUCTIVITY * MELTING_RISE * (1.6 / metres_per_second + kerf / 1000 / diffusivity)
    return heat / 1e6


def constant_of_heat(heat: float, *, steel: Steel = MILD_STEEL) -> float:
    """C [mm] of bow = C (L/w)^2 from the `heat` G of one edge [J/mm2]: 0.75 mu (alpha/(c rho)) G.

    >>> round(constant_of_heat(8.678), 5)
    0.00556
    """
    positive(heat=heat)
    return 0.75 * steel.mu * steel.shrinkage * heat * 1e9


def heat_of_constant(constant: float, *, steel: Steel = MILD_STEEL) -> float:
    """The heat G of one edge [J/mm2] that goes with its C [mm]; 0 for a cold edge.

    >>> round(heat_of_constant(0.00556), 2)
    8.69
    """
    not_below(constant=constant)
    return constant / (0.75 * steel.mu * steel.shrinkage * 1e9)


def heat_constant(
    travel_speed: float,
    kerf: float,
    process: CutProcess = "plasma",
    thickness: float | None = None,
    *,
    steel: Steel = MILD_STEEL,
) -> float:
    """C [mm] of bow = C (L/w)^2 for one cut edge, by the model, mild steel.

    Plasma: 0.75 mu (alpha/(c rho)) G whatever the `thickness`, so a slower cut bows more. Flame: 0.75 x 1100 sqrt(t)/E,
    t = `thickness` [mm], whatever `travel_speed` [mm/min] and `kerf` [mm]: ECCS 1984, from memory.

    >>> round(heat_constant(762, 1.5), 5), round(heat_constant(400, 2.5, "flame", 8), 4)
    (0.00556, 0.0111)
    """
    if process == "plasma":
        return constant_of_heat(heat_per_thickness(travel_speed, kerf), steel=steel)
    if process != "flame":
        raise ValueError(f"process {process!r} has no bow model; known are plasma, flame")
    if thickness is None:
        raise ValueError("a flame cut needs the thickness [mm]: its bow grows with the root of it")
    positive(thickness=thickness)
    return 0.75 * 1100 * math.sqrt(thickness) / steel.modulus


Strips: TypeAlias = Sequence[tuple[float, float, float]]
"""Rows of (bow, length, width) [mm]."""


def calibrate(strips: Strips, resolution: float) -> Estimate:
    """The rig's own C [mm] from strips with one hot edge: rows of (bow, length, width) [mm], measured cold against a
    straight edge.

    Each strip gives C = bow (w/L)^2; the mean counts. A bow is + where the strip is hollow on its cut edge.
    `resolution` is the step of the reading. From three strips on u is their scatter, or the reading where that is the
    greater (JCGM 100:2008, 4.2 and 4.3.7). Fewer do not show how strips scatter: a quarter of C is taken (`SCATTER`, a
    guess). Every fault of the table in one FiguresError.

    >>> found = calibrate([(3.0, 1200, 40)], 0.1)
    >>> round(found.value, 6), round(bow(1000, 60, (found, 0)).bow, 3)
    (0.003333, 0.926)
    """
    _refuse(strips, resolution)
    each = [gap * (width / length) ** 2 for gap, length, width in strips]
    reading = [resolution_u(resolution) * (width / length) ** 2 for _, length, width in strips]
    n, mean = len(each), math.fsum(each) / len(each)
    if mean <= 0:
        raise FiguresError(Message("bow_turned", facts=Facts(constant=length_of(mean))))
    _refuse_narrow(strips, mean)
    if n >= SHOWS_SCATTER:
        return scatter_or_reading(each, [1.0] * n, reading)[0]
    spread = math.sqrt(math.fsum((value - mean) ** 2 for value in each) / max(1, n - 1))
    between = max(spread, SCATTER * mean)
    return Estimate(mean, math.hypot(between / math.sqrt(n), math.fsum(reading) / n), math.inf, n)


def radius(length: float, bow: float) -> float:
    """Radius of an edge that bows by `bow` over `length` [mm]: L^2/(8 h) + h/2 (circle).

    >>> round(radius(1000, 2))
    62501
    """
    positive(length=length, bow=bow)
    return length * length / (8 * bow) + bow / 2


# --- the bow of a strip ---------------------------------------------------------------------------------------------


def bow(
    length: float,
    width: float,
    edges: Sequence[float | Estimate],
    *,
    residue: float = RESIDUE,
    steel: Steel = MILD_STEEL,
) -> BowEstimate:
    """About how far a strip of `length` and `width` [mm] bows; `edges` are the C [mm] of its two long edges, 0 for a
    mill or cold edge.

    One hot edge: C (L/w)^2. Two: |C1 - C2| (L/w)^2, yet not less than `residue` of the hotter one's. A C that is an
    `Estimate` counts as calibrated. Range while not calibrated: half to twice, from half the mere difference where both
    edges are hot. Calibrated: where the next strip will lie, 95 in 100, by C's uncertainty and the scatter of strips, u
    sqrt(n) (but `SCATTER` of C while n is below three).

    >>> round(bow(1000, 50, (0.00556, 0)).bow, 2), round(bow(1000, 50, (0.00556, 0.00556)).bow, 2)
    (2.22, 0.56)
    """
    positive(length=length, width=width)
    values = edge_values(edges)
    if not 0 <= residue <= 1:
        raise ValueError(f"residue {residue}: must lie from 0 to 1")
    hottest, hot_edges = max(values), sum(value > 0 for value in values)
    slender = (length / width) ** 2
    apart = abs(values[0] - values[1])
    constant = max(apart, residue * hottest) if hot_edges == 2 else hottest
    own = [each for each, value in zip(edges, values, strict=True) if value > 0]
    calibrated = bool(own) and all(isinstance(each, Estimate) for each in own)
    if calibrated:
        half = math.hypot(*(_half_of_next(each) for each in own if isinstance(each, Estimate)))
        low, high = max(0.0, apart - half), max(constant, apart + half)
    else:
        low, high = NOT_CALIBRATED[0] * apart, NOT_CALIBRATED[1] * constant
    narrow = beyond_model(width, hottest, steel=steel)
    return BowEstimate(constant * slender, low * slender, high * slender, calibrated, narrow, hot_edges)


def tension_block(constant: float, *, steel: Steel = MILD_STEEL) -> float:
    """Width of the strip of metal along the cut that is left at yield [mm]: c = F/(t f_y) = C E/(0.75 f_y).

    >>> round(tension_block(heat_constant(762, 1.5)), 1), round(tension_block(heat_constant(400, 2.5, "flame", 8)), 2)
    (6.6, 13.24)
    """
    not_below(constant=constant)
    return constant * steel.modulus / (0.75 * steel.yield_stress)


def least_width_of_model(constant: float, *, steel: Steel = MILD_STEEL) -> float:
    """Width below which the model is void [mm]: 4 c, four tension blocks.

    >>> round(least_width_of_model(heat_constant(762, 1.5)), 1)
    26.5
    """
    return BLOCKS * tension_block(constant, steel=steel)


def beyond_model(width: float, constant: float, *, steel: Steel = MILD_STEEL) -> bool:
    """True where a strip of `width` [mm] is hot right through: w < 4 c.

    >>> beyond_model(25, 0.00556), beyond_model(50, 0.00556)
    (True, False)
    """
    return positive(width=width) < least_width_of_model(constant, steel=steel)


def straightness_limit(length: float, asked: float | None = None) -> Limit:
    """How far a strip of `length` [mm] may bow [mm]: what is `asked`, else ISO 2768-2 class L; no value above 3 m.

    >>> straightness_limit(1000).value, straightness_limit(1000, 3).value
    (1.2, 3)
    """
    if asked is not None:
        return Limit(positive(limit=asked), "asked")
    return iso_2768_straightness("L", length)


# --- checks and words -----------------------------------------------------------------------------------------------


def _half_of_next(constant: Estimate) -> float:
    """Half the interval that holds the C of the next strip, 95 in 100: t sqrt(u^2 + s^2), s = u sqrt(n) or the assumed
    scatter."""
    scatter = constant.u * math.sqrt(constant.n)
    if constant.n < SHOWS_SCATTER:
        scatter = max(scatter, SCATTER * constant.value)
    return coverage_factor(constant.dof) * math.hypot(constant.u, scatter)


def edge_values(edges: Sequence[float | Estimate]) -> tuple[float, float]:
    """The C of both edges as numbers; ValueError that names each that cannot be."""
    if len(edges) != 2:
        raise ValueError(f"{len(edges)} edges: a strip has two long edges, 0 for one that was not cut")
    values = [each.value if isinstance(each, Estimate) else each for each in edges]
    faults = [
        f"edge {number}: C {value} must not be below 0 mm"
        for number, value in enumerate(values, 1)
        if not (math.isfinite(value) and value >= 0)
    ]
    if faults:
        raise ValueError("; ".join(faults))
    return values[0], values[1]


STRIP_TO_MEASURE = ((1000.0, 1200.0), 40.0, 50.0)
"""Least and greatest length, and width from, to, of a strip that bows enough to be measured [mm]: common practice, no
source.
"""


def _refuse(strips: Strips, resolution: float) -> None:
    """Raise FiguresError that names every row that cannot be."""
    positive(resolution=resolution)
    if not strips:
        raise FiguresError(Message("no_strip_measured"))
    faults = [
        Message("of_row", facts=Facts(row=row, what=fault))
        for row, strip in enumerate(strips, 1)
        if (fault := _strip_fault(*strip)) is not None
    ]
    if not faults and max(abs(gap) for gap, _, _ in strips) < resolution - _EPS:
        lengths, narrow, wide = STRIP_TO_MEASURE
        facts = Facts(
            step=measured(resolution), lengths=tuple(map(length_of, lengths)), narrow=length_of(narrow),
            wide=length_of(wide),
        )  # fmt: skip
        faults.append(Message("bow_too_small", facts=facts))
    if faults:
        raise FiguresError(*faults)


def _strip_fault(gap: float, length: float, width: float) -> Message | None:
    """What is wrong with one measured strip."""
    figures = Facts(bow=length_of(gap), length=length_of(length), width=length_of(width))
    if not all(math.isfinite(each) for each in (gap, length, width)):
        return Message("bow_no_number", facts=figures)
    figures = Facts(bow=measured(gap), length=measured(length), width=measured(width), zero=length_of(0))
    if length <= 0 or width <= 0:
        return Message("bow_not_above_0", facts=figures)
    if width >= length:
        return Message("bow_wide", facts=figures)
    return Message("bow_too_great", facts=figures) if abs(gap) > length / 2 else None


def _refuse_narrow(strips: Strips, constant: float) -> None:
    """Raise FiguresError that names each strip that was hot right through, so that its bow says nothing of C."""
    least = least_width_of_model(constant)
    faults = []
    for row, (_, _, width) in enumerate(strips, 1):
        if width < least:
            needed = length_of(math.ceil(least))
            facts = Facts(width=measured(width), least=needed, constant=length_of(constant))
            faults.append(Message("of_row", facts=Facts(row=row, what=Message("strip_hot_through", facts=facts))))
    if faults:
        raise FiguresError(*faults)
