"""The order of cuts on generated jobs: set-up minutes against simple orders and the bound.

    python -m tests.benchmarks.order_of_work [--jobs N] [--seed S] [--seconds S] [--most-cuts N]

Compared with (a) the list from top to bottom, plate by plate: each sibling off the low end, itself against the fence,
what comes off cut at once; and (b) the same, but a cut that the fence already stands for is always taken first. Both
keep the end stop where it may stay. Minutes are those of set-up, and arc and return beyond the least end stops. Jobs,
plates and rigs are drawn at random with a seed; they are invented. Printed by number of cuts: medians and worst. Not
part of the test run.
"""

from __future__ import annotations

import argparse
import random
import resource
import statistics
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from stripplan.files.rig.read import load_rig
from stripplan.model.effort import Effort
from stripplan.model.job import Job, Options
from stripplan.model.part import Part, Rectangle, Strip
from stripplan.model.plate import Plate
from stripplan.model.rig import Rig
from stripplan.planner.job_layout import job_layout
from stripplan.planner.order.bench_plates import bench_plates
from stripplan.planner.search_control import Search
from stripplan.planner.settled import settle
from stripplan.sequence import best_order
from stripplan.sequence.bench import UNMEASURED_SECONDS, Bench
from stripplan.sequence.cut_options import BenchPiece, ChosenCut, CutOption
from stripplan.sequence.cut_order import simulate

RIG = load_rig(Path(__file__).with_name("rig.toml"))


def rig_with(name: str, *, stroke: float = RIG.stroke, **seconds: float) -> Rig:
    """The pinned rig with some of its figures changed."""
    return replace(RIG, name=name, stroke=stroke, seconds=replace(RIG.seconds, **seconds))


RIGS = (
    RIG,
    rig_with("slow fence", fence=90, fence_per_mm=0.05),
    rig_with("quick fence, short stroke", stroke=1300, fence=20, scrape_per_m=60),
    rig_with("heavy hands", fetch=70, quarter_turn=30, per_kg=1.2),
    rig_with("clean edges", scrape_each=0, scrape_per_m=0, push=6),
)
SIZES = (10, 25, 60, 120, 400)
"""Upper ends of the classes of cuts."""


@dataclass(frozen=True)
class Row:
    """One job ordered: minutes found, of both simple orders, and the bound."""

    cut_count: int
    plates: int
    found: float
    listed: float
    grouped: float
    bound: float
    proven: bool
    seconds: float
    settings: int
    least_settings: int


def drawn_job(chance: random.Random, most: int) -> tuple[Job, Rig]:
    """A list of strips and rectangles in some copies each, on plates of one size or two."""
    parts: list[Part] = []
    wanted = chance.randint(2, max(3, most // 2))
    while wanted > 0:
        copies = min(wanted, chance.choice([1, 1, 2, 3, 4, 6, 8, 12]))
        wanted -= copies
        name, width = f"part {len(parts)}", chance.randint(4, 40) * 5
        if chance.random() < 0.25:
            parts.append(Strip(name=name, width=width, quantity=copies))
        else:
            parts.append(Rectangle(name=name, width=width, length=chance.randint(12, 180) * 5, quantity=copies))
    measured = chance.random() < 0.5
    plates = [
        Plate(name="sheet", length=2000, width=1000, thickness=6, material="mild steel", cost=100, measured=measured)
    ]
    if not any(isinstance(part, Strip) for part in parts) and chance.random() < 0.7:
        plates.append(replace(plates[0], name="half", length=1000, cost=55))
    options = Options(trim=chance.choice([0.0, 0.0, 6.0]), effort=Effort(steps=40), partial=True)
    return Job(name="drawn", plates=tuple(plates), parts=tuple(parts), options=options), chance.choice(RIGS)


def roots_of(job: Job, rig: Rig) -> list[BenchPiece]:
    """The plates as they come to the bench."""
    settled = settle(job, rig)
    layout = job_layout(settled, Search(job.options.effort))
    return [each.to_cut.piece for each in bench_plates(settled, layout)]


def listed(roots: Sequence[BenchPiece], *, grouped: bool) -> list[ChosenCut]:
    """Cuts from top to bottom of the list; `grouped`: what the fence already stands for comes first."""
    waiting = [(plate, piece) for plate, piece in enumerate(roots) if not piece.workpiece.done]
    cuts: list[ChosenCut] = []
    reading: float | None = None
    stop: float | None = None
    while waiting:
        number, option = (
            0,
            next(
                (option for option in waiting[0][1].options if option.separation.end == option.datum),
                waiting[0][1].options[0],
            ),
        )
        if grouped and reading is not None:
            same = (
                (n, option)
                for n, (_, piece) in enumerate(waiting)
                for option in piece.options
                if option.located == "fence" and option.setting.reading == reading
            )
            number, option = next(same, (number, option))
        plate, piece = waiting.pop(number)
        stop = _kept(stop, option)
        reading = option.setting.reading if option.located == "fence" else reading
        cuts.append(ChosenCut(plate, piece, option, (stop,) * len(option.stops)))
        off, rest = (
            (option.right, option.left) if option.separation.end == option.datum else (option.left, option.right)
        )
        waiting[number:number] = [(plate, each) for each in (off, rest) if each is not None and not each.workpiece.done]
    return cuts


def _kept(stop: float | None, option: CutOption) -> float:
    least = option.stops[0][1]
    stays = stop is not None and len(option.stops) == 1 and least <= stop <= option.longest_stop
    return stop if stays and stop is not None else least


def ordered(job: Job, rig: Rig, seconds: float | None) -> Row | None:
    """One job, ordered all ways; None where it is empty."""
    roots = roots_of(job, rig)
    bench = Bench(rig, roots, {})
    cut_count = sum(bench.kinds[kind].cut_count for kind in bench.roots)
    if not cut_count:
        return None
    begun = time.process_time()
    end = None if seconds is None else begun + seconds
    out: Callable[[], bool] = (lambda: False) if end is None else (lambda: time.process_time() > end)
    found = best_order(rig, roots, effort=Effort(seconds=seconds), weights={}, out_of_time=out)
    took = time.process_time() - begun
    plain, grouped = (simulate(bench, listed(roots, grouped=each)) for each in (False, True))
    settings = sum(change.fence for change in found.changes)

    def minutes(cuts: list[ChosenCut], total: float) -> float:
        return (total - UNMEASURED_SECONDS * sum(cut.option.unmeasured_sizes for cut in cuts)) / 60

    return Row(
        cut_count, len(roots), minutes(found.cuts, found.seconds), minutes(plain.cuts, plain.seconds),
        minutes(grouped.cuts, grouped.seconds), found.least_setup / 60, found.proven, took, settings,
        found.least_settings,
    )  # fmt: skip


def show(rows: Sequence[Row]) -> None:
    """Medians and worst by number of cuts."""
    print(
        f"{'cuts':>8} {'jobs':>5} {'of list':>8} {'worst':>6} {'of groups':>9} {'of bound':>9} {'proven':>7} "
        f"{'settings':>9} {'s':>6} {'max s':>6}"
    )
    least = 0
    for most in (*SIZES, 0):
        some = [row for row in rows if not most or least < row.cut_count <= most]
        least = most
        if some:
            ratios = [row.found / row.listed for row in some]
            print(
                f"{'all' if not most else f'to {most}':>8} {len(some):5} {statistics.median(ratios):8.3f} "
                f"{max(ratios):6.3f} {statistics.median(row.found / row.grouped for row in some):9.3f} "
                f"{statistics.median(row.found / row.bound for row in some if row.bound):9.3f} "
                f"{sum(row.proven for row in some):7} "
                f"{statistics.median(row.settings / max(1, row.least_settings) for row in some):9.2f} "
                f"{statistics.median(row.seconds for row in some):6.2f} {max(row.seconds for row in some):6.1f}"
            )
    print(f"memory: {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024} MB at most")


def main() -> None:
    """Draw, order, print."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0] if __doc__ else None)
    parser.add_argument("--jobs", type=int, default=200)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--seconds", type=float)
    parser.add_argument("--most-cuts", type=int, default=400)
    given = parser.parse_args()
    rows = []
    for number in range(given.jobs):
        chance = random.Random(1000 * given.seed + number)
        job, rig = drawn_job(chance, chance.choice([each for each in (*SIZES[:-1], 300) if each <= given.most_cuts]))
        row = ordered(job, rig, given.seconds)
        if row is not None:
            rows.append(row)
    show(rows)


if __name__ == "__main__":
    main()
