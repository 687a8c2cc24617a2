"""The plan of a job with straight-sided shapes.

Problem. Layout and order of work know rectangles; shapes come out of rectangles that hold several of them, and which
those should be is only known once all is laid out.

Method. A few mixes of blocks stand in the place of the shapes (`blocks_of_job`). The job is laid out with each, the
cuts at an angle are put in (`sequence.with_blocks`), and each is weighed by a light order of its cuts. Of the one that
costs least in plate and hands, and of those as good as it, the other layouts that were found are compared as well, by
orders in earnest where cuts are few, which the plan then takes over. The best is put in order in earnest, and so is
whatever might still be cheaper. One of the mixes is each shape in a rectangle of its own, so the plan is never dearer
than that, and what it saves can be told.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from stripplan.errors import CannotMakeError
from stripplan.layout import FEW_SHAPES, Mix
from stripplan.model.job import Job
from stripplan.model.part import Shape
from stripplan.model.plan.plan import AsRectangles, Plan
from stripplan.model.rig import Rig
from stripplan.planner.first_sight import PlateInSight
from stripplan.planner.order.order_of_work import IN_EARNEST, few_cuts
from stripplan.planner.search_control import Search
from stripplan.planner.shapes.blocks_of_job import ShapesOfJob, shapes_of_job
from stripplan.planner.shapes.by_plate import mix_by_plate
from stripplan.planner.shapes.going_on import GoingOn, going_on
from stripplan.planner.shapes.of_mix import LeftOutError, OfMix, Weight, laid_out
from stripplan.planner.shapes.ranked import ranked

COMPARED = 5
"""So many mixes are laid out, that of rectangles of their own among them; what a plate cannot hold does not count."""
COMPARED_OF_FEW = 9
"""So many where shapes are few, of which more blocks are tried."""
WITH_RECTANGLES = 2
"""So many mixes with rectangles in what falls beside shapes are laid out besides."""
NEAR, NEAR_OF_MANY = 0.03, 0.01
"""Mixes that cost by so much more than the best, or less, may be cheaper with another of their layouts; where a light
order takes seconds for its many cuts, fewer are looked at. On random jobs hardly any gained more than the second."""
LIGHT = 0.02
"""Share of the hands by which a light order may tell too much beside that of another mix: so much was seen on random
jobs."""
SAME = 1e-6
"""Costs nearer to each other are the same."""
LAID_OUT, WEIGHED = 0.6, 0.75
"""What is done of the whole once all mixes are laid out, and once the nearest are weighed."""


def with_shapes(
    job: Job,
    rig: Rig,
    search: Search,
    made_at: str | None,
    sight: Callable[[tuple[PlateInSight, ...]], None] | None = None,
    left: Plan | None = None,
) -> tuple[Plan, Rig]:
    """The plan of a job with shapes, before it is replayed, and the rig as it was measured; `sight` is called with the
    plates of the first layout. `left` is what is left of a plan of before: going on with it is among what is compared.

    Raises InputError where job and rig contradict themselves, CannotMakeError where a part cannot be made.
    """
    shapes = shapes_that_can_be_made(job, rig)
    goes_on = None if left is None else going_on(shapes, rig, left)
    alone, found = all_laid_out(shapes, rig, search, sight, goes_on)
    plan, others = _best(job, found, search, made_at)
    return replace(plan, as_rectangles=as_rectangles(alone, others, plan)), shapes.settled.rig


def shapes_that_can_be_made(job: Job, rig: Rig) -> ShapesOfJob:
    """The shapes of a job. Raises InputError where job and rig contradict themselves, CannotMakeError where one cannot
    be made that must, or none at all can.
    """
    shapes = shapes_of_job(job, rig)
    nothing = not any(mix.blocks for mix in shapes.mixes) and all(
        isinstance(part, Shape) or part.filler for part in job.parts
    )
    if shapes.faults and (nothing or not job.options.partial):
        raise CannotMakeError(list(shapes.faults))
    return shapes


@dataclass(frozen=True)
class Weighed:
    """A mix laid out, and what it costs by a light order."""

    of_mix: OfMix
    weight: Weight


def all_laid_out(
    shapes: ShapesOfJob,
    rig: Rig,
    search: Search,
    sight: Callable[[tuple[PlateInSight, ...]], None] | None = None,
    goes_on: GoingOn | None = None,
    *,
    further: bool = False,
) -> tuple[Weighed | None, list[Weighed]]:
    """That of each shape by itself, None where it leaves parts out, and all mixes that are compared, it among them;
    `further` as in `job_layout`. Raises CannotMakeError where each leaves parts out that it must not.
    """
    found: list[Weighed] = []
    alone: Weighed | None = None
    stopped: list[LeftOutError] = []
    every = [(mix, kept) for mix, kept in _mixes(shapes, rig, goes_on) if _of_one_plate(shapes.job, mix)]
    some = [each for each in every if not holds_rectangles(shapes.job, each[0])]
    beside = [each for each in every if holds_rectangles(shapes.job, each[0])][:WITH_RECTANGLES]
    wanted = sum(part.wanted for part in shapes.job.parts if isinstance(part, Shape) and not part.filler)
    most = min(len(some), COMPARED_OF_FEW if wanted <= FEW_SHAPES else COMPARED) + len(beside)
    for mix, kept in (*beside, *some):
        if len(found) == most:
            break
        search.within = (LAID_OUT * len(found) / most, LAID_OUT * (len(found) + 1) / most)
        try:
            of_mix = laid_out(shapes, mix, rig, search, sight=sight, goes_on=kept, further=further)
        except LeftOutError as error:
            stopped.append(error)
            continue
        sight = None
        found.append(Weighed(of_mix, of_mix.weight(search)))
        if mix == shapes.mixes[0]:
            alone = found[-1]
    if not found:
        raise CannotMakeError(list(min(stopped, key=lambda each: each.count).faults))
    return alone, found


def _best(job: Job, found: list[Weighed], search: Search, made_at: str | None) -> tuple[Plan, list[Weighed]]:
    """The plan of the mix that costs least, and what all that were looked at again cost."""
    aim = job.options.aim
    search.within = LAID_OUT, WEIGHED
    found = sorted(found, key=lambda each: each.weight.compared(aim))
    near = found[:1] if search.at_once else [_with_cheapest(found[0], job, search)]
    for each in found[1:]:
        least = min(near, key=lambda each: each.weight.compared(aim))
        if _may_be(each, least, job):
            near.append(each if search.at_once else _with_cheapest(each, job, search))
    near.sort(key=lambda each: each.weight.compared(aim))
    search.within = WEIGHED, 1.0
    plan, looked_at = near[0].of_mix.plan(search, made_at), list[Weighed]()
    for n, each in enumerate(near):
        if n and _may_beat(each.weight, plan, job):
            other = each.of_mix.plan(search, made_at)
            looked_at.append(Weighed(each.of_mix, weight_of(other)))
            plan = min(plan, other, key=lambda one: _cost(one, job))
        else:
            looked_at.append(each if n else Weighed(each.of_mix, weight_of(plan)))
    return plan, looked_at


def _may_beat(weight: Weight, plan: Plan, job: Job) -> bool:
    """Whether a mix may be cheaper than a plan once its cuts are in order."""
    better = replace(weight, hands=(1 - LIGHT) * weight.hands)
    return better.compared(job.options.aim) < _cost(plan, job)


def _with_cheapest(each: Weighed, job: Job, search: Search) -> Weighed:
    """A mix with the cheapest of its layouts, and the likeliest blocks last in its rows, weighed anew."""
    found = each.of_mix.cheapest(search)
    best = Weighed(found, found.weight(search)) if found.order or found.layout != each.of_mix.layout else each
    return with_best_last(best, job, search)


def with_best_last(each: Weighed, job: Job, search: Search) -> Weighed:
    """A mix with those blocks last in its rows that cost least."""
    some = (Weighed(other, other.weight(search)) for other in each.of_mix.with_another_last())
    return min([each, *some], key=lambda one: one.weight.compared(job.options.aim))


def _may_be(each: Weighed, least: Weighed, job: Job) -> bool:
    """Whether a mix may be as cheap as the one that costs least."""
    one, other = each.weight.compared(job.options.aim), least.weight.compared(job.options.aim)
    share = NEAR if few_cuts(least.of_mix.layout, IN_EARNEST) else NEAR_OF_MANY
    return one[0] == other[0] and one[1] <= other[1] + share * abs(least.weight.total) + 1e-9


def weight_of(plan: Plan) -> Weight:
    """What a plan costs."""
    total = plan.total
    assert total is not None
    area = sum(plate.length * plate.width for plate in plan.plates) - plan.totals.offcut_area
    short = sum(max(0, line.wanted - line.made) for line in plan.parts)
    return Weight(short, total.plates, total.hands, total.offcuts, plan.totals.plates, area)


def _cost(plan: Plan, job: Job) -> tuple[float, ...]:
    return weight_of(plan).compared(job.options.aim)


def _mixes(shapes: ShapesOfJob, rig: Rig, goes_on: GoingOn | None) -> list[tuple[Mix, GoingOn | None]]:
    """The mixes that are laid out: each shape by itself, that which goes on with a plan of before, in its place there,
    that which was chosen plate by plate, the others.
    """
    first, *some = shapes.mixes
    by_plate = mix_by_plate(shapes, rig) if first.blocks else None
    beside = [each for each in some if holds_rectangles(shapes.job, each) and _of_one_plate(shapes.job, each)]
    beside = ranked(shapes, rig, beside) if len(beside) > WITH_RECTANGLES else beside
    likely = [each for each in some if not holds_rectangles(shapes.job, each) and _of_one_plate(shapes.job, each)]
    few = sum(len(block.shapes) * count for block, count in first.blocks) <= FEW_SHAPES
    others = ranked(shapes, rig, likely) if few and len(likely) >= COMPARED else likely
    free = [first, *([] if by_plate is None or by_plate in shapes.mixes else [by_plate]), *others, *beside]
    found: list[tuple[Mix, GoingOn | None]] = [(each, None) for each in free]
    return found if goes_on is None else [found[0], (goes_on.mix, goes_on), *found[1:]]


def holds_rectangles(job: Job, mix: Mix) -> bool:
    """Whether some block of a mix holds a part that is no shape."""
    return any(not isinstance(job.parts[n], Shape) for block, _ in mix.blocks for n in block.parts)


def _of_one_plate(job: Job, mix: Mix) -> bool:
    """Whether no block of a mix holds shapes that are bound to different plates."""
    return all(len({job.parts[n].plate for n in block.parts}) == 1 for block, _ in mix.blocks)


def as_rectangles(alone: Weighed | None, others: list[Weighed], plan: Plan) -> AsRectangles | None:
    """What a plan with each shape in a rectangle of its own comes to, by a light order where it was not worth planning;
    None where there is none that makes as much, or it would be cheaper than a plan that was chosen.
    """
    if alone is None or not plan.plates or plan.total is None:
        return None
    same = [each.weight for each in others if each.of_mix.inner.blocks == alone.of_mix.inner.blocks]
    weight = same[0] if same else alone.weight
    if weight.short != weight_of(plan).short or weight.total < plan.total.total - SAME:
        return None
    return AsRectangles(plates=weight.used, used_area=weight.area, total=weight.total)
