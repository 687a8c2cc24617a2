"""Jobs that are planned together: a section of the setup sheet, and a quotation on paper for each."""

from __future__ import annotations

from stripplan.model.plan.plan import Plan
from stripplan.sheets.options import Page
from stripplan.sheets.paper.document import document
from stripplan.sheets.paper.flow import HEADING_GAP, Section, Words, frame
from stripplan.sheets.paper.text import DESK, NEAR, RIG, markup, points
from stripplan.sheets.pdf.job.boxes import Row
from stripplan.sheets.rows.job.jobs import job_quoted
from stripplan.sheets.rows.plan_rows import sheet
from stripplan.sheets.rows.row_types import JobQuoted, JobRow, Sheet

TITLE = points(6)
FOOT = "A share of one plan for several jobs; all shares add up to its cost."


def jobs_section(sheet: Sheet, width: float) -> Section:
    """When each job is done, from which plates, and its share; what planning them together saves."""
    money = any(each.quoted for each in sheet.jobs)
    shares = (17, 15, 30, 12, 26, *((14,) if money else ()))
    heads = ("job", "due", "done", "plates", "parts", *(("quoted",) if money else ()))
    rows = [Row(heads, shares, width, bold=True)]
    for each in sheet.jobs:
        late = markup(" LATE", bold=True) if each.late else ""
        cells = (markup(each.name, bold=True), markup(each.due), markup(each.done) + late, markup(each.plates))
        rows.append(Row((*cells, markup(each.parts), *((markup(each.quoted),) if money else ())), shares, width))
    words = [Words(markup(f"Together: {sheet.together}."), width, DESK)] if sheet.together else []
    heading = [Words(markup("Jobs, in the order in which they are done"), width, RIG, bold=True, above=HEADING_GAP)]
    return Section("Jobs", heading, [*rows, *words], fresh=False, whole=True)


def job_quotation(plan: Plan, name: str, *, page: Page = "a4") -> bytes:
    """The quotation of one of several jobs, as the bytes of a PDF. KeyError for a job that is none of the plan's."""
    on, rows = frame(page), sheet(plan)
    told = job_quoted(plan, name, {each.name: each.size for each in rows.parts})
    found = [_head(told, rows, on.inner), _parts(told, on.inner)]
    if told.lines:
        found.append(_lines(told, on.inner))
    notes = [Words(markup(each), on.inner, NEAR) for each in told.notes]
    found.append(Section("Notes", [], notes, fresh=False))
    title = f"Quotation: {name}"
    return document(found, on, (name, title, FOOT), title, subject=title, by=plan.stripplan_version)


def _head(told: JobQuoted, sheet: Sheet, width: float) -> Section:
    row = told.row
    title = [Words(markup(row.name), width, TITLE, bold=True)]
    units = "inches" if sheet.units == "in" else "mm"
    made = f", made {sheet.made_at}" if sheet.made_at else ""
    lines = [f"Quotation, plan {sheet.plan}{made}. All lengths in {units}."]
    lines += [f"Due {row.due}."] if row.due else []
    boxes = [Words(markup(each), width, DESK) for each in lines]
    boxes.append(Words(_shares(row), width, DESK))
    if told.total:
        boxes.append(Words(markup(f"In all {told.total}", bold=True), width, RIG, above=HEADING_GAP))
    return Section("Quotation", title, boxes, fresh=True)


def _shares(row: JobRow) -> str:
    return f"{markup('Its share:', bold=True)} {markup(f'{row.time} at the rig, {row.plate} of plate with its scrap.')}"


def _parts(told: JobQuoted, width: float) -> Section:
    """Each part with its price, where there is one."""
    shares = (28, 22, 22, 8, 10, 10)
    rows = [Row(("part", "finished size", "of", "made", "each", "in all"), shares, width, bold=True)]
    rows += [Row(tuple(map(markup, each)), shares, width) for each in told.parts]
    return Section("Parts", [heading_of("Parts", width)], rows, fresh=False)


def _lines(told: JobQuoted, width: float) -> Section:
    """What the price is made of."""
    shares = (32, 17, 15, 16, 20)
    rows = [Row(("what", "quantity", "price", "amount", "of all"), shares, width, bold=True)]
    rows += [Row(tuple(map(markup, each)), shares, width) for each in told.lines]
    total = ("", "", markup(told.total, bold=True), "")
    rows.append(Row((markup("total", bold=True), *total), shares, width))
    return Section("What it is made of", [heading_of("What it is made of", width)], rows, fresh=False)


def heading_of(text: str, width: float) -> Words:
    return Words(markup(text), width, RIG, bold=True, above=HEADING_GAP)
