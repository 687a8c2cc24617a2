"""The report on a rig's notebook as PDF: sentences, tables and charts, section by section, to be read at a desk.

Same sections, same bytes: only SOURCE_DATE_EPOCH changes the date inside the file. Nothing hangs on colour.
"""

from __future__ import annotations

import io
import re
from collections.abc import Sequence
from functools import partial
from typing import Any

from reportlab.lib.colors import HexColor
from reportlab.lib.enums import TA_RIGHT
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.platypus import BaseDocTemplate, CondPageBreak, PageTemplate, Paragraph, Spacer, Table
from reportlab.platypus import Frame as PageFrame

from stripplan.sheets.options import Page
from stripplan.sheets.paper.flow import frame
from stripplan.sheets.paper.text import (
    DESK,
    REGULAR,
    RIG,
    as_read,
    load_fonts,
    points,
    printable,
    shortened,
    style,
    tagged,
    width_of,
)
from stripplan.sheets.picture.charts.painter import drawing
from stripplan.sheets.picture.palette import BLACK
from stripplan.sheets.rows.notebook import Chart, Part

TITLE = points(6)
CELL = points(2.5)
PAD = 2 * mm
CELL_PAD, ROW_PAD = 1.7 * mm, 1.5 * mm
GUTTER = 6 * mm
PAIR_HEIGHT = 62 * mm
WHOLE_HEIGHT = 75 * mm
TOGETHER, MOST = 40 * mm, 120 * mm
"""A heading keeps with it what follows, until that much is on the page; nothing asks for more than MOST."""
RULE = "#999999"
SHADE = "#EEEEEE"

CAUTION = (
    "Test cuts: eyes, skin, fume, fire, noise, shock, hot metal, moving carriage. Local law, the rules of the "
    "workshop and "
    "the manual of the power source and torch come first; a setup sheet has more. Arc off and torch parked "
    "before you measure; let the piece cool."
)

_NUMBER = re.compile(r"[+−-]?[\d.,]+( ?(%|mm|\"|°))?|-|")


def notebook_report(
    parts: Sequence[Part], *, title: str, units: str, page: Page = "a4", made_at: str | None = None
) -> bytes:
    """The report as the bytes of a PDF on "a4" or "letter" paper, upright. `made_at` is printed under the title, and so
    is what `units` says of the figures.
    """
    load_fonts()
    built = partial(_built, parts, title=title, units=units, page=page, made_at=made_at)
    _, pages = built(0)  # the foot says how many pages there are: counted first
    data, _ = built(pages)
    return data


def _built(
    parts: Sequence[Part], pages: int, *, title: str, units: str, page: Page, made_at: str | None
) -> tuple[bytes, int]:
    """The document and its number of pages; `pages` is what the foot says."""
    on = frame(page)
    stream = io.BytesIO()
    document = BaseDocTemplate(
        stream, pagesize=(on.width, on.height), invariant=1, lang="en-GB", displayDocTitle=True,
        title=f"Notebook: {title}", author="stripplan", subject="What was measured on the rig, and what it says",
        creator="stripplan", initialFontName=REGULAR,
    )  # fmt: skip
    body = PageFrame(
        on.margin, on.margin + on.foot, on.inner, on.height - 2 * on.margin - on.foot,
        leftPadding=0, rightPadding=0, topPadding=0, bottomPadding=0,
    )  # fmt: skip
    foot = partial(_foot, width=on.width, margin=on.margin, title=title, pages=pages)
    document.addPageTemplates([PageTemplate(frames=[body], onPage=foot)])
    document.afterFlowable = partial(mark_drawn, document)
    document.build(_story(parts, title, units, made_at, on.inner))
    return stream.getvalue(), int(document.page)


def _foot(canvas: Any, document: Any, *, width: float, margin: float, title: str, pages: int) -> None:
    """Title and page number at the foot of a page."""
    size = points(2.2)
    number = f"page {document.page} of {pages}"
    canvas.saveState()
    canvas.setStrokeGray(0)
    canvas.setLineWidth(0.5)
    canvas.line(margin, margin + 4 * mm, width - margin, margin + 4 * mm)
    canvas.setFillGray(0)
    canvas.setFont(REGULAR, size)
    canvas.drawString(margin, margin, as_read(shortened(title, size, width - 2 * margin - width_of(number, size) - 12)))
    canvas.drawRightString(width - margin, margin, number)
    canvas.restoreState()


def mark_drawn(document: Any, flowable: Any) -> None:
    """An entry of the outline where a section starts."""
    outline = getattr(flowable, "outline", None)
    if outline is not None:
        document.canv.addOutlineEntry(*outline, level=0)
        document.canv.showOutline()


# --- what is on the pages ---------------------------------------------------------------------------------------------


def _story(parts: Sequence[Part], title: str, units: str, made_at: str | None, width: float) -> list[Any]:
    story = [Paragraph(_printed(title or "Notebook", bold=True), style(TITLE)), Spacer(0, 2 * mm)]
    made = [] if made_at is None else [f"Made {made_at}."]
    story += [Paragraph(_printed(" ".join([*made, units])), style(DESK)), Spacer(0, 2 * mm)]
    story.append(frame_of(_printed(CAUTION), 0.6))
    if not parts:
        story.append(Paragraph(_printed("Nothing is written down yet."), style(DESK)))
    for number, part in enumerate(parts, 1):
        story += _part(part, f"section-{number}", width)
    return story


def _part(told: Part, key: str, width: float) -> list[Any]:
    """Heading, problem, sentences, table, charts; the heading never without what follows it."""
    heading = Paragraph(f'<a name="{key}"/>{_printed(told.title, bold=True)}', _heading_style())
    heading.outline = (" ".join(told.title.split()), key)
    parts: list[Any] = []
    if told.problem is not None:
        problem = f"{_printed('Cannot be worked out:', bold=True)} {_printed(told.problem)}"
        parts.append(frame_of(problem, 1.6))
    parts += [Paragraph(_printed(each), _sentence_style()) for each in told.lines]
    if any(told.table):
        parts.append(_table(told.table, width))
    parts += _charts(told.charts, width)
    together = 0.0
    for part in (heading, *parts):
        if together > TOGETHER:
            break
        together += _least(part, width) + part.getSpaceAfter()  # rather a little much than a heading alone
    return [CondPageBreak(together), heading, *parts]


def _least(part: Any, width: float) -> float:
    """The height that a part needs to begin on a page [pt]; of a table its header and two rows."""
    high = getattr(part, "least", None) or part.wrap(width, 1e6)[1]
    return float(min(high + part.getSpaceBefore(), MOST))


def frame_of(text: str, pen: float) -> Any:
    """A note in a frame."""
    return Paragraph(
        text,
        ParagraphStyle(
            "framed", parent=style(DESK), borderWidth=pen, borderColor=HexColor(BLACK), borderPadding=PAD,
            leftIndent=PAD + pen, rightIndent=PAD + pen, spaceBefore=PAD + 2 * mm, spaceAfter=PAD + 3 * mm,
        ),
    )  # fmt: skip


def _heading_style() -> Any:
    return ParagraphStyle("heading", parent=style(RIG), spaceBefore=5 * mm, spaceAfter=1.5 * mm)


def _sentence_style() -> Any:
    return ParagraphStyle("sentence", parent=style(DESK), spaceAfter=1.2 * mm, allowWidows=0, allowOrphans=0)


def _charts(charts: Sequence[Chart], width: float) -> list[Any]:
    """Charts two side by side; one that is left over takes the whole width."""
    half = (width - GUTTER) / 2
    made: list[Any] = []
    for first in range(0, len(charts), 2):
        pair = charts[first : first + 2]
        if len(pair) == 1:
            row = [[drawing(pair[0], width, WHOLE_HEIGHT)]]
            columns = [width]
        else:
            row = [[drawing(pair[0], half, PAIR_HEIGHT), "", drawing(pair[1], half, PAIR_HEIGHT)]]
            columns = [half, GUTTER, half]
        bare: list[tuple[Any, ...]] = [("FONTNAME", (0, 0), (-1, -1), REGULAR)]
        bare += [(f"{side}PADDING", (0, 0), (-1, -1), 0) for side in ("LEFT", "RIGHT", "TOP", "BOTTOM")]
        made.append(Table(row, columns, style=bare, spaceBefore=2 * mm, spaceAfter=3 * mm))
    return made


# --- tables -----------------------------------------------------------------------------------------------------------


def _table(rows: Sequence[Sequence[str]], width: float) -> Any:
    """A table whose first row is its header, repeated on each page; no row stands alone on one."""
    count = max(len(row) for row in rows)
    full = [(*row, *[""] * (count - len(row))) for row in rows]
    widths = column_widths(full, width)
    right = [len(full) > 1 and all(_NUMBER.fullmatch(row[n]) for row in full[1:]) for n in range(count)]
    cells = [
        [Paragraph(_printed(cell, bold=not number), _cell_style(right[n])) for n, cell in enumerate(row)]
        for number, row in enumerate(full)
    ]
    last = len(full) - 1
    ruled: list[tuple[Any, ...]] = [
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("FONTNAME", (0, 0), (-1, -1), REGULAR),
        ("LEFTPADDING", (0, 0), (-1, -1), CELL_PAD), ("RIGHTPADDING", (0, 0), (-1, -1), CELL_PAD),
        ("TOPPADDING", (0, 0), (-1, -1), 0.4 * ROW_PAD), ("BOTTOMPADDING", (0, 0), (-1, -1), 0.6 * ROW_PAD),
        ("BACKGROUND", (0, 0), (-1, 0), HexColor(SHADE)),
        ("LINEBELOW", (0, 0), (-1, 0), 0.8, HexColor(BLACK)),
    ]  # fmt: skip
    if last:
        ruled.append(("LINEBELOW", (0, 1), (-1, -1), 0.4, HexColor(RULE)))
    heights = [
        max(cell.wrap(each - 2 * CELL_PAD, 1e6)[1] for cell, each in zip(row, widths, strict=True)) + ROW_PAD
        for row in cells
    ]
    for first, end in ((0, min(2, last)), (max(last - 1, 0), last)):
        if sum(heights[first : end + 1]) < MOST:  # rows higher than that are split themselves
            ruled.append(("NOSPLIT", (0, first), (-1, end)))
    made = Table(
        cells,
        widths,
        repeatRows=int(heights[0] < MOST),
        splitInRow=1,
        hAlign="LEFT",
        spaceBefore=1 * mm,
        spaceAfter=PAD,
        style=ruled,
    )
    made.least = sum(heights[:3])
    return made


def _cell_style(right: bool) -> Any:
    plain = style(CELL)
    return ParagraphStyle("figures", parent=plain, alignment=TA_RIGHT) if right else plain


def column_widths(rows: Sequence[Sequence[str]], width: float) -> list[float]:
    """Widths of columns [pt]: each as wide as its widest cell, and where that is too much the wide ones share the
    rest."""
    natural = [
        max(width_of(printable(cell), CELL, bold=not number) for number, cell in enumerate(column)) + 2 * CELL_PAD + 1
        for column in zip(*rows, strict=True)
    ]
    found = list(natural)
    left, open_ = width, sorted(range(len(natural)), key=lambda n: natural[n])
    for rank, n in enumerate(open_):
        found[n] = min(natural[n], left / (len(open_) - rank))
        left -= found[n]
    return found


def _printed(text: str, *, bold: bool = False) -> str:
    """Text as a piece of markup, in the order of print."""
    return tagged(as_read(printable(text)), bold=bold)
