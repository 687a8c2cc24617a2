"""A plan as plain values for the page: the rows of the sheet, and a picture of each plate and of each cut."""

from __future__ import annotations

from collections import Counter
from typing import Any

from stripplan.model.plan.plan import Plan
from stripplan.model.plan.record import to_record
from stripplan.sheets.picture.svg import plate_picture
from stripplan.sheets.picture.svg_canvas import lie_svg
from stripplan.sheets.rows.plan_rows import sheet
from stripplan.web.place_in_run import counts_of
from stripplan.web.rest_before_arc import clock


def shown(made: Plan) -> dict[str, Any]:
    """What the page shows of a plan; all figures are texts in the job's units, made where the sheet's are."""
    rows = sheet(made)
    counts = Counter(cut.plate for cut in made.cuts)
    return {
        "id": rows.plan,
        "job": rows.job,
        "units": rows.units,
        "totals": [list(each) for each in rows.totals],
        "proof": list(rows.proof),
        "first": list(rows.first),
        "other_order": rows.other_order,
        "warnings": [{"text": text, "part": _part_of(made, text)} for text in (*rows.first, *rows.warnings)],
        "stock": [to_record(each) for each in rows.stock],
        "plates": [
            {"id": each.id, "stock": each.stock, "svg": plate_picture(made, each.id), "cuts": counts[each.id]}
            for each in made.plates
        ],
        "cuts": [{**to_record(each), "svg": lie_svg(each)} for each in rows.cuts],
        "runs": counts_of(made.runs),
        "parts": [to_record(each) for each in rows.parts],
        "offcuts": [to_record(each) for each in rows.offcuts],
        "settings": [to_record(each) for each in (*rows.settings, *rows.measured)],
        "clock": clock(made.cuts, made.rig),
        "quoted": to_record(rows.quoted) if rows.quoted is not None else None,
        "compare": {
            "plates": made.totals.plates,
            "cost": made.totals.cost,
            "minutes": made.totals.minutes,
            "offcut_area": made.totals.offcut_area,
            "units": made.job.units,
        },
    }


def _part_of(made: Plan, text: str) -> str:
    """Name of the part that a warning is about; empty where it is about something else."""
    about = next((each.about for each in made.warnings if text.startswith(each.text)), "")
    piece = next((each for each in made.pieces if each.id == about), None)
    name = piece.part if piece is not None else about
    return name if name is not None and name in {line.name for line in made.parts} else ""
