"""The rig's notebook: what was measured on it, as it was written down.

Lengths mm, speeds mm/min, times s. Each row may carry its day. What the rows mean is worked out by `rig/`; here they
only are.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from stripplan.wording.message import Dimension, Message, Quantity, facts_from_record

Dross = Literal["none", "easy", "hard"]
DragLines = Literal["straight", "curved", "j"]


@dataclass(frozen=True, kw_only=True)
class Drive:
    """What turns the belt: speed of the gearbox output [rpm], teeth of the pulley on it, and the belt: its name, or its
    pitch [mm].
    """

    rpm: float
    teeth: int
    belt: str | None = None
    pitch: float | None = None


@dataclass(frozen=True)
class TimedRun:
    """The carriage timed over a distance at a mark of the dial."""

    mark: float
    distance: float
    seconds: float
    on: str | None = None

    @property
    def speed(self) -> float:
        """Travel speed [mm/min]."""
        return self.distance / self.seconds * 60


@dataclass(frozen=True, kw_only=True)
class KerfTest:
    """A piece measured before, and all that was made of it after its cuts. `process` names the rig's process.

    `current` [A], `tip` and `travel_speed` where they were not those of the process.
    """

    process: str
    before: float
    after: tuple[float, ...]
    current: float | None = None
    tip: str | None = None
    travel_speed: float | None = None
    on: str | None = None


@dataclass(frozen=True)
class FenceCheck:
    """A strip cut at a reading of the fence, and its width. `kerf` where it was measured on this very cut; else that of
    `process`.
    """

    reading: float
    width: float
    kerf: float | None = None
    process: str | None = None
    on: str | None = None


@dataclass(frozen=True, kw_only=True)
class HeightCheck:
    """Heights above the bed at positions along the travel: of the torch or one rail, or of both rails so far apart."""

    positions: tuple[float, ...]
    heights: tuple[float, ...]
    other: tuple[float, ...] = ()
    rail_distance: float | None = None
    on: str | None = None


@dataclass(frozen=True, kw_only=True)
class RailCheck:
    """Distances between the rails at positions along the travel."""

    positions: tuple[float, ...]
    distances: tuple[float, ...]
    on: str | None = None


@dataclass(frozen=True, kw_only=True)
class ParallelCheck:
    """Width of one strip where the torch entered and where it left, and the length between."""

    entry: float
    exit_: float
    length: float
    on: str | None = None


@dataclass(frozen=True, kw_only=True)
class SquareCheck:
    """A rectangle that was cut: width, length, and both diagonals."""

    width: float
    length: float
    diagonals: tuple[float, float]
    on: str | None = None


@dataclass(frozen=True, kw_only=True)
class TestCut:
    """One test cut of a process at a speed, and what was seen. None = not looked at."""

    __test__ = False  # no test class

    process: str
    travel_speed: float
    dross: Dross | None = None
    top_spatter: bool | None = None
    lag_angle: float | None = None
    drag_lines: DragLines | None = None
    bevel: float | None = None
    severed: bool | None = None
    wide_kerf: bool | None = None
    rounded_edge: bool | None = None
    starts_on_tip: int | None = None
    stand_off: float | None = None
    air: str | None = None
    current: float | None = None
    tip: str | None = None
    note: str | None = None
    on: str | None = None


@dataclass(frozen=True, kw_only=True)
class BowCheck:
    """The bow of a strip with one hot edge, measured cold against a straight edge: greatest gap, and the strip's length
    and width.
    """

    process: str
    bow: float
    length: float
    width: float
    on: str | None = None


@dataclass(frozen=True, kw_only=True)
class Notebook:
    """All that was measured, in the order in which it was written down.

    `units` are those that its owner reads. `caliper` and `rule` are the steps that these instruments show [mm], `watch`
    is how far a time taken by hand may be off, +- [s].
    """

    name: str
    units: Literal["mm", "in"] = "mm"
    caliper: float = 0.05
    rule: float = 1.0
    watch: float = 0.2
    drive: Drive | None = None
    timed_runs: tuple[TimedRun, ...] = ()
    kerf_tests: tuple[KerfTest, ...] = ()
    fence_checks: tuple[FenceCheck, ...] = ()
    height_checks: tuple[HeightCheck, ...] = ()
    rail_checks: tuple[RailCheck, ...] = ()
    parallel_checks: tuple[ParallelCheck, ...] = ()
    square_checks: tuple[SquareCheck, ...] = ()
    test_cuts: tuple[TestCut, ...] = ()
    bow_checks: tuple[BowCheck, ...] = ()


_DIMENSIONS: Mapping[str, Dimension] = {
    "dial, top speed": "speed",
    "return_speed": "speed",
    "fence_angle": "number",
}
"""What figures of the rig measure that are no lengths; its scale is a length a mark."""


@dataclass(frozen=True, kw_only=True)
class Measured:
    """A figure of the rig that comes from the notebook, so that a plan can be traced to it.

    `key` as in the rig file ("fence_zero", "steel-6, kerf"), `value` and its standard uncertainty `u` in the key's
    unit, the number of rows `n`, the days of the first and the last of them, and `how` in words; `code` and `facts` are
    what these words are made of, as those of a plan's warnings; plans of earlier editions hold none. `before` is the
    profile's own figure that gave way.
    """

    key: str
    value: float
    u: float
    n: int
    first: str | None
    last: str | None
    how: str
    before: float | None = None
    code: str = ""
    facts: Mapping[str, Any] = field(default_factory=dict, hash=False)

    @property
    def quantity(self) -> Quantity:
        """The figure with its dimension."""
        return self.in_its_dimension(self.value)

    def in_its_dimension(self, value: float) -> Quantity:
        """A figure with the dimension that the key asks for: its doubt, or the one before it."""
        return Quantity(value, _DIMENSIONS.get(self.key, "length"))

    @property
    def said(self) -> Message | None:
        """How it was measured, as a message; None where only its words are known."""
        return Message(self.code, self.key, facts_from_record(self.facts)) if self.code else None
