"""Lengths to whole units, exact wherever possible.

Layout counts in the coarsest unit that holds every length, kerf and half-kerf of the job exactly. Only
beyond 10^7 units a plate does it fall back to hundredths of a millimetre: parts and kerf up, plates down.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

MOST_UNITS = 10_000_000
"""Units to a plate: products of two sizes still fit 64 bits many times over, and a table of sums over them the memory."""
FALLBACK = Fraction(1, 100)
"""The unit where no exact one serves [mm]: finer than any fence is set."""


@functools.lru_cache(4096)  # a job has few lengths, and asks for each of them thousands of times
def exact(length: float) -> Fraction:
    """The decimal that a length was written as, exactly.

    >>> exact(9.525)
    Fraction(381, 40)
    """
    return Fraction(repr(float(length)))


@dataclass(frozen=True)
class Grid:
    """A unit of length [mm] in which the lengths of a job are whole."""

    unit: Fraction

    def units(self, length: float) -> int:
        """A length in units; ValueError if it is not whole."""
        count = exact(length) / self.unit
        if count.denominator != 1:
            raise ValueError(f"{length} mm is not a whole number of {float(self.unit)} mm")
        return int(count)

    def mm(self, units: int) -> float:
        """Units back to mm, correctly rounded."""
        return float(units * self.unit)


def common_grid(lengths: Iterable[float], kerfs: Iterable[float], largest: float) -> Grid | None:
    """The coarsest grid for all lengths, kerfs and half-kerfs; None where the largest plate would exceed 10^7 units.

    >>> common_grid([1000, 50], [1.5], 1000)
    Grid(unit=Fraction(1, 4))
    """
    unit = unit_of(lengths, kerfs)
    return Grid(unit) if exact(largest) / unit <= MOST_UNITS else None


def unit_of(lengths: Iterable[float], kerfs: Iterable[float]) -> Fraction:
    """The coarsest unit in which all lengths, kerfs and half-kerfs are whole [mm].

    >>> unit_of([1000, 50], [1.5])
    Fraction(1, 4)
    """
    values = [exact(each) for each in lengths if each] + [exact(each) / 2 for each in kerfs]
    bottom = math.lcm(*(each.denominator for each in values))
    top = math.gcd(*(int(each * bottom) for each in values))
    return Fraction(top, bottom)


def rounded_up(length: float) -> float:
    """To the next hundredth of a millimetre upwards."""
    return float(math.ceil(exact(length) / FALLBACK) * FALLBACK)


def rounded_down(length: float) -> float:
    """To the next hundredth of a millimetre downwards."""
    return float(math.floor(exact(length) / FALLBACK) * FALLBACK)


def rounded_to_costs(bound: Fraction, costs: Sequence[float]) -> Fraction:
    """The bound raised to the next sum of plate costs' greatest common divisor: no plan costs anything between."""
    exacts = [exact(cost) for cost in costs]
    bottom = math.lcm(*(each.denominator for each in exacts))
    divisor = Fraction(math.gcd(*(int(each * bottom) for each in exacts)), bottom)
    return math.ceil(bound / divisor) * divisor if divisor > 0 else bound
