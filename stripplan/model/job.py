"""The job: plates, parts and options, as the person gave them."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Literal, get_args

from stripplan.model.effort import Effort
from stripplan.model.part import Part
from stripplan.model.plate import Plate

Units = Literal["mm", "in"]
InchFraction = Literal[16, 32, 64]
Fill = Literal["scrap", "offcuts", "all"]

GeneralClass = Literal["f", "m", "c", "v"]
"""Classes of ISO 2768-1."""

Aim = Literal["one_setting", "plate", "time", "few_settings", "light_hands", "plate_by_plate"]

AIM_WEIGHTS: Mapping[Aim, Mapping[str, float]] = {
    "one_setting": {"fence": 2.0},
    "plate": {"fence": 2.0},
    "time": {},
    "few_settings": {"fence": 10.0},
    "light_hands": {"quarter_turn": 5.0, "turn_over": 5.0, "fetch": 5.0},
    "plate_by_plate": {},
}
"""How dear the causes of set-up time are made where the order of work has an aim other than time."""

MATERIAL_FACTORS: Mapping[str, float] = {"mild steel": 1.0, "stainless": 3.0, "aluminium": 4.0}
"""What a kilogram of a family counts in kilograms of steel where plates have no prices: common practice, no source."""

WEIGHT_KEYS = ("fence", "end_stop", "quarter_turn", "turn_over", "fetch", "push", "dress", "clear", "process")
"""Causes of set-up time that may be weighed; 1 = the rig's own seconds count as they are."""

OFFCUT_WEIGHT_KEYS = ("large", "long")
"""What may count more than by its area: a large offcut, a long one."""


@dataclass(frozen=True, kw_only=True)
class Options:
    """What the person wants of the plan.

    `trim` [mm] is scrap taken off mill edges, `keep` the least offcut worth keeping (length, width)
    [mm], `weights` multiply set-up time by cause, `price_per_minute` is money for a minute at the rig (None: the
    rig's price of an hour, else `kg_per_hour` of plate for an hour), `offcut_share` the share of its price by area that
    an offcut kept is worth, `material_factors` what a kilogram of a family of materials counts in kilograms of steel;
    `partial` writes the plan for the rest when some part cannot be made, `process` names the process
    where several fit, `depth` limits how often the direction of cutting may change.

    `fill` says what fillers are taken from: "scrap", what is below `keep`; "offcuts", after that the offcuts too,
    but the most valuable one of each material and thickness is spared; "all", that one too. `offcut_weights`
    say what makes an offcut more valuable than by its area (model/rack/offcut.py).

    `aim` is what the plan makes least. Plate and hands together, with one fence setting for all parts of a width
    unless that is much dearer; plate alone, then the offcut; time; fence settings; turning and fetching; or plate and
    hands together, each plate in one go. `before` are pairs of
    plates by name, the first cut up before the second is begun; `first` are parts that are made before all others.

    `end_stop` is the mark [mm] that the end stop stays at for every cut that it serves; None = as the plan finds it.

    `general_class` of ISO 2768-1 is what sizes are held against where a part does not say its own `plus_minus`; with
    `finish` the time to finish the edges of parts is told and priced.

    `hours_a_day` at the rig from Monday to Friday, beginning on the day `start` (ISO 8601), tell on which day each job
    is done; without them nothing is said of days.
    """

    trim: float = 0.0
    keep: tuple[float, float] = (300.0, 100.0)
    effort: Effort = field(default_factory=Effort)
    weights: Mapping[str, float] = field(default_factory=dict)
    price_per_minute: float | None = None
    partial: bool = False
    process: str | None = None
    depth: int | None = None
    fill: Fill = "offcuts"
    offcut_weights: Mapping[str, float] = field(default_factory=dict)
    aim: Aim = "one_setting"
    before: tuple[tuple[str, str], ...] = ()
    first: tuple[str, ...] = ()
    end_stop: float | None = None
    general_class: GeneralClass = "c"
    finish: bool = False
    hours_a_day: float | None = None
    start: str | None = None
    offcut_share: float = 0.5
    kg_per_hour: float = 30.0
    material_factors: Mapping[str, float] = field(default_factory=lambda: dict(MATERIAL_FACTORS))

    def __post_init__(self) -> None:
        if self.trim < 0:
            raise ValueError(f"options: trim {self.trim} must not be below 0")
        if self.depth is not None and self.depth < 1:
            raise ValueError(f"options: depth {self.depth} must be at least 1")
        if self.aim not in AIM_WEIGHTS:
            raise ValueError(f"options: aim {self.aim!r} must be one of {', '.join(AIM_WEIGHTS)}")
        if self.general_class not in get_args(GeneralClass):
            raise ValueError(
                f"options: general_class {self.general_class!r} must be one of {', '.join(get_args(GeneralClass))}"
            )
        if not 0 <= self.offcut_share <= 1:
            raise ValueError(f"options: offcut_share {self.offcut_share} must be a share from 0 to 1: 0.5 is half")
        if self.hours_a_day is not None and not 0 < self.hours_a_day <= 24:
            raise ValueError(f"options: hours_a_day {self.hours_a_day} must be above 0, and 24 at the most")
        _check_day("options: start", self.start)
        if not (math.isfinite(self.kg_per_hour) and self.kg_per_hour > 0):
            raise ValueError(f"options: kg_per_hour {self.kg_per_hour} must be above 0")
        if self.price_per_minute is not None and not self.price_per_minute >= 0:
            raise ValueError(f"options: price_per_minute {self.price_per_minute} must not be below 0")
        _check_weights("material_factors", self.material_factors, tuple(MATERIAL_FACTORS), above=True)
        _check_weights("weights", self.weights, WEIGHT_KEYS)
        _check_weights("offcut_weights", self.offcut_weights, OFFCUT_WEIGHT_KEYS)


def _check_weights(name: str, weights: Mapping[str, float], keys: tuple[str, ...], *, above: bool = False) -> None:
    """Keys are known, and factors are numbers from 0, or `above` it."""
    for key, value in weights.items():
        if key not in keys:
            raise ValueError(f"options: {name} has no key {key!r}; the keys are {', '.join(keys)}")
        if not (math.isfinite(value) and value >= 0 and (value or not above)):
            least = "above 0" if above else "not below 0"
            raise ValueError(f"options: {name}, {key} {value} must be a number, {least}")


def _check_day(what: str, day: str | None) -> None:
    """A day is written as in ISO 8601."""
    if day is not None and day != date.fromisoformat(day).isoformat():
        raise ValueError(f"{what} {day!r} is no day written as 2026-12-04")


WhyLeftOut = Literal["holes", "slanted", "curved", "corners", "open", "overlap", "frame", "doubtful", "text", "unread"]
"""Why a thing that was drawn is no part: holes in it, sides not square, curved, more or fewer corners than four, not
closed, over another outline, around others that may be parts, a name or count that can be read in two ways, a count
that stands at no outline, not readable.
"""


@dataclass(frozen=True, kw_only=True)
class LeftOut:
    """A thing that was drawn and is not planned, as the person was told: what it is called, how many there are, why,
    and how many holes or corners it has where that is why."""

    name: str
    quantity: int
    why: WhyLeftOut
    count: int = 0


@dataclass(frozen=True, kw_only=True)
class OneJob:
    """One of several jobs that are planned together: its name, the day it is `due` (ISO 8601; None: no day), and its
    parts by the names that they have together.
    """

    name: str
    due: str | None = None
    parts: tuple[str, ...]

    def __post_init__(self) -> None:
        _check_day(f"job {self.name}: due", self.due)


@dataclass(frozen=True, kw_only=True)
class Job:
    """What to make from what. Lengths are mm whatever `units` the person reads and writes.

    Where those are inches, lengths are shown to the nearest 1/`inch_fraction`. `left_out` is what lists hold beside the
    parts and nobody plans: the sheet says so. `due` is the day by which it is wanted (ISO 8601). Where several are
    planned together, `jobs` are these, in the order in which they were given.
    """

    name: str
    plates: tuple[Plate, ...]
    parts: tuple[Part, ...]
    options: Options = field(default_factory=Options)
    units: Units = "mm"
    currency: str = ""
    inch_fraction: InchFraction = 32
    left_out: tuple[LeftOut, ...] = ()
    due: str | None = None
    jobs: tuple[OneJob, ...] = ()

    def __post_init__(self) -> None:
        _check_day(f"job {self.name}: due", self.due)

    @property
    def each_job(self) -> tuple[OneJob, ...]:
        """The jobs that are planned together; of one that has a day that one alone, else none."""
        if self.jobs or self.due is None:
            return self.jobs
        return (OneJob(name=self.name, due=self.due, parts=tuple(part.name for part in self.parts)),)

    def own_name(self, part: str) -> tuple[str, str]:
        """The job that a part belongs to, and what it is called there.

        >>> one = OneJob(name="gate", parts=("gate: rail",))
        >>> Job(name="gate + box", plates=(), parts=(), jobs=(one,)).own_name("gate: rail")
        ('gate', 'rail')
        """
        for each in self.jobs:
            if part in each.parts:
                return each.name, part.removeprefix(f"{each.name}: ")
        return self.name, part


LONGEST_NAME = 60
"""A name made of all names is no longer than that [letters]: it stands at the head of every page."""


def joint_name(names: Sequence[str]) -> str:
    """What several jobs are called together.

    >>> joint_name(["gate", "shelf"]), joint_name(["a long name of a job"] * 4)
    ('gate + shelf', 'a long name of a job + a long name of a job and 2 more')
    """
    for count in range(len(names), 1, -1):
        rest = len(names) - count
        name = " + ".join(names[:count]) + (f" and {rest} more" if rest else "")
        if len(name) <= LONGEST_NAME:
            return name
    return f"{names[0]} and {len(names) - 1} more"
