"""Why a cut stands where it does."""

from __future__ import annotations

from collections.abc import Sequence

from stripplan.errors import Fault, InputError
from stripplan.planner.order_constraints import constraints_of, weights_of
from stripplan.planner.order_of_work import OrderOfWork
from stripplan.planner.settled import Settled
from stripplan.sequence import PlaceReason, place_reasons
from stripplan.wording.message import Facts, Message, Quantity


def reasons_for_cuts(settled: Settled, best: OrderOfWork, cuts: Sequence[int]) -> list[Message]:
    """A message for each of these cuts, counted from 1; InputError for one that there is not."""
    cuts_in_order = best.order.cuts
    for number in cuts:
        if not 1 <= number <= len(cuts_in_order):
            raise InputError(Fault("no_cut", f"cut {number}", facts=Facts(count=len(cuts_in_order))))
    found = place_reasons(
        settled.rig,
        [each.to_cut.piece for each in best.plates],
        cuts_in_order,
        [number - 1 for number in cuts],
        weights=weights_of(settled.job.options),
        constraints=constraints_of(settled, best.plates),
    )
    return [place_of_cut(number, each) for number, each in zip(cuts, found, strict=True)]


def place_of_cut(number: int, why: PlaceReason) -> Message:
    """What a reason says. Cuts are named by number; 0 stands for the place before the first.

    >>> from stripplan.wording.show import worded
    >>> said = worded(place_of_cut(3, PlaceReason(True, False, True, 1, (), 4, 95.0))).text
    >>> for half in said.split("; "):
    ...     print(half)
    Cut 3 stands here because cut 2 has left its piece on the bed and the end stop stands
    at its next best place, straight after cut 5, the work would take 1 min 35 s longer.
    """
    facts: dict[str, int | Quantity] = {
        "cut": number,
        "before": number - 1,
        "piece_lies_there": why.ready,
        "fence_stands": why.same_reading,
        "end_stop_stands": why.same_stop,
    }
    if why.elsewhere is not None:
        facts |= {"elsewhere": why.elsewhere + 1, "longer": Quantity(why.longer, "seconds")}
    if why.waits_for is not None:
        facts["made_by"] = why.waits_for + 1
    if why.waited_for:
        facts["cut_on_by"] = why.waited_for[0] + 1
    return Message("place_of_cut", f"cut {number}", Facts(**facts))
