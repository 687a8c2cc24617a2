"""When each plate is begun, and its settings in the order of work: of several plates a page to pin up."""

from __future__ import annotations

from reportlab.lib.units import mm

from stripplan.sheets.paper.flow import HEADING_GAP, Box, Section, Words
from stripplan.sheets.paper.text import DESK, NEAR, markup, shortened, tagged, width_of
from stripplan.sheets.pdf.job.boxes import Row, Together, heading_of, line_of
from stripplan.sheets.rows.row_types import PlateMark, RunRow, Sheet

ABREAST = 4
"""Settings side by side in the overview."""


def overview_section(sheet: Sheet, width: float, room: float) -> Section:
    """When each plate is begun, and its settings in the order of work: of several plates a page to pin up. Names are in
    one line where they would fill more than the `room` of a page in two [pt]."""
    whole = _overview(sheet, width, 2)
    return whole if whole.height <= room else _overview(sheet, width, 1)


def _overview(sheet: Sheet, width: float, lines: int) -> Section:
    head: list[Box] = [heading_of("Overview: plates and settings in the order of work", width)]
    for mark in sheet.marks:
        head.append(line_of(_marked(mark), width))
    head.append(line_of(f"All of it takes about {sheet.lasts}.", width, bold=True))
    head.append(line_of("Each setting: cuts, fence, end stop; what falls.", width, size=NEAR))
    boxes = [box for mark in sheet.marks for box in settings_in_order(sheet, mark, width, lines)]
    return Section("Overview", head, boxes, fresh=len(sheet.marks) > 1, whole=True, again=head[:1])


def _marked(mark: PlateMark) -> str:
    return f"Plate {mark.plate} ({mark.stock}, {mark.size}) {mark.told}."


def settings_in_order(sheet: Sheet, mark: PlateMark, width: float, lines: int) -> list[Box]:
    """The settings of a plate in order: which cuts, fence, end stop, what falls."""
    cells = [_summed(run, width / ABREAST, lines) for run in sheet.runs if run.cuts[0].plate.text == mark.plate]
    head = Words(markup(f"Plate {mark.plate}", bold=True), width, DESK, above=HEADING_GAP / 2)
    filled = [*cells, *[""] * (-len(cells) % ABREAST)]
    chunks = [tuple(filled[at : at + ABREAST]) for at in range(0, len(filled), ABREAST)]
    rows = [Row(each, (1,) * ABREAST, width, size=NEAR, ruled=False) for each in chunks]
    return [Together((head, *rows[:1])), *rows[1:]]


def _summed(run: RunRow, room: float, lines: int) -> str:
    """A setting in one line or two of the room that it has [pt]."""
    first = run.cuts[0]
    where = f"scribe {first.scribe}" if first.scribe else first.fence.text
    if first.angle is not None and first.bar_stop is not None:
        where = f"bar {first.angle.text}, its stop {first.bar_stop.text} {first.bar_side}"
    figures = f": {where}, {first.end_stop.text}"
    left = room - 2.5 * mm - width_of(run.name + figures + "; ", NEAR, bold=True)
    what = "; " + tagged(shortened(run.parts, NEAR, max(left, 0.0) + 0.75 * room * (lines - 1))) if run.parts else ""
    return markup(run.name, bold=True) + markup(figures) + what
