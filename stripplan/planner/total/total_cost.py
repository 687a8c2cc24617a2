"""Plate and hands of a finished plan in one currency, and what no plan of the job could undercut."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence

from stripplan.layout import LeastHands, build_problem, loosened, total_bound
from stripplan.model.plan.piece import Piece
from stripplan.model.plan.plan import TotalCost, Totals
from stripplan.model.rig import Process, Rig
from stripplan.planner.order.bench_plates import BenchPlate
from stripplan.planner.settled import Settled
from stripplan.rig.machine.timing import post_flow_seconds, return_seconds
from stripplan.wording.message import Message
from stripplan.wording.show import worded

HOW, NONE = Message("bound_in_all"), Message("no_bound")


def total_cost(
    settled: Settled,
    used: Sequence[BenchPlate],
    pieces: Sequence[Piece],
    totals: Totals,
    *,
    complete: bool,
) -> TotalCost:
    """What a plan costs; where some part is not made the bound is 0, for it would be that of another job."""
    worth = settled.worth
    bought, offcuts = bought_and_kept(settled, used, pieces)
    hands = worth.minute * totals.minutes
    total = bought + hands - offcuts
    least = _least(settled) if complete else None
    how = NONE if least is None else HOW
    return TotalCost(
        currency=worth.currency,
        plates=bought,
        minute=worth.minute,
        minute_from=worth.minute_from,
        hands=hands,
        offcuts=offcuts,
        total=total,
        bound=0.0 if least is None else min(total, math.floor(least * 1e5) / 1e5),
        how=worded(how).text,
        code=how.code,
    )


def bought_and_kept(settled: Settled, used: Sequence[BenchPlate], pieces: Sequence[Piece]) -> tuple[float, float]:
    """What plates are worth, and the offcuts among the pieces that they are cut into, in the job's currency."""
    worth, kept = settled.worth, 0.0
    areas: dict[str, list[float]] = defaultdict(list)
    for piece in pieces:
        if piece.kind == "offcut":
            areas[piece.plate].append(piece.area)
    for each in used:
        plate = each.plate.plate
        kept += worth.of_offcuts(worth.plates[each.plate.index], plate.length * plate.width, areas[each.to_cut.id])
    return sum(worth.plates[each.plate.index] for each in used), kept


def _least(settled: Settled) -> float:
    """The bounds of all groups together."""
    worth, options, least = settled.worth, settled.job.options, 0.0
    for group in settled.groups:
        problem = build_problem(settled.grid, group.plates, group.parts, options.keep, options.depth)
        least += total_bound(
            loosened(problem, group.parts),
            [least_hands(settled.rig, each.process) for each in group.plates],
            [worth.plates[each.index] for each in group.plates],
            minute=worth.minute,
            share=worth.share,
        )
    return least


def least_hands(rig: Rig, process: Process) -> LeastHands:
    """What a cut takes at the least: air, the way to its end and home, the piece moved to where it is cut, and what
    the cut before left cleared away.

    The piece is pushed up, turned or fetched for each cut; only where a cut is marked out it may stay, and marking
    takes what a fence setting takes. A cut into the kerf of an edge leaves nothing to clear away.
    """
    seconds, per_length = rig.seconds, 60 / process.travel_speed + return_seconds([1.0], rig.return_speed)
    # A second pass begins on the start line once more and ends inside the metal.
    beyond = rig.overrun if not rig.two_pass else min(rig.overrun, rig.lead_in + rig.two_pass_overlap)
    air = rig.pre_flow + post_flow_seconds(rig, [rig.stroke])
    moved = min(seconds.push, seconds.quarter_turn, seconds.fetch, seconds.fence)
    if seconds.two_person < 1:
        moved *= seconds.two_person
    cleared = seconds.clear if rig.narrowest_offcut > 0 else 0.0
    return LeastHands(air + (rig.lead_in + beyond) * per_length + moved + cleared, per_length, cleared)
