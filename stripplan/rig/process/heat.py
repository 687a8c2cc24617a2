"""How hot a strip comes off the rig, how long it stays so, and how far heat alone bends it."""

from __future__ import annotations

import math
from collections.abc import Sequence

from stripplan.rig.process.camber import MILD_STEEL, Steel, edge_values, heat_of_constant, not_below, positive
from stripplan.rig.uncertainty import Estimate

TOUCH = 48.0
"""Bare metal that may be held for ten minutes [deg C]: ISO 13732-1, from memory (fair); 51 for a minute, 55 for 10 s,
65 for 1 s."""


def mean_rise(width: float, edges: Sequence[float | Estimate], *, steel: Steel = MILD_STEEL) -> float:
    """Mean rise of temperature of a strip of `width` [mm] once its heat has spread and before air cools it [K]: sum of
    G/(rho c w).

    `edges` as for `bow`. For flame cuts G is drawn from the shrinkage force, which does not grow with all the heat: a
    low figure.

    >>> from stripplan.rig.process.camber import constant_of_heat
    >>> round(mean_rise(50, (constant_of_heat(8.68), 0)), 1)
    44.2
    """
    positive(width=width)
    heat = math.fsum(heat_of_constant(value, steel=steel) for value in edge_values(edges))
    return heat * 1e9 / (steel.density * steel.capacity_warm * width)


def spread_time(width: float, *, steel: Steel = MILD_STEEL) -> float:
    """About how long heat takes to spread across `width` [mm] of steel [s]: w^2/(10 a).

    >>> round(spread_time(50))
    18
    """
    return positive(width=width) ** 2 / (10 * steel.diffusivity)


def cooling_constant(thickness: float, *, steel: Steel = MILD_STEEL) -> float:
    """Time in which still air takes 63 % of a plate's rise, both faces free [s]: tau = rho c t/(2 h).

    >>> round(cooling_constant(6)), round(cooling_constant(12))
    (981, 1962)
    """
    return steel.density * steel.capacity_warm * positive(thickness=thickness) / 1000 / (2 * steel.surface)


def cooling_time(thickness: float, rise: float, left: float, *, steel: Steel = MILD_STEEL) -> float:
    """Time in still air until a mean rise of `rise` [K] has fallen to `left` [K], evenly warm right through [s]: tau
    ln(rise/left).

    >>> round(cooling_time(6, 44.2, 28)), cooling_time(6, 20, 28)
    (448, 0.0)
    """
    not_below(rise=rise)
    positive(left=left)
    return cooling_constant(thickness, steel=steel) * math.log(rise / left) if rise > left else 0.0


def gradient_left(seconds: float, width: float, *, steel: Steel = MILD_STEEL) -> float:
    """Share of the sideways slope of temperature that is left `seconds` after one edge of a plate of `width` [mm] took
    its heat (0..1).

    Heat put in at one edge of a plate without loss: (8/pi^2) sum over odd n of exp(-n^2 pi^2 a t/w^2)/n^2 (Fourier
    series of the slab, first moment about the middle; derived for this project).

    >>> gradient_left(0, 50), round(gradient_left(spread_time(50), 50), 2)
    (1.0, 0.3)
    """
    not_below(seconds=seconds)
    pace = math.pi**2 * steel.diffusivity * seconds / positive(width=width) ** 2
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
    positive(length=length)
    value = edge_values((constant, 0.0))[0]
    in_air = math.exp(-seconds / cooling_constant(thickness, steel=steel)) if thickness is not None else 1.0
    return value / steel.mu * (length / width) ** 2 * gradient_left(seconds, width, steel=steel) * in_air
