"""Small jobs on tight rigs beside trying every cut: false refusals, false plans, what was not found.

.venv/bin/python -m tests.benchmarks.tight_rigs --jobs 300
.venv/bin/python -m tests.benchmarks.tight_rigs --jobs 300 --edges
"""

from __future__ import annotations

import argparse
from collections import Counter
from random import Random

from tests.planner.tight import job_of, outcome, rig_of


def main() -> None:
    """Draw jobs and print what came of them."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--jobs", type=int, default=300)
    parser.add_argument("--edges", action="store_true", help="one part each, with trims and square edges")
    given = parser.parse_args()
    tally: Counter[str] = Counter()
    for seed in range(given.jobs):
        chance = Random(seed)
        rig = rig_of(chance)
        found = outcome(job_of(chance, edges=given.edges), rig)
        said = "made" if found.made else ", ".join(sorted(found.said))
        tally[f"{'possible' if found.possible else 'impossible'}: {said}"] += 1
        if found.false_cannot or (found.made and not found.possible):
            print(f"job {seed}: {said}, but trying every cut says otherwise")
    for words, count in sorted(tally.items()):
        print(f"{count:5}  {words}")


if __name__ == "__main__":
    main()
