"""Errors of one dimension, each known within limits or by its uncertainty, added up.

Method: what is known only to ±a has the standard uncertainty a/sqrt 3, independent parts add as the root of the sum of
squares, and twice that holds about 95 in 100: JCGM 100:2008 (GUM) 4.3.7, 5.1.2, 6.2. What acts the same way on every
part of a job (bow, bevel, a fence out of parallel) does not average out and is added outside the root. The worst case
is the plain sum of half-widths, as in chains of dimensions on drawings (common practice). A known error moves the
middle and is added with its sign.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from stripplan.rig.process.kerf import mm
from stripplan.rig.uncertainty import rectangular_u

COVERAGE = 2.0
"""Factor k of the expanded uncertainty, about 95 in 100: JCGM 100:2008, 6.3.3."""

SHIFT = "known error"
"""Name of the errors that are known, as it stands in a plan file."""

EPS = 1e-9


@dataclass(frozen=True)
class Contribution:
    """One thing that makes a dimension untrue: greatest error `half_width` [mm] and standard uncertainty `u` [mm].

    `systematic` acts the same way on every part and counts with its half-width outside the root. `assumed` was not
    measured.

    >>> Contribution.within("reading", 0.25).u, Contribution.known("zero", 0.1).half_width
    (0.14433756729740646, 0.2)
    """

    name: str
    half_width: float
    u: float
    systematic: bool = False
    assumed: bool = False

    def __post_init__(self) -> None:
        for what, value in (("half-width", self.half_width), ("u", self.u)):
            if not (math.isfinite(value) and value >= 0):
                raise ValueError(f"{self.name}: {what} {value} must not be below 0 mm")
        if self.u > self.half_width + EPS:
            raise ValueError(
                f"{self.name}: u {mm(self.u)} mm is more than the half-width {mm(self.half_width)} mm; "
                "no error that stays within ±a has a standard uncertainty above a"
            )

    @staticmethod
    def within(
        name: str,
        half_width: float,
        *,
        times: float = 1.0,
        settings: int = 1,
        systematic: bool = False,
        assumed: bool = False,
    ) -> Contribution:
        """Known only to lie within ± `half_width`; met in `settings` independent ones, each counting `times` over."""
        half = abs(times) * half_width
        u = rectangular_u(half) * math.sqrt(settings)
        return Contribution(name, half * settings, u, systematic, assumed)

    @staticmethod
    def known(name: str, u: float, *, times: float = 1.0, assumed: bool = False) -> Contribution:
        """Known by its standard uncertainty, counting `times` over; the worst case takes twice that."""
        return Contribution(name, COVERAGE * abs(times) * u, abs(times) * u, False, assumed)


@dataclass(frozen=True)
class Stack:
    """All contributions to one dimension, and the known error `shift` of its middle [mm, + = too wide].

    >>> strip = Stack((Contribution.within("reading", 0.25), Contribution.known("zero", 0.10),
    ...     Contribution.within("half kerf", 0.10), Contribution.within("rail", 0.15)))
    >>> round(strip.u, 3), round(strip.expanded, 2), round(strip.worst_case, 2), strip.greatest
    (0.204, 0.41, 0.7, 'reading')
    """

    contributions: tuple[Contribution, ...]
    shift: float = 0.0

    def __post_init__(self) -> None:
        names = [each.name for each in self.contributions]
        twice = sorted({name for name in names if names.count(name) > 1})
        if twice:
            raise ValueError(f"counted twice: {', '.join(twice)}; give each contribution a name of its own")
        if not math.isfinite(self.shift):
            raise ValueError(f"shift {self.shift}: must be a number")

    @property
    def u(self) -> float:
        """Standard uncertainty of what is not systematic [mm]: root of the sum of squares."""
        return math.sqrt(math.fsum(each.u**2 for each in self.contributions if not each.systematic))

    @property
    def systematic(self) -> float:
        """Sum of what acts the same way on every part [mm]."""
        return math.fsum(each.half_width for each in self.contributions if each.systematic)

    @property
    def expanded(self) -> float:
        """About 95 in 100 lie within ± this of the middle [mm]: 2 u, and what is systematic on top."""
        return COVERAGE * self.u + self.systematic

    @property
    def worst_case(self) -> float:
        """Everything at its worst at once, ± of the middle [mm]: the sum of half-widths."""
        return math.fsum(each.half_width for each in self.contributions)

    @property
    def deviation(self) -> float:
        """How far the dimension may be expected off its nominal [mm]: the known error and `expanded`."""
        return abs(self.shift) + self.expanded

    @property
    def greatest(self) -> str | None:
        """The contribution without which `expanded` would be least; None where there is none that counts."""
        if not any(each.half_width > 0 for each in self.contributions):
            return None
        return min(self.contributions, key=lambda each: self.scaled(each.name, 0.0).expanded).name

    @property
    def assumed(self) -> tuple[str, ...]:
        """Names of what was not measured."""
        return tuple(each.name for each in self.contributions if each.assumed)

    def scaled(self, name: str, factor: float) -> Stack:
        """The same with one contribution made smaller or greater; `SHIFT` names the known error."""
        if name == SHIFT:
            return replace(self, shift=self.shift * factor)
        if name not in {each.name for each in self.contributions}:
            known = ", ".join(each.name for each in self.contributions)
            raise ValueError(f"contribution {name!r} is not in the stack; it has {known}")
        return replace(
            self,
            contributions=tuple(
                replace(each, half_width=each.half_width * factor, u=each.u * factor) if each.name == name else each
                for each in self.contributions
            ),
        )

    def without(self, *names: str) -> Stack:
        """The same without some contributions."""
        return replace(self, contributions=tuple(each for each in self.contributions if each.name not in names))
