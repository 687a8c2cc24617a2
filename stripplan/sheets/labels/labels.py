"""Labels for parts and offcuts as PDF, on ordinary sheets of label paper.

Same plan, same bytes: only SOURCE_DATE_EPOCH changes the date inside the file.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from typing import Any

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from stripplan.model.plan.plan import Plan
from stripplan.sheets.labels.arrange import DEPTH, LEAST, LINE, fitted, placed
from stripplan.sheets.labels.label_sheet import PAGE_EDGE, LabelSheet
from stripplan.sheets.labels.label_text import KINDS, Label, Which, code_text, label_list
from stripplan.sheets.labels.qr_code import QUIET, best_mask, draw_code, modules_of
from stripplan.sheets.labels.sketch import draw_sketch, room_over_code
from stripplan.sheets.paper.stamp import stamp_box
from stripplan.sheets.paper.text import BOLD, REGULAR, load_fonts, points, width_of
from stripplan.sheets.rows.plan_rows import plan_id


def labels(
    plan: Plan,
    sheet: LabelSheet,
    *,
    which: Sequence[Which] = KINDS,
    first: int = 1,
    outline: bool = False,
    calibration: bool = False,
    made_at: str | None = None,
    checked: bool = True,
) -> bytes:
    """A label for each part and offcut of a plan, in the order in which they fall, as the bytes of a PDF.

    `first` is the place on the sheet to begin at (from 1, row by row), `outline` draws the labels' borders for a test
    print, and `calibration` puts the calibration page before the rest. `made_at` stands in place of the plan's own
    date. Labels of a plan that was not `checked` are stamped, each of them: they leave their page. Raises ValueError
    where there is nothing to print or `first` is no place of the sheet.
    """
    if isinstance(first, bool) or not isinstance(first, int) or not 1 <= first <= sheet.places:
        raise ValueError(f"first label {first}: the places of this sheet are 1 to {sheet.places}")
    tag = plan_id(plan)
    every = label_list(plan, which=which, made_at=made_at, tag=tag)
    if not every:
        raise ValueError(f"no labels to print: the plan has no {' and no '.join(which)}")
    job = plan.job.name
    canvas, stream = _canvas(
        sheet, f"Labels: {job}", f"Labels of parts and offcuts, plan {tag}", plan.stripplan_version
    )
    if calibration:
        _calibrate(canvas, sheet)
        canvas.showPage()
    mask = best_mask(code_text(tag, plan.pieces[0].id))  # weighed once: readers take any, and weighing takes the time
    for number, label in enumerate(every, first - 1):
        place = number % sheet.places + 1
        if place == 1 and number >= first:
            canvas.showPage()
        if outline and (place == 1 or number == first - 1):
            _borders(canvas, sheet)
        _draw(canvas, sheet, place, label, modules_of(label.code, mask))
        if not checked:
            _stamp(canvas, sheet, place)
    canvas.showPage()
    canvas.save()
    return stream.getvalue()


def _canvas(sheet: LabelSheet, title: str, subject: str, version: str) -> tuple[Any, io.BytesIO]:
    load_fonts()
    stream = io.BytesIO()
    size = (sheet.page_width * mm, sheet.page_height * mm)
    canvas = Canvas(stream, pagesize=size, invariant=1, lang="en-GB", initialFontName=REGULAR)
    canvas.setTitle(title.encode("utf-8", "replace").decode())
    canvas.setSubject(subject)
    canvas.setCreator(f"stripplan {version}".strip())
    canvas.setAuthor("stripplan")
    canvas.setViewerPreference("DisplayDocTitle", "true")
    canvas.setViewerPreference("PrintScaling", "None")
    return canvas, stream


def _draw(canvas: Any, sheet: LabelSheet, place: int, label: Label, modules: Sequence[Sequence[bool]]) -> None:
    (left, top), (pad_x, pad_y) = sheet.corner(place), sheet.pads
    width, height = (sheet.width - 2 * pad_x) * mm, (sheet.height - 2 * pad_y) * mm
    x, y = (left + pad_x) * mm, (sheet.page_height - top - pad_y) * mm
    count = len(modules) + 2 * QUIET if modules else 10**6
    lines, side = placed(label, width, height, count)
    canvas.setFillGray(0)
    for line in lines:
        canvas.setFont(BOLD if line.bold else REGULAR, points(line.capitals))
        canvas.drawString(x + line.x, y - line.y, line.text)
    room = room_over_code(lines, width, height, side)
    if room is not None and label.drilled is not None:
        draw_sketch(canvas, label.drilled, label.holes, x, y - height, room)
    if side:
        draw_code(canvas, modules, x + width - side, y - height, side)


def _stamp(canvas: Any, sheet: LabelSheet, place: int) -> None:
    (left, top), (pad_x, pad_y) = sheet.corner(place), sheet.pads
    x, y = left + pad_x, sheet.page_height - top - sheet.height + pad_y
    stamp_box(canvas, x * mm, y * mm, (sheet.width - 2 * pad_x) * mm, (sheet.height - 2 * pad_y) * mm)


def _borders(canvas: Any, sheet: LabelSheet) -> None:
    canvas.setStrokeGray(0.4)
    canvas.setLineWidth(0.3)
    for place in range(1, sheet.places + 1):
        left, top = sheet.corner(place)
        canvas.rect(left * mm, (sheet.page_height - top - sheet.height) * mm, sheet.width * mm, sheet.height * mm)


# --- calibration page ---------------------------------------------------------------------------------------------

RULER, RIM = 100, 6.0
"""Length of the rulers, and what stays white around them [mm]."""

ADVICE = (
    "Print this page on plain paper at 100 %, not fitted to the page.",
    "Both rulers must be true: 100 mm are 3 15/16 inches.",
    "If they are not, mend the scale in the printer's settings.",
    "Hold it against the label paper before a light: borders must meet.",
    "The numbers are the places to begin at on a used sheet.",
)


def _calibrate(canvas: Any, sheet: LabelSheet) -> None:
    """Borders with their numbers, and both rulers on a white field in the middle."""
    _borders(canvas, sheet)
    across, upright = (_ruler_length(each) for each in (sheet.page_width, sheet.page_height))
    x, y = (sheet.page_width - across) / 2, (sheet.page_height - upright) / 2
    field = (x - RIM, y - RIM, across + 2 * RIM, upright + 2 * RIM)
    canvas.setFillGray(1)
    canvas.rect(*(each * mm for each in field), stroke=0, fill=1)
    canvas.setFillGray(0)
    canvas.setFont(REGULAR, points(LEAST))
    for place in range(1, sheet.places + 1):
        (left, top), (pad_x, pad_y) = sheet.corner(place), sheet.pads
        at, base = left + pad_x, sheet.page_height - top - pad_y - LEAST * DEPTH
        wide = width_of(str(place), points(LEAST)) / mm
        beside = at + wide < field[0] or at > field[0] + field[2]
        if beside or base > field[1] + field[3] or base + 2 * LEAST < field[1]:
            canvas.drawString(at * mm, base * mm, str(place))
    _ruler(canvas, x, y, across, upright=False)
    _ruler(canvas, x, y, upright, upright=True)
    if across < RULER or upright < RULER:
        return
    written = [fitted(each, (RULER - 2 * RIM) * mm, 2.6) for each in (f"Grid {sheet.name}", *ADVICE)]
    capitals = min(each for _, each in written)
    canvas.setFont(REGULAR, points(capitals))
    for number, (text, _) in enumerate(written, 1):
        canvas.drawString((x + 2 * RIM) * mm, (y + RULER - RIM - number * 1.2 * capitals * LINE) * mm, text)


def _ruler_length(page: float) -> int:
    """The longest whole number of centimetres that a page has room for, at most RULER [mm]."""
    return max(10, min(RULER, int((page - 2 * PAGE_EDGE - 2 * RIM) // 10 * 10)))


def _ruler(canvas: Any, x: float, y: float, length: int, *, upright: bool) -> None:
    """A ruler from (x, y) to the right or up, with a mark each millimetre and a number each two centimetres and at the
    end [mm]."""
    canvas.saveState()
    canvas.setStrokeGray(0)
    canvas.setLineWidth(0.3)
    canvas.translate(x * mm, y * mm)
    canvas.line(0, 0, 0 if upright else length * mm, length * mm if upright else 0)
    for at in range(length + 1):
        long = (4 if at % 10 == 0 else 3 if at % 5 == 0 else 2) * mm
        canvas.line(*((0, at * mm, long, at * mm) if upright else (at * mm, 0, at * mm, long)))
    canvas.setFont(REGULAR, points(LEAST))
    for at in (*range(20, length - 9, 20), length):
        text = f"{at} mm" if at == length else str(at)
        if upright:
            canvas.drawString(4.6 * mm, (at - LEAST / 2) * mm, text)
        else:
            canvas.drawCentredString(at * mm, 4.8 * mm, text)
    canvas.restoreState()
