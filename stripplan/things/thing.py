"""A thing welded of flat pieces: what pieces it has, how each size comes about, and where each piece stands.

Axes: x along the thing's length, y along its width, z upwards; its lower left front corner is the origin. Every piece
is a flat one: a face of its width and length, and a thickness.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from stripplan.errors import FiguresError
from stripplan.wording.message import Fact, Facts, Message, length

Point = tuple[float, float]
Axis = Literal["above", "front", "side"]
"""From where a view is seen: along -z, along +y, along -x."""

FINE = 6
"""Decimals of a mm that are kept: sums of inches and mm come out exact, and no binary rest stays."""
LONGEST = 1e6
"""No size is longer [mm]."""
MOST = 1000
"""So many ribs, or things, at most."""


@dataclass(frozen=True)
class Size:
    """A size [mm] and the sum that it comes from, as a message."""

    mm: float
    sum: Message


@dataclass(frozen=True, kw_only=True)
class Piece:
    """Pieces alike of one thing: what they are called, their finished size, how many there are.

    `ends`: degrees between the lower edge and the left and the right end, measured inside the piece, None = square;
    the length is then that between the long points.
    """

    name: str
    width: Size
    length: Size
    thickness: float
    quantity: int
    ends: tuple[int, int] | None = None


@dataclass(frozen=True)
class Solid:
    """Where one piece stands: its outline in x and z, counter-clockwise, from y = `near` to `far` [mm].

    `piece` is its place in the thing's list. One that is `level` has its outline in x and y, from z = `near` to `far`.
    """

    piece: int
    outline: tuple[Point, ...]
    near: float
    far: float
    level: bool = False


@dataclass(frozen=True)
class View:
    """A view of the thing; what lies before the plane `at` is cut away, None = nothing is."""

    seen_from: Axis
    at: float | None = None


@dataclass(frozen=True, kw_only=True)
class Thing:
    """A thing, its outer size (length, width, height) [mm], its pieces, and views that show how they butt."""

    kind: str
    outer: tuple[float, float, float]
    pieces: tuple[Piece, ...]
    solids: tuple[Solid, ...] = field(repr=False)
    views: tuple[View, ...]

    def table(self, *, shown: Mapping[float, Any], times: int = 1, allowance: Any = None) -> list[dict[str, Any]]:
        """The `[[part]]` tables of a job for `times` such things; `shown` gives each length as it is written."""
        return [
            {"name": each.name, "width": shown[each.width.mm], "length": shown[each.length.mm]}
            | ({"ends": list(each.ends)} if each.ends else {})
            | {"quantity": each.quantity * times, "thickness": shown[each.thickness]}
            | ({"allowance": allowance} if allowance else {})
            for each in self.pieces
        ]

    @property
    def thickest(self) -> float:
        """Thickness of its thickest piece [mm]."""
        return max(each.thickness for each in self.pieces)

    @property
    def lengths(self) -> set[float]:
        """Every length of its list [mm]."""
        return {mm for each in self.pieces for mm in (each.width.mm, each.length.mm, each.thickness)}


@dataclass(frozen=True)
class Less:
    """Something taken off a size: `count` times `mm`, of what `what` names."""

    count: int
    mm: float
    what: str


def as_given(mm: float) -> Size:
    """A size as it was given."""
    return Size(round(mm, FINE), Message("thing.size", facts=Facts(size=length(mm))))


def less(whole: float, *taken: Less, piece: str, side: str) -> Size:
    """`whole` less what is `taken` off it; FiguresError where nothing is left for the `piece`, with what must change.

    `side` names what `whole` is a size of. 400 less two thicknesses of 6 and two gaps of 1 is 386.

    >>> less(400, Less(2, 6, "thickness"), Less(2, 1, "gap"), piece="end", side="width").mm
    386
    """
    off = sum(each.count * each.mm for each in taken)
    return _left(whole - off, whole, taken, piece=piece, side=side)


def bay(whole: float, *taken: Less, bays: int, gaps: Less, piece: str, side: str, step: float) -> Size:
    """One of `bays` equal spaces in `whole` less what is `taken` off it, less its `gaps`, rounded down to `step`.

    400 less three ribs of 8, in two bays, less two gaps of 1: 376 / 2 - 2 = 186.

    >>> ribs, gaps = Less(3, 8, "rib"), Less(2, 1, "gap")
    >>> bay(400, ribs, bays=2, gaps=gaps, piece="cross rib", side="width", step=0.1).mm
    186.0
    """
    inside = whole - sum(each.count * each.mm for each in taken)
    mm = floored(inside / bays - gaps.count * gaps.mm, step)
    if not mm > 0:
        raise _nothing(whole, whole - inside + bays * gaps.count * gaps.mm, taken, piece=piece, side=side)
    facts = Facts(whole=length(whole), taken=_terms(taken), bays=bays, gaps=_terms([gaps]))
    return Size(mm, Message("thing.bay", facts=facts))


def floored(mm: float, step: float) -> float:
    """The greatest multiple of `step` that is not above `mm`; a figure a hair below a multiple is that multiple.

    >>> floored(212.132, 0.1), floored(186.0, 0.1)
    (212.1, 186.0)
    """
    return round(math.floor(mm / step + 1e-9) * step, FINE)


def check(kind: str, **figures: float) -> None:
    """FiguresError that names every figure that is no size: not above 0, or beyond a kilometre."""
    wrong = [
        Message("thing.no_size", kind, Facts(key=key, given=length(value)))
        for key, value in figures.items()
        if not (math.isfinite(value) and 0 < value <= LONGEST)
    ]
    if wrong:
        raise FiguresError(*wrong)


def check_gap(kind: str, **figures: float) -> None:
    """FiguresError for a gap or distance below 0."""
    wrong = [
        Message("thing.below_0", kind, Facts(key=key, given=length(value)))
        for key, value in figures.items()
        if not 0 <= value <= LONGEST
    ]
    if wrong:
        raise FiguresError(*wrong)


def upright(piece: int, x: tuple[float, float], y: tuple[float, float], z: tuple[float, float]) -> Solid:
    """A piece with sides along the axes, between these figures."""
    (x0, x1), (z0, z1) = x, z
    return Solid(piece, ((x0, z0), (x1, z0), (x1, z1), (x0, z1)), *y)


def _left(mm: float, whole: float, taken: tuple[Less, ...], *, piece: str, side: str) -> Size:
    mm = round(mm, FINE)
    if not mm > 0:
        raise _nothing(whole, whole - mm, taken, piece=piece, side=side)
    there = [each for each in taken if each.count and each.mm]
    if not there:
        return as_given(whole)
    return Size(mm, Message("thing.less", facts=Facts(whole=length(whole), taken=_terms(there))))


def _nothing(whole: float, off: float, taken: tuple[Less, ...], *, piece: str, side: str) -> FiguresError:
    by = max(taken, key=lambda each: each.count * each.mm)
    facts = Facts(
        piece=piece, whole=length(whole), off=length(round(off, FINE)), side=side, by=by.what, taken=_terms(taken)
    )
    return FiguresError(Message("thing.nothing_left", piece, facts))


def _terms(taken: tuple[Less, ...] | list[Less]) -> tuple[Fact, ...]:
    """What is taken off, each as a message: 2 x 6, or 6 where it is once."""
    return tuple(
        Message("thing.times" if each.count > 1 else "thing.size", facts=Facts(count=each.count, size=length(each.mm)))
        for each in taken
        if each.count and each.mm
    )
