"""Which order of work is taken: the one that a person with a fence would, unless it is clearly dearer.

Parts of a width come off the fence at one setting, the rest pushed up to it each time, and so they are all alike. The
other way leaves the rest on the fence and needs a reading for each cut; at times it is quicker. Both are worked out,
and the price of the one not taken is told.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from stripplan.model.pattern import leaves
from stripplan.model.plan.plan import OtherOrder
from stripplan.planner.job_layout import JobLayout
from stripplan.planner.order.bench_plates import BenchPlate, bench_plates
from stripplan.planner.order.order_constraints import constraints_of, weights_of
from stripplan.planner.search_control import Search
from stripplan.planner.settled import Settled
from stripplan.sequence import BenchPiece, CutConditions, CutOrder, PiecesAndCuts, best_order, pieces_and_cuts

DEARER_SHARE, DEARER_MINUTES = 0.1, 5.0
"""One setting for a width is given up where it takes more than this share of the minutes longer, and more than so many
minutes.
"""
JUST = 1.0
"""Parts that are worth so much less for their sizes are as good [s]."""
WORTH_A_WORD = 0.1
"""Where the other way is quicker by less [min], it is not spoken of."""
LIGHT_STEPS = 1
"""Steps of an order that is there to be compared: its minutes are within half a hundredth of those of a long search."""
ORDERING = 0.8
"""What is done of the whole before the cuts are ordered."""
FEW = 200
"""Pieces up to which a light order is made whatever the clock says: it takes a second or two at the most."""
IN_EARNEST, IN_A_HURRY = 100, 50
"""Pieces up to which layouts are compared by orders as good as the plan's own, and up to which also once time is over:
such an order takes four times as long as a light one.
"""
FEW_STEPS = 20
"""Steps of the search for the other way, which is there to be compared with."""


def _silent(_best: float, _least: float) -> None:
    """Nobody is told."""


def never() -> bool:
    """Go on to the end."""
    return False


@dataclass(frozen=True)
class OrderOfWork:
    """A layout with the order that is taken for its plates, worked out, and the one that is not where that would be
    quicker.
    """

    layout: JobLayout
    plates: tuple[BenchPlate, ...]
    order: CutOrder
    work: PiecesAndCuts
    other: OtherOrder | None

    @property
    def cost(self) -> float:
        """What its plates cost."""
        return sum(each.plate.cost for each in self.plates)


def order_of_work(settled: Settled, layout: JobLayout, search: Search, known: OrderOfWork | None = None) -> OrderOfWork:
    """The order of work of a layout, as the job's aim has it; `known` is what `order_in_earnest` found for it."""
    plates = tuple(bench_plates(settled, layout)) if known is None else known.plates
    search.share = max(search.share, ORDERING)
    search.tell("ordering the cuts")
    if search.at_once:
        hasty = replace(layout, effort=replace(layout.effort, steps=0, seconds=None))
        return replace(_ordered(settled, hasty, plates, search, bounds=False, clock=never, hasty=True), layout=layout)
    few = few_cuts(layout)
    if few and search.over() and known is None:  # what the search has left of its time is for a light order
        light = replace(layout, effort=replace(layout.effort, steps=LIGHT_STEPS, seconds=None))
        one = replace(_ordered(settled, light, plates, search, clock=never), layout=layout)
    else:
        one = _ordered(settled, layout, plates, search, known=None if known is None else known.order)
    aim = settled.job.options.aim
    if aim not in ("one_setting", "time") or not one.order.cuts or (search.over() and not few):
        return one
    return _weighed_with_quickest(settled, one, search)


def order_in_earnest(
    settled: Settled,
    layout: JobLayout,
    conditions: list[CutConditions],
    search: Search,
    promising: Callable[[OrderOfWork], bool],
) -> OrderOfWork:
    """The order that `order_of_work` begins with, without bounds, to choose a layout by, whatever the clock says; where
    seconds are given it takes none of them. It is left as it is once it is no longer `promising`. `conditions` as in
    `light_order`.
    """
    layout = replace(layout, effort=replace(layout.effort, seconds=None))
    plates = tuple(bench_plates(settled, layout, conditions))

    def so_far(order: CutOrder) -> bool:
        return promising(OrderOfWork(layout, plates, order, _work(settled, plates, order), None))

    return _ordered(settled, layout, plates, search, bounds=False, clock=never, promising=so_far)


def light_order(settled: Settled, layout: JobLayout, conditions: list[CutConditions], search: Search) -> OrderOfWork:
    """A light order as the job's aim has it, without bounds: to choose a layout by before one is ordered in earnest.

    `conditions` are kept from one layout to the next, so that what is worked out for pieces alike serves all.
    """
    layout = replace(layout, effort=replace(layout.effort, steps=LIGHT_STEPS, seconds=None))
    plates = tuple(bench_plates(settled, layout, conditions))
    return _ordered(settled, layout, plates, search, bounds=False, clock=never if few_cuts(layout) else None)


def few_cuts(layout: JobLayout, most: int = FEW) -> bool:
    """Whether a light order takes no more than a moment; or whether there are no more pieces than `most`."""
    return (
        sum(pattern.count * len(list(leaves(pattern.root))) for each in layout.by_group for pattern in each.patterns)
        <= most
    )


def _ordered(
    settled: Settled,
    layout: JobLayout,
    plates: tuple[BenchPlate, ...],
    search: Search,
    *,
    bounds: bool = True,
    clock: Callable[[], bool] | None = None,
    hasty: bool = False,
    known: CutOrder | None = None,
    promising: Callable[[CutOrder], bool] = lambda _best: True,
) -> OrderOfWork:
    """The order that the job's aim asks for, whatever it takes; `clock` ends it in place of the search's own. `known`
    and `promising` as in `best_order`.
    """
    options = settled.job.options
    order = best_order(
        settled.rig,
        [each.to_cut.piece for each in plates],
        effort=layout.effort,
        weights=weights_of(options),
        constraints=constraints_of(settled, plates),
        out_of_time=search.over if clock is None else clock,
        # An order without bounds is one of several that are compared: its minutes are no news of the plan's.
        tell=(lambda best, least: search.tell("ordering the cuts", best / 60, least / 60, "min"))
        if bounds
        else _silent,
        bounds=bounds,
        hasty=hasty,
        known=known,
        promising=promising,
    )
    return OrderOfWork(layout, plates, order, _work(settled, plates, order), None)


def _work(settled: Settled, plates: Sequence[BenchPlate], order: CutOrder) -> PiecesAndCuts:
    names = [part.name for part in settled.job.parts]
    return pieces_and_cuts(settled.rig, names, [each.to_cut for each in plates], order)


def _weighed_with_quickest(settled: Settled, one: OrderOfWork, search: Search) -> OrderOfWork:
    """The order that was asked for or the one by seconds alone, with word of the other where that would be quicker."""
    options, effort = settled.job.options, one.layout.effort
    in_earnest = options.aim == "time" and not search.over()
    light = effort if in_earnest else replace(effort, steps=FEW_STEPS, seconds=None)
    plates = _freed(one.plates)
    order = best_order(
        settled.rig,
        [each.to_cut.piece for each in plates],
        effort=light,
        weights=weights_of(options, "time"),
        constraints=constraints_of(settled, one.plates),
        out_of_time=never if few_cuts(one.layout) and not in_earnest else search.over,
        bounds=False,
    )
    # The bounds of the one hold for every order of this layout, so they are the other's too.
    order = replace(order, least_setup=one.order.least_setup, least_settings=one.order.least_settings)
    free = OrderOfWork(one.layout, plates, order, _work(settled, plates, order), None)
    longer = _minutes(one.work) - _minutes(free.work)
    if longer < WORTH_A_WORD:
        return one
    taken, left = _summary(one), _summary(free)
    if free.order.size_loss <= one.order.size_loss + JUST and left.fence_settings <= taken.fence_settings + 1:
        return free  # nothing is lost by the quicker way
    much = longer > DEARER_MINUTES and longer > DEARER_SHARE * _minutes(one.work)
    if options.aim == "one_setting" and not (much and left.wrong <= taken.wrong):
        return replace(one, other=left)
    return replace(free, other=taken)


def _freed(plates: Sequence[BenchPlate]) -> tuple[BenchPlate, ...]:
    """The plates with parts that need not come out alike."""
    conditions = {
        id(each.to_cut.piece.conditions): replace(each.to_cut.piece.conditions, equal=False) for each in plates
    }

    def freed(piece: BenchPiece) -> BenchPiece:
        return replace(piece, conditions=conditions[id(piece.conditions)])

    return tuple(replace(each, to_cut=replace(each.to_cut, piece=freed(each.to_cut.piece))) for each in plates)


def _minutes(work: PiecesAndCuts) -> float:
    return sum(cut.minutes.total for cut in work.cuts)


def _summary(one: OrderOfWork) -> OtherOrder:
    return OtherOrder(
        fence_settings=sum(cut.setup.fence for cut in one.work.cuts),
        minutes=_minutes(one.work),
        differ=_differ(one.work),
        wrong=one.order.wrong_sizes,
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
