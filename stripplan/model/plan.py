"""The plan: the shape of plan.json, schema stripplan/plan/1. mm, degrees, minutes, kilograms."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from .cut import Cut
from .piece import Piece

SCHEMA = "stripplan/plan/1"


@dataclass(frozen=True, kw_only=True)
class PlanPlate:
    """A plate that is used. `stock` is the name of the plate in the job, `edges` as there."""

    id: str
    stock: str
    length: float
    width: float
    thickness: float
    material: str
    cost: float
    mass: float
    kerf: float
    process: str
    measured: bool
    edges: tuple[str, str, str, str]


@dataclass(frozen=True, kw_only=True)
class PartLine:
    """One part of the job: how many are wanted and made, and the sizes to expect [mm].

    `size_wanted` is the finished (width, length); length None = as long as the plate. `size_expected`
    lists each distinct finished size that will come out, with what the fence can be read to;
    `tolerance_expected` is the greatest plus-or-minus on (width, length) from setting the fence.
    Of a `filler` none is wanted; the job says how many may be made.
    """

    name: str
    wanted: int
    made: int
    size_wanted: tuple[float, float | None]
    size_expected: tuple[tuple[float, float], ...]
    tolerance_expected: tuple[float, float]
    filler: bool = False


@dataclass(frozen=True, kw_only=True)
class Totals:
    """Sums over the plan. Areas mm2, `plate_used` the share of plate area that becomes parts."""

    plates: int
    cost: float
    arc_minutes: float
    minutes: float
    starts: int
    fence_settings: int
    end_stop_settings: int
    turns: int
    fetches: int
    dressings: int
    plate_used: float
    offcut_area: float
    scrap_area: float


@dataclass(frozen=True, kw_only=True)
class Bound:
    """Something found beside the least that is possible, and how that bound was got."""

    found: float
    bound: float
    how: str
    proven: bool = False


@dataclass(frozen=True, kw_only=True)
class OrderBound:
    """A bound over all orders of one layout; it says nothing about other layouts."""

    found: float
    bound: float
    holds_for: str = "this layout"


@dataclass(frozen=True, kw_only=True)
class Proof:
    """What is known of how good the plan is."""

    plates: Bound
    cost: Bound
    setups: OrderBound
    minutes: OrderBound


@dataclass(frozen=True, kw_only=True)
class PlanWarning:
    """What the person should know: a stable code, what it is about, a sentence."""

    code: str
    about: str
    text: str


@dataclass(frozen=True, kw_only=True)
class Plan:
    """A whole plan. `job` and `rig` are the figures that were used, as plain tables."""

    schema: str
    stripplan_version: str
    made_at: str | None
    job: Mapping[str, Any]
    rig: Mapping[str, Any]
    settings: Mapping[str, Any]
    plates: tuple[PlanPlate, ...]
    pieces: tuple[Piece, ...]
    cuts: tuple[Cut, ...]
    parts: tuple[PartLine, ...]
    totals: Totals
    proof: Proof
    warnings: tuple[PlanWarning, ...]

    @property
    def fillers(self) -> frozenset[str]:
        """Names of the parts that are fillers: made from what was left, not asked for."""
        return frozenset(line.name for line in self.parts if line.filler)
