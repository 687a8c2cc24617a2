"""Best pattern of one plate on published data: `python -m tests.benchmarks.one_plate [--data DIR] [--set ...]`.

Prints one row for each set and problem: instances, best-known values reached, answers proven, CPU seconds. With
`--kerf` every size is scaled and a kerf taken off, which changes no answer. With `--perfect` it asks instead whether
all pieces come from one plate without waste: for plates cut up at random here (they do), and for the published sets.
Not part of the test run.
"""

from __future__ import annotations

import argparse
import csv
import json
import random
import statistics
import time
from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from stripplan.layout.single_plate.bounded import best_bounded, fit_all
from stripplan.layout.single_plate.plate import Best, ItemView, StockView, faults, worth
from stripplan.layout.single_plate.unbounded import PlateTooFineError
from tests.layout.single_plate.unbounded_best import best_unbounded

ROOT = Path(__file__).parents[2]
SCALE, KERF = 7, 5


@dataclass(frozen=True)
class Run:
    """One instance under one reading of its problem."""

    name: str
    plate: StockView
    shapes: list[ItemView]
    bounded: bool
    known: int | None


def within(seconds: float) -> Callable[[], bool]:
    """Whether more CPU time than this has gone by since."""
    start = time.process_time()
    return lambda: time.process_time() - start > seconds


def shape(item: list[int | None], *, turns: bool, valued: bool, kerf: int) -> ItemView:
    """A shape of the data; scaled where there is a kerf, its value unscaled."""
    x, y = int(item[0] or 0), int(item[1] or 0)
    scale = SCALE if kerf else 1
    ways = [(x, y, False), (y, x, True)] if turns and x != y else [(x, y, False)]
    value = int(item[3] or 0) if valued else x * y
    return ItemView(tuple((scale * a - kerf, scale * b - kerf, t) for a, b, t in ways), value, item[2])


def one_plate(record: dict[str, Any], kerf: int) -> StockView:
    """The plate of an instance."""
    scale = SCALE if kerf else 1
    length, width = record["plates"][0][:2]
    return StockView(scale * length - kerf, scale * width - kerf, kerf)


def records(path: Path, sets: list[str]) -> Iterator[dict[str, Any]]:
    """Instances of a file, of some sets if any are named."""
    for line in path.read_text().splitlines():
        record = json.loads(line)
        if not sets or record["set"] in sets:
            yield record


def runs(data: Path, sets: list[str], kerf: int) -> Iterator[tuple[str, Run]]:
    """Every instance with the readings that its best-known values have."""
    known: dict[tuple[str, str], int | None] = {}
    with (data / "best_known.csv").open() as file:
        for row in csv.DictReader(file):
            if row["problem"].startswith("one plate") and "two stages" not in row["problem"]:
                known[row["name"], row["problem"]] = int(row["value"]) if row["status"] == "optimal" else None
    for file_name in ("plate_unbounded.jsonl", "plate_bounded.jsonl"):
        for record in records(data / file_name, sets):
            bounded = file_name == "plate_bounded.jsonl"
            for turns in (False, True):
                copies = "bounded" if bounded else "unbounded"
                problem = f"one plate, {copies} copies, any number of stages, {'' if turns else 'no '}rotation"
                shapes = [shape(i, turns=turns, valued=record.get("valued", False), kerf=kerf) for i in record["items"]]
                title = f"{record['set']} {copies}{', turning' if turns else ''}"
                yield (
                    title,
                    Run(record["name"], one_plate(record, kerf), shapes, bounded, known.get((record["name"], problem))),
                )


def solved(run: Run, seconds: float) -> Best | None:
    """The answer, checked; None where the plate is too fine."""
    try:
        if run.bounded:
            best = best_bounded(run.plate, run.shapes, steps=10**9, out_of_time=within(seconds))
        else:
            best = best_unbounded(run.plate, run.shapes)
    except PlateTooFineError:
        return None
    wrong = faults(best.pattern, run.plate, run.shapes, bounded=run.bounded)
    assert not wrong, f"{run.name}: {wrong}"
    assert worth(best.pattern, run.shapes) == best.value
    return best


HEAD = f"{'set':<30}{'instances':>10}{'known':>7}{'reached':>9}{'proven':>8}{'median s':>10}{'max s':>8}"


def values(data: Path, sets: list[str], kerf: int, seconds: float) -> None:
    """The table of values, a row as soon as its set is done."""
    print(f"{HEAD}  not reached or not proven")
    by_title: dict[str, list[Run]] = defaultdict(list)
    for title, run in runs(data, sets, kerf):
        by_title[title].append(run)
    for title, asked in by_title.items():
        answers, times = [], []
        for run in asked:
            start = time.process_time()
            answers.append(solved(run, seconds))
            times.append(time.process_time() - start)
        print_row(title, asked, answers, times)


def print_row(title: str, asked: list[Run], answers: list[Best | None], times: list[float]) -> None:
    """One row: how many of the set are reached and proven, how long it took, and which are not."""
    both = list(zip(asked, answers, strict=True))
    known = [(run.known, best) for run, best in both if run.known is not None]
    reached = sum(best is not None and best.value == value for value, best in known)
    proven = sum(best is not None and best.proven for best in answers)
    missed = [
        f"{run.name} {'too fine' if best is None else f'{best.value} <= {best.bound}'}"
        for run, best in both
        if best is None or not best.proven or (run.known is not None and best.value != run.known)
    ]
    row = f"{title:<30}{len(asked):>10}{len(known):>7}{reached:>9}{proven:>8}"
    print(f"{row}{statistics.median(times):>10.2f}{max(times):>8.2f}  {', '.join(missed)}", flush=True)


def cut_up(length: int, width: int, pieces: int, chance: random.Random) -> list[tuple[int, int]]:
    """A plate cut at random: one of the three largest pieces, at a place between a fifth and four fifths."""
    done = [(length, width)]
    while len(done) < pieces:
        done.sort(key=lambda each: each[0] * each[1])
        x, y = done.pop(-1 - chance.randrange(min(len(done), 3)))
        if chance.random() < x / (x + y):
            at = chance.randint(max(1, x // 5), max(1, x - x // 5))
            done += [(at, y), (x - at, y)] if at < x else [(x, y)]
        else:
            at = chance.randint(max(1, y // 5), max(1, y - y // 5))
            done += [(x, at), (x, y - at)] if at < y else [(x, y)]
    return done


def perfect(data: Path, sets: list[str], kerf: int, seconds: float) -> None:
    """The table of plates that are to come out whole."""
    asked: dict[str, list[tuple[StockView, list[ItemView]]]] = defaultdict(list)
    for pieces in (17, 29, 49, 73):
        for seed in range(5):
            items = [[x, y, 1] for x, y in cut_up(200, 200, pieces, random.Random(1000 * pieces + seed))]
            shapes = [shape(list(item), turns=False, valued=False, kerf=kerf) for item in items]
            asked[f"cut up here, {pieces} pieces"].append((one_plate({"plates": [[200, 200]]}, kerf), shapes))
    for record in records(data / "perfect_packings.jsonl", sets):
        title = (
            f"{record['set']} {record['name'].split('_')[-1].rstrip('abcde')}"
            if record["set"] == "HOPPER"
            else record["set"]
        )
        shapes = [shape(item, turns=False, valued=False, kerf=kerf) for item in record["items"]]
        asked[title].append((one_plate(record, kerf), shapes))
    print(f"{'set':<30}{'instances':>10}{'whole':>7}{'cannot':>8}{'open':>6}{'median s':>10}{'max s':>8}")
    for title, cases in asked.items():
        outcomes, times = [], []
        for plate, shapes in cases:
            start = time.process_time()
            fit = fit_all(plate, shapes, steps=10**9, out_of_time=within(seconds))
            times.append(time.process_time() - start)
            assert fit.pattern is None or not faults(fit.pattern, plate, shapes)
            outcomes.append("whole" if fit.pattern else "cannot" if fit.decided else "open")
        counts = [outcomes.count(each) for each in ("whole", "cannot", "open")]
        print(
            f"{title:<30}{len(cases):>10}{counts[0]:>7}{counts[1]:>8}{counts[2]:>6}{statistics.median(times):>10.2f}{max(times):>8.2f}",
            flush=True,
        )


def main() -> None:
    """Read the words of the command line and print the table."""
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--data", type=Path, default=ROOT.parent / "shared" / "benchmarks")
    words.add_argument("--set", nargs="*", default=[], help="names of sets, as in the data")
    words.add_argument("--kerf", action="store_true", help=f"sizes times {SCALE}, less a kerf of {KERF}")
    words.add_argument("--perfect", action="store_true", help="whole plates without waste")
    words.add_argument("--seconds", type=float, default=20.0, help="CPU time for each search")
    asked = words.parse_args()
    table = perfect if asked.perfect else values
    table(asked.data / "guillotine2d", asked.set, KERF if asked.kerf else 0, asked.seconds)


if __name__ == "__main__":
    main()
