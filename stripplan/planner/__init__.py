"""The front door: `plan(job, rig)`. Layout, then order of work, then the independent replay; no file touched."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from stripplan.errors import CannotMakeError, Fault, PlanFaultError
from stripplan.layout.lay_out import Layout
from stripplan.model.job import Job
from stripplan.model.plan.plan import Plan, PlanWarning
from stripplan.model.progress import Progress
from stripplan.model.report import Section
from stripplan.model.rig import Rig
from stripplan.planner.accuracy import speed_warnings
from stripplan.planner.assemble import assembled
from stripplan.planner.faults_told import faults_told, told_fault
from stripplan.planner.fillers import filled_layouts, without_fillers
from stripplan.planner.layouts import Group, groups_of, lay_out_all
from stripplan.planner.order_options import Chosen, chosen_order
from stripplan.planner.plates_used import UsedPlate, used_plates
from stripplan.planner.quote import quoted
from stripplan.planner.settled import settled
from stripplan.planner.stop import Clock
from stripplan.planner.warnings import limits_told, with_estimates
from stripplan.planner.why import reasons
from stripplan.planner.wishes import check_wishes

LAYOUTS_WEIGHED = 3
"""How many layouts are carried through to minutes where a minute has a price."""


def plan(
    job: Job,
    rig: Rig,
    *,
    progress: Callable[[Progress], None] | None = None,
    stop: Callable[[], bool] | None = None,
    made_at: str | None = None,
) -> Plan:
    """Plan a job on a rig: one call, no file touched.

    A rig with a notebook is taken as it was measured. `progress` is called with what is being worked on, the share done, the best cost and its bound. `stop` is asked
    before each step of the search: once it is true, the best plan so far is made ready and given back.
    `made_at` goes into the plan as it is. Raises InputError where job and rig contradict themselves,
    CannotMakeError where a sound job has a part that cannot be made (unless job.options.partial), PlanFaultError
    where the plan does not pass the replay.
    """
    clock = Clock(job.options.effort, stop)
    as_given, rig = rig, _as_measured(rig)
    with faults_told(job, rig):
        job, warnings, best = _best(job, rig, clock, progress or (lambda _: None))
    if as_given.notebook is not None:
        warnings += speed_warnings(as_given, as_given.notebook, {plate.bench.process.name for plate in best.plates})
    rig = with_estimates(rig, best.plates)
    warnings = [*limits_told(job, rig, best.plates, best.chosen.work), *warnings]
    made = assembled(job, rig, best.plates, best.layouts, best.chosen, warnings, clock, made_at)
    made = quoted(made, rig)
    _replayed(made)
    return made


def why(job: Job, rig: Rig, cuts: Sequence[int]) -> list[str]:
    """For each of these cuts of the job's plan a sentence that says why it stands where it does.

    The job is planned again, so it is the same plan as long as no clock ends the search. Raises what `plan` raises, and InputError for
    a cut that the plan does not have.
    """
    rig = _as_measured(rig)
    with faults_told(job, rig):
        job, _, best = _best(job, rig, Clock(job.options.effort), lambda _: None)
    return reasons(job, rig, best.plates, best.chosen.order, cuts)


def report(rig: Rig) -> tuple[Section, ...]:
    """What the notebook of a rig says, part by part; a part that cannot be worked out says why."""
    from stripplan.rig.notebook.report import notebook_report

    return notebook_report(rig)


def unsound(made: Plan) -> list[Fault]:
    """What the independent replay finds wrong with a plan, which may come from a file; nothing of one that is sound."""
    from stripplan.replay.verdict import replay

    return [Fault(each.code, each.about, each.text) for each in replay(made)]


def _as_measured(rig: Rig) -> Rig:
    if rig.notebook is None:
        return rig
    from stripplan.rig.notebook.calibrate import calibrated  # few rigs have a notebook

    return calibrated(rig)


def _best(
    job: Job, rig: Rig, clock: Clock, say: Callable[[Progress], None]
) -> tuple[Job, list[PlanWarning], _Candidate]:
    """The settled job, what is to be said, and the best of the layouts worked out down to every cut."""
    job, warnings = settled(job, rig)
    check_wishes(job)
    groups = groups_of(without_fillers(job), rig)
    price = job.options.price_per_minute
    seeds = range(job.options.effort.seed, job.options.effort.seed + (LAYOUTS_WEIGHED if price else 1))
    candidates = []
    for done, seed in enumerate(seeds):
        share = (0.1 + done) / (len(seeds) + 1)
        candidates.append(_worked_out(job, rig, groups, seed, clock, lambda each, s=share: say(replace(each, share=s))))  # type: ignore[misc]
        if clock.over():
            break
    best = min(candidates, key=lambda each: (len(each.faults), each.cost(price or 0.0)))
    if best.faults and not job.options.partial:
        raise CannotMakeError(best.faults)
    faults = [told_fault(job, rig, each) for each in best.faults]
    warnings += [PlanWarning(code=each.code, about=each.where, text=each.sentence()) for each in faults]
    say(Progress(words="checking", share=0.95, best=best.cost(0.0), bound=_bound(best.layouts)))
    return job, warnings, best


@dataclass(frozen=True)
class _Candidate:
    """Layouts worked out down to every cut, with what cannot be made."""

    layouts: list[Layout]
    faults: list[Fault]
    plates: list[UsedPlate]
    chosen: Chosen

    def cost(self, price_per_minute: float) -> float:
        """Plates and, where a minute has a price, time."""
        minutes = sum(cut.minutes.total for cut in self.chosen.work.cuts)
        return sum(plate.ware.cost for plate in self.plates) + price_per_minute * minutes


def _worked_out(
    job: Job, rig: Rig, groups: list[Group], seed: int, clock: Clock, say: Callable[[Progress], None]
) -> _Candidate:
    effort = replace(job.options.effort, seed=seed)
    say(Progress(words="laying out", share=0.0))
    layouts, faults = lay_out_all(
        without_fillers(job),
        rig,
        groups,
        effort,
        clock.over,
        lambda best, bound: say(Progress(words="laying out", share=0.0, best=best, bound=bound)),
    )
    layouts = filled_layouts(job, rig, groups, layouts)
    plates = used_plates(job, rig, groups, layouts)
    say(Progress(words="ordering the cuts", share=0.0))
    chosen = chosen_order(
        job,
        rig,
        plates,
        effort,
        clock.over,
        lambda best, least: say(
            Progress(words="ordering the cuts", share=0.0, best=best / 60, bound=least / 60, unit="min")
        ),
    )
    return _Candidate(layouts, faults, plates, chosen)


def _bound(layouts: list[Layout]) -> float:
    return sum(float(layout.bound.cost) for layout in layouts)


def _replayed(made: Plan) -> None:
    if faults := unsound(made):
        raise PlanFaultError(faults)
