"""The setup sheet as PDF: what a person reads at the rig, with gloves on.

Order of pages: the job, how to work by the sheet, cautions, a drawing of each plate, the cuts in the order of work
over the whole job (each block carries its plate, for cuts of several plates may take turns), part check list,
offcuts, cost, fire watch. Same plan, same bytes: only SOURCE_DATE_EPOCH changes the date inside the file.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from stripplan.model.plan.plan import Plan
from stripplan.sheets.options import Form, Page

if TYPE_CHECKING:
    from stripplan.sheets.paper.flow import Box, Section
    from stripplan.sheets.rows.plan_rows import Sheet, StockRow


FOOT = "Bold: new. Grey: as before. Carriage runs up the page, fence on the right. "
PRINT: dict[Form, str] = {
    "full": "Print 7 and 3.5 mm high for 1 and 0.7 m (NUREG-0700, 11.4.1.5).",
    "short": "Print 5 and 2.8 mm high for 0.8 and 0.7 m (NUREG-0700, 11.4.1.5).",
}


LEAST_DRAWING, PER_CUT = 110.0, 3.5
"""Height of a plate's drawing [pt]: at least, and more for each of its cuts."""


def setup_sheet(plan: Plan, *, page: Page = "a4", form: Form = "full", checked: bool = True) -> bytes:
    """The setup sheet of a plan, as the bytes of a PDF on "a4" or "letter" paper, upright.

    Each page is stamped where the plan was not `checked`.
    """
    import io

    from stripplan.sheets.paper.canvas import Canvas
    from stripplan.sheets.paper.flow import draw_pages, frame, paginate
    from stripplan.sheets.paper.text import REGULAR
    from stripplan.sheets.rows.plan_rows import sheet

    rows, on = sheet(plan), frame(page)
    pages = paginate(sections(plan, rows, on.inner, on.room, form), on.room)
    stream = io.BytesIO()
    canvas = Canvas(stream, pagesize=(on.width, on.height), invariant=1, lang="en-GB", initialFontName=REGULAR)
    canvas.setTitle(f"Setup sheet: {rows.job}")
    canvas.setSubject(f"Cuts in the order of work, plan {rows.plan}")
    canvas.setCreator(f"stripplan {plan.stripplan_version}")
    canvas.setAuthor("stripplan")
    canvas.setViewerPreference("DisplayDocTitle", "true")
    canvas.showOutline()
    draw_pages(canvas, pages, on, rows.job, f"plan {rows.plan}", FOOT + PRINT[form], checked=checked)
    canvas.save()
    return stream.getvalue()


def sections(plan: Plan, rows: Sheet, width: float, room: float, form: Form = "full") -> list[Section]:
    """All sections of the sheet in the order of its pages."""
    from stripplan.sheets.paper.flow import HEADING_GAP, Section, Words
    from stripplan.sheets.paper.text import RIG, markup
    from stripplan.sheets.pdf.cautions import cautions_section, fire_watch_section
    from stripplan.sheets.pdf.lists import (
        job_sections,
        offcuts_section,
        parts_section,
        plate_legend,
        quoted_section,
        reading_section,
        summary,
    )
    from stripplan.sheets.pdf.plate_picture import PlateDrawing
    from stripplan.sheets.picture.plate import plate_picture

    def drawing(plate: StockRow) -> Section:
        title = f"Plate {plate.plate}: {plate.stock}"
        more = f", {plate.size} {plate.material}, {plate.mass}"
        head = Words(markup(title, bold=True) + markup(more), width, RIG, above=HEADING_GAP)
        legend = plate_legend(rows, width)
        settings = summary(rows, plate.plate, width)
        told = sum(each.height for each in settings)
        least = min(LEAST_DRAWING + PER_CUT * sum(row.plate.text == plate.plate for row in rows.cuts), room)
        free = room - head.height - legend.height
        most = min(free, least) if told < free - LEAST_DRAWING else free
        picture = PlateDrawing(plate_picture(plan, plate.plate), width, min(most, max(free - told, LEAST_DRAWING)))
        return Section(title, [head], [picture, legend, *settings], fresh=False, again=[])

    found = [*job_sections(rows, width), reading_section(width, short=form == "short")]
    found.append(cautions_section(rows.two_person_mass, width))
    found += [drawing(each) for each in rows.stock]
    found += _cuts(rows, width, form)
    return [
        *found,
        parts_section(rows, width),
        offcuts_section(rows, width),
        *([quoted_section(rows.quoted, width)] if rows.quoted is not None else []),
        fire_watch_section(width),
    ]


def _cuts(rows: Sheet, width: float, form: Form) -> list[Section]:
    """The work, run by run."""
    from stripplan.sheets.paper.flow import HEADING_GAP, Section, Words
    from stripplan.sheets.paper.text import RIG, markup
    from stripplan.sheets.pdf.cut_table import cut_lines
    from stripplan.sheets.pdf.run_block import by_itself, run_section
    from stripplan.sheets.pdf.set_up_band import LowBlock
    from stripplan.sheets.pdf.torch_block import TorchBox

    title = "Cuts in the order of work"
    found: list[Section] = []
    short = cut_lines(rows.runs, width) if form == "short" and rows.runs else []
    for number, run in enumerate(rows.runs):
        first = run.cuts[0]
        above: list[Box] = [] if number else [Words(markup(title), width, RIG, bold=True, above=HEADING_GAP)]
        if first.torch is not None:
            above.append(TorchBox(first, first.torch, width))
        if form == "short":
            section = Section("", above, short[number], fresh=False, again=[])
        elif len(run.cuts) == 1:
            outline = f"Cut {first.number}, plate {first.plate.text}"
            block = LowBlock(first, width, tuple(by_itself(first)), outline)
            section = Section("", above, [block], fresh=False, again=[])
        else:
            section = run_section(run, width, above)
        found.append(section if number else replace(section, title=title))
    return found
