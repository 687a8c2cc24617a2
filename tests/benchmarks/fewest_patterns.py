"""Fewer different patterns for finished plans, against the best known figures and a lower bound.

    python -m tests.benchmarks.fewest_patterns [--data DIR] [--all] [--limit N] [--seconds S]

Without `--all` only plans with a best known figure. Seconds are processor time. Every answer is checked: plates,
what it makes, and the side rules of the plan.
"""

from __future__ import annotations

import argparse
import csv
import time
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from stripplan.layout.strips.columns import StripWorld
from stripplan.layout.strips.fewest_patterns import PatternRules, fewest_patterns
from stripplan.layout.strips.master import Column
from tests.benchmarks.open_data import DATA, records
from tests.benchmarks.pattern_bound import least_patterns
from tests.benchmarks.strips import Instance

Uses = Sequence[tuple[Column, int]]


def main() -> None:
    """Read the options, print a line for each plan and one for their sum."""
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("--data", type=Path, default=DATA)
    options.add_argument("--all", action="store_true")
    options.add_argument("--limit", type=int)
    options.add_argument("--seconds", type=float, default=60.0)
    chosen = options.parse_args()
    folder = chosen.data / "bpp1d"
    with (folder / "pattern_reduction_best_known.csv").open(encoding="utf-8") as file:
        best = {row["name"]: row["best_known_patterns"] for row in csv.DictReader(file)}
    plans = [plan for plan in records(folder / "pattern_reduction.jsonl") if chosen.all or best[plan["name"]]]
    sums = [0, 0]
    print(f"{'plan':12}{'start':>7}{'found':>7}{'best':>7}{'bound':>7}{'s':>8}")
    for plan in plans[: chosen.limit]:
        start, found, bound, seconds = fewer(plan, chosen.seconds)
        sums = [sums[0] + start, sums[1] + found]
        print(f"{plan['name']:12}{start:7}{found:7}{best[plan['name']] or '-':>7}{bound:7}{seconds:8.1f}", flush=True)
    print(f"{'sum':12}{sums[0]:7}{sums[1]:7}")


def fewer(plan: dict[str, Any], seconds: float) -> tuple[int, int, int, float]:
    """Patterns before and after, the lower bound, and the seconds taken."""
    uses = [(Column(0, dense(plan, dict(pattern["cuts"]))), pattern["runs"]) for pattern in plan["patterns"]]
    wanted = made(plan, uses)
    items = tuple(zip(plan["sizes"], wanted, strict=True))
    world = StripWorld(Instance(plan["name"], plan["max_width"], items).problem())
    rules = PatternRules(
        plan["max_pieces_per_pattern"], plan["max_distinct_per_pattern"], plan["min_width"], plan["min_runs"]
    )
    start = time.process_time()
    end = start + seconds
    found = fewest_patterns(world, uses, tries=10**9, out_of_time=lambda: time.process_time() > end, rules=rules)
    taken = time.process_time() - start
    assert made(plan, found) == wanted
    assert sum(times for _, times in found) == plan["rolls"]
    before = {column for column, _ in uses}
    assert all(column in before or kept(plan, column) for column, _ in found)
    bound = least_patterns(world, plan["rolls"])
    assert bound <= len(found) <= len(uses)
    return len(uses), len(found), bound, taken


def dense(plan: dict[str, Any], cuts: dict[int, int]) -> tuple[int, ...]:
    """How many of each size."""
    return tuple(cuts.get(n, 0) for n in range(len(plan["sizes"])))


def made(plan: dict[str, Any], uses: Uses) -> list[int]:
    """How many of each size all patterns make."""
    return [sum(column.counts[n] * times for column, times in uses) for n in range(len(plan["sizes"]))]


def kept(plan: dict[str, Any], column: Column) -> bool:
    """Whether a pattern keeps the rules of its plan."""
    width = sum(n * size for n, size in zip(column.counts, plan["sizes"], strict=True))
    pieces, distinct = sum(column.counts), sum(n > 0 for n in column.counts)
    inside: bool = plan["min_width"] <= width <= plan["max_width"]
    few: bool = pieces <= plan["max_pieces_per_pattern"] and distinct <= plan["max_distinct_per_pattern"]
    return inside and few


if __name__ == "__main__":
    main()
