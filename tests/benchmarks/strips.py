"""Strips on published instances: proven optima, time, against a general solver, growth.

    python -m tests.benchmarks.strips [--data DIR] [--set NAME] [--limit N] [--kerf]
    python -m tests.benchmarks.strips --against-general-solver N [--seconds S] | --growth

Seconds are processor time, imports left out; a general solver that runs out of S seconds (60) counts S.
Every answer is checked: what it makes, and that it fits.
"""

from __future__ import annotations

import argparse
import csv
import json
import resource
import statistics
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path
from random import Random
from typing import Any

import highspy

from stripplan.layout.bounds.material import material_bound
from stripplan.layout.grid import Grid
from stripplan.layout.problem import Item, Problem, Stock
from stripplan.layout.strips.branch_and_price import StripAnswer, solve_strips
from stripplan.layout.strips.columns import StripWorld
from stripplan.model.cut_rules import CutRules
from stripplan.model.plate import Plate

SETS = [
    "falkenauer_u", "falkenauer_t", "scholl_1", "scholl_2", "scholl_3", "schwerin_1", "schwerin_2", "waescher",
    "hard28",
]  # fmt: skip
KERF, SCALE = 3, 10
FREE = CutRules(
    kerf=0, longest_one_pass=1e9, longest_two_pass=1e9, narrowest_offcut=0, fence_min=0, fence_max=1e9, marked=True
)


@dataclass(frozen=True)
class Instance:
    """One plate width and strips (width, how many), with the least number of plates where it is known."""

    name: str
    capacity: int
    items: tuple[tuple[int, int], ...]
    best: int | None = None

    def problem(self, *, kerf: int = 0) -> Problem:
        """The instance for our engine; with a kerf, sizes are scaled so that the answer stays the same."""
        scale = SCALE if kerf else 1
        plate = Plate(name="bar", length=1, width=self.capacity * scale - kerf)
        stock = Stock(0, plate, replace(FREE, kerf=float(kerf)), 1.0)
        items = tuple(Item(n, d, (((1, w * scale - kerf, False),),), 0, True) for n, (w, d) in enumerate(self.items))
        return Problem(Grid(Fraction(1)), items, (stock,), (0, 0), None)


def main() -> None:
    """Read the options and run what they ask for."""
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("--data", type=Path, default=Path("../shared/benchmarks"))
    options.add_argument("--set", choices=SETS)
    options.add_argument("--limit", type=int)
    options.add_argument("--kerf", action="store_true")
    options.add_argument("--against-general-solver", type=int, metavar="N")
    options.add_argument("--seconds", type=float, default=60.0, help="cap of the general solver")
    options.add_argument("--growth", action="store_true")
    chosen = options.parse_args()
    folder = chosen.data / "bpp1d"
    sets = [chosen.set] if chosen.set else SETS
    if chosen.growth:
        growth()
    elif chosen.against_general_solver:
        against(folder, sets, chosen.against_general_solver, chosen.seconds)
    else:
        table(folder, sets, chosen.limit, KERF if chosen.kerf else 0)


def instances(folder: Path, name: str, limit: int | None = None) -> list[Instance]:
    """A set, or `limit` of it spread evenly."""
    with (folder / "best_known.csv").open(encoding="utf-8") as file:
        best = {row["name"]: int(row["best_known"]) for row in csv.DictReader(file)}
    found = [
        Instance(each["name"], each["capacity"], tuple((w, d) for w, d in each["items"]), best[each["name"]])
        for each in _lines(folder / f"{name}.jsonl")
    ]
    return found[:: max(1, len(found) // limit)][:limit] if limit else found


def _lines(path: Path) -> Iterator[Any]:
    with path.open(encoding="utf-8") as file:
        for line in file:
            yield json.loads(line)


def solved(instance: Instance, *, kerf: int = 0) -> tuple[StripAnswer, int, float]:
    """Answer, plates and seconds, checked."""
    start = time.process_time()
    problem = instance.problem(kerf=kerf)
    enough = material_bound(problem).cost
    answer = solve_strips(StripWorld(problem), steps=None, out_of_time=lambda: False, enough=enough)
    seconds = time.process_time() - start
    made = [sum(column.counts[n] * times for column, times in answer.uses) for n in range(len(instance.items))]
    assert made == [demand for _, demand in instance.items], f"{instance.name}: {made}"
    for column, _ in answer.uses:
        width = sum(n * w for n, (w, _) in zip(column.counts, instance.items, strict=True))
        assert width <= instance.capacity, f"{instance.name}: a plate holds {width} of {instance.capacity}"
    plates = sum(times for _, times in answer.uses)
    assert answer.bound <= plates
    if instance.best is not None:
        assert answer.bound <= instance.best <= plates, f"{instance.name}: {answer.bound}, {instance.best}, {plates}"
    return answer, plates, seconds


def table(folder: Path, sets: Sequence[str], limit: int | None, kerf: int) -> None:
    """A line for each set; below it what is not proven."""
    print(f"{'set':14}{'instances':>10}{'proven':>8}{'plates':>9}{'best':>9}{'median s':>10}{'max s':>9}")
    for name in sets:
        rows = [(each, *solved(each, kerf=kerf)) for each in instances(folder, name, limit)]
        proven = sum(plates == answer.bound for _, answer, plates, _ in rows)
        sums = sum(plates for _, _, plates, _ in rows), sum(each.best or 0 for each, *_ in rows)
        times = [seconds for *_, seconds in rows]
        print(
            f"{name:14}{len(rows):10}{proven:8}{sums[0]:9}{sums[1]:9}{statistics.median(times):10.4f}{max(times):9.2f}",
            flush=True,
        )
        for each, answer, plates, seconds in rows:
            if plates != answer.bound:
                print(f"    {each.name}: {plates} plates, bound {answer.bound}, best {each.best}, {seconds:.1f} s")


def against(folder: Path, sets: Sequence[str], count: int, cap: float) -> None:
    """Ours and a general integer programming solver on the assignment formulation, on the same sample."""
    sample = [each for name in sets for each in instances(folder, name)]
    sample = sample[:: max(1, len(sample) // count)][:count]
    ours, theirs = [], []
    for each in sample:
        answer, plates, seconds = solved(each)
        general, found = by_assignment(each, cap)
        ours.append(seconds)
        theirs.append(general)
        print(
            f"{each.name:24}{plates:6} plates, bound {answer.bound}{seconds:9.3f} s   "
            f"general {found or '-':>6}{general:9.2f} s",
            flush=True,
        )
    ratio = statistics.median(theirs) / max(statistics.median(ours), 1e-9)
    each_ratio = statistics.median(b / max(a, 1e-9) for a, b in zip(ours, theirs, strict=True))
    print(f"medians {statistics.median(ours):.4f} and {statistics.median(theirs):.4f} s, ratio {ratio:.0f}")
    print(
        f"median of the ratios {each_ratio:.0f}; ran out of time: {sum(each >= cap for each in theirs)} of "
        f"{len(theirs)}"
    )


def by_assignment(instance: Instance, cap: float) -> tuple[float, int | None]:
    """Seconds and plates of HiGHS on x[item, plate], y[plate], with one plate for each of a first-fit plan."""
    most = len(_first_fit(instance))
    start = time.process_time()
    new_lp: Any = highspy.Highs
    lp: Any = new_lp()
    for option, value in (("output_flag", False), ("threads", 1), ("time_limit", cap)):
        lp.setOptionValue(option, value)
    used = [lp.addBinary(obj=1.0) for _ in range(most)]
    put = [[lp.addIntegral(lb=0, ub=demand) for _ in range(most)] for _, demand in instance.items]
    for row, (_, demand) in zip(put, instance.items, strict=True):
        lp.addConstr(sum(row) == demand)
    for plate in range(most):
        inside = sum(width * row[plate] for row, (width, _) in zip(put, instance.items, strict=True))
        lp.addConstr(inside <= instance.capacity * used[plate])
    lp.run()
    done = lp.getInfo().primal_solution_status == 2
    ran_out = lp.getModelStatus() == highspy.HighsModelStatus.kTimeLimit
    seconds = cap if ran_out else time.process_time() - start
    return seconds, round(lp.getInfo().objective_function_value) if done else None


def _first_fit(instance: Instance) -> list[int]:
    room: list[int] = []
    for width, demand in sorted(instance.items, reverse=True):
        for _ in range(demand):
            at = next((n for n, left in enumerate(room) if left >= width), None)
            if at is None:
                room.append(instance.capacity - width)
            else:
                room[at] -= width
    return room


def growth() -> None:
    """100 widths, and 1,000 to 100,000 strips of them on plates 6000 wide; drawn from a fixed seed."""
    for total in (1_000, 10_000, 100_000):
        random = Random(7)
        widths = random.sample(range(200, 2500), 100)
        counts = [1] * 100
        for _ in range(total - 100):
            counts[random.randrange(100)] += 1
        answer, plates, seconds = solved(Instance(f"{total} strips", 6000, tuple(zip(widths, counts, strict=True))))
        memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
        print(f"{total:8} strips: {plates} plates, bound {answer.bound}, {seconds:.2f} s, {memory} MB at most")


if __name__ == "__main__":
    main()
