"""An open frame of flat bar: two sides and two ends, that butt on each other or are mitred."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from stripplan.errors import FiguresError
from stripplan.things.ring import ring
from stripplan.things.thing import (
    FINE,
    Less,
    Piece,
    Point,
    Size,
    Solid,
    Thing,
    View,
    as_given,
    check,
    check_gap,
    floored,
    less,
    upright,
)
from stripplan.wording.message import Facts, Message, length

NAMES = ("side bar", "end bar")
Corners = Literal["sides", "ends", "round", "mitred"]
"""As of `Through`; `mitred`: no bar runs through, all meet at 45 degrees."""


@dataclass(frozen=True, kw_only=True)
class Frame:
    """Figures of a frame [mm]: outer length and width, width and thickness of the bar, weld gap.

    The bars lie flat, or stand `on_edge`: then the thickness is what is seen from above, and the bar's width the height
    of the frame. Mitred ones lie flat, and their length is rounded down to `step`.
    """

    length: float
    width: float
    bar: float
    thickness: float
    gap: float = 0.0
    through: Corners = "sides"
    on_edge: bool = False
    step: float = 0.1

    def __post_init__(self) -> None:
        check("frame", length=self.length, width=self.width, bar=self.bar, thickness=self.thickness)
        check_gap("frame", gap=self.gap)

    def thing(self) -> Thing:
        """The frame. Raises FiguresError where the bars leave nothing between them.

        Of 800 x 600 outside with bar 50 x 6 lying flat, gap 1, sides through: side bars 800, end bars
        600 - 2 x 50 - 2 x 1 = 498. On edge it is the thickness that counts: 600 - 2 x 6 - 2 x 1 = 586.

        >>> flat, edge = (Frame(length=800, width=600, bar=50, thickness=6, gap=1, on_edge=on) for on in (False, True))
        >>> [[each.length.mm for each in frame.thing().pieces] for frame in (flat, edge)]
        [[800, 498], [800, 586]]
        """
        if self.through == "mitred":
            return self._mitred()
        thick, by = (self.thickness, "thickness") if self.on_edge else (self.bar, "bar")
        high = self.bar if self.on_edge else self.thickness
        made = ring(self.length, self.width, thick, self.gap, self.through, names=NAMES, by=by)
        bar = as_given(self.bar)
        pieces = (
            Piece(name=NAMES[0], width=bar, length=made.side, thickness=self.thickness, quantity=2),
            Piece(name=NAMES[1], width=bar, length=made.end, thickness=self.thickness, quantity=2),
        )
        solids = (
            *(upright(0, x, y, (0, high)) for x, y in made.sides),
            *(upright(1, x, y, (0, high)) for x, y in made.ends),
        )
        outer = (self.length, self.width, high)
        return Thing(kind="frame", outer=outer, pieces=pieces, solids=solids, views=(View("above"),))

    def _mitred(self) -> Thing:
        """The frame with bars that meet at 45 degrees. Raises FiguresError where they stand on edge.

        A mitre runs along the diagonal of its corner, and each of its two faces lies half the gap off that, so each
        bar ends gap / 2 x 1.41421 short of the corner, along its outer edge: its length between the long points is the
        outer one less 1.41421 gap. Of 800 x 600 outside with gap 2: 800 - 2.828 = 797.17, so 797.1, and 597.1. Of bar
        50 the short points are 2 x 50 nearer to each other: 697.1 and 497.1.

        >>> frame = Frame(length=800, width=600, bar=50, thickness=6, gap=2, through="mitred")
        >>> [(each.length.mm, each.ends) for each in frame.thing().pieces]
        [(797.1, (45, 45)), (597.1, (45, 45))]
        """
        if self.on_edge:
            raise FiguresError(Message("thing.mitred_on_edge", "frame", Facts(key="on_edge")))
        side = self._between_long_points(self.length, NAMES[0], "length")
        end = self._between_long_points(self.width, NAMES[1], "width")
        bar, x, y = as_given(self.bar), self.length, self.width
        pieces = tuple(
            Piece(name=name, width=bar, length=size, thickness=self.thickness, quantity=2, ends=(45, 45))
            for name, size in zip(NAMES, (side, end), strict=True)
        )
        solids = []
        for number, (size, over, across) in enumerate(((side, x, y), (end, y, x))):
            off = (over - size.mm) / 2
            near = ((off, 0.0), (over - off, 0.0), (over - off - self.bar, self.bar), (off + self.bar, self.bar))
            far = tuple((along, across - deep) for along, deep in near)
            for outline in (near, far):
                solids.append(_flat(number, outline, turned=number == 1, thick=self.thickness))
        outer = (x, y, self.thickness)
        return Thing(kind="frame", outer=outer, pieces=pieces, solids=tuple(solids), views=(View("above"),))

    def _between_long_points(self, whole: float, piece: str, side: str) -> Size:
        """Length of a mitred bar between its long points; FiguresError where its short points would meet."""
        off = Less(1, round(math.sqrt(2) * self.gap, FINE), "gap")
        less(whole, Less(2, self.bar, "bar"), off, piece=piece, side=side)
        if not self.gap:
            return as_given(whole)
        facts = Facts(whole=length(whole), gap=length(self.gap))
        return Size(floored(whole - math.sqrt(2) * self.gap, self.step), Message("thing.mitre_sum", facts=facts))


def _flat(piece: int, outline: tuple[Point, ...], *, turned: bool, thick: float) -> Solid:
    """A bar that lies flat, along x or, `turned`, along y."""
    points = tuple((y, x) for x, y in outline) if turned else outline
    twice = sum(a[0] * b[1] - a[1] * b[0] for a, b in zip(points, (*points[1:], points[0]), strict=True))
    return Solid(piece, points if twice > 0 else points[::-1], 0.0, thick, level=True)
