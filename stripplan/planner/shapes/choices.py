"""Several plans of a job with straight-sided shapes to choose from: layouts of several mixes of blocks.

Each mix that is compared for a plan is laid out, by several prices of a minute as well; what frees its shapes comes on
top of each of its layouts, and is taken to be alike in all of them. Choices are then made from all layouts of all mixes
as they are from those of rectangles (`total.choices`).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from stripplan.model.job import Job
from stripplan.model.plan.choice import Choice
from stripplan.model.plan.plan import Plan
from stripplan.model.rig import Rig
from stripplan.planner.order.order_of_work import light_order
from stripplan.planner.search_control import Search
from stripplan.planner.shapes.of_mix import OfMix
from stripplan.planner.shapes.with_shapes import (
    Weighed,
    all_laid_out,
    as_rectangles,
    shapes_that_can_be_made,
    with_best_last,
)
from stripplan.planner.total.cheapest import offcuts_worth
from stripplan.planner.total.choices import LaidOut, More, choice_of_number, chosen, chosen_from
from stripplan.planner.total.total_cost import bought_and_kept


@dataclass(frozen=True)
class _Of:
    """What a choice is of: a mix that was laid out, and what each shape by itself would cost."""

    of_mix: OfMix
    alone: Weighed | None


def offered_with_shapes(job: Job, rig: Rig, search: Search) -> tuple[Choice, ...]:
    """As `offered`, for a job with shapes; where parts may be left out, of the layouts that leave the fewest."""
    shapes = shapes_that_can_be_made(job, rig)
    alone, found = all_laid_out(shapes, rig, search, further=True)
    fewest = min(each.weight.short for each in found)
    some = [_ended_best(each, job, search) for each in found if each.weight.short == fewest]
    laid = [LaidOut(each.settled, each.layout, tuple(_more(each, search)), _Of(each, alone)) for each in some]
    return chosen_from((job, rig), laid, search)


def plan_of_choice(job: Job, rig: Rig, choose: int | Choice, search: Search, made_at: str | None) -> tuple[Plan, Rig]:
    """The plan of a choice, or of its number, before it is replayed, and the rig as it was measured. Raises InputError
    where there is no such choice.
    """
    if isinstance(choose, int):
        choose = choice_of_number(offered_with_shapes(job, rig, search), choose)
    found = chosen(job, rig, choose)
    assert isinstance(found.of, _Of)
    search.goes_on_from(found.steps, found.stopped)
    of_mix = replace(found.of.of_mix, layout=found.layout, kept=True, filled=True)
    made = of_mix.plan(search, made_at)
    return replace(made, as_rectangles=as_rectangles(found.of.alone, [], made)), of_mix.shapes.settled.rig


def _ended_best(each: Weighed, job: Job, search: Search) -> OfMix:
    """A mix with the blocks last in the rows of its likeliest layout that a plan has there, and its other layouts."""
    best = with_best_last(each, job, search).of_mix
    both = zip(best.layout.by_group, each.of_mix.layout.by_group, strict=True)
    by_group = tuple(replace(group, others=before.others) for group, before in both)
    return replace(best, layout=replace(best.layout, by_group=by_group))


def _more(of_mix: OfMix, search: Search) -> Iterator[More]:
    """What frees the shapes of each group, beside the cuts of its likeliest layout."""
    settled = of_mix.settled
    for group in of_mix.layout.by_group:
        layout = replace(of_mix.layout, by_group=(replace(group, others=()),), faults=())
        order = light_order(settled, layout, [], search)
        work = of_mix.freed(order)
        _, offcuts = bought_and_kept(settled, order.plates, work.pieces)
        before = sum(each.count * offcuts_worth(settled, each) for each in group.patterns)
        cuts, across = work.cuts, order.work.cuts
        yield More(
            minutes=sum(cut.minutes.total for cut in cuts) - sum(cut.minutes.total for cut in across),
            cuts=len(cuts) - len(across),
            fence_settings=sum(cut.setup.fence for cut in cuts) - sum(cut.setup.fence for cut in across),
            offcuts=offcuts - before,
        )
