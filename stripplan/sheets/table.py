"""The cuts in the order of work as CSV: UTF-8 with a mark at the start, so that spreadsheets read it right."""

from __future__ import annotations

import csv
import io

from ..model.plan import Plan
from ..model.units import show_length
from .rows import steps

COLUMNS = (
    "cut", "plate", "piece", "bring", "set", "fence reading", "fence offset", "end stop", "speed", "length",
    "falls on fence side", "falls on far side", "dress", "passes", "minutes",
)  # fmt: skip


def cut_list(plan: Plan) -> str:
    """CSV text of all cuts; lengths in the job's units."""
    from ..model.record import to_record

    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    units = plan.job["units"]
    for cut, row in zip(plan.cuts, steps(plan), strict=True):
        offset = "" if cut.fence_offset is None else show_length(cut.fence_offset, units)
        minutes = f"{sum(to_record(cut.minutes).values()):.2f}"
        cells = [
            str(cut.number), row.plate, row.piece, row.bring, row.datum, row.fence, offset, row.stop, row.speed,
            row.length, row.right, row.left, row.dress, row.passes, minutes,
        ]  # fmt: skip
        writer.writerow([harmless(cell) for cell in cells])
    return "\ufeff" + stream.getvalue()


def harmless(cell: str) -> str:
    """A cell that no spreadsheet takes for a formula: an apostrophe in front of = + - @ tab and return."""
    return "'" + cell if cell[:1] in ("=", "+", "-", "@", "\t", "\r") else cell
