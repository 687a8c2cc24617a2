"""Plans of generated shop jobs beside the program's own plans in held-back forms: in plate and hands together.

    python -m tests.benchmarks.shop_jobs [--jobs N] [--seed S] [--steps N] [--rate MONEY_PER_MINUTE]

Jobs as a small workshop has them, drawn at random with a seed and invented: few widths in many copies, one to three
plate kinds, offcuts of the rack, trims. Each is planned as it stands, and held back in simple ways: two stages, three
stages, each kind of plate alone, no offcuts, as few fence settings as may be. A plan costs its plates and its minutes
at the rate, less half the price by area of the largest offcut kept of each plate and a quarter of that of the others.
Printed: how much dearer each plan is than the best of its held-back forms, and what needs no model of time: cuts,
settings, slivers cut off inside, pieces fetched again; these also beside plans that look at plate alone. Minutes of
set-up also beside the layout for the least plate alone, cut from top to bottom (`order_of_work`). Not part of the test
run.
"""

from __future__ import annotations

import argparse
import random
import statistics
import time
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

from stripplan.errors import StripplanError
from stripplan.files.rig.read import load_rig
from stripplan.model.effort import Effort
from stripplan.model.job import Job, Options
from stripplan.model.part import Part, Rectangle
from stripplan.model.plan.plan import Plan
from stripplan.model.plate import Plate
from stripplan.planner import plan
from stripplan.sequence.bench import Bench
from stripplan.sequence.changeover import CAUSES
from stripplan.sequence.cut_order import simulate
from tests.benchmarks.order_of_work import listed, roots_of

RIG = load_rig(Path(__file__).with_name("rig.toml"))
SHEETS = ((2000, 1000, 128.0), (2500, 1250, 195.0), (1500, 1000, 98.0))
"""Length and width [mm], price."""
SLIVER = 20.0
"""Scrap narrower than this, cut off a piece that is not the plate itself, counts as a sliver [mm]."""


def drawn_job(seed: int, steps: int | None, rate: float | None = None) -> Job:
    """A job of a small workshop, a minute at the rig at a rate or as the program assumes it."""
    chance = random.Random(seed)
    kinds = chance.sample(SHEETS, chance.choice((1, 1, 2, 2, 3)))
    plates = [
        Plate(name=f"sheet {x:g} x {y:g}", length=x, width=y, thickness=6, material="mild steel", cost=cost)
        for x, y, cost in kinds
    ]
    for number in range(chance.choice((0, 0, 1, 2))):
        x, y = chance.randint(40, 110) * 10, chance.randint(20, 60) * 10
        cost = round(x * y * 32e-6, 2)  # half the price by area of a sheet
        plates.append(
            Plate(
                name=f"offcut {number + 1}",
                length=x,
                width=y,
                thickness=6,
                material="mild steel",
                cost=cost,
                offcut=True,
            )
        )
    widths = [chance.randint(5, 40) * 5 for _ in range(chance.randint(2, 5))]
    parts: list[Part] = []
    while len(parts) < chance.randint(3, 8):
        width, length = chance.choice(widths), chance.randint(12, 160) * 5
        copies = chance.choice((2, 3, 4, 4, 6, 8, 8, 12, 16))
        parts.append(Rectangle(name=f"part {len(parts) + 1}", width=width, length=length, quantity=copies))
    options = Options(trim=chance.choice((0.0, 0.0, 6.0)), effort=Effort(steps=steps, seed=1), price_per_minute=rate)
    return Job(name=f"shop {seed}", plates=tuple(plates), parts=tuple(parts), options=options)


def held_back(job: Job) -> Iterator[tuple[str, Job]]:
    """Simpler forms of a job: what one of them finds the plan as it stands must not be dearer than."""
    for depth, name in ((2, "two stages"), (3, "three stages")):
        yield name, replace(job, options=replace(job.options, depth=depth))
    yield "few settings", replace(job, options=replace(job.options, aim="few_settings"))
    sheets = [plate for plate in job.plates if not plate.offcut]
    if len(job.plates) > len(sheets):
        yield "no offcuts", replace(job, plates=tuple(sheets))
    if len(sheets) > 1:
        for plate in sheets:
            yield f"{plate.name} alone", replace(job, plates=(plate, *(p for p in job.plates if p.offcut)))


@dataclass(frozen=True)
class Found:
    """What a plan costs, in money and without: total, plates, minutes, of these set-up, cuts, settings, slivers,
    fetched again, seconds.
    """

    total: float
    plates: float
    minutes: float
    set_up: float
    cuts: int
    settings: int
    slivers: int
    fetched: int
    seconds: float


def found(job: Job, rate: float) -> Found | None:
    """A job planned; None where it cannot be."""
    begun = time.process_time()
    try:
        made = plan(job, RIG)
    except StripplanError:
        return None
    seconds = time.process_time() - begun
    totals = made.totals
    fetched = sum(cut.setup.fetch for cut in made.cuts) - len(made.plates)
    total = totals.cost + rate * totals.minutes - worth_of_offcuts(job, made)
    slivers = sum(1 for _ in slivers_inside(made))
    set_up = sum(getattr(cut.minutes, cause) for cut in made.cuts for cause in CAUSES)
    return Found(
        total, totals.cost, totals.minutes, set_up, len(made.cuts), totals.fence_settings, slivers, fetched, seconds
    )


def listed_set_up(job: Job) -> float:
    """Minutes of set-up where the layout for the least plate alone is cut from top to bottom."""
    roots = roots_of(job, RIG)
    order = simulate(Bench(RIG, roots, {}), listed(roots, grouped=False))
    return sum(sum(change.seconds) for change in order.changes) / 60


def worth_of_offcuts(job: Job, made: Plan) -> float:
    """Half the price by area of the largest offcut of each plate, a quarter of that of the others."""
    prices = {plate.name: (plate.cost or 0.0) / (plate.length * plate.width) for plate in job.plates}
    stock = {plate.id: plate.stock for plate in made.plates}
    areas: dict[str, list[float]] = defaultdict(list)
    for piece in made.pieces:
        if piece.kind == "offcut":
            x, y = sides(piece.outline)
            areas[piece.plate].append(x * y * prices[stock[piece.plate]])
    return sum(0.5 * max(each) + 0.25 * (sum(each) - max(each)) for each in areas.values())


def slivers_inside(made: Plan) -> Iterator[str]:
    """Scrap narrower than a finger, cut off pieces that are no plates."""
    pieces = {piece.id: piece for piece in made.pieces}
    for piece in made.pieces:
        inside = piece.parent is not None and pieces[piece.parent].parent is not None
        if piece.kind == "scrap" and inside and min(sides(piece.outline)) < SLIVER:
            yield piece.id


def sides(outline: tuple[tuple[float, float], ...]) -> tuple[float, float]:
    """Extents of an outline along x and y."""
    xs, ys = zip(*outline, strict=True)
    return max(xs) - min(xs), max(ys) - min(ys)


def main() -> None:
    """One line a job, then the sums."""
    words = argparse.ArgumentParser()
    words.add_argument("--jobs", type=int, default=40)
    words.add_argument("--seed", type=int, default=1)
    words.add_argument("--steps", type=int, default=None)
    words.add_argument("--rate", type=float, default=0.75)
    given = words.parse_args()
    dearer, all_found, of_plate, of_list = [], [], [], []
    for seed in range(given.seed, given.seed + given.jobs):
        job = drawn_job(seed, given.steps, given.rate)
        own = found(job, given.rate)
        for_plate = replace(job, options=replace(job.options, aim="plate"))
        plate = found(for_plate, given.rate)
        if own is None or plate is None:
            continue
        of_plate.append(plate)
        of_list.append(own.set_up / listed_set_up(for_plate))
        forms = [(name, each) for name, form in held_back(job) if (each := found(form, given.rate)) is not None]
        best_name, best = min(forms, key=lambda each: each[1].total)
        dearer.append(own.total / best.total - 1 if best.total > 0 else 0.0)
        all_found.append(own)
        print(
            f"{seed:4d}  total {own.total:8.2f}  plates {own.plates:8.2f}  {own.minutes:6.1f} min  {own.cuts:4d} cuts  "
            f"{own.settings:3d} settings  {own.slivers:3d} slivers  {own.fetched:3d} fetched  {own.seconds:5.1f} s   "
            f"{100 * dearer[-1]:+6.1f} % beside {best.total:8.2f} {best_name}",
            flush=True,
        )
    ranked = sorted(dearer)
    print(
        f"{len(ranked)} jobs: dearer than the best held-back form by {100 * statistics.median(ranked):.1f} % at the "
        f"median, {100 * ranked[int(0.95 * (len(ranked) - 1))]:.1f} % at the 95th of 100, {100 * ranked[-1]:.1f} % at "
        f"worst; more than 1 % dearer: {sum(each > 0.01 for each in ranked)}"
    )
    print(
        f"set-up beside that of the least plates cut from top to bottom: {statistics.median(of_list):.2f} at the median"
    )
    print("in all, and beside plans for the least plate alone; of each job the median of the two")
    for name in ("total", "plates", "minutes", "set_up", "cuts", "settings", "slivers", "fetched", "seconds"):
        ours, theirs = ([getattr(each, name) for each in some] for some in (all_found, of_plate))
        shares = [a / b for a, b in zip(ours, theirs, strict=True) if b > 0]
        print(f"{name}: {sum(ours):.0f}  {sum(theirs):.0f}  {statistics.median(shares):.2f}")


if __name__ == "__main__":
    main()
