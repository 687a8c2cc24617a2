"""The work run by run: as blocks with a picture each, or as rows."""

from __future__ import annotations

from dataclasses import replace

from stripplan.sheets.options import Form
from stripplan.sheets.paper.flow import HEADING_GAP, Box, Section, Words
from stripplan.sheets.paper.text import RIG, markup
from stripplan.sheets.pdf.work.cut_table import cut_lines
from stripplan.sheets.pdf.work.run_block import by_itself, run_section
from stripplan.sheets.pdf.work.set_up_band import LowBlock
from stripplan.sheets.pdf.work.torch_block import TorchBox
from stripplan.sheets.rows.row_types import Sheet


def cut_blocks(rows: Sheet, width: float, form: Form, *, heading: bool = True) -> list[Section]:
    """The work, run by run."""
    title = "Cuts in the order of work"
    found: list[Section] = []
    short = cut_lines(rows.runs, width) if form == "short" and rows.runs else []
    for number, run in enumerate(rows.runs):
        first = run.cuts[0]
        above: list[Box] = []
        if heading and not number:
            above.append(Words(markup(title), width, RIG, bold=True, above=HEADING_GAP))
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
