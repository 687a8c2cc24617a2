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
"""Units to a plate: products of two sizes still fit 64 bits many times over, and a table of sums over them the memory.
"""
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

    def holds(self, length: float) -> bool:
        """Whether a length is whole in units."""
        return (exact(length) / self.unit).denominator == 1

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
    # Half-kerfs too: the torch line lies half a kerf beyond the edge of the piece.
    values = [exact(each) for each in lengths if each] + [exact(each) / 2 for each in kerfs]
    bottom = math.lcm(*(each.denominator for each in values))
    # gcd of fractions: over their common denominator, the gcd of the numerators.
    top = math.gcd(*(int(each * bottom) for each in values))
    return Fraction(top, bottom)


def rounded_up(length: float) -> float:
    """To the next hundredth of a millimetre upwards: for parts and kerf, so that no layout is let through by rounding.

    >>> rounded_up(10.001)
    10.01
    """
    return float(math.ceil(exact(length) / FALLBACK) * FALLBACK)


def rounded_down(length: float) -> float:
    """To the next hundredth of a millimetre downwards: for plates.

    >>> rounded_down(10.009)
    10.0
    """
    return float(math.floor(exact(length) / FALLBACK) * FALLBACK)


def rounded_to_costs(bound: Fraction, costs: Sequence[float]) -> Fraction:
    """The bound raised to the next multiple of the plate costs' greatest common divisor.

    No plan costs anything between. Costs of 0 alone leave the bound as it is.

    >>> rounded_to_costs(Fraction(41), [30.0, 20.0])
    Fraction(50, 1)
    """
    exacts = [exact(cost) for cost in costs]
    bottom = math.lcm(*(each.denominator for each in exacts))
    # Every sum of costs is a multiple of their gcd, so nothing lies between two multiples.
    divisor = Fraction(math.gcd(*(int(each * bottom) for each in exacts)), bottom)
    return math.ceil(bound / divisor) * divisor if divisor > 0 else bound
