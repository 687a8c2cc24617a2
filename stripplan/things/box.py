"""A box: base, four walls, with a lid or without."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from stripplan.things.ring import Through, ring
from stripplan.things.thing import Less, Piece, Thing, View, as_given, check, check_gap, less, upright

Lid = Literal["none", "loose", "welded"]
BasePlace = Literal["under", "between"]


@dataclass(frozen=True, kw_only=True)
class Box:
    """Figures of a box [mm]: outer length, width and height (lid and base included), thickness, weld gap.

    `through`: which walls run through at the corners. `base`: "under" the walls, which stand on it, or "between" them.
    `lid`: none; loose, it lies on the walls without a gap; welded on, with a gap.
    """

    length: float
    width: float
    height: float
    thickness: float
    gap: float = 0.0
    through: Through = "sides"
    base: BasePlace = "under"
    lid: Lid = "none"

    def __post_init__(self) -> None:
        check("box", length=self.length, width=self.width, height=self.height, thickness=self.thickness)
        check_gap("box", gap=self.gap)

    def thing(self) -> Thing:
        """The box. Raises FiguresError where its walls leave nothing between them.

        Of 800 x 400 x 300 outside with t = 6 and g = 1, sides through, base under the walls, loose lid: base and lid
        800 x 400; walls 300 - 6 - 1 - 6 = 287 high; sides 800, ends 400 - 2 x 6 - 2 x 1 = 386. With the base between
        the walls: base (800 - 2 x 6 - 2 x 1) x (400 - 2 x 6 - 2 x 1) = 786 x 386, walls 300 - 6 = 294.

        >>> box = Box(length=800, width=400, height=300, thickness=6, gap=1, lid="loose")
        >>> [(each.name, each.width.mm, each.length.mm) for each in box.thing().pieces]
        [('base', 400, 800), ('side', 287, 800), ('end', 287, 386), ('lid', 400, 800)]
        """
        t, g, (long, wide, high) = self.thickness, self.gap, (self.length, self.width, self.height)
        under, lid = self.base == "under", self.lid != "none"
        lid_gap = g if self.lid == "welded" else 0.0
        walls = less(
            high, Less(under + lid, t, "thickness"), Less(under + (self.lid == "welded"), g, "gap"),
            piece="side", side="height",
        )  # fmt: skip
        round_it = ring(long, wide, t, g, self.through, names=("side", "end"), by="thickness")
        inside = 0.0 if under else t + g
        twice = () if under else (Less(2, t, "thickness"), Less(2, g, "gap"))
        base = Piece(
            name="base",
            width=less(wide, *twice, piece="base", side="width"),
            length=less(long, *twice, piece="base", side="length"),
            thickness=t,
            quantity=1,
        )
        pieces = [
            base,
            Piece(name="side", width=walls, length=round_it.side, thickness=t, quantity=2),
            Piece(name="end", width=walls, length=round_it.end, thickness=t, quantity=2),
        ]
        foot = t + g if under else 0.0
        rim = high - (t + lid_gap if lid else 0.0)
        solids = [
            upright(0, (inside, long - inside), (inside, wide - inside), (0, t)),
            *(upright(1, x, y, (foot, rim)) for x, y in round_it.sides),
            *(upright(2, x, y, (foot, rim)) for x, y in round_it.ends),
        ]
        if lid:
            pieces.append(Piece(name="lid", width=as_given(wide), length=as_given(long), thickness=t, quantity=1))
            solids.append(upright(3, (0, long), (0, wide), (high - t, high)))
        return Thing(
            kind="box",
            outer=(long, wide, high),
            pieces=tuple(pieces),
            solids=tuple(solids),
            views=(View("above", (foot + rim) / 2), View("front", wide / 2)),
        )
