"""Runs as rows: which cuts are made with one setting, and what falls in them; time marks of a plan: when work on each
plate begins, goes on and ends.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import pairwise

from stripplan.model.plan.cut import Cut
from stripplan.model.plan.run import Run, runs_of
from stripplan.sheets.rows.lookup import Bench
from stripplan.sheets.rows.row_types import CutRow, PlateMark, RunRow
from stripplan.wording.figures import show_about, show_exact


def run_rows(bench: Bench, cuts: Sequence[CutRow]) -> tuple[RunRow, ...]:
    """Rows of all runs in the order of work that have some of these cuts; of a plan whose runs do not hold each cut
    once they are derived."""
    plan = bench.plan
    runs = plan.runs
    numbered = [number for run in runs for number in range(run.cuts[0], run.cuts[1] + 1)]
    if numbered != [cut.number for cut in plan.cuts]:  # no cut is ever left out
        runs = runs_of(plan.cuts, bench.pieces, {plate.id: plate.process for plate in plan.plates})
    made = (_run(bench, run, cuts) for run in runs)
    return tuple(each for each in made if each.cuts)


def _run(bench: Bench, run: Run, cuts: Sequence[CutRow]) -> RunRow:
    rows = tuple(row for row in cuts if run.cuts[0] <= row.number <= run.cuts[1])
    falls = [fall for row in rows for fall in (row.left, row.right) if fall is not None and fall.kind == "part"]
    counts = Counter(str(bench.pieces[fall.piece].part) for fall in falls)
    parts = ", ".join(f"{name} × {count}" if count > 1 else name for name, count in counts.items())
    sizes = {fall.size for fall in falls}
    return RunRow(rows, parts, sizes.pop() if len(sizes) == 1 else "")


def plate_marks(bench: Bench) -> Iterator[PlateMark]:
    """Plates in the order in which they are begun; a plate without a cut has none."""
    begun, passed = dict[int, float](), 0.0
    of: dict[str, list[Cut]] = {}
    for cut in bench.plan.cuts:
        begun[cut.number] = passed
        passed += cut.minutes.total
        of.setdefault(cut.plate, []).append(cut)
    for name, cuts in of.items():
        plate = bench.plates[name]
        back = next((later.number for one, later in pairwise(cuts) if later.number > one.number + 1), None)
        last = cuts[-1]
        yield PlateMark(
            plate=plate.id,
            stock=plate.stock,
            size=f"{bench.long(plate.length)} × {bench.long(plate.width)} × {show_exact(plate.thickness, bench.units)}",
            begins=(cuts[0].number, _about(begun[cuts[0].number])),
            again=None if back is None else (back, _about(begun[back])),
            ends=(last.number, _about(begun[last.number] + last.minutes.total)),
        )


def _about(minutes: float) -> str:
    return show_about(minutes) if minutes else ""
