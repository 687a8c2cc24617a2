"""Runs as rows: which cuts are made with one setting, and what falls in them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from stripplan.model.plan.run import Run, runs_of
from stripplan.sheets.rows.lookup import Bench
from stripplan.sheets.rows.row_types import CutRow, RunRow


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
