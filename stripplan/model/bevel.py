"""Bevelled edges of a part, as they are wanted for welding.

Edges are counted as the part's outline runs, counter-clockwise: of a rectangle 0 is the lower long edge, then the right
end, the upper long edge, the left end. Words as in ISO 9692-1 (from memory): the bevel angle is measured from the
vertical, the root face is what stays of the edge, and with an equal mate the included angle is twice the bevel angle.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

BevelFace = Literal["first", "other", "both"]
STEEPEST = 60.0
"""Torches are tilted no farther [deg]: common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class Bevel:
    """A bevel of an edge: `angle` from the vertical [deg], and how deep it goes: to the `root_face`, or `depth` [mm].

    `face` is the one that it begins at: `first`, the one that is up on the plate, the `other`, or `both`, half of what
    is beside the root face from each.
    """

    edge: int
    angle: float
    root_face: float = 0.0
    depth: float | None = None
    face: BevelFace = "first"

    def __post_init__(self) -> None:
        if not (math.isfinite(self.angle) and 0 < self.angle <= STEEPEST):
            raise ValueError(f"bevel: angle {self.angle} must lie above 0 and up to {STEEPEST:g}")
        if not (math.isfinite(self.root_face) and self.root_face >= 0):
            raise ValueError(f"bevel: root_face {self.root_face} must not be below 0")
        if self.depth is not None and not (math.isfinite(self.depth) and self.depth > 0):
            raise ValueError(f"bevel: depth {self.depth} must be above 0")

    def deep(self, thickness: float) -> float:
        """How deep it goes from each of its faces [mm]; not above 0 where the root face leaves nothing.

        >>> Bevel(edge=0, angle=30, root_face=2).deep(10), Bevel(edge=0, angle=30, root_face=2, face="both").deep(10)
        (8.0, 4.0)
        """
        if self.depth is not None:
            return self.depth
        return (thickness - self.root_face) / (2.0 if self.face == "both" else 1.0)


@dataclass(frozen=True)
class Flank:
    """One slanted face of an edge: that edge, whether it begins at the first face, its angle [deg] and depth [mm]."""

    edge: int
    first: bool
    angle: float
    depth: float

    @property
    def set_back(self) -> float:
        """By how much the face is narrower at this edge [mm]: depth times the tangent of the angle.

        >>> round(Flank(0, True, 30.0, 8.0).set_back, 4)
        4.6188
        """
        return self.depth * math.tan(math.radians(self.angle))


def flanks_of(bevels: Iterable[Bevel], thickness: float) -> tuple[Flank, ...]:
    """The slanted faces that bevels ask for in plate of a thickness [mm]."""
    found = []
    for each in bevels:
        for first in (True, False):
            if each.face == "both" or (each.face == "first") == first:
                found.append(Flank(each.edge, first, float(each.angle), round(each.deep(thickness), 9)))
    return tuple(found)


def root_faces(flanks: Sequence[Flank], thickness: float) -> dict[int, float]:
    """What stays of each bevelled edge once all its slanted faces are made [mm].

    >>> root_faces(flanks_of([Bevel(edge=1, angle=30, root_face=2, face="both")], 10), 10)
    {1: 2.0}
    """
    deep: dict[int, float] = defaultdict(float)
    for each in flanks:
        deep[each.edge] += each.depth
    return {edge: round(thickness - depth, 9) + 0.0 for edge, depth in deep.items()}
