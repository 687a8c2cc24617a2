"""What if a cut were not made: what is told is an order that can be worked, and the best where all can be tried."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest

from stripplan.errors import InputError
from stripplan.model.plan.plan import Plan
from stripplan.planner import instead_of_cut, unsound
from stripplan.planner.assemble import assemble
from stripplan.planner.kept import instead
from stripplan.planner.kept.order import recorded_cuts
from stripplan.planner.order.order_constraints import constraints_of, weights_of
from stripplan.planner.order.order_of_work import OrderOfWork
from stripplan.planner.order.why import wishes
from stripplan.planner.search_control import Search
from stripplan.sequence import RecordedOrder, WhatIfNot, pieces_and_cuts, what_if_not
from stripplan.sequence.changeover import RigState
from stripplan.sequence.cut_options import CutOption
from stripplan.wording.message import Quantity
from stripplan.wording.show import worded
from tests.checking import few
from tests.planned import planned
from tests.planner.kept.test_kept import FOOT, RAIL, RIG, job
from tests.planner.order.test_why import example
from tests.sequence.every_order import EveryOrder, Waiting


def looked(made: Plan, number: int) -> tuple[WhatIfNot, list[Plan]]:
    """What the engine finds in place of a cut, and a plan of each order that it found."""
    on_bench = instead._on_bench(made)
    assert on_bench is not None
    settled, layout, plates = on_bench
    options, roots = made.job.options, [each.to_cut.piece for each in plates]
    found = what_if_not(
        settled.rig, roots, recorded_cuts(made, layout), number - 1, weights=weights_of(options),
        effort=options.effort, constraints=constraints_of(settled, plates),
    )  # fmt: skip
    assert found is not None
    plans = []
    for each in (found.another, found.otherwise):
        if each is not None:
            names = [part.name for part in made.job.parts]
            work = pieces_and_cuts(settled.rig, names, [one.to_cut for one in plates], each.order)
            best = OrderOfWork(layout.layout, plates, each.order, work, None)
            plans.append(assemble(settled, best, Search(options.effort)))
    return found, plans


@pytest.mark.long
@pytest.mark.parametrize(
    ("name", "number"), few(2, [("bench", 3), ("strips", 9), ("bench", 20), ("brackets", 43)], rows=True)
)
def test_what_is_told_is_an_order_that_can_be_worked(name: str, number: int) -> None:
    """The replay passes it, all cuts before stay, the one that is asked about is not made there or set otherwise; and
    the seconds and settings that are told are the difference of both plans.
    """
    made = example(name)
    _, plans = looked(made, number)
    told = [each for each in instead_of_cut(made, number) if each.says in ("another_cut", "set_otherwise")]
    assert len(told) == len(plans) > 0
    for message, other in zip(told, plans, strict=True):
        assert [each.code for each in unsound(other) if each.code != "quotation"] == []
        for one, two in zip(made.cuts[: number - 1], other.cuts, strict=False):
            assert one.fence_reading == two.fence_reading
            assert sum(one.line, ()) == pytest.approx(sum(two.line, ()))
        asked, there = made.cuts[number - 1], other.cuts[number - 1]
        assert (there.line, there.fence_reading) != (asked.line, asked.fence_reading)
        longer = message.facts["longer"]
        assert isinstance(longer, Quantity)
        assert longer.value / 60 == pytest.approx(other.totals.minutes - made.totals.minutes, abs=0.002)
        assert message.facts["fence_settings"] == other.totals.fence_settings - made.totals.fence_settings
        assert message.facts["end_stop_settings"] == other.totals.end_stop_settings - made.totals.end_stop_settings


@pytest.mark.long
@pytest.mark.parametrize(
    "parts", few(1, [(replace(FOOT, quantity=4),), (replace(RAIL, quantity=2), replace(FOOT, quantity=1))])
)
def test_of_a_tiny_job_the_best_other_beginning_is_found(parts: tuple[object, ...]) -> None:
    """Held against all orders that begin otherwise: never less than the least of them, nor much more, as the search of
    what is left knows nothing of how the rig stands then.
    """
    made = planned(job(*parts), replace(RIG, return_speed=1e9, travel_max=1e9))  # dry runs take no time
    found, _ = looked(made, 1)
    on_bench = instead._on_bench(made)
    assert on_bench is not None
    settled, _, plates = on_bench
    roots = [each.to_cut.piece for each in plates]
    every = EveryOrder(settled.rig, roots, weights_of(made.job.options))
    asked, waiting = found.plan.cuts[0].option, tuple(enumerate(roots))
    best: dict[bool, float] = {}
    for cost, after, rest, option in begun(every, waiting):
        same = sorted(option.line) == sorted(asked.line)
        if not (same and option.datum == asked.datum):
            best[same] = min(best.get(same, float("inf")), cost + every._from(after, rest))
    for same, got in ((False, found.another), (True, found.otherwise)):
        assert (got is None) == (same not in best)
        if got is not None:
            assert best[same] - 0.01 <= got.order.seconds <= best[same] + 30.0


def begun(every: EveryOrder, waiting: Waiting) -> Iterator[tuple[float, RigState, Waiting, CutOption]]:
    """Every first cut of a job: its seconds, what it leaves, and how it is made; options stand in the order asked."""
    for number, piece in waiting:
        for option in piece.options:
            alone = replace(piece)  # a piece of its own that has this option alone
            alone.__dict__["options"] = (option,)
            others = tuple(each for each in waiting if each[0] != number)
            for cost, after, rest in every._next_cuts(RigState(), ((number, alone),)):
                yield cost, after, others + rest, option


def test_cuts_at_an_angle_are_moved_as_they_are() -> None:
    """The best of all places of the plan's other cuts; where all wait for a cut, there is none."""
    made = example("stand")
    order = RecordedOrder(made, weights=weights_of(made.job.options), wishes=wishes(made))
    makers = {name: cut.number for cut in made.cuts for name in cut.makes if name is not None}
    free = [cut.number for cut in made.cuts[8:] if makers.get(cut.piece, 0) < 8]
    best = min(order.moved(k - 1, 7)[0] for k in free)
    found = order.best_in_place(8)
    assert found is not None
    assert found[0] in free
    assert order.moved(found[0] - 1, 7)[0] == pytest.approx(best)
    assert [each.says for each in instead_of_cut(made, 1)] == ["no_other_cut", "left_out"]


def test_what_is_lost_without_a_cut() -> None:
    """The last cut's own minutes; every part that comes out of its piece; one part alone stays larger by what
    else is in its piece, and by its kerf.
    """
    made = example("bench")
    last = made.cuts[-1]
    (larger,) = (each for each in instead_of_cut(made, last.number) if each.says == "left_larger")
    less, over = larger.facts["less"], larger.facts["wider"]
    assert isinstance(less, Quantity)
    assert isinstance(over, Quantity)
    assert less.value / 60 == pytest.approx(last.minutes.total - last.minutes.rest - last.minutes.dry_run, abs=0.002)
    sizes = {each.id: each.box for each in made.pieces}
    widths = [sizes[name][2] - sizes[name][0] for name in (last.piece, *last.makes) if name is not None]
    assert over.value == pytest.approx(widths[0] - max(widths[1:]), abs=0.01) or over.value == pytest.approx(0.0)
    all_of_it = instead_of_cut(made, 1)[-1]
    lost = ("foot × 4", "cross bar × 3", "gusset blank × 8", "apron × 2")
    assert all(each in worded(all_of_it).text for each in lost)
    with pytest.raises(InputError):
        instead_of_cut(made, len(made.cuts) + 1)
