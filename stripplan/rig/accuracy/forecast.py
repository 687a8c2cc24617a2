"""How true and how straight a piece will come out, from the rig's figures: measured where they are, else assumed and
said to be.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from stripplan.model.material import family_of
from stripplan.model.plan.plan import Accuracy, Doubt
from stripplan.model.plan.size_chain import SizeChain
from stripplan.model.rig import Process, Rig
from stripplan.rig.accuracy import remedies, tolerance
from stripplan.rig.accuracy.error_counts import ErrorCounts
from stripplan.rig.process import camber, heat
from stripplan.rig.uncertainty import Estimate
from stripplan.wording.message import Message


def expected_accuracy(
    rig: Rig,
    process: Process,
    chain: SizeChain,
    *,
    of: str,
    size: float,
    width: float,
    length: float,
    cut_edges: int,
    off: float,
    asked: float | None,
) -> tuple[Accuracy, Message | None]:
    """How true a size comes out that is made by `chain` in plate of the process; `width` and `length` of the part,
    `cut_edges` bound the size [mm]. `off` is what is known to be wrong with it: the nearest marks of the scale, what
    could not be cut off [mm].

    Beside it what to improve first, where anything is. What lies in the plate's own size is not in it: that is measured
    first, or the plan says so.
    """
    # What the nearest mark is off by is known, and in `off`; how well the mark is met is measured, or half a step is
    # assumed.
    step = rig.fence_step * rig.fence_scale / 2
    half = math.sqrt(3) * rig.fence_repeat if rig.fence_repeat is not None else step
    dimension = tolerance.Dimension(
        nominal=size,
        thickness=process.thickness,
        chain=ErrorCounts(
            settings=chain.fence,
            common=1.0,
            zero_count=float(abs(chain.zero)),
            half_kerfs=-2 * chain.kerfs,
            marked=chain.marked,
        ),
        dressed_edges=chain.dressed,
        length=length if of == "width" else width,
        bevelled_edges=min(cut_edges, 1),
        reading_error=off,
        tolerance=asked,
        width=width,
        process="plasma",
    )
    errors = tolerance.RigErrors(
        half_step=half,
        fence_u=rig.fence_u,
        kerf=process.kerf,
        kerf_u=process.kerf_u,
        fence_angle=rig.fence_angle,
        bevel=process.bevel,
    )
    made = tolerance.width_stack(dimension, errors)
    doubts = sorted(made.stack.contributions, key=lambda each: -(each.half_width if each.systematic else 2 * each.u))
    accuracy = Accuracy(
        of="width" if of == "width" else "length",
        likely=round(made.deviation, 3),
        worst=round(max(made.worst_case, made.deviation), 3),
        doubts=tuple(
            Doubt(cause=each.name, plus_minus=round(each.half_width, 3), assumed=each.assumed) for each in doubts
        ),
        classes=made.classes.text,
        asked=asked,
        met=made.meets,
        advice=made.advice,
    )
    return accuracy, made.advised


def bow_known(process: Process) -> bool:
    """Whether anything says how far strips bow: a constant that was given or measured, or the model, which holds for
    mild steel alone.
    """
    return process.bow_constant is not None or family_of(process.material) == "mild steel"


def bow_constant(process: Process) -> float | Estimate:
    """C of one hot edge [mm]: as measured, else as the model has it."""
    if process.bow_constant is None:
        return camber.heat_constant(process.travel_speed, process.kerf)
    if process.bow_constant_u is None:  # a figure that nobody says how well it is known
        return Estimate(process.bow_constant, camber.SCATTER * process.bow_constant, math.inf, 1)
    return Estimate(process.bow_constant, process.bow_constant_u, math.inf, process.bow_strips or 1)


def expected_bow(process: Process, *, length: float, width: float, hot: Sequence[bool]) -> camber.BowEstimate:
    """The bow of a piece whose long edges were cut where `hot` says so."""
    constant = bow_constant(process)
    return camber.bow(length, width, [constant if each else 0.0 for each in hot])


TOUCH_LEAST = 5.0
"""No piece is said to be cold sooner after a cut [min]: its edge is far hotter than the whole for some minutes. Common
practice, no source."""


def touch_minutes(process: Process, *, length: float, width: float, long_edges: int, ends: int) -> float | None:
    """How long a piece is too hot for a bare hand after so many of its edges were cut, all at once [min]; None where
    the model of its heat does not hold, or nothing was cut.

    Until its mean temperature has fallen to `heat.TOUCH` (ISO 13732-1) in still air at 20 deg C: `heat.cooling_time`
    after `heat.spread_time`.

    >>> steel = Process(name="p", material="mild steel", thickness=6, kerf=1.5, travel_speed=762)
    >>> round(touch_minutes(steel, length=1000, width=50, long_edges=2, ends=0))
    19
    """
    if family_of(process.material) != "mild steel" or not (long_edges or ends):
        return None
    constant = camber.heat_constant(process.travel_speed, process.kerf)
    rise = heat.mean_rise(width, [constant] * long_edges + [0.0] * (2 - long_edges))
    rise += heat.mean_rise(length, [constant] * ends + [0.0] * (2 - ends))
    cooling = heat.cooling_time(process.thickness, rise, heat.TOUCH - AMBIENT)
    seconds = heat.spread_time(width) + cooling if cooling else 0.0
    return max(TOUCH_LEAST, seconds / 60)


AMBIENT = 20.0
"""Of the workshop [deg C]."""


def bow_remedy(
    process: Process, *, length: float, width: float, hot: Sequence[bool], limit: float | None
) -> Message | None:
    """What would help most to keep the limit; None where it is kept or nothing helps."""
    constant = bow_constant(process)
    found = remedies.remedies(
        length, width, [constant if each else 0.0 for each in hot], kerf=process.kerf, limit=limit
    )
    return min(found, key=lambda each: (not each.meets, each.bow)).message if found else None
