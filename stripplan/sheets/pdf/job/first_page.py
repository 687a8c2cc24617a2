"""The first page: what to take, what it comes to, how good it is, what it rests on, what to mind."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from stripplan.sheets.paper.flow import Box, Section, Words
from stripplan.sheets.paper.text import DESK, NEAR, lacks, markup, points
from stripplan.sheets.pdf.job.boxes import BOX, Row, line_of, section_of
from stripplan.sheets.rows.row_types import Setting, Sheet

TITLE = points(6)
"""Size of the job's name [pt]."""


def job_sections(sheet: Sheet, width: float, pointer: str) -> list[Section]:
    """The first page: what to take, what it comes to, how good it is, what it rests on, what to mind; `pointer` leads
    to the cautions."""
    sections = [title_section(sheet, width, pointer), section_of("Take off the rack", _stock_rows(sheet, width), width)]
    if sheet.first:
        sections.append(
            section_of("Mind first", [line_of(f"! {each}", width, bold=True) for each in sheet.first], width)
        )
    if sheet.measure_first:
        sections.append(section_of("Measure first", measure_rows(sheet, width), width))
    if mind := [*sheet.warnings, *letters_lacking(sheet)]:
        sections.append(section_of("Mind", [line_of(f"! {each}", width) for each in mind], width))
    return [*sections, *behind_sections(sheet, width)]


def title_section(sheet: Sheet, width: float, pointer: str) -> Section:
    """Job, plan, units, and the line that leads to the cautions."""
    title = [Words(markup(sheet.job or "Job"), width, TITLE, bold=True)]
    units = "inches, masses in pounds" if sheet.units == "in" else "mm, masses in kg"
    made = f", made {sheet.made_at}" if sheet.made_at else ""
    scales = f" {_scales_in_mm(sheet)}" if _scales_in_mm(sheet) else ""
    intro = Words(markup(f"Setup sheet, plan {sheet.plan}{made}. All lengths in {units}.{scales}"), width, DESK)
    return Section("Job", title, [intro, Words(markup(pointer, bold=True), width, DESK)], fresh=True)


def _scales_in_mm(sheet: Sheet) -> str:
    """That readings are in mm for a person who reads inches: a scale is set to what is marked on it."""
    if sheet.units != "in":
        return ""
    scales = {"fence": [row.fence.text for row in sheet.cuts], "end stop": [row.end_stop.text for row in sheet.cuts]}
    marked = [name for name, texts in scales.items() if any(each.endswith(" mm") for each in texts)]
    return f"{' and '.join(marked).capitalize()}: mm, as marked." if marked else ""


def behind_sections(sheet: Sheet, width: float) -> list[Section]:
    """What stands behind the plan: what it comes to, how good it is, what it rests on, what was measured."""
    totals = section_of("Totals, and what is left", [*_pairs(sheet.totals, width), *_left(sheet, width)], width)
    sections = [replace(totals, whole=False)]
    good = [*sheet.proof, *([sheet.other_order] if sheet.other_order else [])]
    sections.append(section_of("How good the plan is", [line_of(" ".join(good), width, size=NEAR)], width))
    rests: list[Box] = [*_settings(sheet.settings, width)]
    if sheet.assumed_times:
        rests.append(
            line_of(f"Assumed figures that move the minutes: {'; '.join(sheet.assumed_times)}.", width, size=NEAR)
        )
    sections.append(section_of("The plan rests on", rests, width))
    if sheet.measured:
        rows = [Row((setting_told(each),), (1,), width) for each in sheet.measured]
        sections.append(section_of("Measured on this rig", rows, width))
    return sections


def letters_lacking(sheet: Sheet) -> list[str]:
    """That letters of names cannot be printed, where that is so."""
    names = {
        sheet.job,
        *(name for each in sheet.stock for name in (each.stock, each.material)),
        *(each.name for each in sheet.parts),
    }
    count = sum(map(lacks, names))
    holds = "name holds" if count == 1 else "names hold"
    return (
        [f"{count} {holds} letters that this print lacks: they stand by number, [U+hhhh]; drawings have them."]
        if count
        else []
    )


def _stock_rows(sheet: Sheet, width: float) -> list[Row]:
    shares = (8, 26, 26, 18, 22)
    rows = [Row(("plate", "name", "size", "material", "mass"), shares, width, bold=True)]
    for each in sheet.stock:
        mass = markup(each.mass) + (markup(f": {each.lifting}", bold=True) if each.lifting else "")
        note = f" ({each.note})" if each.note else ""
        cells = (
            f"{BOX} {markup(each.plate, bold=True)}", markup(each.stock + note), markup(each.size),
            markup(each.material), mass,
        )  # fmt: skip
        rows.append(Row(cells, shares, width))
    return rows


def measure_rows(sheet: Sheet, width: float) -> list[Words]:
    blanks = "Length ________ width ________ diagonals ________ and ________"
    why = "Some part takes its size from the plate itself. If the plate differs, plan again with its true size."
    return [line_of(f"{each} {blanks}", width) for each in sheet.measure_first] + [line_of(why, width)]


def _pairs(pairs: Sequence[tuple[str, str]], width: float) -> list[Row]:
    """What and figure, four pairs to a row."""
    rows = []
    for at in range(0, len(pairs), 4):
        chunk = [*pairs[at : at + 4], ("", ""), ("", ""), ("", "")][:4]
        cells = tuple(f"{markup(what)}: {markup(figure, bold=True)}" if what else "" for what, figure in chunk)
        rows.append(Row(cells, (25, 25, 27, 23), width))
    return rows


def _left(sheet: Sheet, width: float) -> list[Words]:
    if not sheet.offcuts:
        return [line_of("No offcut worth keeping.", width)]
    words = "Left: " + "; ".join(f"{each.piece}: {each.size}" for each in sheet.offcuts[:8])
    more = len(sheet.offcuts) - 8
    return [line_of(words + (f"; and {more} more, all in the list of offcuts" if more > 0 else "") + ".", width)]


def _settings(settings: Sequence[Setting], width: float) -> list[Row]:
    rows = []
    for at in range(0, len(settings), 3):
        cells = [setting_told(each) for each in settings[at : at + 3]]
        rows.append(Row((*cells, *[""] * (3 - len(cells))), (1, 1, 1), width, size=NEAR))
    return rows


def setting_told(each: Setting) -> str:
    doubt = " " + markup(f"{each.doubt.upper()}: CHECK", bold=True) if each.doubt else ""
    return f"{markup(each.name)}: {markup(each.value, bold=True)}{doubt}"
