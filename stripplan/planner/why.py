"""Why a cut stands where it does, in a sentence."""

from __future__ import annotations

from collections.abc import Sequence

from stripplan.errors import Fault, InputError
from stripplan.model.job import Job
from stripplan.model.rig import Rig
from stripplan.planner.plates_used import UsedPlate
from stripplan.planner.wishes import constraints_of, weights_of
from stripplan.sequence import CutOrder, PlaceReason, place_reasons


def reasons(job: Job, rig: Rig, used: Sequence[UsedPlate], order: CutOrder, cuts: Sequence[int]) -> list[str]:
    """A sentence for each of these cuts, counted from 1; InputError for one that there is not."""
    count = len(order.cuts)
    for number in cuts:
        if not 1 <= number <= count:
            raise InputError(
                Fault("no_cut", f"cut {number}", f"the plan has no such cut: it has {count}", f"1 to {count}")
            )
    found = place_reasons(
        rig, [each.bench.piece for each in used], order.cuts, [number - 1 for number in cuts],
        weights=weights_of(job), constraints=constraints_of(job, used),
    )  # fmt: skip
    return [sentence(number, each) for number, each in zip(cuts, found, strict=True)]


def sentence(number: int, why: PlaceReason) -> str:
    """What a reason says.

    >>> sentence(3, PlaceReason(True, False, True, 1, (), 4, 95.0))
    'Cut 3 stands here because cut 2 has left its piece on the bed and the end stop stands; at its next best place, straight after cut 5, the work would take 1 min 35 s longer.'
    """
    has = []
    if why.ready:
        has.append(f"cut {number - 1} has left its piece on the bed")
    if why.same_reading:
        has.append("the fence stands at its reading")
    if why.same_stop:
        has.append("the end stop stands")
    because = f" because {_joined(has)}" if has else ""
    if why.elsewhere is None:
        bounds = []
        if why.waits_for is not None:
            bounds.append(f"cut {why.waits_for + 1} makes its piece")
        if why.waited_for:
            bounds.append(f"cut {why.waited_for[0] + 1} cuts what it leaves")
        said = f": {_joined(bounds)}" if bounds else ": the others are as you wished them"
        return f"Cut {number} has no other place{said}."
    place = "first of all" if why.elsewhere < 0 else f"straight after cut {why.elsewhere + 1}"
    if why.longer < 0.5:
        return f"Cut {number} stands here{because}; {place} it would take as long."
    return f"Cut {number} stands here{because}; at its next best place, {place}, the work would take {_time(why.longer)} longer."


def _joined(some: Sequence[str]) -> str:
    return some[0] if len(some) == 1 else f"{', '.join(some[:-1])} and {some[-1]}"


def _time(seconds: float) -> str:
    minutes, rest = divmod(round(seconds), 60)
    return f"{minutes} min {rest} s" if minutes else f"{rest} s"
