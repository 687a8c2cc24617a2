"""How far a plan was cut."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

Side = Literal["left", "right"]
"""As seen along the travel of the torch."""
Usable = Mapping[tuple[int, Side], tuple[float, float]]
"""By cut and side, length and width of what is still good of the piece that was spoilt there [mm]."""


@dataclass(frozen=True, kw_only=True)
class CutProgress:
    """Which cuts of a plan were made, by number, and what went wrong at which.

    `spoilt` says for a cut that went wrong which of the pieces beside it are lost: both, one, or none where only the
    cut is to be made again. A cut with a piece spoilt counts as made, whether it is among those `done` or not; one that
    spoilt none does not. Bevels are numbered on from the cuts; either side that one has spoilt means its part. `usable`
    is what is still good of a piece that was spoilt, as somebody measured it.
    """

    done: frozenset[int] = frozenset()
    spoilt: Mapping[int, frozenset[Side]] = field(default_factory=dict)
    usable: Usable = field(default_factory=dict)
