"""The low block: what is set stands big on the left, what to do runs beside and below it, the picture of how the piece
lies on the right.

A cut of one pass along the fence, and the head of each run, stand in one. What stays as it was for the cut before is
not said again, but for the readings of fence and end stop, which stand grey.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from reportlab.lib.units import mm

from stripplan.sheets.paper.paragraph import Paragraph, paragraph
from stripplan.sheets.paper.text import BIG, BOLD, GREY, REGULAR, RIG, width_of
from stripplan.sheets.pdf.work.set_up_block import PAD, Figure, figures
from stripplan.sheets.picture.on_rig.piece import draw_lie
from stripplan.sheets.rows.row_types import CutRow

PICTURE = 33 * mm
HEAD = 13.2 * mm
TICK = 8.5 * mm
INSIDE = 0.8 * mm
GAP = 1.0 * mm
"""Between two blocks."""
ABOVE = 1.4 * mm
"""Over the words beside the figures: a third line then clears the figures."""
LEADING = 1.05
LEAST, MARKED, TWO_PASSES, ASLANT = 26 * mm, 34 * mm, 46 * mm, 42 * mm
"""Least height [pt]: letters in the picture of a lower one would not be read; one of two passes, or of a piece that is
no rectangle, says more."""
BESIDE = 44 * mm
"""Words run beside the figures where they have so much room there [pt]."""
APART = 3.5 * mm
CLEAR = 1.3 * mm
"""Between words and picture, more than the room of the words leaves."""


@dataclass(frozen=True)
class Band:
    """Figures with words and picture, `width` wide; `texts` are paragraphs of markup. `tick` leaves room for a box to
    tick."""

    row: CutRow
    texts: tuple[str, ...]
    width: float
    name: str = ""
    tick: bool = True

    @property
    def room(self) -> float:
        """Width of the words [pt]."""
        return float(self.width - PICTURE - 2 * PAD)

    @property
    def least(self) -> float:
        """Least height [pt]."""
        if self.row.lie.shape is not None:
            return float(ASLANT)
        return float(TWO_PASSES if self.row.passes else MARKED if self.row.marks else LEAST)

    @property
    def _from(self) -> float:
        return float(PAD + (TICK + PAD if self.tick else 0.0))

    @cached_property
    def figures(self) -> list[list[tuple[Figure, float]]]:
        """Rows of figures, each with its width [pt]."""
        return rows_of(set_figures(self.row, self.name), self.room - self._from + PAD)

    @cached_property
    def _beside(self) -> bool:
        return len(self.figures) == 1 and self.room - self._taken >= BESIDE

    @property
    def _taken(self) -> float:
        return float(self._from - PAD + sum(wide for _, wide in self.figures[0]))

    @cached_property
    def words(self) -> list[Paragraph]:
        """The words, the first two lines beside the figures where there is room."""

        def set_in(text: str, above: int) -> Paragraph:
            beside = max(0, 2 - above) if self._beside else 0
            return paragraph(text, RIG, self.room, leading=LEADING, beside=(beside, self._taken))

        return fewest_lines(self.texts, set_in)

    @property
    def told(self) -> float:
        """How far down figures and words reach [pt]."""
        head = HEAD * len(self.figures)
        words = sum(each.height for each in self.words)
        return float((max(head, words + ABOVE) if self._beside else head + words) + INSIDE)

    def draw(self, canvas: Any, x: float, top: float) -> None:
        """Draw figures and words with their top left corner at (x, top)."""
        if self.tick:
            canvas.setStrokeGray(0)
            canvas.setLineWidth(1.4)
            canvas.rect(x + PAD, top - (HEAD + TICK) / 2, TICK, TICK)
        draw_set(canvas, self.figures, x + self._from, top)
        upper = top - (ABOVE if self._beside else HEAD * len(self.figures))
        for each in self.words:
            each.draw(canvas, x + PAD, upper)
            upper -= each.height

    def draw_picture(self, canvas: Any, shown: CutRow, x: float, top: float, height: float) -> None:
        """Draw how the piece lies, right of all, as high as the block; "stop" and "start" stand clear of the words."""
        left, wide = x + self.width - PICTURE - PAD / 2 + CLEAR, PICTURE - CLEAR
        draw_lie(canvas, shown, left, top - height + INSIDE, wide, height - 2 * INSIDE)


@dataclass(frozen=True)
class LowBlock:
    """The block of one cut."""

    row: CutRow
    width: float
    texts: tuple[str, ...]
    outline: str = ""

    @cached_property
    def band(self) -> Band:
        """What stands in it."""
        return Band(self.row, self.texts, self.width)

    @property
    def _high(self) -> float:
        return max(self.band.told, self.band.least)

    @property
    def height(self) -> float:
        """Height with the gap below [pt]."""
        return float(self._high + GAP)

    def draw(self, canvas: Any, x: float, top: float) -> None:
        """Draw it with its top left corner at (x, top)."""
        canvas.setStrokeGray(0)
        canvas.setLineWidth(1.4)
        canvas.rect(x, top - self._high, self.width, self._high)
        self.band.draw(canvas, x, top)
        self.band.draw_picture(canvas, self.row, x, top, self._high)


def fewest_lines(texts: Sequence[str], set_in: Callable[[str, int], Paragraph]) -> list[Paragraph]:
    """Each text as a paragraph of its own, or two as one where that saves a line; `set_in` is told how many lines stand
    above."""
    apart: list[Paragraph] = []
    for text in texts:
        apart.append(set_in(text, sum(len(each.lines) for each in apart)))
    in_one = set_in(" ".join(texts), 0)
    return [in_one] if len(texts) == 2 and len(in_one.lines) < sum(len(each.lines) for each in apart) else apart


def set_figures(row: CutRow, name: str = "") -> list[Figure]:
    """What is read from afar: the number; plate and speed where they are new; fence and end stop."""
    number, plate, *where, (stop, at, _), speed = figures(row, name)
    new = [plate] if row.plate.changed else []
    short = stop if row.angle is not None else stop.replace("end ", "")  # the mitre bar has a stop of its own
    return [number, *new, *where, (short, at, ""), *([speed] if row.speed.changed else [])]


def rows_of(found: list[Figure], width: float) -> list[list[tuple[Figure, float]]]:
    """Figures side by side, each as wide as it needs, in as many rows."""
    rows: list[list[tuple[Figure, float]]] = [[]]
    used = 0.0
    for each in found:
        label, figure, behind = each
        wide = width_of(figure.text, BIG, bold=True) + (width_of(behind, RIG) + 2 * mm if behind else 0.0)
        least = max(wide, width_of(label, RIG, bold=True)) + APART
        if used + least - APART > width and rows[-1]:
            rows.append([])
            used = 0.0
        rows[-1].append((each, least))
        used += least
    return rows


def draw_set(canvas: Any, rows: list[list[tuple[Figure, float]]], x: float, top: float) -> None:
    """Draw figures under what they are, the first row at `top`."""
    for number, line in enumerate(rows):
        at, upper = x, top - number * HEAD
        for (label, figure, behind), width in line:
            canvas.setFillColor("#000000" if figure.changed else GREY)
            canvas.setFont(BOLD if figure.changed else REGULAR, RIG)
            canvas.drawString(at, upper - 4.2 * mm, label)
            canvas.setFont(BOLD if figure.changed else REGULAR, BIG)
            canvas.drawString(at, upper - 12.0 * mm, figure.text)
            if behind:
                wide = width_of(figure.text, BIG, bold=figure.changed)
                canvas.setFont(REGULAR, RIG)
                canvas.drawString(at + wide + 2 * mm, upper - 12.0 * mm, behind)
            at += width
