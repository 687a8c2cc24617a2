"""Pieces: anything that lies on the bench at some moment. With the cuts they form a tree."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from stripplan.model.plan.cut import Point
from stripplan.model.polygon import area, extents

PieceKind = Literal["plate", "blank", "part", "offcut", "scrap"]


@dataclass(frozen=True, kw_only=True)
class Piece:
    """One piece. `outline` as cut, closed implicitly, counter-clockwise, plate frame [mm]; mass [kg].

    `part` is the part's name where the kind is part; one root each plate has no parent.
    """

    id: str
    plate: str
    parent: str | None
    kind: PieceKind
    part: str | None
    outline: tuple[Point, ...]
    mass: float

    @cached_property
    def box(self) -> tuple[float, float, float, float]:
        """Least and greatest x and y: x0, y0, x1, y1 [mm]."""
        xs, ys = [x for x, _ in self.outline], [y for _, y in self.outline]
        return min(xs), min(ys), max(xs), max(ys)

    @cached_property
    def is_rectangle(self) -> bool:
        """Whether its outline is its box."""
        x0, y0, x1, y1 = self.box
        return len(self.outline) == 4 and all(x in (x0, x1) and y in (y0, y1) for x, y in self.outline)

    @property
    def sides(self) -> tuple[float, float]:
        """Shorter and longer side; of what is no rectangle its least width and its greatest extent [mm]."""
        if not self.is_rectangle:
            return extents(self.outline)
        x0, y0, x1, y1 = self.box
        return min(x1 - x0, y1 - y0), max(x1 - x0, y1 - y0)

    @property
    def area(self) -> float:
        """Its area [mm2]."""
        x0, y0, x1, y1 = self.box
        return (x1 - x0) * (y1 - y0) if self.is_rectangle else area(self.outline)
