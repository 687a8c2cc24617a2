"""Four pieces round a rectangle, seen from above: which of them run through, and where each stands."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from stripplan.things.thing import Less, Size, as_given, less

Through = Literal["sides", "ends", "round"]
"""Sides lie along the length, ends along the width. `round`: each runs through at one end and butts at the other."""

Span = tuple[float, float]


@dataclass(frozen=True)
class Ring:
    """Lengths of the two sides and the two ends, and where they stand: spans in x and y, sides first."""

    side: Size
    end: Size
    sides: tuple[tuple[Span, Span], tuple[Span, Span]]
    ends: tuple[tuple[Span, Span], tuple[Span, Span]]


def ring(
    length: float, width: float, thick: float, gap: float, through: Through, *, names: tuple[str, str], by: str
) -> Ring:
    """Four pieces `thick` [mm] round `length` x `width`, with a weld `gap` wherever one butts on another.

    Sides through: a side is L, an end W - 2 t - 2 g. Of 800 x 400 with t = 6 and g = 1: 800 and 400 - 12 - 2 = 386.
    Ends through: an end is W, a side L - 2 t - 2 g: 400 and 786. Round: L - t - g and W - t - g: 793 and 393.

    >>> made = [ring(800, 400, 6, 1, each, names=("side", "end"), by="thickness") for each in ("sides", "round")]
    >>> [(each.side.mm, each.end.mm) for each in made]
    [(800, 386), (793, 393)]
    """
    off = thick + gap
    less(length, Less(2, thick, by), piece=names[1], side="length")  # no pair may be wider than half of what it is in
    less(width, Less(2, thick, by), piece=names[0], side="width")
    if through == "round":
        once = (Less(1, thick, by), Less(1, gap, "gap"))
        return Ring(
            less(length, *once, piece=names[0], side="length"),
            less(width, *once, piece=names[1], side="width"),
            (((0, length - off), (0, thick)), ((off, length), (width - thick, width))),
            (((length - thick, length), (0, width - off)), ((0, thick), (off, width))),
        )
    twice = (Less(2, thick, by), Less(2, gap, "gap"))
    if through == "sides":
        along, across = (0.0, length), (off, width - off)
        side, end = as_given(length), less(width, *twice, piece=names[1], side="width")
    else:
        along, across = (off, length - off), (0.0, width)
        side, end = less(length, *twice, piece=names[0], side="length"), as_given(width)
    return Ring(
        side,
        end,
        ((along, (0, thick)), (along, (width - thick, width))),
        (((0, thick), across), ((length - thick, length), across)),
    )
