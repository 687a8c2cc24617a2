"""An open frame of flat bar: two sides and two ends."""

from __future__ import annotations

from dataclasses import dataclass

from stripplan.things.ring import Through, ring
from stripplan.things.thing import Piece, Thing, View, as_given, check, check_gap, upright

NAMES = ("side bar", "end bar")


@dataclass(frozen=True, kw_only=True)
class Frame:
    """Figures of a frame [mm]: outer length and width, width and thickness of the bar, weld gap.

    The bars lie flat, or stand `on_edge`: then the thickness is what is seen from above, and the bar's width the height
    of the frame.
    """

    length: float
    width: float
    bar: float
    thickness: float
    gap: float = 0.0
    through: Through = "sides"
    on_edge: bool = False

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
