"""CutRules: all that layout needs to know of a rig."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, kw_only=True)
class CutRules:
    """What cuts the rig can make in one plate. Lengths mm, masses kg.

    `longest_two_pass` equals `longest_one_pass` where two passes are not allowed. `areal_mass` is the plate's mass per
    area [kg/mm2]; None limits do not bind. Pieces above `turn_over_mass_max` are not turned over, so not cut in two
    passes. `trim` is the width of scrap between a mill edge and the nearest part.
    """

    kerf: float
    longest_one_pass: float
    longest_two_pass: float
    narrowest_offcut: float
    fence_min: float
    fence_max: float
    marked: bool
    piece_mass_max: float | None = None
    areal_mass: float = 0.0
    trim: float = 0.0
    square_side: Literal["fence", "far", "equal"] = "fence"
    bed_length: float | None = None
    far_max: float | None = None
    turn_over_mass_max: float | None = None
