"""What a search for little waste is asked: a plate and its parts, and sets of parts as counts in one word.

A set of parts is its counts one after the other, each with a bit to spare, so that two sets are added, and one is held
against another, in one step: the compiled twin of the search does the same with a word of 64 bits.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

MOST_PARTS = 32
"""Parts at most: their counts, each with a bit to spare, fit one word of 64 bits."""

GOING_ON, FOUND, ENDED, FULL = range(4)
"""What a run comes to: steps are over; all parts have their place; nothing is left to try; room for builds or holes is
over."""


@dataclass(frozen=True)
class Kind:
    """Parts of one shape: how many, the area of one, and the ways it may lie: extents with one kerf added."""

    copies: int
    area: int
    ways: tuple[tuple[int, int], ...]


@dataclass(frozen=True)
class Task:
    """Plate and parts, one kerf added. `gap` is the least that may be left over (0 = any), `reach` the longest cut.

    ValueError where the counts do not fit a word.
    """

    plate: tuple[int, int]
    kinds: tuple[Kind, ...]
    gap: int
    reach: int
    most_builds: int
    most_holes: int

    def __post_init__(self) -> None:
        bits = sum(kind.copies.bit_length() + 1 for kind in self.kinds)
        if bits > 64 or sum(kind.copies for kind in self.kinds) > MOST_PARTS:
            raise ValueError(f"at most {MOST_PARTS} parts, whose counts take {bits} of 64 bits")

    @property
    def slack(self) -> int:
        """What there is to waste [square units]."""
        return self.plate[0] * self.plate[1] - sum(kind.copies * kind.area for kind in self.kinds)


class Made(NamedTuple):
    """A build: least size and from where on any, along x and y; the axis along which sizes add up, and two builds.

    Axis -1 = a part: then its kind and the number of its way.
    """

    x: tuple[int, int]
    y: tuple[int, int]
    axis: int
    first: int
    rest: int


class Counting:
    """Counts of all kinds side by side in one number, each with a bit to spare (see `build_arrays.Counting`)."""

    def __init__(self, task: Task) -> None:
        self.kinds = task.kinds
        self.places: list[int] = []
        self.full = self.over = self.spare = place = 0
        for kind in task.kinds:
            bits = kind.copies.bit_length()
            self.places.append(place)
            self.full += kind.copies << place
            self.spare += ((1 << bits) - 1 - kind.copies) << place
            self.over += 1 << (place + bits)
            place += bits + 1

    def together(self, one: int, other: int) -> bool:
        """Whether there are parts enough for both."""
        return not (one + other + self.spare) & self.over

    def within(self, part: int, whole: int) -> bool:
        """Whether a whole has all of a part."""
        return ((whole | self.over) - part) & self.over == self.over

    def kinds_of(self, counts: int) -> Iterator[tuple[int, Kind, int]]:
        """Number of the kind, kind, copies: those that there are."""
        for number, (kind, place) in enumerate(zip(self.kinds, self.places, strict=True)):
            copies = (counts >> place) % (1 << kind.copies.bit_length())
            if copies:
                yield number, kind, copies

    def area(self, counts: int) -> int:
        """Area of all parts."""
        return sum(kind.area * copies for _, kind, copies in self.kinds_of(counts))
