"""What the job costs, on paper."""

from __future__ import annotations

from stripplan.sheets.paper.flow import Section
from stripplan.sheets.paper.text import markup
from stripplan.sheets.pdf.job.boxes import Row, ended_by, heading_of, line_of
from stripplan.sheets.rows.row_types import Quoted


def quoted_sections(quoted: Quoted, width: float) -> list[Section]:
    """What the job costs and what each part of it; where each figure comes from, and what is not in the sum. Each of
    both tables has its own heads, on a further page too."""
    shares, of_part = (18, 16, 10, 10, 46), (46, 12, 20, 22)
    title = heading_of("What it costs", width)
    heads = Row(("what", "quantity", "price", "amount", "where from"), shares, width, bold=True)
    lines = [Row(tuple(map(markup, line)), shares, width) for line in quoted.lines]
    total = Row((markup("total", bold=True), "", "", markup(quoted.total, bold=True), ""), shares, width)
    part_heads = Row(("part", "made", "each", "in all"), of_part, width, bold=True)
    parts = [Row(tuple(map(markup, part)), of_part, width) for part in quoted.parts]
    notes = [line_of(note, width) for note in quoted.notes]
    return [
        Section("What it costs", [title, heads], ended_by(lines, [total]), fresh=False),
        Section("", [part_heads], ended_by(parts, notes), fresh=False, again=[title, part_heads]),
    ]
