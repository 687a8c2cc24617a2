"""Parts: what the person wants."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

PartRolling = Literal["length", "width", "free"]
Square = Literal["none", "long", "all"]

AS_MANY_AS_FIT = 0
"""Quantity of a filler without a limit."""


@dataclass(frozen=True, kw_only=True)
class Hole:
    """A hole that is made after the part is cut: its middle from a corner of the part, `x` along the length and `y`
    across, and its extents `length` and `width` [mm]; of a `round` one both are the diameter."""

    x: float
    y: float
    length: float
    width: float
    round: bool = True

    def __post_init__(self) -> None:
        figures = {"x": self.x, "y": self.y, "length": self.length, "width": self.width}
        for key, value in figures.items():
            if not (math.isfinite(value) and value > 0):
                raise ValueError(f"hole: {key} {value} must be above 0")


@dataclass(frozen=True, kw_only=True)
class _Part:
    """What strips and rectangles share. Lengths are mm.

    `allowance` is metal left on each edge for dressing back; `tolerance` is how much over size a part may stay where a
    sliver could not be cut off; `plus_minus` how far its finished sizes may be off either way, `straightness` how far
    it may bow over its length, None = nothing is asked; `rotate` False keeps the part's length along the plate's
    length; `square` asks for square long edges, or square edges all round.

    A `filler` is always useful and never asked for: it is made from what is left, at most `quantity` of it,
    and `AS_MANY_AS_FIT` where that is 0.

    `plate` names the plate that it must come from; None = from any of its material and thickness.

    `note` goes with the part to the sheet and its labels as it was written; `holes` are drilled or cut later, the
    plan makes the rectangle around them.
    """

    name: str
    width: float
    quantity: int = 1
    thickness: float | None = None
    material: str | None = None
    rolling: PartRolling = "free"
    rotate: bool = True
    allowance: float = 0.0
    tolerance: float | None = None
    plus_minus: float | None = None
    straightness: float | None = None
    square: Square = "none"
    filler: bool = False
    plate: str | None = None
    note: str = ""
    holes: tuple[Hole, ...] = ()

    def __post_init__(self) -> None:
        above = ("width", "thickness", "plus_minus", "straightness")
        for key, value in ((key, getattr(self, key)) for key in above):
            if value is not None and not (math.isfinite(value) and value > 0):
                raise ValueError(f"part {self.name}: {key} {value} must be above 0")
        for key, value in (("allowance", self.allowance), ("tolerance", self.tolerance or 0.0)):
            if not (math.isfinite(value) and value >= 0):
                raise ValueError(f"part {self.name}: {key} {value} must not be below 0")
        least = AS_MANY_AS_FIT if self.filler else 1
        if self.quantity < least:
            raise ValueError(f"part {self.name}: quantity {self.quantity} must be at least {least}")
        if self.filler and self.square != "none":
            raise ValueError(f"part {self.name}: a filler has no square edges; ask for them on a part that is wanted")

    @property
    def wanted(self) -> int:
        """How many must be made: of a filler none."""
        return 0 if self.filler else self.quantity

    @property
    def most(self) -> int | None:
        """How many may be made; None = as many as fit."""
        return None if self.filler and self.quantity == AS_MANY_AS_FIT else self.quantity

    @property
    def width_as_cut(self) -> float:
        """Width on the bench: finished width and an allowance on each edge."""
        return self.width + 2 * self.allowance


@dataclass(frozen=True, kw_only=True)
class Strip(_Part):
    """A width; as long as the plate, less end trims. The allowance goes on the width only."""


@dataclass(frozen=True, kw_only=True)
class Rectangle(_Part):
    """A width and a length."""

    length: float

    def __post_init__(self) -> None:
        super().__post_init__()
        if not (math.isfinite(self.length) and self.length > 0):
            raise ValueError(f"part {self.name}: length {self.length} must be above 0")

    @property
    def length_as_cut(self) -> float:
        """Length on the bench: finished length and an allowance on each end."""
        return self.length + 2 * self.allowance


Part = Strip | Rectangle
