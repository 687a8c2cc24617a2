"""One cut as a block that can be ticked: the four numbers big, then what to do from top to bottom."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from reportlab.lib.units import mm

from .pdf_paragraph import Paragraph, paragraph
from .pdf_rig import draw_lie
from .pdf_text import BIG, BOLD, GREY, REGULAR, RIG, flagged, markup, shortened, tagged, width_of
from .rows_kinds import CutRow, Fall, Field

PICTURE = 44 * mm
LABEL = 19.5 * mm
PAD = 2 * mm
INSIDE = 1.5 * mm
HEAD = 15.5 * mm
TICK = 9 * mm
LEADING = 1.1
"""From line to line over the size of letters."""
LEAST_BODY = 42 * mm
"""Least height below the figures [pt]: four cuts to a page of letter paper, and of A4 with a line more each."""
BETWEEN = 2.5 * mm


@dataclass(frozen=True)
class Block:
    """The block of one cut, `width` wide [pt]."""

    row: CutRow
    width: float
    outline: str = ""

    @property
    def figures_from(self) -> float:
        """Where the big figures start, right of the box to tick [pt]."""
        return float(TICK + 2.5 * PAD)

    @cached_property
    def _lines(self) -> list[tuple[str, Paragraph]]:
        room = self.width - PICTURE - LABEL - 3 * PAD
        return [(label, paragraph(text, RIG, room, leading=LEADING)) for label, text in lines(self.row)]

    @cached_property
    def figures(self) -> list[list[tuple[str, Field, float]]]:
        """Rows of big figures: label, figure, width [pt]."""
        return _in_rows(figures(self.row), self.width - self.figures_from)

    @property
    def _body(self) -> float:
        return float(max(LEAST_BODY, sum(words.height for _, words in self._lines) + 2 * INSIDE))

    @property
    def height(self) -> float:
        """Height with the gap below [pt]."""
        return float(HEAD * len(self.figures) + self._body + BETWEEN)

    def draw(self, canvas: Any, x: float, top: float) -> None:
        """Draw it with its top left corner at (x, top)."""
        high = self.height - BETWEEN
        head = HEAD * len(self.figures)
        canvas.setStrokeGray(0)
        canvas.setLineWidth(1.6)
        canvas.rect(x, top - high, self.width, high)
        canvas.setLineWidth(0.6)
        canvas.line(x, top - head, x + self.width, top - head)
        canvas.setLineWidth(1.4)
        canvas.rect(x + PAD, top - (HEAD + TICK) / 2, TICK, TICK)
        self._draw_figures(canvas, x + self.figures_from, top)
        self._draw_lines(canvas, x + PAD, top - head - INSIDE)
        draw_lie(
            canvas, self.row, x + self.width - PICTURE - PAD, top - high + INSIDE, PICTURE, self._body - 2 * INSIDE
        )

    def _draw_figures(self, canvas: Any, x: float, top: float) -> None:
        for number, line in enumerate(self.figures):
            at, upper = x, top - number * HEAD
            for label, figure, width in line:
                canvas.setFillColor("#000000" if figure.changed else GREY)
                canvas.setFont(BOLD if figure.changed else REGULAR, RIG)
                canvas.drawString(at, upper - 4.9 * mm, label)
                canvas.setFont(BOLD if figure.changed else REGULAR, BIG)
                canvas.drawString(at, upper - HEAD + 2.2 * mm, figure.text)
                at += width

    def _draw_lines(self, canvas: Any, x: float, top: float) -> None:
        for label, words in self._lines:
            canvas.setFillGray(0)
            canvas.setFont(REGULAR, RIG)
            canvas.drawString(x, top - RIG * 0.98, label)
            words.draw(canvas, x + LABEL, top)
            top -= words.height


def figures(row: CutRow) -> list[tuple[str, Field]]:
    """The big figures with their labels: a label says whether there is something to set."""
    number = Field(str(row.number))
    fence = f"{'SET' if row.fence.changed else 'same'} fence"
    stop = f"{'SET' if row.end_stop.changed else 'same'} end stop"
    word = f"dial, {row.travel_speed}" if row.dial else row.travel_speed.split()[-1]
    speed = f"{'SET' if row.speed.changed else 'same'} {word}"
    where = (fence, row.fence) if not row.scribe else (f"SCRIBE from {row.scribe_from}", Field(row.scribe))
    return [("cut", number), ("plate", row.plate), where, (stop, row.end_stop), (speed, row.speed)]


def _in_rows(found: list[tuple[str, Field]], width: float) -> list[list[tuple[str, Field, float]]]:
    """Figures side by side, in as many rows as they need; each with its width."""
    rows: list[list[tuple[str, Field, float]]] = [[]]
    used = 0.0
    for label, figure in found:
        least = max(width_of(figure.text, BIG, bold=True), width_of(label, RIG, bold=True)) + 4 * mm
        if used + least > width and rows[-1]:
            rows.append([])
            used = 0.0
        rows[-1].append((label, figure, least))
        used += least
    spare = [width - sum(wide for _, _, wide in row) for row in rows]
    return [
        [(label, figure, wide + extra / len(row)) for label, figure, wide in row]
        for row, extra in zip(rows, spare, strict=True)
    ]


def lines(row: CutRow) -> list[tuple[str, str]]:
    """Label and markup of each line, in the order of doing."""
    made = [("REST", markup(f"{row.rest} before the arc", bold=True))] if row.rest else []
    heavy = markup(f", {row.lifting.removesuffix(' or hoist')}", bold=True) if row.lifting else ""
    made.append(("Piece", markup(f"{row.piece},", bold=True) + " " + markup(f"{row.size}, {row.mass}") + heavy))
    made.append(("Bring", markup(" ".join(row.bring), bold=True)))
    made += _labelled("Dress", [markup(each, bold=True) for each in row.dress])
    made += _labelled("Lay", _lay(row))
    made += _labelled("Cut", [flagged(row.length.text + ".", row.length.changed), *(markup(p) for p in row.passes)])
    made.append(("Left", _fell(row.left)))
    made.append(("Right", _fell(row.right)))
    if row.measure is not None:
        made.append(("Measure", _measure(row)))
    return made


def _labelled(label: str, texts: list[str]) -> list[tuple[str, str]]:
    return [(label if number == 0 else "", text) for number, text in enumerate(texts)]


def _lay(row: CutRow) -> list[str]:
    laid = [flagged(f"{row.face.text};", row.face.changed)]
    if row.located == "fence":
        laid.append(markup("fence: ") + flagged(f"{row.on_fence.text};", row.on_fence.changed))
    laid.append(markup("start: ") + flagged(f"{row.leading.text}.", row.leading.changed))
    together = [re.sub(r"(?<=[A-D]) \((cut )?", lambda m: m[0].replace(" ", "\u00a0"), each) for each in laid]
    return [" ".join(together), *(markup(each, bold=True) for each in row.marks)]


def _fell(fall: Fall | None) -> str:
    if fall is None:
        return markup("nothing: the kerf takes it")
    room = 70 * mm
    name = tagged(shortened(fall.name, RIG, room, bold=True), bold=True) + " " if fall.name else ""
    doing = markup(fall.doing + ".", bold=fall.kind in ("part", "offcut"))
    piece = markup(f"({fall.piece})") if fall.name else markup(f"{fall.piece},", bold=True)
    return f"{name}{piece} {markup(fall.size + ':')} {doing}"


def _measure(row: CutRow) -> str:
    each = row.measure
    assert each is not None
    band = markup(f"go {each.low} to {each.high}", bold=True)
    return f"{markup(each.piece)} {markup(each.expected)}, {band}; is {'_' * 9}"
