"""The cuts in the order of work as CSV: UTF-8 with a mark at the start, so that spreadsheets read it right."""

from __future__ import annotations

import csv
import io
import re

from stripplan.model.plan.plan import Plan
from stripplan.sheets.rows.plan_rows import CutRow, Fall, sheet
from stripplan.wording.quantity import show_length

COLUMNS = (
    "cut", "plate", "piece", "size", "rest before", "bring", "dress first", "fence reading", "fence offset", "marks",
    "push up", "on the fence", "at the start line", "end stop", "dial", "speed", "length", "passes",
    "falls on fence side", "falls on far side", "minutes", "run",
)  # fmt: skip
"""In the order in which they are needed at the rig."""

_FORMULA = re.compile("^(?=[-=+@\t\r\n＝＋－＠])|(?<=.[;\t])(?=[-=+@＝＋－＠])")


def cut_list(plan: Plan) -> str:
    """CSV text of all cuts; lengths in the job's units."""
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    units = plan.job.units
    runs = {row.number: run.name for run in sheet(plan).runs for row in run.cuts}
    for cut, row in zip(plan.cuts, sheet(plan).cuts, strict=True):
        offset = "" if cut.fence_offset is None else show_length(cut.fence_offset, units, plan.job.inch_fraction)
        cells = [
            str(cut.number), row.plate.text, row.piece, row.size, row.rest, "; ".join(row.bring),
            "; ".join(row.dress), row.fence.text, offset, "; ".join((*_bar(row), *row.marks, *row.aids)),
            "; ".join(row.at_the_fence), row.on_fence.text, row.leading.text, row.end_stop.text,
            row.speed.text if row.dial else "", row.travel_speed, row.length.text, "; ".join(row.passes),
            _falls(row.right), _falls(row.left), f"{cut.minutes.total:.2f}", runs[cut.number],
        ]  # fmt: skip
        writer.writerow([harmless(cell) for cell in cells])
    return "\ufeff" + stream.getvalue()


def _bar(row: CutRow) -> tuple[str, ...]:
    """How the mitre bar stands, where a cut is made on it."""
    if row.angle is None or row.bar_stop is None:
        return ()
    return (f"mitre bar {row.angle.text}, its stop {row.bar_stop.text} on the {row.bar_side}",)


def _falls(fall: Fall | None) -> str:
    if fall is None:
        return ""
    name = f"{fall.name} ({fall.piece})" if fall.name else fall.piece
    return f"{name} {fall.size}: {fall.doing}"


def harmless(cell: str) -> str:
    """A cell that no spreadsheet takes for a formula: an apostrophe in front of = + - @, tab and line ends.

    The wide forms of the signs count as well: some spreadsheets read them alike; and some part cells at semicolons or
    tabs.

    >>> harmless("=1+1"), harmless("bar;=1+1"), harmless("a - b")
    ("'=1+1", "bar;'=1+1", 'a - b')
    """
    return _FORMULA.sub("'", cell)
