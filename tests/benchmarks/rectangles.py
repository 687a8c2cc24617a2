"""Fewest plates for rectangles: `python -m tests.benchmarks.rectangles [--turned] [--seconds S] [--set CLASS] [--kerf]
[--data DIR]`.

Lays out every instance of the published classes (J. O. Berkey, P. Y. Wang 1987; S. Martello, D. Vigo 1998) and prints
for each class the plates found, our bound and the published bound, how many are proven, and CPU seconds of both cores
together. Not part of the test run.
"""

from __future__ import annotations

import argparse
import csv
import statistics
import time
from collections import defaultdict
from pathlib import Path

from stripplan.layout.solver import lay_out
from stripplan.model.effort import Effort
from tests.benchmarks.open_data import DATA, KERF, problem_of, records, rectangle


def main() -> None:
    """Lay out, print a row a class and the totals."""
    words = argparse.ArgumentParser()
    words.add_argument("--data", type=Path, default=DATA)
    words.add_argument("--turned", action="store_true")
    words.add_argument("--kerf", action="store_true")
    words.add_argument("--seconds", type=float, default=5.0)
    words.add_argument("--set", default="")
    words.add_argument("--every", type=int, default=1)
    given = words.parse_args()
    folder, kerf = given.data / "guillotine2d", KERF if given.kerf else 0
    with (folder / "bin_class_bounds.csv").open(encoding="utf-8") as file:
        column = "rotated_bound" if given.turned else "oriented_bound"
        known = {row["name"]: int(row[column]) for row in csv.DictReader(file)}
    rows: dict[str, list[tuple[int, int, int, bool, float]]] = defaultdict(list)
    for record in list(records(folder / "bin_class.jsonl"))[:: given.every]:
        kind = record["name"].split("_")[0]
        if given.set not in kind:
            continue
        parts = [
            rectangle(f"p{n}", x, y, q, turns=given.turned, kerf=kerf) for n, (x, y, q) in enumerate(record["items"])
        ]
        length, width, _, _ = record["plates"][0]
        problem = problem_of([(length, width, None, 1.0)], parts, kerf=kerf)
        start, cpu = time.monotonic(), time.process_time()
        made = lay_out(
            problem,
            parts,
            effort=Effort(seconds=given.seconds),
            out_of_time=lambda s=start: time.monotonic() - s > given.seconds,
        )
        assert not made.short
        plates = sum(pattern.count for pattern in made.patterns)
        assert plates >= made.bound.plates
        proven = plates == made.bound.plates
        rows[kind].append((plates, made.bound.plates, known[record["name"]], proven, time.process_time() - cpu))
    print(
        f"{'class':<10}{'jobs':>5}{'plates':>8}{'bound':>7}{'published':>10}{'proven':>7}{'median s':>10}{'max s':>7}"
    )
    for kind, each in [*sorted(rows.items()), ("all", [row for some in rows.values() for row in some])]:
        sums = [sum(row[n] for row in each) for n in range(4)]
        taken = [row[4] for row in each]
        print(
            f"{kind:<10}{len(each):>5}{sums[0]:>8}{sums[1]:>7}{sums[2]:>10}{sums[3]:>7}{statistics.median(taken):>10.3f}{max(taken):>7.1f}"
        )


if __name__ == "__main__":
    main()
