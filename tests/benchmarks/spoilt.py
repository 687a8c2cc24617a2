"""Planning the rest of a job after a strip is spoilt, beside planning it afresh: minutes, plates, what changes.

    python -m tests.benchmarks.spoilt [--cases N] [--seed S] [--steps N] [--each]

Jobs as a small workshop has them, drawn at random with a seed and invented. Each is planned, cut up to some part in its
first two thirds, and that part is spoilt. What is still wanted is then planned three ways from what lies on the bench:
as `plan_again` does, so that as little changes as the saving justifies; with all that is left kept whatever that costs;
and afresh. Printed for each way, beside planning afresh: plate and hands in all, minutes at the rig, plates bought,
fence settings, and how many of the cuts that were left change; median, and the worst case. Not part of the test run.
"""

from __future__ import annotations

import argparse
import random
import statistics
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from stripplan.files.job.read import job_from
from stripplan.files.rig.read import load_rig
from stripplan.files.toml.document import TomlFile
from stripplan.model.job import Job
from stripplan.model.plan.plan import Plan
from stripplan.model.plan.progress import CutProgress
from stripplan.planner import left_to_cut, plan, plan_again, rest_of_job, what_was_kept

RIG = load_rig(Path(__file__).with_name("rig.toml"))
RATE = 0.75
"""Price of a minute at the rig, beside a sheet of 2 m2 at 128: 45 an hour."""


@dataclass(frozen=True)
class Rest:
    """What is left of a plan, and the plans for it: as little changed as is justified, all kept, afresh."""

    seed: int
    left: Plan
    again: Plan
    kept: Plan
    fresh: Plan

    def changed(self, made: Plan) -> float:
        """Share of the cuts that are left which do not stay as they were, in their order."""
        stays = what_was_kept(self.left, made).facts["kept"]
        assert isinstance(stays, int)
        return 1 - stays / len(self.left.cuts) if self.left.cuts else 0.0


def drawn_table(seed: int, steps: int | None) -> dict[str, Any]:
    """The table of a job: sheets, at times an offcut, two to five parts of few widths."""
    chance = random.Random(seed)
    same = {"thickness": 6, "material": "mild steel"}
    plates: list[dict[str, Any]] = [{"name": "sheet", "length": 2000, "width": 1000, "cost": 128.0, **same}]
    if chance.random() < 1 / 3:
        x, y = chance.randint(40, 110) * 10, chance.randint(20, 60) * 10
        cost = round(x * y * 32e-6, 2)  # half the price by area of a sheet
        plates.append({"name": "offcut", "length": x, "width": y, "cost": cost, "offcut": True, **same})
    widths = [chance.randint(5, 40) * 5 for _ in range(chance.randint(2, 4))]
    parts = [
        {
            "name": f"part {number}",
            "width": chance.choice(widths),
            "length": chance.randint(12, 160) * 5,
            "quantity": chance.choice((2, 3, 4, 6, 8)),
        }
        for number in range(1, chance.randint(3, 6))
    ]
    options = {"price_per_minute": RATE, **({} if steps is None else {"steps": steps})}
    return {"name": f"spoilt {seed}", "plate": plates, "part": parts, "options": options}


def read(table: dict[str, Any]) -> Job:
    """The job of a table."""
    return job_from(TomlFile("the list", "", table, Path()), name="job").job


def spoilt(seed: int, made: Plan) -> CutProgress:
    """How far a plan was cut: to a part in its first two thirds, which is lost."""
    kinds = {piece.id: piece.kind for piece in made.pieces}
    fell = [
        (cut.number, side)
        for cut in made.cuts
        for side, name in zip(("right", "left"), cut.makes, strict=True)
        if name is not None and kinds[name] == "part"
    ]
    number, side = random.Random(seed + 1).choice(fell[: max(1, 2 * len(fell) // 3)])
    return CutProgress(done=frozenset(range(1, number + 1)), spoilt={number: frozenset((side,))})  # type: ignore[arg-type]


def cases(count: int, first: int, steps: int | None) -> Iterator[Rest]:
    """So many jobs that go wrong."""
    for seed in range(first, first + count):
        table = drawn_table(seed, steps)
        before = plan(read(table), RIG)
        progress = spoilt(seed, before)
        rest = read(rest_of_job(before, table, progress))
        left = left_to_cut(before, table, progress)
        again, kept, fresh = plan_again(rest, RIG, left).plan, plan(rest, RIG, keep=left), plan(rest, RIG)
        yield Rest(seed, left, again, kept, fresh)


def total(made: Plan) -> float:
    """Plate and hands in all."""
    assert made.total is not None
    return made.total.total


FIGURES: tuple[tuple[str, Callable[[Plan], float]], ...] = (
    ("plate and hands", total),
    ("minutes", lambda made: made.totals.minutes),
    ("plates bought", lambda made: made.totals.cost),
    ("fence settings", lambda made: made.totals.fence_settings),
)


def report(found: Sequence[Rest]) -> Iterator[str]:
    """A table for each way: every figure beside that of planning afresh."""
    for way in ("again", "kept"):
        yield f"{way}, beside afresh ({len(found)} cases)"
        for name, figure in FIGURES:
            pairs = [(figure(getattr(each, way)), figure(each.fresh), each.seed) for each in found]
            ratios = [(one / other, seed) for one, other, seed in pairs if other]
            worst, seed = max(ratios, default=(1.0, 0))
            more, less = (
                sum(one > other + 1e-6 for one, other, _ in pairs),
                sum(one < other - 1e-6 for one, other, _ in pairs),
            )
            middle = statistics.median(ratio for ratio, _ in ratios) if ratios else 1.0
            words = f"median {middle:.3f}, worst {worst:.3f} (seed {seed}), more in {more}, less in {less}"
            yield f"  {name:16} {words}"
    for way in ("again", "kept", "fresh"):
        shares = [each.changed(getattr(each, way)) for each in found]
        middle = statistics.median(shares)
        yield f"cuts that change, {way:6} median {middle:.0%}, most {max(shares):.0%}, none in {shares.count(0.0)}"
    other = sum(total(each.again) < total(each.kept) - 1e-6 for each in found)
    yield f"another plan is taken than the one that keeps most in {other}"


def main() -> None:
    """Print the tables."""
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("--cases", type=int, default=100)
    options.add_argument("--seed", type=int, default=0)
    options.add_argument("--steps", type=int)
    options.add_argument("--each", action="store_true", help="a line for each case")
    given = options.parse_args()
    found = []
    for each in cases(given.cases, given.seed, given.steps):
        found.append(each)
        if given.each:
            figures = (f"{total(made):.1f} ({each.changed(made):.0%})" for made in (each.again, each.kept, each.fresh))
            print(f"{each.seed:4} {len(each.left.cuts):3} cuts left, in all: {', '.join(figures)}", flush=True)
    print("\n".join(report(found)))


if __name__ == "__main__":
    main()
