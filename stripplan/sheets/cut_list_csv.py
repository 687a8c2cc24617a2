"""Cuts and bevels in the order of work as CSV: UTF-8 with a mark at the start, so that spreadsheets read it right."""

from __future__ import annotations

import csv
import io
import re

from stripplan.model.plan.bevel import BevelCut
from stripplan.model.plan.plan import Plan
from stripplan.sheets.rows.plan_rows import sheet
from stripplan.sheets.rows.row_types import BevelGroup, BevelRow, CutRow, Fall
from stripplan.wording.quantity import show_length

COLUMNS = (
    "cut", "plate", "piece", "size", "rest before", "bring", "dress first", "fence reading", "fence offset", "marks",
    "push up", "on the fence", "at the start line", "end stop", "dial", "speed", "length", "passes",
    "falls on fence side", "falls on far side", "minutes", "run",
)  # fmt: skip
"""In the order in which they are needed at the rig."""

_FORMULA = re.compile("^(?=[-=+@\t\r\n＝＋－＠])|(?<=.[;\t])(?=[-=+@＝＋－＠])")


def cut_list(plan: Plan) -> str:
    """CSV text of all cuts, and of the bevels after them; lengths in the job's units."""
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
    bevels = {each.number: each for each in plan.bevels}
    for group in sheet(plan).bevels:
        for bevel in group.rows:
            writer.writerow([harmless(cell) for cell in _bevel(plan, group, bevel, bevels[bevel.number])])
    return "\ufeff" + stream.getvalue()


def _bevel(plan: Plan, group: BevelGroup, row: BevelRow, cut: BevelCut) -> list[str]:
    """The cells of a bevel: its tilt and its line stand where marks do, its root face where parts fall."""
    units, fraction = plan.job.units, plan.job.inch_fraction
    piece = next(each for each in plan.pieces if each.id == row.piece)
    x0, y0, x1, y1 = piece.box
    line = () if not group.scribe else (f"scribe {group.scribe} in from {row.edge}",)
    offset = "" if cut.fence_offset is None else show_length(cut.fence_offset, units, fraction)
    size = f"{show_length(x1 - x0, units, fraction)} × {show_length(y1 - y0, units, fraction)}"
    told = f"{row.name or row.piece} ({row.piece}): {row.edge} bevelled; {row.measure}".rstrip("; ")
    return [
        str(row.number), row.plate, row.piece, size, row.rest, "; ".join((*row.steps, f"{row.face.text}.")),
        "", group.fence.text, offset, "; ".join((f"tilt {group.tilt.text}", *line)),
        "", row.on_fence, row.leading, group.end_stop.text, group.speed.text if group.dial else "",
        group.travel_speed, show_length(cut.length, units, fraction), "", "", told,
        f"{cut.minutes.total:.2f}", f"bevels {group.name}",
    ]  # fmt: skip


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
