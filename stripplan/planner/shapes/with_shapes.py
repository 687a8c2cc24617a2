"""The plan of a job with straight-sided shapes.

Problem. Layout and order of work know rectangles; shapes come out of rectangles that hold several of them, and which
those should be is only known once all is laid out.

Method. A few mixes of blocks stand in the place of the shapes (`blocks_of_job`), the job is planned with each, the cuts
at an angle are put in (`sequence.with_blocks`), and the plan that costs least in plate and hands is taken. One of the
mixes is each shape in a rectangle of its own, so the plan is never dearer than that, and what it saves can be told.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace

from stripplan.errors import CannotMakeError, Fault
from stripplan.layout import Mix
from stripplan.model.job import Aim, Job
from stripplan.model.part import Shape
from stripplan.model.pattern import Leaf
from stripplan.model.plan.plan import AsRectangles, PartLine, Plan
from stripplan.model.polygon import angles
from stripplan.model.rig import Rig
from stripplan.model.shapes.block import Block, Freed
from stripplan.planner.assemble import assemble
from stripplan.planner.first_sight import PlateInSight, in_sight
from stripplan.planner.job_layout import TIME_FIRST, JobLayout, with_fillers_in
from stripplan.planner.jobs.lines import with_jobs
from stripplan.planner.jobs.sharing import layout_of_jobs
from stripplan.planner.order.due import due_ranks
from stripplan.planner.order.order_of_work import order_of_work
from stripplan.planner.plan_warnings import plan_warnings, units_of
from stripplan.planner.search_control import Search
from stripplan.planner.settled import Settled, settle
from stripplan.planner.shapes.area_bound import HOW, HOW_IN_ALL, area_bound
from stripplan.planner.shapes.blocks_of_job import ShapesOfJob, shapes_of_job, tree_of_block
from stripplan.planner.shapes.by_plate import mix_by_plate
from stripplan.planner.shapes.going_on import GoingOn, going_on
from stripplan.planner.shapes.inner_job import Inner, with_blocks_in
from stripplan.planner.shapes.left_out import left_out, missing
from stripplan.planner.total.proof import bound_by
from stripplan.sequence import BenchPiece, with_blocks
from stripplan.wording.message import Facts, Message, length
from stripplan.wording.show import worded

SHARP = 30.0
"""Corners sharper than so are told [deg]: common practice, no source."""
IN_EARNEST = 3
"""So many mixes are planned, that of rectangles of their own among them; what a plate cannot hold does not count."""


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
    shapes = shapes_of_job(job, rig)
    if shapes.faults and not job.options.partial:
        raise CannotMakeError(list(shapes.faults))
    plans: list[Plan | None] = []
    stopped: list[_LeftOutError] = []
    goes_on = None if left is None else going_on(shapes, rig, left)
    mixes = _mixes(shapes, rig, goes_on)
    earnest = IN_EARNEST + len(mixes) - len(shapes.mixes)
    for mix, kept in mixes:
        if not _of_one_plate(shapes.job, mix):
            continue
        done = len(plans) - len(stopped)
        if done == earnest:
            break
        search.within = done / earnest, (done + 1) / earnest
        try:
            plans.append(_planned(shapes, mix, rig, search, made_at, None if plans else sight, kept))
        except _LeftOutError as error:
            plans.append(None)
            stopped.append(error)
    made = [each for each in plans if each is not None]
    if not made:
        raise CannotMakeError(list(min(stopped, key=lambda each: each.count).faults))
    best = min(made, key=lambda each: _dearness(each, job.options.aim))
    alone = plans[0] if plans[0] is not None and _short(plans[0]) == _short(best) else None
    return replace(best, as_rectangles=_as_rectangles(alone)), shapes.settled.rig


class _LeftOutError(Exception):
    """A mix of which a layout leaves out so many parts that were wanted, and what is said of them."""

    def __init__(self, count: int, faults: tuple[Fault, ...]) -> None:
        super().__init__(f"{count} parts are left out")
        self.count, self.faults = count, faults


def _mixes(shapes: ShapesOfJob, rig: Rig, goes_on: GoingOn | None) -> list[tuple[Mix, GoingOn | None]]:
    """The mixes that are planned: each shape by itself, that which goes on with a plan of before, in its place there,
    that which was chosen plate by plate, the others.
    """
    first, *others = shapes.mixes
    by_plate = mix_by_plate(shapes, rig) if first.blocks else None
    free = [first, *([] if by_plate is None or by_plate in shapes.mixes else [by_plate]), *others]
    found: list[tuple[Mix, GoingOn | None]] = [(each, None) for each in free]
    return found if goes_on is None else [found[0], (goes_on.mix, goes_on), *found[1:]]


def _as_rectangles(plan: Plan | None) -> AsRectangles | None:
    """What a plan with each shape in a rectangle of its own comes to; None where there is none that makes as much."""
    if plan is None or plan.total is None or not plan.plates:
        return None
    area = sum(plate.length * plate.width for plate in plan.plates) - plan.totals.offcut_area
    return AsRectangles(plates=plan.totals.plates, used_area=area, total=plan.total.total)


def _dearness(plan: Plan, aim: Aim) -> tuple[float, ...]:
    """What plans are compared by, as the job's aim has it."""
    total = plan.total
    short = _short(plan)
    assert total is not None
    if aim == "plate":
        return short, total.plates, -total.offcuts, total.hands
    hands = total.hands * (TIME_FIRST if aim == "time" else 1.0)
    return short, total.plates + hands - total.offcuts


def _short(plan: Plan) -> int:
    """How many parts are wanted and not made."""
    return sum(max(0, line.wanted - line.made) for line in plan.parts)


def _of_one_plate(job: Job, mix: Mix) -> bool:
    """Whether no block of a mix holds shapes that are bound to different plates."""
    return all(len({job.parts[n].plate for n in block.parts}) == 1 for block, _ in mix.blocks)


def _planned(
    shapes: ShapesOfJob,
    mix: Mix,
    rig: Rig,
    search: Search,
    made_at: str | None,
    sight: Callable[[tuple[PlateInSight, ...]], None] | None,
    goes_on: GoingOn | None,
) -> Plan:
    """The plan with the blocks of one mix; with those of a plan of before where they are, if that goes."""
    inner = with_blocks_in(shapes.job, mix)
    settled = settle(inner.job, rig)

    def told(found: JobLayout) -> None:
        if found.faults and not shapes.job.options.partial:
            count = missing(inner, settled, found, [part.name for part in shapes.job.parts]).total()
            raise _LeftOutError(count or 1, left_out(shapes, inner, settled, found))
        if sight is not None:
            sight(in_sight(settled, found, shapes.job, inner.blocks))

    layout = None if goes_on is None else goes_on.layout(settled, inner, search)
    layout = layout_of_jobs(settled, search, told) if layout is None else with_fillers_in(settled, layout)
    layout = replace(layout, faults=left_out(shapes, inner, settled, layout))
    best = order_of_work(settled, layout, search)
    trees = _trees(settled, inner.blocks)
    names = [part.name for part in settled.job.parts]
    plates = [each.to_cut for each in best.plates]
    work = with_blocks(
        settled.rig, (names, [part.name for part in shapes.job.parts]), plates, best.order, trees, settled.job.options
    )
    more = sum(cut.minutes.total for cut in work.cuts) - sum(cut.minutes.total for cut in best.work.cuts)
    settings = sum(cut.setup.fence for cut in work.cuts) - sum(cut.setup.fence for cut in best.work.cuts)
    other = best.other
    if other is not None:  # the cuts at an angle are the same for either way of working
        other = replace(other, minutes=other.minutes + more, fence_settings=other.fence_settings + settings)
    search.share = 0.95
    search.tell("checking", best.cost, best.layout.bound)
    made = assemble(_shown(settled, inner, shapes.job), replace(best, work=work, other=other), search, made_at)
    found = _of_the_job(made, shapes, settled, work.shapes)
    return with_jobs(found, layout.alone, in_due_order=bool(due_ranks(inner.job)))


def _trees(settled: Settled, blocks: Mapping[str, Block]) -> Callable[[Leaf, BenchPiece], Freed | None]:
    """What is to be cut out of a piece: found once for each block and kerf."""
    known: dict[tuple[str, float], Freed | None] = {}

    def tree_of(leaf: Leaf, piece: BenchPiece) -> Freed | None:
        name = "" if leaf.part is None else settled.job.parts[leaf.part].name
        if name not in blocks:
            return None
        key = name, piece.conditions.rules.kerf
        if key not in known:
            known[key] = tree_of_block(blocks[name], piece.conditions)
        return known[key]

    return tree_of


def _shown(settled: Settled, inner: Inner, job: Job) -> Settled:
    """The settled job with each block called what falls out of it: what is said of parts is said of those."""
    parts = tuple(
        job.parts[inner.blocks[part.name].parts[0]] if part.name in inner.blocks else part for part in settled.job.parts
    )
    return replace(settled, job=replace(settled.job, parts=parts))


def _of_the_job(made: Plan, shapes: ShapesOfJob, settled: Settled, fallen: Mapping[str, int]) -> Plan:
    """The plan as one of the job that was given: its parts, its bounds, and what is said of shapes."""
    given = shapes.job.options
    options = replace(settled.job.options, first=given.first, partial=given.partial)
    job = replace(settled.job, parts=shapes.job.parts, options=options, jobs=shapes.job.jobs)
    plain = {line.name: line for line in made.parts}
    lines = tuple(
        _line(part, sum(n == each for each in fallen.values())) if isinstance(part, Shape) else plain[part.name]
        for n, part in enumerate(job.parts)
    )
    warnings = plan_warnings([*_sharp(job, made), *shapes.faults], units_of(job))
    bounded = _bounded(made, shapes, complete=all(line.made >= line.wanted for line in lines))
    return replace(bounded, job=job, parts=lines, warnings=(*made.warnings, *warnings))


def _sharp(job: Job, made: Plan) -> Iterator[Message]:
    """Corners whose points are thinner than the kerf for a good way: at an angle a, over k / (2 tan(a / 2))."""
    kerfs = {piece.part: plate.kerf for plate in made.plates for piece in made.pieces if piece.plate == plate.id}
    for part in job.parts:
        if not isinstance(part, Shape) or part.name not in kerfs:
            continue
        angle, corner = min(zip(angles(part.outline), part.outline, strict=True))
        if angle < SHARP - 1e-6:
            place = Message("corner", facts=Facts(x=length(round(corner[0], 3)), y=length(round(corner[1], 3))))
            over = length(round(kerfs[part.name] / 2 / math.tan(math.radians(angle) / 2), 1))
            yield Message("sharp_point", part.name, Facts(angle=round(angle, 1), corner=place, over=over))


def _line(part: Shape, made: int) -> PartLine:
    """The line of a shape: its sizes are those of its outline, which no single figure tells."""
    return PartLine(
        name=part.name,
        wanted=part.wanted,
        made=made,
        size_wanted=(part.width, part.length),
        size_expected=(),
        tolerance_expected=(0.0, 0.0),
        filler=part.filler,
    )


def _bounded(made: Plan, shapes: ShapesOfJob, *, complete: bool) -> Plan:
    """The plan with bounds that hold whatever blocks are made; none where some part is missing."""
    bound, proof, total = area_bound(shapes.job, shapes.settled), made.proof, made.total
    assert total is not None
    plates = min(bound.plates, proof.plates.found)
    cost = min(bound.cost, proof.cost.found)
    met = complete and plates == proof.plates.found
    proof = replace(
        proof,
        plates=bound_by([HOW], found=proof.plates.found, bound=plates, proven=met),
        cost=bound_by([HOW], found=proof.cost.found, bound=cost, proven=complete and cost >= proof.cost.found - 1e-9),
    )
    if not complete:
        return replace(made, proof=proof, total=replace(total, bound=0.0))
    least = min(total.total, math.floor(bound.total * 1e5) / 1e5)
    total = replace(total, bound=least, how=worded(HOW_IN_ALL).text, code=HOW_IN_ALL.code)
    return replace(made, proof=proof, total=total)
