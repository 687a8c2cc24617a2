"""The plan: the shape of plan.json, schema stripplan/plan/1. mm, degrees, minutes, kilograms."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from stripplan.model.job import Job
from stripplan.model.plan.bevel import BevelCut, HandBevel
from stripplan.model.plan.cut import Cut
from stripplan.model.plan.jobs import JobLine, Together
from stripplan.model.plan.piece import Piece
from stripplan.model.plan.quotation import Quotation
from stripplan.model.plan.run import Run
from stripplan.model.rig import Rig

SCHEMA = "stripplan/plan/1"


@dataclass(frozen=True, kw_only=True)
class PlanPlate:
    """A plate as the plan uses it, one of the job's; `stock` is its name there, `edges` as there. `model.Plate` may be
    several alike: which `piece` of the rack this one is, and where it `lies`, in words; empty where nobody said."""

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
    piece: str = ""
    lies: str = ""


@dataclass(frozen=True, kw_only=True)
class Doubt:
    """One thing that makes a size untrue, and by how much at the most, +- [mm]; `assumed`: it was not measured."""

    cause: str
    plus_minus: float
    assumed: bool


@dataclass(frozen=True, kw_only=True)
class Accuracy:
    """How true one dimension of a part will be, at its least true piece.

    `likely` holds about 95 in 100, `worst` always, +- [mm]; `doubts` the greatest first. `classes` in words are those
    of ISO 9013 and ISO 2768-1 that `likely` meets. `asked` is what the part asks, `met` whether it is likely to be kept
    (None: nothing is asked), `advice` what to improve first.
    """

    of: Literal["width", "length"]
    likely: float
    worst: float
    doubts: tuple[Doubt, ...]
    classes: str
    asked: float | None
    met: bool | None
    advice: str


@dataclass(frozen=True, kw_only=True)
class ExpectedBow:
    """About how far a part will bow over its length, at its most bowed piece [mm]: from `low` to `high`.

    `piece` is that piece, `hot_edges` how many of its long edges are cut, `limit` what is allowed (None: no figure for
    such a length). `calibrated`: from strips that were measured on this rig. `beyond_model`: so narrow that it is hot
    right through, and the figures say little. `remedy` is empty where the limit is kept.
    """

    piece: str
    bow: float
    low: float
    high: float
    hot_edges: int
    limit: float | None
    calibrated: bool
    beyond_model: bool
    remedy: str


@dataclass(frozen=True, kw_only=True)
class ExpectedBevel:
    """How true the root face of a bevelled edge will be, at its least true piece and in the order of the job's bevels.

    `edge` is counted as in the part's outline, `first` says which face it begins at, `angle` as asked [deg].
    `root_face` is what is to be expected with the readings as they are, `likely` and `worst` +- [mm] as in `Accuracy`,
    `top_likely` that of the width left on the face; `doubts` in the root face, the greatest first.
    """

    edge: int
    first: bool
    angle: float
    root_face: float
    likely: float
    worst: float
    top_likely: float
    doubts: tuple[Doubt, ...]


@dataclass(frozen=True, kw_only=True)
class ExpectedOfShape:
    """How true one size of a straight-sided shape will be, at its least true piece.

    `of`: the distance "across" between two parallel edges, the length of an "edge", or the least true "angle". `size`
    is that of the outline as it is cut [mm, deg]; `likely` holds about 95 in 100, `worst` always, +-; `doubts` the
    greatest first. `asked` and `met` as in `Accuracy`.
    """

    of: Literal["across", "edge", "angle"]
    size: float
    likely: float
    worst: float
    doubts: tuple[Doubt, ...]
    asked: float | None
    met: bool | None


@dataclass(frozen=True, kw_only=True)
class PartLine:
    """One part of the job: how many are wanted and made, and the sizes to expect [mm].

    `size_wanted` is the finished (width, length); length None = as long as the plate. `size_expected` lists each
    distinct finished size that will come out, with what the fence can be read to; `tolerance_expected` is the greatest
    plus-or-minus on (width, length) from setting the fence. Of a `filler` none is wanted; the job says how many may be
    made. `accuracy` of width and, where a cut makes it, of length; `bow` of a part that is long for its width and was
    cut along, `bevels` of those that the rig cuts; a straight-sided shape has `shape` in place of sizes and accuracy.
    `touch_minutes` = how long after its cuts it is too hot for a bare
    hand; None where nobody knows.
    """

    name: str
    wanted: int
    made: int
    size_wanted: tuple[float, float | None]
    size_expected: tuple[tuple[float, float], ...]
    tolerance_expected: tuple[float, float]
    filler: bool = False
    accuracy: tuple[Accuracy, ...] = ()
    bow: ExpectedBow | None = None
    touch_minutes: float | None = None
    bevels: tuple[ExpectedBevel, ...] = ()
    shape: tuple[ExpectedOfShape, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Totals:
    """Sums over the plan. Areas mm2, `plate_used` the share of plate area that becomes parts.

    `process_changes` counts changes from one process to another. `finish_metres` are the cut edges of finished parts
    [m]; `finish_minutes`, which are no part of `minutes`, is what finishing them takes where the job asks for it, else
    0. `bevel_metres` of bevels are cut in `bevel_minutes`, which are in `minutes`, as their arcs and starts are in the
    sums of these; `hand_bevel_metres` are left for the hand. All else is of the cuts.
    """

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
    process_changes: int = 0
    finish_metres: float = 0.0
    finish_minutes: float = 0.0
    bevel_minutes: float = 0.0
    bevel_metres: float = 0.0
    hand_bevel_metres: float = 0.0
    tilt_settings: int = 0
    bevel_fence_settings: int = 0


@dataclass(frozen=True, kw_only=True)
class Bound:
    """Something found beside the least that is possible, and how that bound was got: in words, and by its `codes`, one
    for each method that had a share in it.
    """

    found: float
    bound: float
    how: str
    proven: bool = False
    codes: tuple[str, ...] = ()


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
class TotalCost:
    """Plate and hands in one currency: `total` = `plates` + `hands` - `offcuts`.

    `currency` is the job's money, or kilograms counted as steel where plates have no prices. `minute` is what a minute
    at the rig is worth, `minute_from` says why: the job's options, the rig's price of an hour, or so many kilograms of
    plate for an hour, assumed. `bound` is what no layout and no order of the job can undercut, `how` how it was
    got, in words and by its `code`.
    """

    currency: Literal["money", "kg"]
    plates: float
    minute: float
    minute_from: Literal["job", "rig", "assumed"]
    hands: float
    offcuts: float
    total: float
    bound: float
    how: str
    code: str = ""


@dataclass(frozen=True, kw_only=True)
class AsRectangles:
    """What the same job would take if each straight-sided shape were cut out of a rectangle of its own.

    `used_area` is the plates' area less the offcuts kept [mm2], `total` plate and hands in the plan's currency: below
    the plan's own only where the job's aim is plate or time, by which the better of the two is taken.
    """

    plates: int
    used_area: float
    total: float


@dataclass(frozen=True, kw_only=True)
class OtherOrder:
    """The way of working that the plan did not take, so that its price can be told: how often the fence would be set,
    the minutes at the rig, by how much pieces of one part would differ at the most [mm], and how many cuts would make a
    part further off its size than it may be."""

    fence_settings: int
    minutes: float
    differ: float
    wrong: int = 0


@dataclass(frozen=True, kw_only=True)
class PlanWarning:
    """What the person should know: a stable code, what it is about, a sentence, and the facts that the sentence is made
    of.

    Of the facts names and counts are plain; a figure is {"value", "dimension"} in the unit of the plan file. Plans of
    earlier editions hold no facts.
    """

    code: str
    about: str
    text: str
    facts: Mapping[str, Any] = field(default_factory=dict, hash=False)


@dataclass(frozen=True, kw_only=True)
class Settings:
    """How the plan was sought, and what it was held to. A plan written by hand states no more than `trim` and `keep`.

    `steps_done` counts the steps of all kinds and `stopped` says what ended them; `end_stop_greatest` is the greatest
    end stop that can be set within the stroke [mm], None where it is not said.
    """

    seed: int = 1
    steps: int | None = None
    steps_done: int = 0
    seconds: float | None = None
    good_enough: float = 0.0
    stopped: str = "done"
    trim: float
    keep: tuple[float, float]
    end_stop_greatest: float | None = None


@dataclass(frozen=True, kw_only=True)
class Plan:
    """A whole plan. `job` and `rig` are those that it was made for and with; `quotation` where the rig has prices.

    Every cut lies in exactly one of the `runs`; plans of the first edition hold none, and reading them derives them.
    `as_rectangles` stands beside jobs with straight-sided shapes; `jobs` are there where several are planned together,
    `together` with them, and where the one has a day that it is due. `bevels` are cut after all `cuts`, `hand_bevels`
    are not cut on the rig.
    """

    schema: str
    stripplan_version: str
    made_at: str | None
    job: Job
    rig: Rig
    settings: Settings
    plates: tuple[PlanPlate, ...]
    pieces: tuple[Piece, ...]
    cuts: tuple[Cut, ...]
    parts: tuple[PartLine, ...]
    totals: Totals
    proof: Proof
    warnings: tuple[PlanWarning, ...]
    quotation: Quotation | None = None
    runs: tuple[Run, ...] = ()
    other_order: OtherOrder | None = None
    total: TotalCost | None = None
    as_rectangles: AsRectangles | None = None
    jobs: tuple[JobLine, ...] = ()
    together: Together | None = None
    bevels: tuple[BevelCut, ...] = ()
    hand_bevels: tuple[HandBevel, ...] = ()

    @property
    def arcs(self) -> tuple[Cut | BevelCut, ...]:
        """Cuts and bevels, in the order of work."""
        return (*self.cuts, *self.bevels)

    @property
    def fillers(self) -> frozenset[str]:
        """Names of the parts that are fillers: made from what was left, not asked for."""
        return frozenset(line.name for line in self.parts if line.filler)
