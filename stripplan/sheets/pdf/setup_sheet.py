"""The setup sheet as PDF: what a person reads at the rig, with gloves on.

A job of few cuts is one page, with what stands behind the plan and the cautions after it. Order of pages of a larger
one: the job, how to work by the sheet, cautions, an overview to pin up, a drawing of each plate, the cuts in the order
of work over the whole job (each block carries its plate, for cuts of several plates may take turns), part check list,
offcuts, cost, fire watch. Same plan, same bytes: only SOURCE_DATE_EPOCH changes the date inside the file.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from stripplan.model.plan.plan import Plan
from stripplan.sheets.options import Cautions, Form, Page

if TYPE_CHECKING:
    from stripplan.sheets.paper.flow import Frame, Section
    from stripplan.sheets.rows.row_types import Sheet, StockRow


FOOT = "Bold: new. Grey: as before. Carriage runs up the page, fence on the right. "
PRINT: dict[tuple[Form, str], str] = {
    ("full", "mm"): "Print 7 and 3.5 mm high for 1 and 0.7 m (NUREG-0700, 11.4.1.5).",
    ("short", "mm"): "Print 5 and 2.8 mm high for 0.8 and 0.7 m (NUREG-0700, 11.4.1.5).",
    ("full", "in"): "Print 0.28 and 0.14 in high for 40 and 28 in (NUREG-0700, 11.4.1.5).",
    ("short", "in"): "Print 0.2 and 0.11 in high for 32 and 28 in (NUREG-0700, 11.4.1.5).",
}
FEW = 5
"""So many cuts stand on one page with all that is needed for them."""
LEAST_DRAWING, PER_CUT = 110.0, 4.5
"""Height of a plate's drawing [pt]: at least, and more for each of its cuts."""
SHARE = 0.66
"""Of a page's height that it takes at the most: crowded regions are drawn larger beside it."""


def setup_sheet(
    plan: Plan,
    *,
    page: Page = "a4",
    form: Form = "full",
    cautions: Cautions = "with",
    cuts: tuple[int, int] | None = None,
    checked: bool = True,
) -> bytes:
    """The setup sheet of a plan, as the bytes of a PDF on "a4" or "letter" paper, upright.

    `cautions` = "once": without the pages that hang at the rig (`poster`). `cuts` = (first, last): these alone, to go
    on with the work. Each page is stamped where the plan was not `checked`. ValueError for cuts that are none.
    """
    from stripplan.sheets.paper.flow import frame
    from stripplan.sheets.rows.plan_rows import sheet, sheet_of_cuts

    on = frame(page)
    if cuts is not None:
        rows = sheet_of_cuts(plan, *cuts)
        found = cut_sections(rows, len(plan.cuts), on.inner, form)
    else:
        rows = sheet(plan)
        found = sections(plan, rows, on.inner, on.room, form, cautions)
    return _bound(plan, rows, found, on, f"Setup sheet: {rows.job}", FOOT + PRINT[form, rows.units], checked=checked)


def poster(plan: Plan, *, page: Page = "a4", form: Form = "full") -> bytes:
    """Cautions and how to work by a sheet, to hang at the rig: printed once."""
    from stripplan.sheets.paper.flow import frame
    from stripplan.sheets.paper.text import DESK, RIG
    from stripplan.sheets.pdf.job.how_to_read import plate_legend, reading_section
    from stripplan.sheets.pdf.work.cautions import cautions_section
    from stripplan.sheets.rows.plan_rows import sheet

    rows, on = sheet(plan), frame(page)
    sizes = [RIG, 0.9 * RIG, DESK]
    tries = [cautions_section(rows, on.inner, size=each, fresh=True) for each in sizes]
    read = reading_section(on.inner, short=form == "short", aslant=rows.aslant, size=RIG)
    signs = [*read.boxes, plate_legend(rows, on.inner, size=RIG)]
    found = [
        next((each for each in tries if each.height <= on.room), tries[-1]),
        replace(read, boxes=signs, fresh=True),
    ]
    anywhere = replace(rows, job="To hang at the rig", plan="")
    return _bound(plan, anywhere, found, on, "Cautions", "For every job on this rig.", checked=True)


def _bound(plan: Plan, rows: Sheet, found: list[Section], on: Frame, title: str, foot: str, *, checked: bool) -> bytes:
    """Sections of a sheet as a document."""
    from stripplan.sheets.paper.document import document

    subject = f"Cuts in the order of work, plan {rows.plan}" if rows.plan else title
    tag = f"plan {rows.plan}" if rows.plan else title
    return document(
        found, on, (rows.job, tag, foot), title, subject=subject, by=plan.stripplan_version, checked=checked
    )


def sections(
    plan: Plan, rows: Sheet, width: float, room: float, form: Form = "full", cautions: Cautions = "with"
) -> list[Section]:
    """All sections of the sheet in the order of its pages."""
    from stripplan.sheets.pdf.job.check_list import offcuts_section, parts_section
    from stripplan.sheets.pdf.job.first_page import job_sections
    from stripplan.sheets.pdf.job.how_to_read import reading_section
    from stripplan.sheets.pdf.job.overview import overview_section
    from stripplan.sheets.pdf.job.quotation import quoted_sections
    from stripplan.sheets.pdf.jobs import jobs_section
    from stripplan.sheets.pdf.one_page import one_page
    from stripplan.sheets.pdf.work.bevel_block import bevel_sections
    from stripplan.sheets.pdf.work.cautions import cautions_section, fire_watch_section, pointer
    from stripplan.sheets.pdf.work.cut_blocks import cut_blocks

    if len(rows.cuts) + sum(len(group.rows) for group in rows.bevels) <= FEW:
        return one_page(plan, rows, width, room, form, cautions)
    found = job_sections(rows, width, pointer(cautions, last=False))
    if rows.jobs:
        found.insert(1, jobs_section(rows, width))
    if cautions == "with":
        found += [reading_section(width, short=form == "short", aslant=rows.aslant), cautions_section(rows, width)]
    found.append(overview_section(rows, width, room))
    found += [_drawing(plan, rows, each, width, room) for each in rows.stock]
    found += [*cut_blocks(rows, width, form), *bevel_sections(rows, width, form)]
    return [
        *found,
        parts_section(rows, width),
        offcuts_section(rows, width),
        *(quoted_sections(rows.quoted, width) if rows.quoted is not None else []),
        fire_watch_section(width),
    ]


def _drawing(plan: Plan, rows: Sheet, plate: StockRow, width: float, room: float) -> Section:
    """The drawing of a plate with what its signs mean."""
    from stripplan.sheets.paper.flow import HEADING_GAP, Section, Words
    from stripplan.sheets.paper.text import RIG, markup
    from stripplan.sheets.pdf.job.how_to_read import plate_legend
    from stripplan.sheets.pdf.plate_details import drawing_and_details

    title = f"Plate {plate.plate}: {plate.stock}"
    more = f", {plate.size} {plate.material}, {plate.mass}"
    head = Words(markup(title, bold=True) + markup(more), width, RIG, above=HEADING_GAP)
    legend = plate_legend(rows, width)
    least = LEAST_DRAWING + PER_CUT * sum(row.plate.text == plate.plate for row in rows.cuts)
    most = min(SHARE * room - head.height - legend.height, least)
    picture, details = drawing_and_details(plan, plate.plate, width, most, room - head.height, legend.height)
    return Section(title, [head], [picture, *details, legend], fresh=False, again=[])


def cut_sections(rows: Sheet, of: int, width: float, form: Form) -> list[Section]:
    """Some of the cuts of a job: a line that says so, the work, the fire watch."""
    from stripplan.sheets.paper.flow import Section, Words
    from stripplan.sheets.paper.text import DESK, markup
    from stripplan.sheets.pdf.work.bevel_block import bevel_sections
    from stripplan.sheets.pdf.work.cautions import fire_watch_section
    from stripplan.sheets.pdf.work.cut_blocks import cut_blocks

    first, last = rows.cuts[0].number, rows.cuts[-1].number
    some = f"Cut {first}" if first == last else f"Cuts {first} to {last}"
    words = (
        f"{some} of {of}. Before the first of them fetch what it is cut from, and set whatever its block says, also "
        "what stood so before. Cautions, drawings and check lists are in the whole sheet."
    )
    head = Section("Some of the cuts", [], [Words(markup(words), width, DESK)], fresh=True)
    return [head, *cut_blocks(rows, width, form), *bevel_sections(rows, width, form), fire_watch_section(width)]
