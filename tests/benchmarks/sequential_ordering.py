"""Order of jobs with precedence on published data: `python -m tests.benchmarks.sequential_ordering [--data DIR] [--only
NAME]`.

Data: the sequential ordering files of TSPLIB95 (G. Reinelt, 1995), with a `best_known.csv` beside them. Node 1 is first
and node n last, so the jobs are nodes 2 .. n; the last has all others before it. Prints one row for each instance, then
a row for each group of sizes. Not part of the test run.
"""

from __future__ import annotations

import argparse
import csv
import time
from dataclasses import dataclass
from pathlib import Path

from stripplan.sequence.sop import Answer, Ordering, solve

ROOT = Path(__file__).parents[2]
GROUPS = ((0, 50), (51, 100), (101, 10**9))


@dataclass(frozen=True)
class Row:
    """One instance done."""

    nodes: int
    gap: float
    proven: bool
    seconds: float


def read(path: Path) -> Ordering:
    """The jobs of a file: nodes 2 .. n, node 1 stands for the start."""
    return parse(path.read_text())


def parse(text: str) -> Ordering:
    """The jobs of the text of a file; the section of weights holds n and n x n numbers, -1 at (i, j) for j before i."""
    values = list(map(int, text.split("EDGE_WEIGHT_SECTION")[1].replace("EOF", "").split()))
    n = values[0]
    rows = [values[1 + n * i : 1 + n * (i + 1)] for i in range(n)]
    before = tuple(tuple(j - 1 for j in range(1, n) if rows[i][j] == -1) for i in range(1, n))
    return Ordering(n - 1, tuple(tuple(row[1:]) for row in rows[1:]), tuple(rows[0][1:]), before)


def solved(ordering: Ordering, seconds: float, seed: int) -> Answer:
    """The answer, checked."""
    start = time.process_time()
    answer = solve(ordering, seed=seed, steps=1 << 60, out_of_time=lambda: time.process_time() - start > seconds)
    assert ordering.legal(answer.row)
    assert ordering.cost(answer.row) == answer.cost >= answer.bound
    return answer


def main() -> None:
    """The table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--data", type=Path, default=ROOT.parent / "shared" / "benchmarks" / "sop")
    parser.add_argument("--only", default="", help="part of the name")
    parser.add_argument("--seconds", type=float, default=10.0)
    parser.add_argument("--seed", type=int, default=0)
    asked = parser.parse_args()
    with (asked.data / "best_known.csv").open() as file:
        known = {row["name"]: int(row["best_known"]) for row in csv.DictReader(file)}
    print(f"{'instance':<12}{'nodes':>6}{'found':>9}{'known':>9}{'gap %':>8}{'bound':>9}{'proven':>8}{'seconds':>9}")
    rows = []
    for path in sorted(asked.data.glob("*.sop")):
        if asked.only in path.stem:
            ordering, start = read(path), time.process_time()
            answer = solved(ordering, asked.seconds, asked.seed)
            row = Row(
                ordering.n + 1, 100 * (answer.cost / known[path.stem] - 1), answer.proven, time.process_time() - start
            )
            rows.append(row)
            print(
                f"{path.stem:<12}{row.nodes:>6}{answer.cost:>9.0f}{known[path.stem]:>9}{row.gap:>8.2f}{answer.bound:>9.0f}"
                f"{'yes' if row.proven else 'no':>8}{row.seconds:>9.2f}",
                flush=True,
            )
    for low, high in GROUPS:
        some = [row for row in rows if low <= row.nodes <= high]
        if some:
            print(
                f"{low} .. {high} nodes: {len(some)} instances, {sum(row.gap <= 0 for row in some)} at the best known, "
                f"worst gap {max(row.gap for row in some):.2f} %, {sum(row.proven for row in some)} proven, "
                f"longest {max(row.seconds for row in some):.1f} s"
            )


if __name__ == "__main__":
    main()
