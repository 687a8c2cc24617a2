"""From job to plan: settle, lay out, order, assemble, check. No file touched."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace

from stripplan.errors import CannotMakeError, Fault, InputError, PlanFaultError
from stripplan.model.effort import Progress
from stripplan.model.job import Job
from stripplan.model.part import Shape
from stripplan.model.plan.choice import Choice
from stripplan.model.plan.plan import Plan
from stripplan.model.rig import Rig
from stripplan.planner.assemble import assemble
from stripplan.planner.bevels.with_bevels import with_bevels
from stripplan.planner.first_sight import PlateInSight, in_sight
from stripplan.planner.job_layout import JobLayout, with_fillers_in
from stripplan.planner.jobs.lines import all_in_time, quoted_by_job, with_jobs
from stripplan.planner.jobs.sharing import layout_of_jobs
from stripplan.planner.kept.order import kept_order_of_work, what_was_kept
from stripplan.planner.kept.weighed import Again, enough_to_speak_of, weighed, with_a_plate_free
from stripplan.planner.looks import Looks
from stripplan.planner.order.due import due_ranks, without_days
from stripplan.planner.order.order_of_work import OrderOfWork, order_of_work
from stripplan.planner.order.why import reasons_for_cuts
from stripplan.planner.search_control import Search
from stripplan.planner.settled import Settled, settle
from stripplan.planner.total.cheapest import Taken
from stripplan.planner.total.choices import choice_of_number, chosen, offered
from stripplan.planner.total.not_used import not_used
from stripplan.planner.warning_records import units_of
from stripplan.wording.message import Message
from stripplan.wording.show import worded


def plan(
    job: Job,
    rig: Rig,
    *,
    progress: Callable[[Progress], None] | None = None,
    stop: Callable[[], bool] | None = None,
    made_at: str | None = None,
    choose: int | Choice | None = None,
    at_once: bool = False,
    sight: Callable[[tuple[PlateInSight, ...]], None] | None = None,
    looks: Looks | None = None,
    keep: Plan | None = None,
    unused: Callable[[tuple[Message, ...]], None] | None = None,
) -> Plan:
    """Plan a job on a rig: one call, no file touched.

    A rig with a notebook is taken as it was measured. `progress` is called with what is being worked on, the share
    done, the best cost and its bound. `stop` is asked before each step of the search: once it is true, the best plan so
    far is made ready and given back. `made_at` goes into the plan as it is. `choose` is one of what `choices` gives for
    this job and rig, or its number, for which all are looked for again. `at_once` gives the first plan that there is,
    without a search, and `sight` is called with its plates before their cuts are in order; `looks` gets plans of what
    the search has found at times, while it goes on. `keep` is a plan of before, of which plates and order of cuts stay
    as far as they can; of a job with shapes it is gone on with unless something is cheaper. `unused` is called with why
    plates that were there are not used, where the search has seen it. Raises InputError where job and rig contradict
    themselves or there is no such choice, CannotMakeError where a sound job has a part that cannot be made (unless
    job.options.partial), PlanFaultError where the plan does not pass the replay.
    """
    with _told_in_units_of(job):
        search = Search(job.options.effort, stop, progress, pieces=_pieces(job), at_once=at_once)
        wishes = _Wishes(choose, keep, sight, looks, unused)
        if _has_shapes(job):
            made, used = _of_shapes(job, rig, search, made_at, wishes)
            made = quoted_by_job(_with_quotation(with_bevels(made), used))
        else:
            made = _of_rectangles(job, rig, search, made_at, wishes)
        _check(made)
    return made


WORTH_ANOTHER_ORDER = 5.0
"""Where another order is quicker by less [min], what is due first is made first all the same: who works longer than
planned must not be late for a minute. Chosen, not measured."""


@dataclass(frozen=True)
class _Wishes:
    """What is wanted of a plan beside the plan: see `plan`."""

    choose: int | Choice | None = None
    keep: Plan | None = None
    sight: Callable[[tuple[PlateInSight, ...]], None] | None = None
    looks: Looks | None = None
    unused: Callable[[tuple[Message, ...]], None] | None = None


def _of_rectangles(job: Job, rig: Rig, search: Search, made_at: str | None, wishes: _Wishes) -> Plan:
    """The plan of a job without straight-sided shapes."""
    settled = settle(job, rig)
    if wishes.keep is not None and (kept := _kept(settled, wishes.keep, search, made_at)) is not None:
        return kept
    if wishes.choose is not None:
        taken = Taken(_chosen(job, rig, settled, search, wishes.choose))
    else:
        sight, looks = wishes.sight, wishes.looks
        told = None if sight is None else (lambda found: sight(in_sight(settled, found, settled.job, {})))
        taken = layout_of_jobs(settled, search, told, None if looks is None else _seen(settled, search, looks))
    made = _made(settled, order_of_work(settled, taken.layout, search, taken.order), search, made_at)
    if wishes.unused is not None and wishes.choose is None and not job.jobs:
        wishes.unused(not_used(settled, made, search))
    return _in_quickest_order(settled, made, taken.layout, search, made_at)


def _of_shapes(job: Job, rig: Rig, search: Search, made_at: str | None, wishes: _Wishes) -> tuple[Plan, Rig]:
    """The plan of a job with straight-sided shapes, and the rig as it was measured."""
    from stripplan.planner.shapes.choices import plan_of_choice  # few jobs hold shapes
    from stripplan.planner.shapes.with_shapes import with_shapes

    if wishes.choose is not None:
        return plan_of_choice(job, rig, wishes.choose, search, made_at)
    return with_shapes(job, rig, search, made_at, wishes.sight, wishes.keep)


def _made(
    settled: Settled, best: OrderOfWork, search: Search, made_at: str | None = None, *, kept: bool = False
) -> Plan:
    """The plan of an order of work, not checked yet; one that is `kept` goes by no days."""
    search.share = 0.95
    search.tell("checking", best.cost, best.layout.bound)
    made = _with_quotation(with_bevels(assemble(settled, best, search, made_at)), settled.rig)
    return quoted_by_job(with_jobs(made, best.layout.alone, in_due_order=not kept and bool(due_ranks(settled.job))))


def _in_quickest_order(settled: Settled, made: Plan, layout: JobLayout, search: Search, made_at: str | None) -> Plan:
    """The plan of jobs that are due one after the other; where their days leave time for parts in any order, and that
    is quicker, in that one.
    """
    if not due_ranks(settled.job) or not all_in_time(made):
        return made
    free = replace(settled, job=without_days(settled.job))
    found = with_bevels(assemble(free, order_of_work(free, layout, search), search, made_at))
    found = with_jobs(replace(found, job=made.job), layout.alone, in_due_order=False)
    found = quoted_by_job(_with_quotation(found, settled.rig))
    return found if all_in_time(found) and found.totals.minutes < made.totals.minutes - WORTH_ANOTHER_ORDER else made


def _kept(settled: Settled, before: Plan, search: Search, made_at: str | None) -> Plan | None:
    """A plan that keeps one of before; None where that does not go, and where what comes of it is not sound: the rig,
    say, or what is asked of parts may have changed in ways that no size shows.
    """
    best = kept_order_of_work(settled, before, search)
    made = None if best is None else _made(settled, best, search, made_at, kept=True)
    return None if made is None or unsound(made) else made


def plan_again(
    job: Job,
    rig: Rig,
    left: Plan,
    *,
    progress: Callable[[Progress], None] | None = None,
    stop: Callable[[], bool] | None = None,
    made_at: str | None = None,
) -> Again:
    """Plan the rest of a job so that as little changes of what is `left` of its plan (`left_to_cut`) as the saving
    justifies: with its cuts kept, with its plates kept and the cuts in another order, and afresh; where that would save
    something, also with the cuts of one plate free. What changes, and why, or what it would have saved, is said with
    it. Progress, stop and errors as in `plan`.
    """
    with _told_in_units_of(job):
        search = Search(job.options.effort, stop, progress, pieces=_pieces(job))
        if _has_shapes(job):
            made = plan(job, rig, progress=progress, stop=stop, made_at=made_at, keep=left)
            return Again(made, False, (what_was_kept(left, made),))
        settled = settle(job, rig)
        kept = _kept(settled, left, search, made_at)
        fresh = _of_rectangles(job, rig, search, made_at, _Wishes())
        if kept is None:
            found = Again(fresh, False, (what_was_kept(left, fresh),))
        else:
            order = kept_order_of_work(settled, left, search, order_too=False)
            others = [fresh] if order is None else [_made(settled, order, search, made_at, kept=True), fresh]
            if enough_to_speak_of(kept, fresh):
                some = (_kept(settled, each, search, made_at) for each in with_a_plate_free(left))
                others = [*(each for each in some if each is not None), *others]
            found = weighed(left, kept, [each for each in others if not unsound(each)])
        _check(found.plan)
    return found


def choices(
    job: Job,
    rig: Rig,
    *,
    progress: Callable[[Progress], None] | None = None,
    stop: Callable[[], bool] | None = None,
) -> tuple[Choice, ...]:
    """A few plans of a job to choose from, one to six: none is beaten in plate, minutes and offcuts at once.

    The first is the one that is made where nobody chooses; `plan(job, rig, choose=...)` makes any of them, without a
    search of layouts where it is handed over itself. More layouts are searched than for a plan, by other prices of a
    minute: so the first may be a little better than what `plan` finds. `progress`, `stop` and errors as in `plan`.
    """
    with _told_in_units_of(job):
        search = Search(job.options.effort, stop, progress, pieces=_pieces(job))
        if _has_shapes(job):
            from stripplan.planner.shapes.choices import offered_with_shapes  # few jobs hold shapes

            return offered_with_shapes(job, rig, search)
        return offered((job, rig), settle(job, rig), search)


def why(job: Job, rig: Rig, cuts: Sequence[int]) -> list[str]:
    """For each of these cuts of the job's plan what it waits for, and why it stands where it does, in words.

    The job is planned again, so it is the same plan as long as no clock ends the search. Raises what `plan` raises, and
    InputError for a cut that the plan does not have.
    """
    return [worded(each, units_of(job)).text for each in reasons_for_cuts(plan(job, rig), cuts)]


def unsound(made: Plan) -> list[Fault]:
    """What the independent replay finds wrong with a plan, which may come from a file; nothing of one that is sound."""
    from stripplan.replay.verdict import replay  # it is heavy, and not every door leads to it

    return [each.fault(each.about) for each in replay(made)]


@contextmanager
def _told_in_units_of(job: Job) -> Iterator[None]:
    """Faults of job and rig leave in the person's units."""
    try:
        yield
    except (InputError, CannotMakeError) as error:
        raise error.in_units(units_of(job)) from None


def _seen(settled: Settled, search: Search, looks: Looks) -> Callable[[Callable[[], JobLayout]], None]:
    """What hears of layouts that a search has found so far, and makes a plan of one when a look is due."""

    def seen(found: Callable[[], JobLayout]) -> None:
        if looks.due():
            now = Search(settled.job.options.effort, at_once=True)
            now.goes_on_from(search.steps, "look")
            best = order_of_work(settled, with_fillers_in(settled, found()), now)
            made = _made(settled, best, now)
            _check(made)
            looks.show(made)

    return seen


def _chosen(job: Job, rig: Rig, settled: Settled, search: Search, choose: int | Choice) -> JobLayout:
    """The layout of a choice; the search then stands where it stood when the choices were found."""
    if isinstance(choose, int):
        choose = choice_of_number(offered((job, rig), settled, search), choose)
    found = chosen(job, rig, choose)
    search.goes_on_from(found.steps, found.stopped)
    return found.layout


def _has_shapes(job: Job) -> bool:
    return any(isinstance(part, Shape) for part in job.parts)


def _pieces(job: Job) -> int:
    return sum(part.quantity for part in job.parts if not part.filler)


def _with_quotation(made: Plan, rig: Rig) -> Plan:
    """The plan with what it costs; as it is where the rig has no prices, or no part is made."""
    if rig.prices is None or not any(line.made for line in made.parts):
        return made
    from stripplan.rig.cost.quotation import quotation

    flows = {each.name: each.air_flow for each in rig.processes if each.air_flow is not None}
    prices = rig.prices
    found = quotation(made, prices, flow_of=flows, efficiency=prices.efficiency, credit_offcuts=prices.credit_offcuts)
    return replace(made, quotation=found)


def _check(made: Plan) -> None:
    """The plan is replayed on its own before it is given back: what does not pass is a fault of the program, and no
    plan.
    """
    if faults := unsound(made):
        raise PlanFaultError(faults)
