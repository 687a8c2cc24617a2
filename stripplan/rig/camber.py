"""How far a strip bows edgewise after thermal cuts (camber), how hot it is, and what makes it bow less.

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
from typing import Literal

from .kerf import mm, scatter_or_reading
from .speed import CONDUCTIVITY, HEAT_CAPACITY, MELTING_RISE
from .standards import Limit, iso_2768_straightness
from .uncertainty import Estimate, coverage_factor, resolution_u

CutProcess = Literal["plasma", "flame"]
RemedyKind = Literal["trim", "inside", "pair", "cool", "wider"]

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
TOUCH = 48.0
"""Bare metal that may be held for ten minutes [deg C]: ISO 13732-1, from memory (fair); 51 for a minute, 55 for 10 s,
65 for 1 s."""
BLOCKS = 4.0
"""A strip narrower than so many tension blocks yields right through: the edge stress F/(w t) (1 + 3) reaches f_y (beam
theory)."""
NOTICED = 0.01
"""Bow below which a difference is not worth a sentence [mm]."""
_EPS = 1e-9


def _positive(**values: float) -> float:
    """The last value; ValueError that names each that is not above 0."""
    faults = [name for name, value in values.items() if not (math.isfinite(value) and value > 0)]
    _say(faults, values, "must be above 0")
    return list(values.values())[-1]


def _not_below(**values: float) -> None:
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
        _positive(**self.__dict__)

    @property
    def shrinkage(self) -> float:
        """alpha/(c rho) [m3/J].

        >>> f"{Steel().shrinkage:.4e}"
        '2.5478e-12'
        """
        return self.expansion / (self.capacity * self.density)

    @property
    def force_per_heat(self) -> float:
        """Shrinkage force per heat to the part, mu alpha E/(c rho) [kN per J/mm]; the tendon-force rule has about 0.2.

        >>> round(Steel().force_per_heat, 4)
        0.1792
        """
        return self.mu * self.shrinkage * self.modulus * 1e6


MILD_STEEL = Steel()
"""EN 1993-1-2 simple values (capacity, expansion), EN 1993-1-1 (modulus), S235; air at 12 W/m2K (derived for this
project)."""


@dataclass(frozen=True)
class BowEstimate:
    """About how far a strip will bow over its length [mm], from `low` to `high`.

    `calibrated` is True where C comes from measured strips. `beyond_model`: so narrow that it is hot right through, and
    the figures are only a warning. `hot_edges` counts the long edges that were cut. `note` says what the range means.
    """

    bow: float
    low: float
    high: float
    calibrated: bool
    beyond_model: bool
    hot_edges: int
    note: str

    @property
    def text(self) -> str:
        """One line for the sheet.

        >>> bow(1000, 50, (0.00556, 0)).text
        'bow about 2.22 mm (1.11 to 4.45), model, not calibrated'
        """
        words = f"bow about {_mm(self.bow)} mm ({_mm(self.low)} to {_mm(self.high)})"
        if self.hot_edges and not self.calibrated:
            words += ", model, not calibrated"
        return f"{words}, bow beyond model" if self.beyond_model else words


@dataclass(frozen=True)
class Remedy:
    """One way to less bow: in a sentence, the bow then estimated [mm], and whether it keeps to the limit (None = no
    limit)."""

    kind: RemedyKind
    text: str
    bow: float
    meets: bool | None


@dataclass(frozen=True)
class StripHeat:
    """How hot a strip is: mean `rise` [K] once heat has spread, mean `temperature` [deg C], `spread` [s], `until_touch`
    [s] until bare metal may be held for minutes. Models all; `note` is the caution."""

    rise: float
    temperature: float
    spread: float
    until_touch: float
    note: str


# --- the constant C -------------------------------------------------------------------------------------------------


def heat_per_thickness(travel_speed: float, kerf: float) -> float:
    """Heat that a plasma cut leaves in the metal on one side, per mm of cut and mm of thickness [J/mm2]: G = 0.5 k
    theta (1.6/v + w/a).

    `travel_speed` v [mm/min], `kerf` w [mm]; k, theta and the capacity in a = k/(rho c) as for the line source of
    `speed`. Derived for this project: not checked against any measurement.

    >>> round(heat_per_thickness(762, 1.5), 2), round(heat_per_thickness(381, 1.5), 2)
    (8.68, 11.48)
    """
    _positive(travel_speed=travel_speed, kerf=kerf)
    diffusivity = CONDUCTIVITY / (MILD_STEEL.density * HEAT_CAPACITY)
    metres_per_second = travel_speed / 60_000
    heat = 0.5 * CONDUCTIVITY * MELTING_RISE * (1.6 / metres_per_second + kerf / 1000 / diffusivity)
    return heat / 1e6


def constant_of_heat(heat: float, *, steel: Steel = MILD_STEEL) -> float:
    """C [mm] of bow = C (L/w)^2 from the `heat` G of one edge [J/mm2]: 0.75 mu (alpha/(c rho)) G.

    >>> round(constant_of_heat(8.678), 5)
    0.00556
    """
    _positive(heat=heat)
    return 0.75 * steel.mu * steel.shrinkage * heat * 1e9


def heat_of_constant(constant: float, *, steel: Steel = MILD_STEEL) -> float:
    """The heat G of one edge [J/mm2] that goes with its C [mm]; 0 for a cold edge.

    >>> round(heat_of_constant(0.00556), 2)
    8.69
    """
    _not_below(constant=constant)
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
    _positive(thickness=thickness)
    return 0.75 * 1100 * math.sqrt(thickness) / steel.modulus


def calibrate(measured: Sequence[tuple[float, float, float]], resolution: float) -> Estimate:
    """The rig's own C [mm] from strips with one hot edge: rows of (bow, length, width) [mm], measured cold against a
    straight edge.

    Each strip gives C = bow (w/L)^2; the mean counts. A bow is + where the strip is hollow on its cut edge.
    `resolution` is the step of the reading. From three strips on u is their scatter, or the reading where that is the
    greater (JCGM 100:2008, 4.2 and 4.3.7). Fewer do not show how strips scatter: a quarter of C is taken (`SCATTER`, a
    guess). Every fault of the table in one ValueError.

    >>> found = calibrate([(3.0, 1200, 40)], 0.1)
    >>> round(found.value, 6), round(bow(1000, 60, (found, 0)).bow, 3)
    (0.003333, 0.926)
    """
    _refuse(measured, resolution)
    each = [gap * (width / length) ** 2 for gap, length, width in measured]
    reading = [resolution_u(resolution) * (width / length) ** 2 for _, length, width in measured]
    n, mean = len(each), math.fsum(each) / len(each)
    if mean <= 0:
        raise ValueError(
            f"the strips bow the wrong way, C {mean:.4f} mm: a cut edge ends up hollow. The plate's own stress is "
            "greater than the cut's, or the signs are turned round; measure strips of another plate"
        )
    _refuse_narrow(measured, mean)
    if n >= SHOWS_SCATTER:
        return scatter_or_reading(each, [1.0] * n, reading)[0]
    spread = math.sqrt(math.fsum((value - mean) ** 2 for value in each) / max(1, n - 1))
    strips = max(spread, SCATTER * mean)
    return Estimate(mean, math.hypot(strips / math.sqrt(n), math.fsum(reading) / n), math.inf, n)


def radius(length: float, bow: float) -> float:
    """Radius of an edge that bows by `bow` over `length` [mm]: L^2/(8 h) + h/2 (circle).

    >>> round(radius(1000, 2))
    62501
    """
    _positive(length=length, bow=bow)
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
    _positive(length=length, width=width)
    values = _values(edges)
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
    note = _note(own, calibrated, hot_edges, residue)
    if narrow:
        least = _mm(least_width_of_model(hottest, steel=steel))
        note += f" Narrower than {least} mm it is hot right through: expect to straighten it."
    return BowEstimate(constant * slender, low * slender, high * slender, calibrated, narrow, hot_edges, note)


def bow_of_rest(
    length: float, width: float, constant: float | Estimate, *, other_edge: float | Estimate = 0.0
) -> BowEstimate:
    """About how far the rest of a plate bows after a cut along its `length` that leaves `width` [mm]; `constant` is the
    cut's C [mm].

    >>> round(bow_of_rest(2000, 1000, 0.00556).bow, 2), round(bow_of_rest(1000, 50, 0.00556).bow, 1)
    (0.02, 2.2)
    """
    return bow(length, width, (constant, other_edge))


def keep_mill_edge(length: float, width: float, constant: float | Estimate, tolerance: float) -> bool:
    """True where the rest's fresh edge is too hollow for the fence: its bow takes more than a tenth of the next strip's
    `tolerance` [mm].

    >>> keep_mill_edge(2000, 1000, 0.00556, 0.5), keep_mill_edge(2000, 300, 0.00556, 0.5)
    (False, True)
    """
    _positive(tolerance=tolerance)
    return bow_of_rest(length, width, constant).bow > DATUM_SHARE * tolerance


def least_width(length: float, constant: float, *, limit: float | None = None, parts: float | None = None) -> float:
    """Least width [mm] at which one hot edge of `constant` C bows no more than `limit` [mm], or than one of so many
    `parts` of the length.

    w = L sqrt(C/limit) = sqrt(C L N). Below `least_width_of_model` the formula says nothing.

    >>> round(least_width(1000, 0.00556, parts=500), 1), round(least_width(1000, 0.00556, limit=1.2), 1)
    (52.7, 68.1)
    """
    _positive(length=length, constant=constant)
    if limit is not None and parts is None:
        allowed = _positive(limit=limit)
    elif parts is not None and limit is None:
        allowed = length / _positive(parts=parts)
    else:
        raise ValueError("give either the limit [mm] or the parts of the length, not both")
    return length * math.sqrt(constant / allowed)


def tension_block(constant: float, *, steel: Steel = MILD_STEEL) -> float:
    """Width of the strip of metal along the cut that is left at yield [mm]: c = F/(t f_y) = C E/(0.75 f_y).

    >>> round(tension_block(heat_constant(762, 1.5)), 1), round(tension_block(heat_constant(400, 2.5, "flame", 8)), 2)
    (6.6, 13.24)
    """
    _not_below(constant=constant)
    return constant * steel.modulus / (0.75 * steel.yield_stress)


def shrinkage_force(constant: float, thickness: float, *, steel: Steel = MILD_STEEL) -> float:
    """Force with which a cut edge of `constant` C [mm] pulls a plate of `thickness` [mm] together [kN]: F = C E t/0.75.

    >>> round(shrinkage_force(heat_constant(400, 2.5, "flame", 6), 6), 2)
    16.17
    """
    _not_below(constant=constant)
    return constant * steel.modulus * _positive(thickness=thickness) / 0.75 / 1000


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
    return _positive(width=width) < least_width_of_model(constant, steel=steel)


def straightness_limit(length: float, asked: float | None = None) -> Limit:
    """How far a strip of `length` [mm] may bow [mm]: what is `asked`, else ISO 2768-2 class L; no value above 3 m.

    >>> straightness_limit(1000).value, straightness_limit(1000).note
    (1.2, 'ISO 2768-2 class L, as nothing else is asked')
    """
    if asked is not None:
        return Limit(_positive(limit=asked), "asked")
    found = iso_2768_straightness("L", length)
    if found.value is None:
        return found
    return Limit(found.value, found.status, "ISO 2768-2 class L, as nothing else is asked")


# --- heat -----------------------------------------------------------------------------------------------------------


def mean_rise(width: float, edges: Sequence[float | Estimate], *, steel: Steel = MILD_STEEL) -> float:
    """Mean rise of temperature of a strip of `width` [mm] once its heat has spread and before air cools it [K]: sum of
    G/(rho c w).

    `edges` as for `bow`. For flame cuts G is drawn from the shrinkage force, which does not grow with all the heat: a
    low figure.

    >>> round(mean_rise(50, (constant_of_heat(8.68), 0)), 1)
    44.2
    """
    _positive(width=width)
    heat = math.fsum(heat_of_constant(value, steel=steel) for value in _values(edges))
    return heat * 1e9 / (steel.density * steel.capacity_warm * width)


def spread_time(width: float, *, steel: Steel = MILD_STEEL) -> float:
    """About how long heat takes to spread across `width` [mm] of steel [s]: w^2/(10 a).

    >>> round(spread_time(50))
    18
    """
    return _positive(width=width) ** 2 / (10 * steel.diffusivity)


def cooling_constant(thickness: float, *, steel: Steel = MILD_STEEL) -> float:
    """Time in which still air takes 63 % of a plate's rise, both faces free [s]: tau = rho c t/(2 h).

    >>> round(cooling_constant(6)), round(cooling_constant(12))
    (981, 1962)
    """
    return steel.density * steel.capacity_warm * _positive(thickness=thickness) / 1000 / (2 * steel.surface)


def cooling_time(thickness: float, rise: float, left: float, *, steel: Steel = MILD_STEEL) -> float:
    """Time in still air until a mean rise of `rise` [K] has fallen to `left` [K], evenly warm right through [s]: tau
    ln(rise/left).

    >>> round(cooling_time(6, 44.2, 28)), cooling_time(6, 20, 28)
    (448, 0.0)
    """
    _not_below(rise=rise)
    _positive(left=left)
    return cooling_constant(thickness, steel=steel) * math.log(rise / left) if rise > left else 0.0


def strip_heat(
    width: float,
    thickness: float,
    edges: Sequence[float | Estimate],
    *,
    ambient: float = 20.0,
    touch: float = TOUCH,
    steel: Steel = MILD_STEEL,
) -> StripHeat:
    """How hot a strip of `width` and `thickness` [mm] comes off the rig and how long it stays so, `ambient` and `touch`
    [deg C].

    >>> found = strip_heat(50, 6, (heat_constant(762, 1.5), heat_constant(762, 1.5)))
    >>> round(found.temperature), round(found.until_touch / 60)
    (108, 19)
    """
    if not (math.isfinite(ambient) and math.isfinite(touch) and touch > ambient):
        raise ValueError(f"touch {touch} deg C must lie above ambient {ambient} deg C, or the strip never cools so far")
    rise, spread = mean_rise(width, edges, steel=steel), spread_time(width, steel=steel)
    cooling = cooling_time(thickness, rise, touch - ambient, steel=steel)
    note = (
        "An estimate. The cut edge is far hotter than the mean at first, and a hot strip looks like a cold one: gloves "
        "and tongs, and feel for heat before a bare hand goes near."
    )
    return StripHeat(rise, ambient + rise, spread, spread + cooling if cooling else 0.0, note)


def gradient_left(seconds: float, width: float, *, steel: Steel = MILD_STEEL) -> float:
    """Share of the sideways slope of temperature that is left `seconds` after one edge of a plate of `width` [mm] took
    its heat (0..1).

    Heat put in at one edge of a plate without loss: (8/pi^2) sum over odd n of exp(-n^2 pi^2 a t/w^2)/n^2 (Fourier
    series of the slab, first moment about the middle; derived for this project).

    >>> gradient_left(0, 50), round(gradient_left(spread_time(50), 50), 2)
    (1.0, 0.3)
    """
    _not_below(seconds=seconds)
    pace = math.pi**2 * steel.diffusivity * seconds / _positive(width=width) ** 2
    if pace < 1e-6:
        return 1.0
    total, n = 0.0, 1
    while n * n * pace < 50:
        total += math.exp(-n * n * pace) / n**2
        n += 2
    return 8 / math.pi**2 * total


def warm_bow(
    length: float,
    width: float,
    constant: float | Estimate,
    seconds: float,
    *,
    thickness: float | None = None,
    steel: Steel = MILD_STEEL,
) -> float:
    """How far a piece of `length` and `width` [mm] is bent by heat alone, `seconds` after the cut along it, its hot
    edge bulging [mm].

    (C/mu) (L/w)^2 times the slope of temperature that is left, less what air takes where `thickness` [mm] is given. A
    cut made along it now is out of straight by that when all is cold. As if the cut were made all at once, so rather
    too much. Derived for this project.

    >>> round(warm_bow(1000, 200, 0.00556, 0), 2), round(warm_bow(1000, 200, 0.00556, 600), 2)
    (0.41, 0.04)
    """
    _positive(length=length)
    value = _values((constant, 0.0))[0]
    in_air = math.exp(-seconds / cooling_constant(thickness, steel=steel)) if thickness is not None else 1.0
    return value / steel.mu * (length / width) ** 2 * gradient_left(seconds, width, steel=steel) * in_air


# --- what helps -----------------------------------------------------------------------------------------------------


def remedies(
    length: float,
    width: float,
    edges: Sequence[float | Estimate],
    *,
    kerf: float,
    limit: float | None = None,
    count: int = 1,
    from_width: float | None = None,
    pause: float = 0.0,
    thickness: float | None = None,
    residue: float = RESIDUE,
    steel: Steel = MILD_STEEL,
) -> tuple[Remedy, ...]:
    """What would make a strip bow less, each with its figure; only what lowers the estimate, nothing where its high end
    keeps the limit.

    `edges` as for `bow`; `limit` [mm], default `straightness_limit`. `count` strips of that kind are wanted.
    `from_width` [mm] is the piece that the strip is cut from where an edge of that was cut `pause` seconds earlier: it
    may still be bent by heat. The answer counts that in.

    >>> found = remedies(1000, 50, (0.00556, 0), kerf=1.5)
    >>> [(each.kind, round(each.bow, 2)) for each in found]
    [('trim', 0.56), ('inside', 0.56), ('wider', 1.17)]
    >>> found[-1].text
    'Make it wider: from 69 mm on about 1.2 mm is kept (97 mm for the high end of the range).'
    """
    if count < 1:
        raise ValueError(f"{count} strips: at least 1 is needed")
    _positive(kerf=kerf)
    now = bow(length, width, edges, residue=residue, steel=steel)
    allowed = straightness_limit(length, limit).value
    values = _values(edges)
    hottest = max(values)
    warm = 0.0
    if from_width is not None and hottest > 0:
        if from_width < width:
            raise ValueError(f"from width {mm(from_width)}: a strip of {mm(width)} mm cannot be cut from it")
        warm = warm_bow(length, from_width, hottest, pause, thickness=thickness, steel=steel)
    if hottest == 0 or (allowed is not None and not now.beyond_model and now.high + warm <= allowed + _EPS):
        return ()
    found: list[tuple[RemedyKind, str, float]] = []
    if not now.beyond_model:
        if now.hot_edges == 1:
            found += _second_edge(length, width, hottest, kerf, count, residue, steel, now.bow)
        if warm > 0 and from_width is not None:
            cooled = _let_cool(length, from_width, hottest, pause, thickness, steel, allowed, warm)
            found += [("cool", cooled[0], now.bow + cooled[1] - warm)] if cooled else []
    found += _wider(width, now, hottest, allowed, warm, steel)
    return tuple(
        Remedy(kind, text, after + warm, None if allowed is None else after + warm <= allowed + _EPS)
        for kind, text, after in found
        if kind == "wider" or after < now.bow - NOTICED
    )


def _second_edge(
    length: float, width: float, hottest: float, kerf: float, count: int, residue: float, steel: Steel, now: float
) -> list[tuple[RemedyKind, str, float]]:
    """Three ways to a second hot edge: a trim, another place, a pair that is split last."""
    after = bow(length, width, (hottest, hottest), residue=residue, steel=steel).bow
    gain = f"about {_mm(after)} mm in place of {_mm(now)} mm."
    found: list[tuple[RemedyKind, str, float]] = [
        (
            "trim",
            "Trim the other long edge too, for one more cut: both edges are then hot and pull against each other; "
            + gain,
            after,
        ),
        (
            "inside",
            "Take it from inside the plate, where both its edges are cut, and leave the mill edge on an offcut or a "
            "wide part; " + gain,
            after,
        ),
    ]
    if count >= 2:
        pair = 2 * width + kerf
        together = bow(length, pair, (hottest, hottest), residue=residue, steel=steel).bow
        text = (
            f"Cut them in pairs: a blank of {mm(pair)} mm with both its long edges trimmed, let it cool, then split it "
            f"down the middle. It goes to the fence with about {_mm(together)} mm of bow, one trim serves two strips, "
            f"and each bows {gain}"
        )
        found.append(("pair", text, after))
    return found


def _let_cool(
    length: float,
    from_width: float,
    hottest: float,
    pause: float,
    thickness: float | None,
    steel: Steel,
    allowed: float | None,
    warm: float,
) -> tuple[str, float] | None:
    """The sentence on waiting, and the bow by heat that is left then; None where it is small already."""
    target = DATUM_SHARE * (warm if allowed is None else allowed)
    if warm <= target:
        return None

    def left(seconds: float) -> float:
        return warm_bow(length, from_width, hottest, seconds, thickness=thickness, steel=steel)

    # The slope falls with time throughout: double until small enough, then halve the bracket.
    early, late = pause, max(1.0, 2 * pause)
    while left(late) > target:
        early, late = late, 2 * late
    while late - early > 0.5:
        middle = (early + late) / 2
        early, late = (middle, late) if left(middle) > target else (early, middle)
    wait = math.ceil(late)
    text = (
        f"Let the plate cool between the cuts: {_time(wait)} after the last one in place of {_time(pause)}. Heat alone "
        f"then bends it by about {_mm(left(wait))} mm in place of {_mm(warm)} mm, and the cut is that much straighter."
    )
    return text, left(wait)


def _wider(
    width: float, now: BowEstimate, hottest: float, allowed: float | None, warm: float, steel: Steel
) -> list[tuple[RemedyKind, str, float]]:
    """The least width that keeps the limit, by the estimate and by its high end; nothing where no width does."""
    void = least_width_of_model(hottest, steel=steel)
    budget = None if allowed is None else allowed - warm
    if budget is None or budget <= 0:
        if not now.beyond_model:
            return []
        text = f"Make it wider: below {math.ceil(void)} mm it is hot right through and no figure holds."
        return [("wider", text, now.bow * (width / math.ceil(void)) ** 2)]
    by_estimate, by_high = (
        math.ceil(max(void, width * math.sqrt(each / budget)) - _EPS) for each in (now.bow, now.high)
    )
    chosen = by_estimate if by_estimate > width else by_high
    if chosen <= width:
        return []
    kept = f"about {_mm(budget + warm)} mm is kept"
    if warm > NOTICED:
        kept += f", {_mm(warm)} mm of it bent by heat from the last cut"
    text = f"Make it wider: from {chosen} mm on {kept}"
    if chosen < by_high:
        text += f" ({by_high} mm for the high end of the range)"
    elif by_estimate <= width:
        text += " even at the high end of the range"
    return [("wider", f"{text}.", now.bow * (width / chosen) ** 2)]


# --- checks and words -----------------------------------------------------------------------------------------------


def _half_of_next(constant: Estimate) -> float:
    """Half the interval that holds the C of the next strip, 95 in 100: t sqrt(u^2 + s^2), s = u sqrt(n) or the assumed
    scatter."""
    scatter = constant.u * math.sqrt(constant.n)
    if constant.n < SHOWS_SCATTER:
        scatter = max(scatter, SCATTER * constant.value)
    return coverage_factor(constant.dof) * math.hypot(constant.u, scatter)


def _note(own: Sequence[float | Estimate], calibrated: bool, hot_edges: int, residue: float) -> str:
    """What the range means, in words."""
    if not own:
        return "No cut edge: as straight as the plate was. Sheet cut from coil may bow by its own stress, either way."
    if calibrated:
        counts = [each.n for each in own if isinstance(each, Estimate)]
        strips = "1 strip" if min(counts) == 1 else f"{min(counts)} strips"
        text = f"Calibrated with {strips} measured on the rig."
        if min(counts) < SHOWS_SCATTER:
            text += (
                f" They do not show how strips scatter: {SCATTER:.0%} of C is assumed. Measure {SHOWS_SCATTER} or more."
            )
    else:
        text = (
            "Model, not calibrated: half to twice is likely. Measure strips with one cut edge to make it the rig's own."
        )
    if hot_edges == 2:
        return f"{text} Two hot edges cancel; {residue:.0%} of the hotter one's bow is kept back as a guess."
    return f"{text} Hollow on the cut edge."


def _values(edges: Sequence[float | Estimate]) -> tuple[float, float]:
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


def _refuse(measured: Sequence[tuple[float, float, float]], resolution: float) -> None:
    """Raise ValueError that names every row that cannot be."""
    _positive(resolution=resolution)
    if not measured:
        raise ValueError("no strip was measured: 1 is needed at least, 3 show how they scatter")
    faults = []
    for number, (gap, length, width) in enumerate(measured, 1):
        if not all(math.isfinite(each) for each in (gap, length, width)):
            faults.append(f"row {number}: bow {gap}, length {length}, width {width}: all must be numbers")
        elif length <= 0 or width <= 0:
            faults.append(f"row {number}: length {mm(length)} and width {mm(width)} must be above 0 mm")
        elif width >= length:
            faults.append(
                f"row {number}: width {mm(width)} is not below length {mm(length)} mm; are they the wrong way round?"
            )
        elif abs(gap) > length / 2:
            faults.append(f"row {number}: bow {mm(gap)} is more than half the length, {mm(length)} mm")
    if not faults and max(abs(gap) for gap, _, _ in measured) < resolution - _EPS:
        faults.append(
            f"no bow reaches one step of the reading, {mm(resolution)} mm: take strips of 1000 to 1200 x 40 to 50 mm, "
            "or a finer gauge"
        )
    if faults:
        raise ValueError("; ".join(faults))


def _refuse_narrow(measured: Sequence[tuple[float, float, float]], constant: float) -> None:
    """Raise ValueError that names each strip that was hot right through, so that its bow says nothing of C."""
    least = least_width_of_model(constant)
    faults = [
        f"row {number}: a strip of {mm(width)} mm is hot right through; at least {math.ceil(least)} mm wide is needed "
        f"with C {constant:.4f} mm"
        for number, (_, _, width) in enumerate(measured, 1)
        if width < least
    ]
    if faults:
        raise ValueError("; ".join(faults))


def _mm(value: float) -> str:
    """A bow for a sentence: two decimals below 10 mm, else one, no idle zeros.

    >>> _mm(2.224), _mm(12.34), _mm(1.2)
    ('2.22', '12.3', '1.2')
    """
    return mm(round(value, 2 if value < 10 else 1))


def _time(seconds: float) -> str:
    """A time in words: seconds up to two minutes, then minutes."""
    return f"{math.ceil(seconds)} s" if seconds <= 120 else f"{math.ceil(seconds / 60)} min"
