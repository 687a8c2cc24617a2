"""A job of few cuts on one page: plate and drawing side by side, the cuts, the parts to tick, the fire watch.

What stands behind the plan follows where there is room, else on the next page with the cautions.
"""

from __future__ import annotations

from collections.abc import Iterator

from reportlab.lib.units import mm

from stripplan.model.plan.plan import Plan
from stripplan.sheets.options import Cautions, Form
from stripplan.sheets.paper.flow import GAP, Box, Section, Words
from stripplan.sheets.paper.text import DESK, NEAR, markup, points
from stripplan.sheets.pdf.job.boxes import GUTTER, Beside, Together
from stripplan.sheets.pdf.job.first_page import title_section
from stripplan.sheets.pdf.job.how_to_read import reading_section
from stripplan.sheets.pdf.job.in_few_words import (
    behind_in_few,
    mind_lines,
    part_lines,
    rests_in_few,
    stock_lines,
    totals_in_few,
)
from stripplan.sheets.pdf.job.quotation import quoted_sections
from stripplan.sheets.pdf.jobs import jobs_section
from stripplan.sheets.pdf.plate_picture import plate_drawing
from stripplan.sheets.pdf.work.bevel_block import bevel_sections
from stripplan.sheets.pdf.work.cautions import cautions_section, fire_watch, pointer
from stripplan.sheets.pdf.work.cut_blocks import cut_blocks
from stripplan.sheets.rows.row_types import Sheet

SIZES = (NEAR, points(2.0), points(1.8))
"""Of the cautions, smaller where they would take another page: the last is the least at 0.45 m (NUREG-0700,
11.4.1.5-1) [pt]."""
LEFT = 0.54
"""Share of the width beside the drawings."""
DRAWN = (75 * mm, 60 * mm, 48 * mm, 38 * mm)
"""Heights of the drawings of all plates together, the largest first [pt]."""


def one_page(plan: Plan, rows: Sheet, width: float, room: float, form: Form, cautions: Cautions) -> list[Section]:
    """All sections: the first fill one page, with the largest drawing that lets them, and in rows where blocks do not.

    What stands behind the plan is there too where it fits, else on the next page with the cautions; where those hang
    at the rig only what it comes to is told, rather than spoil a second sheet of paper. A job with more warnings or
    longer words than a page holds goes on with the next.
    """
    behind = behind_in_few(rows, width)
    less = Section("Totals", [], [totals_in_few(rows, width)] if cautions == "once" else [], fresh=False)
    fits = _fitting(plan, rows, width, room, form, cautions, (behind, less))
    core, told = next(fits, (_core(plan, rows, width, (form, form), DRAWN[-1], cautions), less))
    last = [behind] if told is less and cautions == "with" else []
    last += [jobs_section(rows, width)] if rows.jobs else []
    last += quoted_sections(rows.quoted, width) if rows.quoted is not None else []
    if cautions == "with":
        last += _to_read(rows, width, form, room - sum(section.height for section in last))
    return [*core, *([told] if told.boxes else []), *last]


def _to_read(rows: Sheet, width: float, form: Form, room: float) -> list[Section]:
    """Cautions and how to work by the sheet, a little smaller where that saves a page."""
    for size in SIZES:
        found = [
            cautions_section(rows, width, size=size),
            reading_section(width, short=form == "short", aslant=rows.aslant, size=size),
        ]
        if sum(section.height for section in found) <= room:
            break
    return found


def _fitting(
    plan: Plan, rows: Sheet, width: float, room: float, form: Form, cautions: Cautions, after: tuple[Section, ...]
) -> Iterator[tuple[list[Section], Section]]:
    """What fills one page, and what of `after` goes with it, the fullest first: so, then bevels without pictures, then
    cuts in rows."""
    forms: tuple[tuple[Form, Form], ...] = (("short", "short"),)
    if form == "full":
        forms = (
            (("full", "full"), ("full", "short"), ("short", "full"), *forms)
            if rows.bevels
            else (("full", "full"), *forms)
        )
    for each in forms:
        cores = [_core(plan, rows, width, each, high, cautions) for high in DRAWN]
        heights = [sum(section.height for section in core) for core in cores]
        for last in after:
            yield from ((core, last) for core, high in zip(cores, heights, strict=True) if high + last.height <= room)


def _core(
    plan: Plan, rows: Sheet, width: float, forms: tuple[Form, Form], high: float, cautions: Cautions
) -> list[Section]:
    """What is needed at the rig, cuts and bevels each in its form."""
    left, gap = LEFT * width - GUTTER, LEFT * width
    told = Together(
        (
            *stock_lines(rows, left),
            *mind_lines(rows, left),
            Words(markup(f"Takes about {rows.lasts}.", bold=True), left, DESK),
        )
    )
    drawings = Together(tuple(_drawings(plan, rows, width - gap, max(high, told.height))))
    heads = markup("Parts: want, made; finished size; size to expect", bold=True)
    lists: list[Box] = [Words(heads, width, NEAR, above=GAP), *part_lines(rows, width)]
    return [
        title_section(rows, width, pointer(cautions, last=True)),
        Section("Plates", [], [Beside(told, drawings, gap)], fresh=False),
        *cut_blocks(rows, width, forms[0], heading=False),
        *bevel_sections(rows, width, forms[1]),
        Section("Parts: check list", [], lists, fresh=False),
        Section("Fire watch", [], [fire_watch(width), rests_in_few(rows, width)], fresh=False),
    ]


def _drawings(plan: Plan, rows: Sheet, width: float, high: float) -> Iterator[Box]:
    """Each plate under its name."""
    for each in rows.stock:
        name = Words(markup(f"Plate {each.plate}: {each.stock}", bold=True), width, DESK)
        yield name
        legend = Words(markup(f"{each.plate}: numbers are cuts, in the order of work."), width, NEAR)
        most = max(high / len(rows.stock) - name.height - legend.height, 20 * mm)
        yield plate_drawing(plan, each.plate, width, most)
        yield legend
