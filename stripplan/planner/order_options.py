"""Which order of work is taken: the one that a person with a fence would, unless it is clearly dearer.

Parts of a width come off the fence at one setting, the rest pushed up to it each time, and so they are all alike. The other way leaves the rest on the
fence and needs a reading for each cut; at times it is quicker. Both are worked out, and the price of the one not taken is told.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from stripplan.model.effort import Effort
from stripplan.model.job import Job
from stripplan.model.plan.plan import OtherOrder
from stripplan.model.rig import Rig
from stripplan.planner.plates_used import UsedPlate
from stripplan.planner.wishes import constraints_of, weights_of
from stripplan.sequence import BenchPiece, CutOrder, PiecesAndCuts, best_order, pieces_and_cuts

DEARER_SHARE, DEARER_MINUTES = 0.1, 5.0
"""One setting for a width is given up where it takes more than this share of the minutes longer, and more than so many minutes."""
JUST = 1.0
"""Parts that are worth so much less for their sizes are as good [s]."""
WORTH_A_WORD = 0.1
"""Where the other way is quicker by less [min], it is not spoken of."""
FEW_STEPS = 20
"""Steps of the search for the other way, which is there to be compared with."""


@dataclass(frozen=True)
class Chosen:
    """The order that is taken, worked out, and the one that is not where that would be quicker."""

    order: CutOrder
    work: PiecesAndCuts
    other: OtherOrder | None


def chosen_order(
    job: Job,
    rig: Rig,
    plates: Sequence[UsedPlate],
    effort: Effort,
    out_of_time: Callable[[], bool],
    tell: Callable[[float, float], None],
) -> Chosen:
    """The order of work of plates that are used, as the job's aim has it."""
    pieces = [each.bench.piece for each in plates]
    weights, constraints, aim = weights_of(job), constraints_of(job, plates), job.options.aim

    def worked(order: CutOrder, roots: Sequence[BenchPiece]) -> PiecesAndCuts:
        bench = [replace(each.bench, piece=piece) for each, piece in zip(plates, roots, strict=True)]
        return pieces_and_cuts(rig, [part.name for part in job.parts], bench, order)

    one = best_order(
        rig, pieces, effort=effort, weights=weights, constraints=constraints, out_of_time=out_of_time, tell=tell
    )
    work = worked(one, pieces)
    if aim not in ("one_setting", "time") or not one.cuts or out_of_time():
        return Chosen(one, work, None)
    light = effort if aim == "time" else replace(effort, steps=FEW_STEPS, seconds=None)
    conditions = {id(piece.conditions): replace(piece.conditions, equal=False) for piece in pieces}
    freed = [replace(piece, conditions=conditions[id(piece.conditions)]) for piece in pieces]
    quick = weights_of(replace(job, options=replace(job.options, aim="time")))
    free = best_order(rig, freed, effort=light, weights=quick, constraints=constraints, out_of_time=out_of_time)
    least = max(one.least_setup, free.least_setup)  # both hold for every order
    one, free = replace(one, least_setup=least), replace(free, least_setup=least)
    other = worked(free, freed)
    longer = _minutes(work) - _minutes(other)
    if longer < WORTH_A_WORD:
        return Chosen(one, work, None)
    taken, left = _other(one, work), _other(free, other)
    if free.size_loss <= one.size_loss + JUST and left.fence_settings <= taken.fence_settings + 1:
        return Chosen(free, other, None)  # nothing is lost by the quicker way
    much = longer > DEARER_MINUTES and longer > DEARER_SHARE * _minutes(work)
    if aim == "one_setting" and not (much and left.wrong <= taken.wrong):
        return Chosen(one, work, left)
    return Chosen(free, other, taken)


def _minutes(work: PiecesAndCuts) -> float:
    return sum(cut.minutes.total for cut in work.cuts)


def _other(order: CutOrder, work: PiecesAndCuts) -> OtherOrder:
    return OtherOrder(
        fence_settings=sum(cut.setup.fence for cut in work.cuts),
        minutes=_minutes(work),
        differ=_differ(work),
        wrong=order.wrong_sizes,
    )


def _differ(work: PiecesAndCuts) -> float:
    """By how much pieces of one part differ at the most, in width or length [mm]."""
    expected = work.expected_sizes()
    sizes: dict[int, list[tuple[float, float]]] = {}
    for name, (leaf, _) in work.finished.items():
        if leaf.part is not None:
            sizes.setdefault(leaf.part, []).append(expected[name].of_part(leaf.turned))
    return round(
        max((max(along) - min(along) for each in sizes.values() for along in zip(*each, strict=True)), default=0.0), 3
    )
