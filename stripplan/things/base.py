"""A base: a plate with ribs on edge, one way or both."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from stripplan.errors import FiguresError
from stripplan.things.thing import (
    MOST,
    Less,
    Piece,
    Size,
    Solid,
    Thing,
    View,
    as_given,
    bay,
    check,
    check_gap,
    less,
    upright,
)
from stripplan.wording.message import Facts, Message, length

Along = Literal["length", "width"]
Span = tuple[float, float]


@dataclass(frozen=True, kw_only=True)
class Base:
    """Figures of a base [mm]: length and width of its plate, height over all, thickness of the plate, weld gap.

    `ribs` run through `along` the length or the width; `cross_ribs` rows of pieces stand between them, or run through
    where there are no ribs. Both stay `edge` off the plate's edges. `rib_thickness` None: as the plate. What does not
    come out even is rounded down to `step`.
    """

    length: float
    width: float
    height: float
    thickness: float
    ribs: int = 2
    cross_ribs: int = 0
    rib_thickness: float | None = None
    edge: float = 0.0
    along: Along = "length"
    gap: float = 0.0
    step: float = 0.1

    def __post_init__(self) -> None:
        check("base", length=self.length, width=self.width, height=self.height, thickness=self.thickness)
        check("base", rib_thickness=self.rib_thick)
        check_gap("base", gap=self.gap, edge=self.edge)
        for key, count in (("ribs", self.ribs), ("cross_ribs", self.cross_ribs)):
            if not 0 <= count <= MOST:
                raise FiguresError(Message("thing.no_count", "base", Facts(key=key, given=count, most=MOST)))
        if self.ribs + self.cross_ribs == 0:
            raise FiguresError(Message("thing.no_rib", "base"))

    @property
    def rib_thick(self) -> float:
        """Thickness of the ribs [mm]."""
        return self.thickness if self.rib_thickness is None else self.rib_thickness

    def thing(self) -> Thing:
        """The base. Raises FiguresError where ribs do not fit.

        Of 600 x 400, 80 high, t = 10, three ribs of 8 along the length, two rows across, edge 20, g = 1: ribs
        80 - 10 - 1 = 69 high and 600 - 2 x 20 = 560 long; cross ribs (400 - 2 x 20 - 3 x 8) / 2 - 2 x 1 = 166 long,
        2 x 2 = 4 of them. Beside a single rib a cross rib is (400 - 2 x 20 - 8) / 2 - 1 = 175 long: it butts once.

        >>> base = Base(length=600, width=400, height=80, thickness=10, ribs=3, cross_ribs=2, rib_thickness=8,
        ...             edge=20, gap=1)
        >>> [(each.name, each.width.mm, each.length.mm, each.quantity) for each in base.thing().pieces]
        [('base plate', 400, 600, 1), ('rib', 69, 560, 3), ('cross rib', 69, 166.0, 4)]
        """
        plate = Piece(
            name="base plate",
            width=as_given(self.width),
            length=as_given(self.length),
            thickness=self.thickness,
            quantity=1,
        )
        pieces, solids = [plate], [upright(0, (0, self.length), (0, self.width), (0, self.thickness))]
        high = less(
            self.height, Less(1, self.thickness, "thickness"), Less(1, self.gap, "gap"), piece="rib", side="height"
        )
        z = (self.height - high.mm, self.height)
        for name, count, run, lies in (self._through(), self._across()):
            if not count or run is None:
                continue
            pieces.append(Piece(name=name, width=high, length=run, thickness=self.rib_thick, quantity=len(lies)))
            solids += [self._stood(len(pieces) - 1, along, across, z) for along, across in lies]
        return Thing(
            kind="base",
            outer=(self.length, self.width, self.height),
            pieces=tuple(pieces),
            solids=tuple(solids),
            views=(View("above", sum(z) / 2), self._section()),
        )

    @property
    def _room(self) -> tuple[float, float, str, str]:
        """What the ribs that run through run along, what they share, and what these are called."""
        sizes = (self.length, self.width, "length", "width")
        return sizes if self.along == "length" else (self.width, self.length, "width", "length")

    def _through(self) -> tuple[str, int, Size | None, list[tuple[Span, Span]]]:
        run, room, along, across = self._room
        if not self.ribs:
            return "rib", 0, None, []
        size = less(run, Less(2, self.edge, "edge"), piece="rib", side=along)
        places = self._places(self.ribs, room, "ribs", across)
        span = (self.edge, self.edge + size.mm)
        return "rib", self.ribs, size, [(span, place) for place in places]

    def _across(self) -> tuple[str, int, Size | None, list[tuple[Span, Span]]]:
        run, room, along, across = self._room
        if not self.cross_ribs:
            return "cross rib", 0, None, []
        places = self._places(self.cross_ribs, run, "cross_ribs", along)
        edges = Less(2, self.edge, "edge")
        if not self.ribs:
            size = less(room, edges, piece="cross rib", side=across)
            return "cross rib", self.cross_ribs, size, [(place, (self.edge, room - self.edge)) for place in places]
        bays, ribs = max(self.ribs - 1, 2 if self.ribs == 1 else 1), Less(self.ribs, self.rib_thick, "rib")
        gaps = Less(1 if self.ribs == 1 else 2, self.gap, "gap")
        size = bay(room, edges, ribs, bays=bays, gaps=gaps, piece="cross rib", side=across, step=self.step)
        standing = self._places(self.ribs, room, "ribs", across)
        ends = [(one[1], other[0]) for one, other in pairwise(standing)]
        if self.ribs == 1:
            left, right = standing[0]
            spans = [(left - self.gap - size.mm, left - self.gap), (right + self.gap, right + self.gap + size.mm)]
        else:
            spans = [((a + b - size.mm) / 2, (a + b + size.mm) / 2) for a, b in ends]
        return "cross rib", self.cross_ribs, size, [(place, span) for place in places for span in spans]

    def _places(self, count: int, room: float, key: str, side: str) -> list[Span]:
        """Where ribs stand in what they share: the outer two at the edges, the others evenly, one in the middle."""
        thick = self.rib_thick
        inside = room - 2 * self.edge
        if count * thick > inside or (count > 1 and inside - count * thick <= 0):
            most = max(int((inside - 1e-9) / thick), 0)
            facts = Facts(
                key=key, count=count, thick=length(thick), need=length(count * thick), side=side, most=most,
                whole=length(room), room=length(max(inside, 0.0)),
            )  # fmt: skip
            raise FiguresError(Message("thing.ribs", "base", facts))
        if count == 1:
            return [((room - thick) / 2, (room + thick) / 2)]
        apart = (inside - thick) / (count - 1)
        return [(self.edge + n * apart, self.edge + n * apart + thick) for n in range(count)]

    def _stood(
        self, piece: int, along: tuple[float, float], across: tuple[float, float], z: tuple[float, float]
    ) -> Solid:
        x, y = (along, across) if self.along == "length" else (across, along)
        return upright(piece, x, y, z)

    def _section(self) -> View:
        """Across the ribs that run through, beside a rib that crosses them rather than in it."""
        run, room, along, _ = self._room
        if not self.ribs:
            return View("front" if along == "length" else "side", room / 2)
        at = run / 2
        if self.cross_ribs:
            places = self._places(self.cross_ribs, run, "cross_ribs", along)
            at = (places[0][1] + (places[1][0] if len(places) > 1 else run)) / 2
        return View("side" if along == "length" else "front", at)
