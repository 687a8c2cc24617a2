"""Lists of many different rectangles: `python -m tests.benchmarks.awkward_lists [--jobs N] [--from SEED] [--seconds S
...] [--whole]`.

Jobs drawn at random with a seed, and invented: 20 to 440 different sizes, 1,200 to 2,100 pieces, one or two sizes of
stock. Each is laid out under several caps on the time; printed are plates and cost as shares of the material bound, and
the seconds that it took beside the cap. With `--whole` all of the plan is made: order of work, check and files too.
Not part of the test run.
"""

from __future__ import annotations

import argparse
import random
import statistics
import tempfile
import time
from collections import defaultdict
from dataclasses import replace
from pathlib import Path

from stripplan.files.rig.read import load_rig
from stripplan.layout import Problem, build_problem, lay_out
from stripplan.layout.bounds.material import material_bound
from stripplan.layout.grid import exact
from stripplan.model.effort import Effort
from stripplan.model.job import Job, Options
from stripplan.model.part import Rectangle
from stripplan.model.plate import Plate
from stripplan.planner import plan
from stripplan.planner.search_control import Search
from stripplan.planner.settled import settle

RIG = load_rig(Path(__file__).with_name("rig.toml"))
SHEETS = ((2500, 1250), (2000, 1000), (3000, 1500))
CLASSES = ((60, 900, 40, 500), (100, 1400, 60, 700), (40, 500, 30, 300), (300, 1200, 200, 600))
"""Least and greatest length, least and greatest width [mm]."""


def drawn_job(seed: int, *, sizes: tuple[int, int] = (20, 440), pieces: tuple[int, int] = (1200, 2100)) -> Job:
    """One list: different sizes and pieces within these numbers."""
    chance = random.Random(seed)
    count, wanted = chance.randint(*sizes), chance.randint(*pieces)
    low, high, narrow, wide = chance.choice(CLASSES)
    shares = [chance.random() ** 2 + 0.05 for _ in range(count)]
    drawn: set[tuple[int, int]] = set()
    while len(drawn) < count:
        one, other = chance.randint(low, high), chance.randint(narrow, wide)
        drawn.add((max(one, other), min(one, other)))
    turns = chance.random() < 0.8
    parts = tuple(
        Rectangle(
            name=f"part {n + 1}",
            length=long,
            width=short,
            quantity=max(1, round(wanted * share / sum(shares))),
            rotate=turns,
        )
        for n, ((long, short), share) in enumerate(zip(sorted(drawn, key=hash), shares, strict=True))
    )
    plates = tuple(
        Plate(name=f"sheet {x} x {y}", length=x, width=y, thickness=6, material="mild steel", cost=x * y / 1e4)
        for x, y in chance.sample(SHEETS, chance.choice((1, 1, 2)))
    )
    return Job(name=f"awkward {seed}", plates=plates, parts=parts, options=Options())


def problem_of(job: Job) -> Problem:
    """The one problem of such a job."""
    settled = settle(job, RIG)
    (group,) = settled.groups
    return build_problem(settled.grid, group.plates, group.parts, job.options.keep, job.options.depth)


def main() -> None:
    """Lay out or plan every list under every cap; a row a list, and the sums."""
    words = argparse.ArgumentParser()
    words.add_argument("--jobs", type=int, default=12)
    words.add_argument("--from", type=int, default=1, dest="first")
    words.add_argument("--seconds", type=float, nargs="+", default=[1.0, 5.0, 30.0])
    words.add_argument("--whole", action="store_true")
    given = words.parse_args()
    ratios, over = defaultdict[float, list[float]](list), defaultdict[float, list[float]](list)
    for seed in range(given.first, given.first + given.jobs):
        job = drawn_job(seed)
        problem = problem_of(job)
        least = material_bound(problem)
        print(
            f"{seed:>4} sizes {len(job.parts):>3} pieces {sum(part.quantity for part in job.parts):>4} "
            f"stocks {len(job.plates)} bound {least.plates:>3} plates",
            end="",
        )
        for seconds in given.seconds:
            begun = time.monotonic()
            plates, cost = (_planned if given.whole else _laid_out)(job, problem, seconds)
            taken = time.monotonic() - begun
            ratios[seconds].append(cost / float(least.cost))
            over[seconds].append(taken / seconds)
            print(
                f" | {seconds:g} s: {plates:>3} plates, cost {ratios[seconds][-1]:.3f}, {taken:.1f} s",
                end="",
                flush=True,
            )
        print()
    for seconds in given.seconds:
        print(
            f"cap {seconds:g} s: cost over the material bound {statistics.mean(ratios[seconds]):.3f} on average, "
            f"{max(ratios[seconds]):.3f} at most; time over the cap {max(over[seconds]):.2f} at most"
        )


def _laid_out(job: Job, problem: Problem, seconds: float) -> tuple[int, float]:
    """Plates and cost of a layout alone."""
    effort = Effort(seconds=seconds)
    made = lay_out(problem, job.parts, effort=effort, out_of_time=Search(effort).over)
    assert not made.short
    used = [(pattern.count, exact(problem.stocks[pattern.plate].cost)) for pattern in made.patterns]
    return sum(count for count, _ in used), float(sum(count * cost for count, cost in used))


def _planned(job: Job, _: Problem, seconds: float) -> tuple[int, float]:
    """Plates and cost of a whole plan, its files written."""
    from stripplan.sheets.folder import write_all

    made = plan(replace(job, options=replace(job.options, effort=Effort(seconds=seconds))), RIG)
    with tempfile.TemporaryDirectory() as folder:
        write_all(made, Path(folder) / "plan")
    return made.totals.plates, made.totals.cost


if __name__ == "__main__":
    main()
