"""Whether the fence is parallel to the travel, and a cut rectangle square.

Plane geometry, no published source; uncertainty of a reading from its resolution, JCGM 100:2008 (GUM) 4.3.7 and
5.1.2. The limit is common practice, no source. The fence is on the right as seen along the travel.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

from stripplan.errors import FiguresError
from stripplan.rig.inches import inch_rows
from stripplan.rig.notebook.readings_along import above_0
from stripplan.rig.uncertainty import LEVEL, Estimate, combined, resolution_u
from stripplan.wording.message import Facts, Message, measured

STEEPEST = 5.0
"""A fence or a square that is out by more was mistyped, not misaligned [degrees] (common practice, no source)."""


@dataclass(frozen=True)
class FenceAngle:
    """Angle of the fence to the travel, from one strip's widths at both ends.

    `angle` [degrees, + = fence and torch line part towards the far end, the strip is wider there]; `taper` = that in
    mm over `length`; `turn` as seen from above; `far_end` = how far the fence's far end moves towards the torch line
    [mm, - = away], home end held, over `fence_length`.
    """

    angle: Estimate
    taper: Estimate
    length: float
    differs: bool
    turn: Literal["none", "clockwise", "anticlockwise"]
    fence_length: float
    far_end: Estimate
    advice: tuple[Message, ...]

    def width_error(self, length: float) -> Estimate:
        """How much a strip's width changes over `length` [mm] with the fence as it stands."""
        return Estimate(
            self.taper.value * length / self.length, self.taper.u * length / self.length, self.taper.dof, self.taper.n
        )


@dataclass(frozen=True)
class SquareReport:
    """How far a cut rectangle is out of square. `angle` [degrees, + = the corner where the first diagonal starts is
    below 90]; `corner` that corner [degrees]; `over_width`, `over_length` what it makes on each side [mm]; `closure`
    = how much longer the diagonals are, in the mean, than sides and parallelism allow [mm]."""

    angle: Estimate
    corner: float
    over_width: Estimate
    over_length: Estimate
    closure: float
    differs: bool
    advice: tuple[Message, ...]


def fence_parallel(
    home: float, far: float, length: float, *, resolution: float = 0.05, fence_length: float | None = None
) -> FenceAngle:
    """Is the fence parallel to the travel: widths [mm] of one strip near its home end and near its far end, `length`
    [mm] between the two places.

    The strip's datum edge must be straight: an edge that is not shows in the widths like a fence that is not. angle =
    atan((far - home) / length). `fence_length` [mm], default `length`: how far the fence's far end lies from the end
    that is held.

    >>> found = fence_parallel(50.0, 51.05, 600)
    >>> round(found.angle.value, 2), found.turn, round(found.far_end.value, 2)
    (0.1, 'anticlockwise', 1.05)
    """
    _refuse_widths(home, far, length, resolution, fence_length)
    reach = length if fence_length is None else fence_length
    taper = Estimate(far - home, combined([(resolution_u(resolution), math.inf)] * 2)[0], math.inf, 2)
    slope = taper.value / length
    angle = Estimate(math.degrees(math.atan(slope)), math.degrees(taper.u / length / (1 + slope * slope)), math.inf, 2)
    differs = abs(taper.value) > taper.half_width()
    far_end = Estimate(taper.value * reach / length, taper.u * reach / length, math.inf, 2)
    turn: Literal["none", "clockwise", "anticlockwise"] = "none"
    if differs:
        # The fence lies on the right: its far end goes to the left, anticlockwise, where the strip is too wide there.
        turn = "anticlockwise" if taper.value > 0 else "clockwise"
    found = FenceAngle(angle, taper, length, differs, turn, reach, far_end, ())
    return replace(found, advice=tuple(_fence_advice(found)))


def square_check(width: float, length: float, first: float, second: float, *, resolution: float = 0.5) -> SquareReport:
    """How far a cut rectangle is out of square, from its sides and both diagonals [mm], read with a rule of
    `resolution` [mm].

    For a parallelogram sin(out of square) = (d1^2 - d2^2) / (4 w l), exact. The `first` diagonal starts at the corner
    that lay on the fence near home.

    >>> report = square_check(300, 400, 501.0, 499.0)
    >>> round(report.angle.value, 3), round(report.corner, 3), report.differs
    (0.239, 89.761, True)
    """
    _refuse_rectangle(width, length, first, second, resolution)
    u = resolution_u(resolution)
    sine = (first**2 - second**2) / (4 * width * length)
    cosine = math.sqrt(1 - sine * sine)
    # Each reading's part: what one mm in it turns the angle by.
    turns = (first / (2 * width * length), second / (2 * width * length), sine / width, sine / length)
    spread = math.hypot(*turns) * u / cosine
    angle = Estimate(math.degrees(math.asin(sine)), math.degrees(spread), math.inf, 4)
    differs = abs(angle.value) > angle.half_width()
    over = [Estimate(side * sine, side * spread * cosine, math.inf, 4) for side in (width, length)]
    closure = math.sqrt((first**2 + second**2) / 2) - math.hypot(width, length)
    report = SquareReport(angle, 90 - angle.value, over[0], over[1], closure, differs, ())
    return replace(report, advice=tuple(_square_advice(report, u)))


def _fence_advice(found: FenceAngle) -> list[Message]:
    long = measured(found.length)
    if not found.differs:
        return [Message("fence_parallel", facts=Facts(half=measured(found.taper.half_width()), length=long))]
    wider = found.taper.value > 0
    off = Facts(
        by=measured(abs(found.taper.value)), wider=wider, length=long,
        angle=abs(found.angle.value), half=found.angle.half_width(),
    )  # fmt: skip
    turn = Facts(
        turn=found.turn, wider=wider, reach=measured(found.fence_length), by=measured(abs(found.far_end.value))
    )
    return [Message("fence_off", facts=off), Message("turn_fence", facts=turn)]


def _square_advice(report: SquareReport, u: float) -> list[Message]:
    said = []
    if abs(report.closure) > 3 * u:
        said.append(Message("diagonals_do_not_fit", facts=Facts(by=measured(abs(report.closure)))))
    half = report.angle.half_width()
    if not report.differs:
        return [*said, Message("is_square", facts=Facts(half=half, level=100 * LEVEL))]
    facts = Facts(
        angle=abs(report.angle.value), half=half, over_width=measured(abs(report.over_width.value)),
        over_length=measured(abs(report.over_length.value)), sharp="first" if report.angle.value > 0 else "second",
    )  # fmt: skip
    return [*said, Message("cut_out_of_square", facts=facts), Message("square_is_handed_on")]


def _refuse_widths(home: float, far: float, length: float, resolution: float, fence_length: float | None) -> None:
    named = {"width at home": home, "width at the far end": far, "length": length, "fence length": fence_length}
    faults = [*above_0("number_above_0", **named), *above_0(resolution=resolution)]
    if not faults and inch_rows([home, far]):
        faults.append(Message("widths_in_inches", facts=Facts(home=measured(home), far=measured(far))))
    elif not faults and abs(far - home) > length * math.tan(math.radians(STEEPEST)):
        angle = math.degrees(math.atan(abs(far - home) / length))
        figures = {"home": measured(home), "far": measured(far), "length": measured(length)}
        faults.append(Message("fence_too_far_off", facts=Facts(**figures, angle=angle, most=STEEPEST)))
    if faults:
        raise FiguresError(*faults)


def _refuse_rectangle(width: float, length: float, first: float, second: float, resolution: float) -> None:
    diagonals = {"first diagonal": first, "second diagonal": second}
    faults = [*above_0("number_above_0", width=width, length=length, **diagonals), *above_0(resolution=resolution)]
    sides = {"width": measured(width), "length": measured(length)}
    low, high = abs(length - width), length + width
    if not faults:
        reach = {"low": measured(low), "high": measured(high)}
        faults += [
            Message("diagonal_cannot_be", facts=Facts(name=name, value=measured(value), **sides, **reach))
            for name, value in diagonals.items()
            if not low < value < high
        ]
    if not faults and abs(first**2 - second**2) > 4 * width * length * math.sin(math.radians(STEEPEST)):
        figures = {"first": measured(first), "second": measured(second)}
        faults.append(Message("too_far_out_of_square", facts=Facts(**figures, **sides, most=STEEPEST)))
    if faults:
        raise FiguresError(*faults)
