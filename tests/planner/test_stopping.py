"""What ends a search: the clock, steps, the person, a good enough plan; and how its plan is got again."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from stripplan import load_job, plan
from stripplan.model.effort import Effort, Progress
from stripplan.model.job import Job
from stripplan.model.part import Strip
from stripplan.model.plan.plan import Bound, Plan
from stripplan.planner import Looks, PlateInSight, unsound
from stripplan.planner.assemble import what_ended
from stripplan.planner.search_control import Search
from tests.checking import few
from tests.planner.test_front_door import JOB, RIG, SHEET, with_options
from tests.renew_examples import ROOT


def after(steps: int) -> Callable[[], bool]:
    """A person who asks to stop after so many steps; each is asked for before, and once the whole search is."""
    asked = iter(range(-1, 10**9)) if steps else iter(range(10**9))
    return lambda: next(asked) >= steps


def test_the_clock_counts_the_steps_that_were_let_go_on() -> None:
    """Five steps, then over, and it stays so."""
    clock = Search(Effort(), after(5))
    assert [clock.over() for _ in range(7)] == [False] * 5 + [True] * 2
    assert (clock.steps, clock.stopped) == (5, "interrupt")


def test_the_clock_says_why() -> None:
    """Seconds, steps, or nothing at all."""
    spent = Search(Effort(seconds=1e-9))
    assert spent.over()
    assert spent.stopped == "seconds"
    counted = Search(Effort(stop_after=2))
    assert [counted.over() for _ in range(3)] == [False, False, True]
    assert (counted.steps, counted.stopped) == (2, "steps")
    free = Search(Effort())
    assert not any(free.over() for _ in range(100))
    assert (free.steps, free.stopped) == (100, "done")


TWO_KINDS = Job(
    name="two kinds",
    plates=(SHEET, replace(SHEET, name="bright", material="stainless")),
    parts=(
        *(replace(part, material="mild steel") for part in JOB.parts),
        *(replace(part, name=part.name * 2, material="stainless") for part in JOB.parts),
    ),
    options=JOB.options,
)
TWO_RIG = replace(RIG, processes=(*RIG.processes, replace(RIG.processes[0], name="q", material="stainless")))


@pytest.mark.long
@pytest.mark.parametrize("steps", few(1, (5, 1, 10**6, 0, 3, 6)))
def test_a_plan_that_was_stopped_can_be_had_again(steps: int) -> None:
    """Stopped by hand at any step, in any stage, of any material:
    `stop_after` its steps gives the same pieces and cuts.
    """
    stopped = plan(TWO_KINDS, TWO_RIG, stop=after(steps))
    assert stopped.settings.stopped == ("done" if steps == 10**6 else "interrupt")
    effort = replace(JOB.options.effort, stop_after=stopped.settings.steps_done)
    again = plan(replace(TWO_KINDS, options=replace(JOB.options, effort=effort)), TWO_RIG)
    assert _work(again) == _work(stopped)


def _work(made: Plan) -> tuple[Any, ...]:
    return made.pieces, made.cuts, made.parts, made.totals, made.proof


@pytest.mark.parametrize(
    ("effort", "found", "proven", "stopped"),
    [
        (Effort(good_enough=0.05), 104.0, False, "good enough"),
        (Effort(good_enough=0.05), 106.0, False, "done"),
        (Effort(good_enough=0.05), 100.0, True, "done"),
        (Effort(), 104.0, False, "done"),
    ],
)
def test_good_enough_is_recorded(effort: Effort, found: float, proven: bool, stopped: str) -> None:
    """A cost within the share of its bound of 100, but not proven best, was good enough; a proven one is done."""
    cost = Bound(found=found, bound=100.0, how="by hand", proven=proven)
    assert what_ended(Search(effort), effort, cost) == stopped
    over = Search(effort, lambda: True)
    assert over.over()
    assert what_ended(over, effort, cost) == "interrupt"


def test_good_enough_is_in_the_settings() -> None:
    """The share is recorded beside what ended the search."""
    made = plan(with_options(effort=Effort(steps=4, good_enough=0.5)), RIG)
    assert (made.settings.good_enough, made.settings.stopped) == (0.5, "done")
    assert made.proof.cost.proven


def test_a_bound_a_hair_below_what_was_found_does_not_refuse_the_plan() -> None:
    """A column generation bound is rounded down by less than a millionth;
    the cost that it meets so nearly is proven.
    """
    plates = (replace(SHEET, width=500, quantity=1), replace(SHEET, name="narrow", width=400, quantity=1))
    strips = (Strip(name="bar", width=450, quantity=1), Strip(name="rod", width=90, quantity=4))
    made = plan(Job(name="rest", plates=plates, parts=strips), RIG)
    assert made.proof.cost.found - 1e-6 < made.proof.cost.bound < made.proof.cost.found
    assert made.proof.cost.proven


def test_progress_tells_best_and_bound() -> None:
    """Words, a share that never falls, and in the end the cost of the plan beside its bound."""
    told: list[Progress] = []
    made = plan(JOB, RIG, progress=told.append)
    assert list(dict.fromkeys(each.words for each in told)) == ["laying out", "ordering the cuts", "checking"]
    assert [each.share for each in told] == sorted(each.share for each in told)
    assert (told[-1].best, told[-1].bound) == (made.totals.cost, made.proof.cost.bound)


@pytest.mark.long
def test_progress_tells_the_best_total_so_far() -> None:
    """Once layouts are compared: it never rises, and the plan costs about as much."""
    job, rig = load_job(ROOT / "examples" / "bench.toml")
    told: list[Progress] = []
    effort = replace(job.options.effort, stop_after=100)
    made = plan(replace(job, options=replace(job.options, effort=effort)), rig, progress=told.append)
    totals = [each.total for each in told if each.total is not None]
    assert totals == sorted(totals, reverse=True)
    assert made.total is not None
    assert totals[-1] == pytest.approx(made.total.total, rel=0.05)
    assert told[-1].currency == "EUR"


def test_the_first_plan_comes_at_once_and_again_by_no_step() -> None:
    """Its plates are seen before their cuts are in order, with all parts on them; stopped before the first step the
    same cuts come out.
    """
    seen: list[tuple[PlateInSight, ...]] = []
    first = plan(TWO_KINDS, TWO_RIG, at_once=True, sight=seen.append)
    assert (first.settings.stopped, first.settings.steps_done) == ("interrupt", 0)
    parts = Counter(each.part for plate in seen[0] for each in plate.pieces for _ in range(plate.count) if each.part)
    assert parts == Counter(each.part for each in first.pieces if each.part)
    for plate in seen[0]:
        for each in plate.pieces:
            x0, y0, x1, y1 = each.box
            assert 0 <= x0 < x1 <= plate.length
            assert 0 <= y0 < y1 <= plate.width
    again = plan(replace(TWO_KINDS, options=replace(JOB.options, effort=Effort(stop_after=0))), TWO_RIG)
    assert (again.cuts, again.pieces) == (first.cuts, first.pieces)
    assert unsound(first) == []


def test_a_look_is_a_plan_and_changes_nothing() -> None:
    """What the search has found so far, sound, said to be a look; the plan in the end is the one without looks."""
    few = tuple(replace(part, quantity=1) for part in JOB.parts[:2])
    job = replace(JOB, parts=few, options=replace(JOB.options, effort=Effort(steps=2250)))
    seen: list[Plan] = []
    made = plan(job, RIG, looks=Looks([0.0], seen.append))
    assert [each.settings.stopped for each in seen] == ["look"]
    assert 0 < seen[0].settings.steps_done <= made.settings.steps_done
    assert made == plan(job, RIG)
