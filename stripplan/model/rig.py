"""The rig: what the machine can do, what its scales mean, how long each kind of work takes."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field, fields
from itertools import pairwise
from typing import Literal

from stripplan.errors import FiguresError
from stripplan.model.bevel import STEEPEST
from stripplan.model.notebook import Measured, Notebook
from stripplan.model.prices import Prices
from stripplan.wording.message import Fact, Facts, Message, Quantity, length, speed

SquareSide = Literal["fence", "far", "equal"]
WIDEST_STEP = 45.0
"""Steps of the mitre bar are no wider [deg]."""


@dataclass(frozen=True, kw_only=True)
class Process:
    """How one material of one thickness is cut.

    `kerf` [mm], `travel_speed` [mm/min], `current` [A], `duty` points (current [A], percent of ten minutes).
    `kerf_measured_on` is a date; None = not measured, and the sheet says so. `kerf_u` is the kerf's standard
    uncertainty and `bow_constant` the C of bow = C (length/width)^2 for one hot edge, `bow_constant_u` its own [mm],
    from `bow_strips` strips; `bevel` of the edge [deg]. `air_flow` is free air while it flows [l/min], `stand_off` the
    height of the tip above the plate [mm], `air_pressure` at the torch [bar]. None = not measured, or not given.
    `estimated`: the rig has none for that plate, kerf, speed and current are those of `rig/process/estimate.py`.
    """

    name: str
    material: str
    thickness: float
    kerf: float
    travel_speed: float
    current: float | None = None
    tip: str | None = None
    stand_off: float | None = None
    air_pressure: float | None = None
    kerf_measured_on: str | None = None
    kerf_u: float | None = None
    bow_constant: float | None = None
    bow_constant_u: float | None = None
    bow_strips: int | None = None
    bevel: float | None = None
    air_flow: float | None = None
    estimated: bool = False
    duty: tuple[tuple[float, float], ...] = ()

    def __post_init__(self) -> None:
        for key in ("thickness", "kerf", "travel_speed"):
            value = getattr(self, key)
            if not (math.isfinite(value) and value > 0):
                raise ValueError(f"process {self.name}: {key} {value} must be above 0")
        for key in ("kerf_u", "bow_constant", "bow_constant_u", "air_flow", "stand_off", "air_pressure"):
            value = getattr(self, key)
            if value is not None and not (math.isfinite(value) and value >= 0):
                raise ValueError(f"process {self.name}: {key} {value} must not be below 0")
        for current, percent in self.duty:
            if not (current > 0 and 0 < percent <= 100):
                raise ValueError(
                    f"process {self.name}: duty point {current}, {percent}: current above 0 and percent in 0..100"
                )


@dataclass(frozen=True, kw_only=True)
class Seconds:
    """How long each kind of set-up takes [s]. `per_kg` is added for each kilogram that is fetched, turned, pushed up or
    cleared away.

    An edge that goes to the fence or the start is scraped: `scrape_each` and `scrape_per_m`. Finishing the edges of
    parts is another job, `finish_per_m`. `process` is a change of tip and current, `tilt` tilting the torch.
    """

    fence: float = 40.0
    fence_per_mm: float = 0.02
    end_stop: float = 20.0
    end_stop_per_mm: float = 0.01
    mitre: float = 60.0
    quarter_turn: float = 15.0
    turn_over: float = 30.0
    fetch: float = 45.0
    push: float = 12.0
    clear: float = 10.0
    scrape_each: float = 4.0
    scrape_per_m: float = 10.0
    finish_per_m: float = 45.0
    process: float = 120.0
    tilt: float = 60.0
    per_kg: float = 0.6
    two_person: float = 2.0

    def __post_init__(self) -> None:
        for each in fields(self):
            value = getattr(self, each.name)
            if not (math.isfinite(value) and value >= 0):
                raise ValueError(f"[seconds] {each.name} {value} must not be below 0")


def dial_fault(table: tuple[tuple[float, float], ...]) -> Message | None:
    """What is wrong with a table of (mark, speed [mm/min]); None where each mark has one speed, and speeds go one way
    with the marks.

    >>> from stripplan.wording.show import worded
    >>> worded(dial_fault(((1, 100), (2, 90), (3, 200)))).text
    'dial mark 2 (90 mm/min) and mark 3 (200 mm/min) go another way than mark 1 (100 mm/min): time them again'
    """
    rows = sorted(table)
    for (mark, one), (next_mark, other) in pairwise(rows):
        if mark == next_mark:
            return _rig_fault("dial_mark_twice", ("dial",), mark=float(mark), one=speed(one), other=speed(other))
        if one == other:
            marks = {"mark": float(mark), "next_mark": float(next_mark)}
            return _rig_fault("dial_speed_twice", ("dial",), speed=speed(one), **marks)
    for (a, one), (b, two), (c, three) in zip(rows, rows[1:], rows[2:], strict=False):
        if (two - one) * (three - two) < 0:
            marks = {"first": float(a), "second": float(b), "third": float(c)}
            speeds = {"first_speed": speed(one), "second_speed": speed(two), "third_speed": speed(three)}
            return _rig_fault("dial_goes_back", ("dial",), **marks, **speeds)
    return None


def _rig_fault(code: str, keys: tuple[str, ...], **facts: Fact) -> Message:
    """What is wrong with figures of a rig, by their keys."""
    return Message(code, facts=Facts(keys=keys, **facts))


def _above(one: str, value: Quantity, other: str, limit: Quantity) -> list[Message]:
    """The fault of a figure that lies above another."""
    if value.value <= limit.value:
        return []
    return [_rig_fault("figure_above", (one, other), name=one, limit_name=other, value=value, limit=limit)]


@dataclass(frozen=True, kw_only=True)
class Rig:
    """A rig profile. Lengths mm, speeds mm/min, flows s, masses kg.

    The defaults are those of the built-in profile (`stripplan/files/rig/data/rig.toml` says the same and
    a test compares them). `assumed` names the keys that the person did not give.

    `fence_min`, `fence_max` bound the offset F from fence face to torch centreline; `F = fence_zero + fence_scale *
    reading`, and readings are multiples of `fence_step`. End stops are `end_stop_min + n * end_stop_step`, up to
    `stroke`. `bed_length` is the longest piece that lies safely along the travel, `bed_before` how much of it may lie
    behind the start line, `far_max` the widest piece beside the torch on the side away from the fence; None = no limit.
    `fence_u` is the standard uncertainty of what the scale means [mm], `fence_repeat` the standard deviation of one
    setting [mm], `fence_angle` how far the fence is out of parallel to the travel [deg]; None = not measured.

    `return_speed` left out (0) is that of the drive, `travel_max`. Two people turn over up to `turn_over_mass_max`,
    left out twice `two_person_mass`; what is heavier only with a `hoist`. Parts are not cut narrower than
    `narrowest_part`, left out 1.5 times the thickness or two kerfs, whichever is more. `slot_width` is the widest gap
    of the bed that a piece may lie over.

    Angles of the mitre bar are set to the nearest multiple of `mitre_step` [deg]; None: they are set as they are, and
    steps of half a degree assumed for how true that is.

    `tilt_max` is how far the torch can be tilted for bevels [deg], 0 = not at all. A tilted torch strikes the upper
    face of the plate farther from the fence: `tilt_shift` are measured pairs of angle and distance [deg, mm]; where
    none serves, the tilt is about a pivot `tilt_pivot` above that face. `tilt_u` is the standard uncertainty of a tilt
    [deg], None = not measured.

    `notebook` holds what was measured; `rig/notebook/calibrate.py` puts its figures in the place of those given here,
    and leaves in `measured` what came from where. With `prices` plans say what a job costs.
    """

    name: str = "built-in"
    stroke: float = 1300.0
    lead_in: float = 10.0
    overrun: float = 8.0
    overrun_max: float = 60.0
    fence_min: float = 12.0
    fence_max: float = 1300.0
    fence_zero: float = 0.0
    fence_scale: float = 1.0
    fence_step: float = 0.5
    fence_u: float | None = None
    fence_repeat: float | None = None
    fence_angle: float | None = None
    end_stop_min: float = 50.0
    end_stop_step: float = 5.0
    square_side: SquareSide = "fence"
    narrowest_offcut: float = 5.0
    two_pass: bool = True
    two_pass_overlap: float = 10.0
    marked: bool = True
    mitre_min: float = 20.0
    mitre_max: float = 160.0
    mitre_step: float | None = None
    mitre_stop_zero: float = 0.0
    mitre_stop_max: float = 600.0
    piece_mass_max: float | None = None
    tilt_max: float = 0.0
    tilt_pivot: float = 0.0
    tilt_shift: tuple[tuple[float, float], ...] = ()
    tilt_u: float | None = None
    two_person_mass: float = 25.0
    two_person_length: float = 2000.0
    turn_over_mass_max: float | None = None
    hoist: bool = False
    narrowest_part: float | None = None
    slot_width: float | None = None
    bed_length: float | None = None
    bed_before: float | None = None
    far_max: float | None = None
    travel_min: float = 50.0
    travel_max: float = 760.0
    return_speed: float = 0.0
    pre_flow: float = 0.5
    post_flow: float = 3.0
    post_flow_returning: bool = False
    pilot_limit: float = 5.0
    dial: tuple[tuple[float, float], ...] = ()
    processes: tuple[Process, ...] = ()
    seconds: Seconds = field(default_factory=Seconds)
    prices: Prices | None = None
    notebook: Notebook | None = None
    measured: tuple[Measured, ...] = ()
    assumed: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if not self.return_speed:
            object.__setattr__(self, "return_speed", self.travel_max)
        above = ("stroke", "fence_max", "fence_scale", "fence_step", "end_stop_step", "travel_max", "return_speed")
        for key in above:
            value = getattr(self, key)
            if not (math.isfinite(value) and value > 0):
                raise ValueError(f"rig {self.name}: {key} {value} must be above 0")
        from_zero = (
            "lead_in", "overrun", "overrun_max", "fence_min", "end_stop_min", "narrowest_offcut", "two_pass_overlap",
            "two_person_mass", "two_person_length", "travel_min", "pre_flow", "post_flow", "pilot_limit", "tilt_max",
            "tilt_pivot",
        )  # fmt: skip
        for key in from_zero:
            value = getattr(self, key)
            if not (math.isfinite(value) and value >= 0):
                raise ValueError(f"rig {self.name}: {key} {value} must not be below 0")
        if self.mitre_step is not None and not 0 < self.mitre_step <= WIDEST_STEP:
            raise ValueError(
                f"rig {self.name}: mitre_step {self.mitre_step} must lie above 0 and up to {WIDEST_STEP:g}"
            )
        if self.tilt_max > STEEPEST:
            raise ValueError(f"rig {self.name}: tilt_max {self.tilt_max} must not be above {STEEPEST:g}")
        angles = [angle for angle, _ in self.tilt_shift]
        if not all(0 < angle <= STEEPEST for angle in angles) or len(set(angles)) < len(angles):
            raise ValueError(
                f"rig {self.name}: angles of tilt_shift must lie above 0 and up to {STEEPEST:g}, each once"
            )
        for fault in self._contradictions():
            raise FiguresError(Message("of_place", f"rig {self.name}", Facts(what=fault)))

    def _contradictions(self) -> Iterator[Message]:
        """Figures that cannot both be."""
        yield from _above("fence_min", length(self.fence_min), "fence_max", length(self.fence_max))
        yield from _above("end_stop_min", length(self.end_stop_min), "stroke", length(self.stroke))
        if self.lead_in + self.overrun >= self.stroke:
            yield _rig_fault("no_stroke_left", ("lead_in", "overrun", "stroke"), stroke=length(self.stroke))
        yield from _above("travel_min", speed(self.travel_min), "travel_max", speed(self.travel_max))
        wrong = dial_fault(self.dial)
        if wrong is not None:
            yield wrong
        if self.overrun_max < self.overrun:
            most, overrun = length(self.overrun_max), length(self.overrun)
            keys = "overrun_max", "overrun"
            yield _rig_fault("figure_below", keys, name=keys[0], limit_name=keys[1], value=most, limit=overrun)
