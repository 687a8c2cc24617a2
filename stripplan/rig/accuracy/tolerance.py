"""How true one dimension of one part will be: all that makes it too wide or too narrow, added up (`error_stack`).

Nothing is taken as measured that was not: what is left out is assumed, and is named in `assumed`.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace

from stripplan.rig.accuracy.error_counts import ON_FENCE, ErrorCounts
from stripplan.rig.accuracy.error_stack import EPS, SHIFT, Contribution, Stack
from stripplan.rig.process.camber import BowEstimate
from stripplan.rig.standards import Classes, ThermalProcess, class_met
from stripplan.wording.message import Facts, Message
from stripplan.wording.message import length as quantity
from stripplan.wording.show import worded

READING = "fence reading"
ZERO = "fence zero"
KERF = "kerf"
RAIL = "rail straightness"
MARKING = "marking by hand"
DRESSING = "dressing of the datum edge"
PARALLEL = "fence parallel to travel"
BOW = "bow"
BEVEL = "bevel"
NAMES = (READING, ZERO, KERF, RAIL, MARKING, DRESSING, PARALLEL, BOW, BEVEL, SHIFT)
"""Of the causes, as they stand in a plan file."""

HALF_STEP = 0.25
"""Half a step of a scale read to 0.5 mm [mm]: the built-in profile's."""
FENCE_U = 0.10
"""Standard uncertainty of a fence zero found with a rule [mm]: assumed, no source."""
KERF_SHARE = 0.1
"""Half-width of a kerf that was not measured, as a share of it: common practice, no source."""
KERF_HALF_WIDTH = 0.2
"""The same where not even the kerf is known [mm]: assumed, no source."""
RAIL_HALF_WIDTH = 0.15
"""Rail out of straight, ± [mm]: assumed, no source."""
MARK_HALF_WIDTH = 0.5
"""A cut set by a scribed mark, ± [mm]: common practice, no source."""
DRESSING_HALF_WIDTH = 0.1
"""Dross left, or metal taken, on a dressed edge that goes to the fence, ± [mm]: assumed, no source."""
PARALLEL_OVER_CUT = 0.2
"""Fence out of parallel to the travel over the length of a cut [mm]: common practice for rails, no source."""
BEVEL_ANGLE = 3.0
"""Bevel of an ordinary plasma edge [degrees], 1 to 5: seen in training material."""


@dataclass(frozen=True)
class Improvement:
    """What it would bring to make one contribution better: the expected deviation `now`, with it `halved`, and
    `without` it [mm]."""

    name: str
    now: float
    halved: float
    without: float
    message: Message

    @property
    def text(self) -> str:
        """The advice in words, in mm."""
        return worded(self.message).text


@dataclass(frozen=True)
class Expected:
    """How true one dimension is expected to be: its `stack`, the classes met, whether the part's own `tolerance` is
    met.

    ISO 9013 is compared without the bevel, which its limit deviations do not hold (from memory); ISO 2768 and the
    part's own tolerance with it. `improvements`: the best first.
    """

    nominal: float
    stack: Stack
    classes: Classes
    tolerance: float | None
    improvements: tuple[Improvement, ...]

    @property
    def deviation(self) -> float:
        """Expected deviation, ± [mm]."""
        return self.stack.deviation

    @property
    def worst_case(self) -> float:
        """Greatest deviation with everything at its worst, ± [mm]."""
        return abs(self.stack.shift) + self.stack.worst_case

    @property
    def assumed(self) -> tuple[str, ...]:
        """Names of what was not measured."""
        return self.stack.assumed

    @property
    def meets(self) -> bool | None:
        """Whether the part's own tolerance is met, about 95 in 100; None where it has none."""
        return None if self.tolerance is None else self.deviation <= self.tolerance + EPS

    @property
    def first(self) -> Improvement | None:
        """What to improve first; None where nothing is left to improve."""
        return self.improvements[0] if self.improvements else None

    @property
    def advice(self) -> str:
        """The same in words, in mm; "" where there is nothing."""
        return "" if self.advised is None else worded(self.advised).text

    @property
    def advised(self) -> Message | None:
        """What to improve first, what that brings, and whether it is enough for the part's own tolerance; None where
        there is nothing."""
        if self.first is None or self.tolerance is None or self.meets:
            return None if self.first is None else self.first.message
        reached = ((self.first.halved, "improved_halved"), (self.first.without, "improved_without"))
        says = next((how for what, how in reached if what <= self.tolerance + EPS), "improved_not_enough")
        return Message(
            "improve", facts=Facts(first=self.first.message, asked=quantity(round(self.tolerance, 3))), says=says
        )


@dataclass(frozen=True, kw_only=True)
class Dimension:
    """One dimension between two straight edges, and what is known to be wrong with it; lengths [mm].

    `nominal` size in plate of `thickness`; `chain` what lies between its edges. `dressed_edges` of the pieces it was
    cut from lay on the fence, `bevelled_edges` bound it. `length` of its cuts. `width` (default: the nominal) with
    `length` and `process` say whether ISO 9013 means such parts. `tolerance` is the part's own, ±. Known errors:
    `kerf_bias` (true kerf less kerf used), `reading_error` of the fence.
    """

    nominal: float
    thickness: float
    chain: ErrorCounts = ON_FENCE
    length: float | None = None
    width: float | None = None
    dressed_edges: int = 0
    bevelled_edges: int = 1
    tolerance: float | None = None
    process: ThermalProcess | None = None
    kerf_bias: float = 0.0
    reading_error: float = 0.0


@dataclass(frozen=True, kw_only=True)
class RigErrors:
    """How far the rig may be off: half-widths ± [mm], angles [degrees]. Left out = assumed.

    `half_step` of the fence scale and `fence_u`, the standard uncertainty of its zero, count where a chain has fence
    settings; `marking` where it has marked cuts. The kerf is known by `kerf_half_width` or `kerf_u`; with neither a
    tenth of `kerf` is assumed. `rail` out of straight. `dressing` for each dressed edge on the fence. `fence_angle`
    between fence and travel. `camber`: bow of the edge on the fence, or an estimate of it, whose high end counts.
    `bevel` of a cut edge. `assumed` names more that is assumed (the names of this module: `KERF`, `ZERO` ...).
    """

    half_step: float | None = None
    fence_u: float | None = None
    kerf: float | None = None
    kerf_half_width: float | None = None
    kerf_u: float | None = None
    rail: float | None = None
    marking: float | None = None
    dressing: float | None = None
    fence_angle: float | None = None
    camber: float | BowEstimate = 0.0
    bevel: float | None = None
    assumed: Collection[str] = ()


def width_stack(size: Dimension, rig: RigErrors) -> Expected:
    """How true one dimension between two straight edges comes out on a rig.

    >>> rig = RigErrors(half_step=0.25, fence_u=0.10, kerf_half_width=0.2, rail=0.15, fence_angle=0, bevel=0)
    >>> found = width_stack(Dimension(nominal=50, thickness=6), rig)
    >>> round(found.stack.u, 4), found.classes.text, found.stack.greatest
    (0.2041, 'ISO 9013 class 2, ISO 2768-1 class c', 'fence reading')
    """
    bow = rig.camber.high if isinstance(rig.camber, BowEstimate) else rig.camber
    _refuse(
        above={
            "nominal": size.nominal, "thickness": size.thickness, "length": size.length, "width": size.width,
            "tolerance": size.tolerance,
            "kerf": rig.kerf,
        },
        from_zero={
            "half_step": rig.half_step, "fence_u": rig.fence_u, "kerf_half_width": rig.kerf_half_width,
            "kerf_u": rig.kerf_u,
            "rail": rig.rail, "marking": rig.marking, "dressed_edges": size.dressed_edges, "dressing": rig.dressing,
            "camber": bow,
            "bevelled_edges": size.bevelled_edges,
        },
        numbers={"kerf_bias": size.kerf_bias, "reading_error": size.reading_error},
        angles={"fence_angle": rig.fence_angle, "bevel": rig.bevel},
        assumed=rig.assumed,
    )  # fmt: skip
    if rig.kerf_half_width is not None and rig.kerf_u is not None:
        raise ValueError("the kerf is known by its half-width or by its u: give one of the two")
    parts: list[Contribution] = []
    if size.chain.settings:
        parts += _fence(size.chain, rig.half_step, rig.fence_u)
    if size.chain.half_kerfs:
        parts.append(_kerf(abs(size.chain.half_kerfs) / 2, rig.kerf, rig.kerf_half_width, rig.kerf_u))
    parts.append(_given(RAIL, rig.rail, RAIL_HALF_WIDTH))
    if size.chain.marked:
        parts.append(_given(MARKING, rig.marking, MARK_HALF_WIDTH, settings=size.chain.marked))
    if size.dressed_edges:
        parts.append(_given(DRESSING, rig.dressing, DRESSING_HALF_WIDTH, settings=size.dressed_edges))
    if size.chain.settings:
        out = None if rig.fence_angle is None else _over(rig.fence_angle, size.length)
        parts.append(_given(PARALLEL, out, PARALLEL_OVER_CUT, systematic=True))
    if bow:
        parts.append(_bow(rig.camber, bow))
    wedge = (
        math.tan(math.radians(abs(BEVEL_ANGLE if rig.bevel is None else rig.bevel)))
        * size.thickness
        * size.bevelled_edges
    )
    parts.append(Contribution.within(BEVEL, wedge, systematic=True, assumed=rig.bevel is None))
    parts = [replace(each, assumed=True) if each.name in rig.assumed else each for each in parts if each.half_width > 0]
    stack = Stack(tuple(parts), size.chain.half_kerfs / 2 * size.kerf_bias + size.reading_error)
    return _expected(size.nominal, size.thickness, stack, size.tolerance, size.length, size.width, size.process)


def improvements(stack: Stack) -> tuple[Improvement, ...]:
    """What each contribution would bring if it were halved or gone, the best first.

    >>> best = improvements(Stack((Contribution.within(KERF, 0.3), Contribution.within(READING, 0.1))))[0]
    >>> best.text
    'kerf: measure the kerf from test cuts. Halved, ±0.37 mm becomes ±0.21 mm; without it, ±0.12 mm.'
    """
    names = [each.name for each in stack.contributions] + ([SHIFT] if stack.shift else [])
    found = []
    for name in names:
        halved, without = stack.scaled(name, 0.5).deviation, stack.scaled(name, 0.0).deviation
        facts = Facts(
            cause=name,
            shift_mm=stack.shift,
            assumed=name in stack.assumed,
            now=quantity(stack.deviation),
            halved=quantity(halved),
            without=quantity(without),
        )
        message = Message("improve", facts=facts, says="improve_shift" if name == SHIFT else "improve")
        found.append(Improvement(name, stack.deviation, halved, without, message))
    return tuple(sorted(found, key=lambda each: each.without))


def _fence(chain: ErrorCounts, half_step: float | None, fence_u: float | None) -> list[Contribution]:
    """Reading and zero of the fence, as often as the chain has them."""
    reading = _given(READING, half_step, HALF_STEP, times=chain.common, settings=chain.settings)
    if not chain.zero_count:
        return [reading]
    zero = Contribution.known(
        ZERO,
        FENCE_U if fence_u is None else fence_u,
        times=chain.zero_count,
        assumed=fence_u is None,
    )
    return [reading, zero]


def _kerf(times: float, kerf: float | None, half_width: float | None, u: float | None) -> Contribution:
    """The kerf's own uncertainty; one kerf serves the whole chain, so half-kerfs add up and do not average out."""
    if u is not None:
        return Contribution.known(KERF, u, times=times)
    if half_width is not None:
        return Contribution.within(KERF, half_width, times=times)
    guess = KERF_HALF_WIDTH if kerf is None else KERF_SHARE * kerf
    return Contribution.within(KERF, guess, times=times, assumed=True)


def _bow(camber: float | BowEstimate, bow: float) -> Contribution:
    """The bow of the edge on the fence; a model that is not calibrated counts as assumed."""
    if not isinstance(camber, BowEstimate):
        return Contribution.within(BOW, bow, systematic=True)
    known = camber.calibrated and not camber.beyond_model
    return Contribution.within(BOW, bow, systematic=True, assumed=not known)


def _given(
    name: str,
    value: float | None,
    default: float,
    *,
    times: float = 1.0,
    settings: int = 1,
    systematic: bool = False,
) -> Contribution:
    """A half-width as given, else the default, then assumed."""
    return Contribution.within(
        name,
        default if value is None else value,
        times=times,
        settings=settings,
        systematic=systematic,
        assumed=value is None,
    )


def _over(angle: float, length: float | None) -> float:
    """What an angle between fence and travel makes over the cut's length [mm]."""
    if angle and length is None:
        raise ValueError(f"fence angle {angle:g} deg: the length of the cut is needed with it")
    return abs(width_error(angle, length or 0.0))


def _expected(
    nominal: float,
    thickness: float,
    stack: Stack,
    tolerance: float | None,
    length: float | None,
    width: float | None,
    process: ThermalProcess | None,
) -> Expected:
    across = nominal if width is None else width
    whole = class_met(stack.deviation, thickness, nominal, length=length, width=across, process=process)
    thermal = class_met(
        stack.without(BEVEL).deviation, thickness, nominal, length=length, width=across, process=process
    )
    classes = replace(thermal, iso_2768=whole.iso_2768)
    return Expected(nominal, stack, classes, tolerance, improvements(stack))


def _refuse(
    *,
    above: Mapping[str, float | None],
    from_zero: Mapping[str, float | None],
    numbers: Mapping[str, float],
    angles: Mapping[str, float | None],
    assumed: Collection[str],
) -> None:
    """Raise ValueError that names every quantity that cannot be."""
    faults = [_words(name, each, "must be above 0") for name, each in above.items() if not _fits(each, least=EPS)]
    faults += [_words(name, each, "must not be below 0") for name, each in from_zero.items() if not _fits(each)]
    faults += [_words(name, each, "must be a number") for name, each in numbers.items() if not math.isfinite(each)]
    faults += [
        _words(name, each, "must lie between -45 and 45 degrees")
        for name, each in angles.items()
        if each is not None and not abs(each) < 45
    ]
    unknown = [name for name in assumed if name not in NAMES]
    if unknown:
        faults.append(f"assumed {', '.join(map(repr, unknown))} is not known; known are {', '.join(NAMES)}")
    if faults:
        raise ValueError("; ".join(faults))


def _fits(value: float | None, least: float = 0.0) -> bool:
    return value is None or (math.isfinite(value) and value >= least)


def _words(name: str, value: float | None, rule: str) -> str:
    return f"{name.replace('_', ' ')} {value}: {rule}"


def width_error(angle: float, length: float) -> float:
    """How much a width changes over `length` [mm] at an `angle` [degrees] between fence and travel: L tan(angle).

    >>> round(width_error(0.1, 600), 3)
    1.047
    """
    return length * math.tan(math.radians(angle))
