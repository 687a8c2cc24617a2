"""What a job takes when it is planned from a book of thousands of pieces, beside the same job from one sheet:
`python -m tests.benchmarks.large_rack`; also --pieces N, --runs N.

The pieces are invented: plates and offcuts of four materials and seven thicknesses. Seconds are those of the processor,
within one process, step by step; each run begins with a book that was opened anew. Not part of the test run.
"""

from __future__ import annotations

import argparse
import random
import tempfile
import time
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

from stripplan import plan
from stripplan.book.database import Database
from stripplan.book.offered import offered
from stripplan.book.pieces import add
from stripplan.files.rig.read import load_rig
from stripplan.model.job import Job
from stripplan.model.part import Rectangle
from stripplan.model.plate import Plate
from stripplan.model.rack.piece import RackPiece
from stripplan.planner import off_rack

AT = "2026-09-01T08:00:00+00:00"
MATERIALS, SHARES = ("S235", "S355", "1.4301", "AlMg3"), (50, 20, 15, 15)
THICKNESSES = (3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0)
SHEETS = ((2000.0, 1000.0), (2500.0, 1250.0), (3000.0, 1500.0))
KINDS = (("rail", 60, 900, 4), ("foot", 120, 120, 4), ("rib", 150, 220, 4), ("bracket", 80, 310, 4),
         ("shelf", 300, 640, 2), ("side", 260, 480, 2), ("web", 45, 500, 3), ("cap", 200, 330, 2))  # fmt: skip
"""Eight kinds, 25 parts: name, width, length, how many."""


def invented(count: int) -> list[RackPiece]:
    """Pieces of a rack, one in eight a plate with a cost."""
    chance, found = random.Random(3), list[RackPiece]()
    for _ in range(count):
        (material,), thickness = chance.choices(MATERIALS, SHARES), chance.choice(THICKNESSES)
        added = f"2026-0{chance.randrange(1, 9)}-{chance.randrange(10, 28)}"
        if chance.random() < 0.12:
            length, width = chance.choice(SHEETS)
            cost: float | None = round(length * width * thickness * 7.85e-6 * 1.3, 2)
        else:
            width, length = sorted((float(chance.randrange(150, 1500)), float(chance.randrange(80, 700))))
            cost = None
        found.append(
            RackPiece(kind="offcut" if cost is None else "plate", length=length, width=width, thickness=thickness,
                      material=material, cost=cost, added=added, measured=cost is None)
        )  # fmt: skip
    return found


def wanted() -> Job:
    """The job, of 6 mm."""
    parts = tuple(
        Rectangle(name=name, width=float(width), length=float(length), quantity=count, thickness=6.0, material="S235")
        for name, width, length, count in KINDS
    )
    return Job(name="eight kinds", plates=(), parts=parts)


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--pieces", type=int, default=10_000)
    parser.add_argument("--runs", type=int, default=3)
    asked = parser.parse_args()
    rig, job = load_rig(None), wanted()
    sheet = Plate(name="sheet", length=2500.0, width=1250.0, thickness=6.0, material="S235", cost=190.0)
    print("seconds of the processor: looked up, chosen, planned, named; from one sheet")
    with tempfile.TemporaryDirectory() as folder:
        with Database(Path(folder) / "rack.db", create=True) as book:
            add(book, invented(asked.pieces), AT)
        for _ in range(asked.runs):
            marks = [time.process_time()]
            with Database(Path(folder) / "rack.db") as book:
                there = offered(book, job)
            marks.append(time.process_time())
            rack = off_rack(job, rig, there.pieces, there.rules, costs=there.costs)
            marks.append(time.process_time())
            made = plan(rack.job, rig)
            marks.append(time.process_time())
            rack.named(made)
            marks.append(time.process_time())
            plan(replace(job, plates=(sheet,)), rig)
            marks.append(time.process_time())
            print("  ".join(f"{after - before:6.3f}" for before, after in pairwise(marks)))
    kinds = len(rack.kinds.kinds) if rack.kinds else 0
    print(f"{asked.pieces} pieces, {len(there.pieces)} of the job's material and thickness, {kinds} kinds planned with")


if __name__ == "__main__":
    main()
