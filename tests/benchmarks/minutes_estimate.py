"""How well the estimate of minutes that steers the search ranks layouts, beside the minutes of their cuts in order.

    python -m tests.benchmarks.minutes_estimate [--jobs N] [--seed S] [--seeds N] [--steps N]

Jobs are those of `shop_jobs`. Each is laid out in several forms (as it stands, two and three stages, each sheet alone,
no offcuts) with several seeds: once for plates alone, once by plate and hands together, after few steps, so that
layouts differ. For each the estimate (`layout/objective.py`, without plates and offcuts) stands beside the minutes of
its cuts in a light order; what parts that come out uneven count for is in neither. Printed for each job: layouts, least
and most minutes, how far the estimate is off at the median and at most, and the correlation of the two within the job;
then the same for all. That within a job is what matters to a search: a layout is only ever compared with others of the
same job. Not part of the test run.
"""

from __future__ import annotations

import argparse
import statistics
from collections.abc import Iterator
from dataclasses import dataclass, replace

from stripplan.kernel import available
from stripplan.layout import build_problem, objective_of
from stripplan.layout.bounds.material import layout_bound
from stripplan.layout.objective import TICKS, Objective
from stripplan.layout.problem import Problem
from stripplan.layout.rectangles.beginnings import simpler_forms
from stripplan.layout.rectangles.compiled_search import search_of
from stripplan.layout.rectangles.search import task_of
from stripplan.layout.solver import Layout
from stripplan.layout.stock_choices import numbered
from stripplan.layout.to_pattern import PatternMaker
from stripplan.layout.tree import FilledStock
from stripplan.planner.hand_times import cause_weights, hand_times
from stripplan.planner.job_layout import JobLayout
from stripplan.planner.order.order_of_work import light_order
from stripplan.planner.search_control import Search
from stripplan.planner.settled import Group, Settled, settle
from tests.benchmarks.shop_jobs import RIG, drawn_job

PLATE_STEPS = 100
"""Steps for the plates of a form, before its steps by total."""


@dataclass(frozen=True)
class Pair:
    """Minutes of one layout: estimated, and of its cuts in order."""

    estimate: float
    true: float


def layouts(
    settled: Settled, group: Group, problem: Problem, seeds: int, steps: int
) -> Iterator[tuple[FilledStock, ...]]:
    """Layouts of all parts that differ: by form, by seed, for plates alone and by total."""
    objective = _objective(settled, group, problem, [settled.worth.plates[each.index] for each in group.plates])
    task, every = replace(task_of(problem), objective=objective), tuple(range(len(problem.stocks)))
    for stocks, form in ((every, task), *((form.stocks, form.task) for form in simpler_forms(problem, objective))):
        for seed in range(1, seeds + 1):
            search = search_of(form, seed)
            search.begin()
            search.run(PLATE_STEPS)
            for more in (0, steps):
                search.run_by_total(more)
                found = search.found()
                if not found.out:
                    yield numbered(found.filled, stocks)
            search.close()


def _objective(settled: Settled, group: Group, problem: Problem, values: list[float]) -> Objective:
    """The estimate of a group whose plates are worth so much; what is no time at the rig is left out."""
    weights = cause_weights(settled.job.options)
    times = [hand_times(settled.rig, each.process, each.rules.areal_mass, weights) for each in group.plates]
    return objective_of(
        problem,
        [replace(each, uneven=0.0, unmeasured=0.0) for each in times],
        values,
        minute=settled.worth.minute,
        share=settled.worth.share,
        share_of_others=settled.worth.share_of_others,
    )


def pairs(seed: int, seeds: int, steps: int) -> list[Pair]:
    """Estimate and true minutes of different layouts of one job."""
    settled = settle(drawn_job(seed, None, 0.75), RIG)
    (group,) = settled.groups
    options = settled.job.options
    problem = build_problem(settled.grid, group.plates, group.parts, options.keep, options.depth)
    hands = _objective(settled, group, problem, [0.0] * len(group.plates))
    maker, control, bound = PatternMaker(problem, settled.job.parts), Search(options.effort), layout_bound(problem)
    found = []
    for filled in dict.fromkeys(layouts(settled, group, problem, seeds, steps)):
        layout = JobLayout((Layout(maker.of_filled(filled), {}, bound, 0),), options.effort, ())
        order = light_order(settled, layout, [], control)
        minutes = sum(cut.minutes.total for cut in order.work.cuts)
        found.append(Pair(hands.total(filled) / TICKS / 60, minutes))
    return found


def off(some: list[Pair]) -> list[float]:
    """By which share each estimate is off, below first."""
    return sorted(each.estimate / each.true - 1 for each in some)


def main() -> None:
    """One line a job, then all."""
    words = argparse.ArgumentParser()
    words.add_argument("--jobs", type=int, default=12)
    words.add_argument("--seed", type=int, default=1)
    words.add_argument("--seeds", type=int, default=2)
    words.add_argument("--steps", type=int, default=500)
    given = words.parse_args()
    if not available():
        raise SystemExit("the searches are not compiled here: this would take hours")
    every: list[Pair] = []
    within, spread = [], []
    for seed in range(given.seed, given.seed + given.jobs):
        some = pairs(seed, given.seeds, given.steps)
        every += some
        shares = off(some)
        usual = statistics.median(shares)
        spread += [abs((1 + each) / (1 + usual) - 1) for each in shares]
        true, estimate = [each.true for each in some], [each.estimate for each in some]
        within.append(statistics.correlation(estimate, true))
        print(
            f"{seed:4d}  {len(some):3d} layouts  {min(true):6.1f} to {max(true):6.1f} min  off by "
            f"{100 * usual:+5.1f} % at the median, {100 * shares[0]:+5.1f} to {100 * shares[-1]:+5.1f} %  "
            f"correlation {within[-1]:.3f}",
            flush=True,
        )
    together = statistics.correlation([each.estimate for each in every], [each.true for each in every])
    sizes = sorted(abs(each) for each in off(every))
    print(
        f"{len(every)} layouts of {len(within)} jobs: off by {100 * statistics.median(sizes):.1f} % at the median, "
        f"{100 * sizes[int(0.95 * (len(sizes) - 1))]:.1f} % at the 95th of 100; beside the job's usual error "
        f"{100 * statistics.median(spread):.1f} % at the median; correlation within a job "
        f"{statistics.median(within):.3f} at the median, {min(within):.3f} at the least; over all {together:.3f}"
    )


if __name__ == "__main__":
    main()
