"""What is known of how good a plan is: what it takes beside the least that is possible."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from stripplan.model.plan.plan import Bound, OrderBound, PartLine, Proof, Totals
from stripplan.model.rig import Rig
from stripplan.planner.order.order_of_work import OrderOfWork
from stripplan.sequence import travel_minutes
from stripplan.wording.message import Message
from stripplan.wording.show import worded

MET = 1e-6
"""A bound so near to what was found meets it: one that comes of a linear programme is rounded down, by less than this.
"""


def bound_by(hows: Iterable[Message], *, found: float, bound: float, proven: bool) -> Bound:
    """A bound with how it was got, each way once."""
    ways = tuple(dict.fromkeys(hows))
    return Bound(
        found=found,
        bound=bound,
        how=", ".join(worded(each).text for each in ways),
        proven=proven,
        codes=tuple(dict.fromkeys(each.code for each in ways)),
    )


def proof_of(rig: Rig, best: OrderOfWork, parts: Sequence[PartLine], totals: Totals) -> Proof:
    """Bounds on plates and their cost over all layouts, on settings and minutes over all orders of this one."""
    layouts, order, work = best.layout.by_group, best.order, best.work
    plates, cost = sum(layout.bound.plates for layout in layouts), best.layout.bound
    complete = all_made(parts)
    if not complete:  # the bounds are for all parts; of a plan for some of them they say no more than this
        plates, cost = min(plates, totals.plates), min(cost, totals.cost)
    least_minutes = travel_minutes(rig, work.cuts) + order.least_setup / 60
    met = math.isclose(cost, totals.cost)  # the sums are of binary fractions
    proven = math.isclose(cost, totals.cost, rel_tol=MET, abs_tol=MET)
    return Proof(
        plates=bound_by(
            (layout.bound.plates_how for layout in layouts),
            found=totals.plates,
            bound=plates,
            proven=complete and plates == totals.plates,
        ),
        cost=bound_by(
            (layout.bound.cost_how for layout in layouts),
            found=totals.cost,
            bound=totals.cost if met else cost,
            proven=complete and proven,
        ),
        setups=OrderBound(found=totals.fence_settings, bound=order.least_settings),
        minutes=OrderBound(found=totals.minutes, bound=math.floor(least_minutes * 1e5) / 1e5),
    )


def all_made(parts: Sequence[PartLine]) -> bool:
    """Whether a plan makes all parts that are wanted."""
    return all(line.made >= line.wanted for line in parts)
