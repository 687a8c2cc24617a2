"""Parts: what the person wants."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

from stripplan.model.bevel import Bevel
from stripplan.model.polygon import (
    NEAR,
    Outline,
    Point,
    area,
    as_can_be_cut,
    box,
    crossing_edges,
    moved_outward,
    normal,
    real_corners,
    reflex_corner,
    tidy,
)

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

    `fence` is the reading that the fence stays at for cuts across its width; `fence_width` the width that comes off
    there [mm], known once rig and kerf are: it is then cut to that in place of its own.

    `plate` names the plate that it must come from; None = from any of its material and thickness.

    `note` goes with the part to the sheet and its labels as it was written; `holes` are drilled or cut later, the
    plan makes the rectangle around them. `bevels` are edges that are bevelled once it is cut out.
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
    fence: float | None = None
    fence_width: float | None = None
    note: str = ""
    holes: tuple[Hole, ...] = ()
    bevels: tuple[Bevel, ...] = ()

    def __post_init__(self) -> None:
        above = ("width", "thickness", "plus_minus", "straightness", "fence", "fence_width")
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
        edges = len(self.outline) if isinstance(self, Shape) else 4
        for each in self.bevels:
            if not 0 <= each.edge < edges:
                raise ValueError(f"part {self.name}: there is no edge {each.edge + 1} to bevel, but {edges} edges")

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
        """Width on the bench: what comes off where the fence stays, else as it is asked."""
        return self.width_asked_as_cut if self.fence_width is None else self.fence_width

    @property
    def width_asked_as_cut(self) -> float:
        """Finished width and an allowance on each edge."""
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


@dataclass(frozen=True, kw_only=True)
class Shape(_Part):
    """A straight-sided part without corners that point inward: triangle, trapezium, parallelogram, clipped rectangle.

    `outline` is the finished one, in mm; it is kept counter-clockwise, its box beginning at (0, 0), without what is
    finer than any torch cuts (`as_can_be_cut`). `length` and `width` are the extents of that box along x and y. It may
    be made in mirror image: it is then turned over.
    """

    outline: Outline
    width: float = field(init=False)
    length: float = field(init=False)

    def __post_init__(self) -> None:
        wrong = outline_wrong(self.outline)
        if wrong:
            raise ValueError(f"part {self.name}: {wrong}")
        if self.square != "none":
            raise ValueError(f"part {self.name}: square edges cannot be asked of a straight-sided shape")
        if self.fence is not None:
            raise ValueError(
                f"part {self.name}: a straight-sided shape has no width that one reading of the fence gives"
            )
        object.__setattr__(self, "outline", as_can_be_cut(self.outline))
        _, _, length, width = box(self.outline)
        object.__setattr__(self, "length", length)
        object.__setattr__(self, "width", width)
        super().__post_init__()

    @property
    def outline_as_cut(self) -> Outline:
        """Outline on the bench: each edge moved outward by the allowance; its box begins at (0, 0)."""
        return normal(moved_outward(self.outline, self.allowance))

    @property
    def width_as_cut(self) -> float:
        """Width of the box of the outline as it is cut."""
        return box(self.outline_as_cut)[3]

    @property
    def length_as_cut(self) -> float:
        """Length of the box of the outline as it is cut."""
        return box(self.outline_as_cut)[2]


Part = Strip | Rectangle | Shape


OutlineFault = Literal["numbers", "crosses", "flat", "twice", "inward"]


def outline_fault(outline: Outline) -> tuple[OutlineFault, tuple[int, ...]] | None:
    """Why an outline is none that straight cuts can free, with its corners, counted from 1; None where it is one.

    What is finer than `THINNEST` is no matter, and neither is a corner named twice in a row, or the first one again at
    the end.

    >>> outline_fault(((0, 0), (10, 0), (2, 2), (0, 10)))
    ('inward', (3,))
    >>> outline_fault(((0, 0), (10, 0), (10, 0), (0, 10), (0, 0)))
    """
    if any(not math.isfinite(each) for point in outline for each in point):
        return "numbers", ()
    real = real_corners(outline)
    corners = [outline[n] for n in real]
    crossing = crossing_edges(corners)
    if crossing is not None:
        return "crosses", (real[crossing[0]] + 1, real[crossing[1]] + 1)
    if flat(corners):
        return "flat", ()
    for n, one in enumerate(corners):
        for m in range(n + 1, len(corners)):
            if math.dist(one, corners[m]) <= NEAR:
                return "twice", (real[n] + 1, real[m] + 1)
    corner = reflex_corner(corners)
    return None if corner is None else ("inward", (real[corner] + 1,))


def outline_wrong(outline: Outline) -> str:
    """The same in plain words; "" where nothing is wrong.

    >>> outline_wrong(((0, 0), (10, 0), (2, 2), (0, 10)))
    'corner 3 points inward: straight cuts from edge to edge cannot free it'
    """
    found = outline_fault(outline)
    if found is None:
        return ""
    why, corners = found
    return {
        "numbers": "its corners must be numbers",
        "crosses": "the edges after corners {} and {} cross each other",
        "flat": "its corners lie on one line or are fewer than three: it has no area",
        "twice": "corners {} and {} are the same: it goes round more than once",
        "inward": "corner {} points inward: straight cuts from edge to edge cannot free it",
    }[why].format(*corners)


def flat(outline: Sequence[Point]) -> bool:
    """Whether corners lie on one line, or are fewer than three."""
    return len(outline) < 3 or len(tidy(outline)) < 3 or abs(area(outline)) <= NEAR
