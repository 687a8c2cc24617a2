"""Plates by column generation on open data sets: `python -m tests.benchmarks.cutting_stock [--data DIR] [--set NAME]
...`.

One table: for each set its instances, cost found, bound and gap together, how many are proven, median and
greatest seconds of processor time. `--families` runs set C (E. Silva, F. Alvelos, J. M. Valerio de Carvalho, European
J. Operational Research 205 (2010) 699-708) by two stages with trimming, once for each direction of first cuts, against
the optima in best_known.csv. `--kerf` gives every instance a kerf that leaves its optimum as it is. `--growth` shows
how time and memory grow with the copies. Not part of the test run.
"""

from __future__ import annotations

import argparse
import csv
import json
import math
import random
import resource
import statistics
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

from stripplan.layout.grid import Grid
from stripplan.layout.plates.column_generation import PlatesAnswer, solve_plates
from stripplan.layout.plates.staged import Family
from stripplan.layout.problem import Item, Problem, Stock
from stripplan.model.cut_rules import CutRules
from stripplan.model.plate import Plate

DATA = Path(__file__).parents[3] / "shared" / "benchmarks"
FILES = ("cutting_stock", "several_plate_sizes", "leftovers")
FREE = 1e7


def problem_of(record: dict[str, Any], *, turned: bool, depth: int | None = None, kerf: bool = False) -> Problem:
    """An instance as a problem; `kerf`: all sizes times ten less a kerf of 3, which changes no optimum."""
    lost, scale = (3, 10) if kerf else (0, 1)
    power = _scale_of(record)

    def size(value: float) -> int:
        return round(value * power) * scale - lost

    rules = CutRules(
        kerf=float(lost),
        longest_one_pass=FREE,
        longest_two_pass=FREE,
        narrowest_offcut=0.0,
        fence_min=0.0,
        fence_max=FREE,
        marked=True,
    )
    stocks = []
    for number, (length, width, limit, cost) in enumerate(record["plates"]):
        x, y = size(length), size(width)
        price = float(length * width if cost is None else cost)
        plate = Plate(name=f"plate {number}", length=x, width=y, quantity=limit)
        stocks.append(Stock(number, plate, rules, price))
    items = []
    for number, (length, width, quantity, *_) in enumerate(record["items"]):
        ways = _ways(size(length), size(width), turned=turned)
        fits = tuple(tuple(way for way in ways if way[0] <= s.length and way[1] <= s.width) for s in stocks)
        items.append(Item(number, quantity or 1, fits, 0, strip=False))
    return Problem(Grid(Fraction(1)), tuple(items), tuple(stocks), (0, 0), depth)


def _scale_of(record: dict[str, Any]) -> int:
    sizes = [each for row in [*record["plates"], *record["items"]] for each in row[:2]]
    return math.lcm(*(Fraction(str(each)).limit_denominator(1000).denominator for each in sizes))


def _ways(length: int, width: int, *, turned: bool) -> list[tuple[int, int, bool]]:
    return [(length, width, False)] + ([(width, length, True)] if turned and length != width else [])


@dataclass(frozen=True)
class Run:
    """One instance solved."""

    name: str
    cost: Fraction
    plates: int
    short: int
    bound: Fraction
    seconds: float
    answer: PlatesAnswer


def solved(name: str, problem: Problem, seconds: float | None, steps: int, family: Family | None = None) -> Run:
    """Solve within a cap on processor time."""
    start = time.process_time()
    late: Callable[[], bool] = lambda: seconds is not None and time.process_time() - start > seconds  # noqa: E731
    answer = solve_plates(problem, steps=steps, out_of_time=late, family=family)
    took = time.process_time() - start
    bound = answer.family_bound if family is not None and answer.family_bound is not None else answer.bound
    plates = sum(n for _, n in answer.patterns)
    return Run(name, answer.cost(problem), plates, sum(answer.short), bound, took, answer)


def records(data: Path, wanted: str | None) -> Iterator[dict[str, Any]]:
    """All instances, or those of one set."""
    for file in FILES:
        for line in (data / "guillotine2d" / f"{file}.jsonl").read_text(encoding="utf-8").splitlines():
            record = json.loads(line)
            if wanted in (None, record["set"]):
                yield record


def line_of(name: str, runs: list[Run]) -> str:
    """One row of the table; instances whose stock does not suffice are left out of the sums."""
    whole = [run for run in runs if not run.short]
    cost, bound = sum(run.cost for run in whole), sum(run.bound for run in whole)
    gap = 100 * float(cost - bound) / float(bound) if bound else 0.0
    proven = sum(run.cost == run.bound for run in whole)
    times = [run.seconds for run in runs]
    return (
        f"{name:<22}{len(runs):>5}{len(runs) - len(whole):>6}{float(cost):>16.8g}{float(bound):>16.8g}{gap:>8.2f}"
        f"{proven:>8}{statistics.median(times):>9.2f}{max(times):>9.2f}"
    )


HEAD = f"{'set':<22}{'n':>5}{'short':>6}{'cost':>16}{'bound':>16}{'gap %':>8}{'proven':>8}{'median s':>9}{'max s':>9}"


def known_of(data: Path) -> dict[tuple[str, str], int]:
    """Optima of set C by (name, direction of first cuts): two stages with trimming."""
    with (data / "guillotine2d" / "best_known.csv").open(encoding="utf-8") as file:
        rows = [row for row in csv.DictReader(file) if row["set"] == "C" and row["status"] == "optimal"]
    return {(r["name"], "along" if "along the length" in r["problem"] else "across"): int(r["value"]) for r in rows}


def families(args: argparse.Namespace) -> None:
    """Set C within two stages with trimming, against the known optima."""
    known = known_of(args.data)
    runs: dict[str, list[Run]] = {"along": [], "across": []}
    equal = compared = 0
    for record in records(args.data, "C"):
        record["plates"] = [[*plate[:3], 1] for plate in record["plates"]]
        for first in ("along", "across"):
            family = Family(2, True, (first,))
            run = solved(
                record["name"], problem_of(record, turned=False, kerf=args.kerf), args.seconds, args.steps, family
            )
            runs[first].append(run)
            best = known.get((run.name, first))
            compared += best is not None
            equal += best == run.plates
            if best is not None and best != run.plates:
                print(f"{run.name} first cuts {first}: {run.plates} plates, known {best}, bound {float(run.bound):g}")
    print(HEAD)
    for first, each in runs.items():
        print(line_of(f"C, first cuts {first}", each))
    print(f"equal to the known optimum: {equal} of {compared}")


def growth() -> None:
    """100 sizes on 2500 x 1250, kerf 2, in more and more copies."""
    print(f"{'copies of each':>15}{'plates':>8}{'bound':>8}{'gap %':>8}{'patterns':>10}{'s':>8}{'MB':>7}")
    for copies in (1, 10, 100, 1000, 10_000):
        chance = random.Random(5)
        items = [[chance.randint(100, 1000), chance.randint(80, 700), copies] for _ in range(100)]
        problem = problem_of({"plates": [[2500, 1250, None, 1]], "items": items}, turned=True, kerf=False)
        run = solved(f"{copies}", problem, None, 3)
        memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
        gap = 100 * float(run.cost / run.bound - 1)
        print(
            f"{copies:>15}{run.plates:>8}{float(run.bound):>8g}{gap:>8.2f}{len(run.answer.patterns):>10}{run.seconds:>8.1f}{memory:>7}"
        )


def main() -> None:
    """Read the options and print a table."""
    parser = argparse.ArgumentParser(description="Plates by column generation on open data sets.")
    parser.add_argument("--data", type=Path, default=DATA)
    parser.add_argument("--set", help="one set alone")
    parser.add_argument("--every", type=int, default=1, help="every n-th instance of each set")
    parser.add_argument("--seconds", type=float, default=30.0, help="cap on processor time for an instance")
    parser.add_argument("--steps", type=int, default=3)
    parser.add_argument("--depth", type=int)
    parser.add_argument("--fixed", action="store_true", help="pieces may not be turned")
    parser.add_argument("--kerf", action="store_true")
    parser.add_argument("--families", action="store_true")
    parser.add_argument("--growth", action="store_true")
    args = parser.parse_args()
    if args.growth:
        return growth()
    if args.families:
        return families(args)
    runs: dict[str, list[Run]] = {}
    seen: dict[str, int] = {}
    for record in records(args.data, args.set):
        name = record["set"]
        seen[name] = seen.get(name, 0) + 1
        if (seen[name] - 1) % args.every == 0:
            problem = problem_of(record, turned=not args.fixed, depth=args.depth, kerf=args.kerf)
            runs.setdefault(name, []).append(solved(record["name"], problem, args.seconds, args.steps))
    print(HEAD)
    for name, each in runs.items():
        print(line_of(name, each))
    return None


if __name__ == "__main__":
    main()
