"""A shelf bracket: a leg on the wall, an arm under the shelf, and a strut between them where one is wanted."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from stripplan.errors import FiguresError
from stripplan.things.thing import (
    Less,
    Piece,
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

Through = Literal["leg", "arm"]


@dataclass(frozen=True, kw_only=True)
class Bracket:
    """Figures of a bracket [mm]: how far it stands out (`depth`), height, width of its flat bar, thickness, weld gap.

    `through`: the leg runs through and the arm butts on it, or the arm lies on the leg. `strut`: how far a strut at 45
    degrees reaches along leg and arm from their inner corner, 0 = none; its ends are square, so that it stands on an
    edge there, and its length is rounded down to `step`.
    """

    depth: float
    height: float
    bar: float
    thickness: float
    gap: float = 0.0
    through: Through = "leg"
    strut: float = 0.0
    step: float = 0.1

    def __post_init__(self) -> None:
        check("bracket", depth=self.depth, height=self.height, bar=self.bar, thickness=self.thickness)
        check_gap("bracket", gap=self.gap, strut=self.strut)

    def thing(self) -> Thing:
        """The bracket. Raises FiguresError where leg or arm come to nothing, or the strut reaches beyond them.

        Of depth 250 and height 200, t = 6, g = 1, the leg through: leg 200, arm 250 - 6 - 1 = 243; with the arm
        through: arm 250, leg 200 - 6 - 1 = 193. A strut that reaches 150: 150 x 1.41421 - 2 x 1 = 210.13, so 210.1.

        >>> bracket = Bracket(depth=250, height=200, bar=40, thickness=6, gap=1, strut=150)
        >>> [(each.name, each.length.mm) for each in bracket.thing().pieces]
        [('leg', 200), ('arm', 243), ('strut', 210.1)]
        """
        t, off = self.thickness, self.thickness + self.gap
        taken = (Less(1, t, "thickness"), Less(1, self.gap, "gap"))
        leg, arm = as_given(self.height), as_given(self.depth)
        if self.through == "leg":
            arm = less(self.depth, *taken, piece="arm", side="depth")
        else:
            leg = less(self.height, *taken, piece="leg", side="height")
        less(self.height, Less(1, t, "thickness"), piece="leg", side="height")
        less(self.depth, Less(1, t, "thickness"), piece="arm", side="depth")
        high, out = self.height, self.depth
        across = (0.0, self.bar)
        leg_to, arm_from = (high, off) if self.through == "leg" else (high - off, 0.0)
        bar = as_given(self.bar)
        pieces = [
            Piece(name="leg", width=bar, length=leg, thickness=t, quantity=1),
            Piece(name="arm", width=bar, length=arm, thickness=t, quantity=1),
        ]
        solids = [upright(0, (0, t), across, (0, leg_to)), upright(1, (arm_from, out), across, (high - t, high))]
        if self.strut:
            size = self._strut()
            pieces.append(Piece(name="strut", width=bar, length=size, thickness=t, quantity=1))
            solids.append(self._strut_stood(size.mm))
        return Thing(
            kind="bracket",
            outer=(out, self.bar, high),
            pieces=tuple(pieces),
            solids=tuple(solids),
            views=(View("front"), View("side")),
        )

    def _strut(self) -> Size:
        inside = min(self.depth, self.height) - self.thickness
        if self.strut > inside:
            facts = Facts(key="strut", reach=length(self.strut), inside=length(inside), thick=length(self.thickness))
            raise FiguresError(Message("thing.strut", "bracket", facts))
        mm = floored(self.strut * math.sqrt(2) - 2 * self.gap, self.step)
        if not mm > 0:
            least = length(2 * self.gap)
            raise FiguresError(
                Message("thing.short_strut", "bracket", Facts(key="strut", reach=length(self.strut), gaps=least))
            )
        return Size(mm, Message("thing.strut_sum", facts=Facts(reach=length(self.strut), gap=length(self.gap))))

    def _strut_stood(self, long: float) -> Solid:
        """The strut from leg to arm, its inner face towards the corner."""
        corner, slope = (self.thickness, self.height - self.thickness), math.sqrt(0.5)
        middle = (corner[0] + self.strut / 2, corner[1] - self.strut / 2)
        half, t = long / 2 * slope, self.thickness * slope
        low, top = (middle[0] - half, middle[1] - half), (middle[0] + half, middle[1] + half)
        return Solid(2, (low, (low[0] + t, low[1] - t), (top[0] + t, top[1] - t), top), 0.0, self.bar)
