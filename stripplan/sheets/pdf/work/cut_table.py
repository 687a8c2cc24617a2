"""One cut as a row: what is set in big figures, what to do in a few lines. Many cuts to a page, without pictures."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

from reportlab.lib.units import mm

from stripplan.sheets.paper.paragraph import Paragraph, paragraph
from stripplan.sheets.paper.text import BOLD, DESK, GREY, REGULAR, markup, points, width_of
from stripplan.sheets.pdf.work.run_block import after, dry_run, resting, row_lines
from stripplan.sheets.pdf.work.set_up_band import fewest_lines
from stripplan.sheets.pdf.work.set_up_block import LEADING, figures, lay, piece, steps
from stripplan.sheets.rows.row_types import CutRow, Field, RunRow

TICK = 7 * mm
PAD = 1.5 * mm
FIGURE = points(5)
"""Figures that are set: preferred height at 0.8 m (NUREG-0700, 11.4.1.5-1: 0.006 of the distance) [pt]."""
LEAST = FIGURE * 0.75 + 2 * PAD + DESK
"""Least height of a row: a caption and a figure [pt]."""
WORDS = 0.55
"""Share of the width that the words have at least."""


@dataclass(frozen=True)
class CutLine:
    """The row of one cut, `width` wide [pt], with figures in columns that all rows share. Where it goes on with a run
    it tells what is new."""

    run: RunRow
    number: int
    width: float
    columns: tuple[float, ...]
    outline: str = ""

    @property
    def row(self) -> CutRow:
        """The cut."""
        return self.run.cuts[self.number]

    @cached_property
    def _words(self) -> list[Paragraph]:
        room = self.width - self._from - PAD
        before = self.run.cuts[self.number - 1]
        told = row_lines(self.run, self.row, before, few=True) if self.number else _told(self.row)
        return fewest_lines(told, lambda text, _: paragraph(text, DESK, room, leading=LEADING))

    @property
    def _from(self) -> float:
        """Where the words start [pt]."""
        return float(TICK + 2 * PAD + sum(self.columns))

    @property
    def height(self) -> float:
        """Height [pt]."""
        return float(max(sum(words.height for words in self._words) + 2 * PAD, LEAST))

    def draw(self, canvas: Any, x: float, top: float) -> None:
        """Draw it with its top left corner at (x, top)."""
        canvas.setStrokeGray(0)
        canvas.setLineWidth(1.2)
        canvas.rect(x + PAD / 2, top - PAD - TICK, TICK, TICK)
        at = x + TICK + 2 * PAD
        for (label, figure), wide in zip(_set(self.row), self.columns, strict=True):
            canvas.setFillColor("#000000" if figure.changed else GREY)
            canvas.setFont(BOLD if figure.changed else REGULAR, DESK)
            canvas.drawString(at, top - PAD - DESK * 0.75, label)
            canvas.setFont(BOLD if figure.changed else REGULAR, _size(figure.text, wide))
            canvas.drawString(at, top - PAD - DESK - FIGURE * 0.78, figure.text)
            at += wide
        upper = top - PAD
        for words in self._words:
            words.draw(canvas, at, upper)
            upper -= words.height
        canvas.setLineWidth(0.8)
        canvas.line(x, top - self.height, x + self.width, top - self.height)


def cut_lines(runs: tuple[RunRow, ...], width: float) -> list[list[CutLine]]:
    """Rows of all cuts, run by run, their figures below one another."""
    rows = [_set(row) for run in runs for row in run.cuts]
    least = [max(_wide(label, figure) for label, figure in column) for column in zip(*rows, strict=True)]
    over = sum(least) - (1 - WORDS) * width + TICK + 2 * PAD
    if over > 0:  # only a marked cut with two distances, or two end stops, is that wide
        widest = max(range(len(least)), key=lambda each: least[each])
        least[widest] -= over
    return [
        [
            CutLine(run, number, width, tuple(least), f"Cut {row.number}, plate {row.plate.text}")
            for number, row in enumerate(run.cuts)
        ]
        for run in runs
    ]


def _set(row: CutRow) -> list[tuple[str, Field]]:
    """Number, fence (or scribed distance) and end stop: what is read from far; plate and speed stand in the words."""
    (cut, number, _), _, (fence, reading, _), *bar_stop, (stop, at, _), _ = figures(row)
    if bar_stop and row.bar_stop is not None:
        both = Field(f"{reading.text} / {row.bar_stop.text}", reading.changed or row.bar_stop.changed)
        fence, reading = f"{'SET' if both.changed else 'same'} bar / {row.bar_side[0].upper()}", both
    return [(cut, number), (fence.replace(" from", ""), reading), (stop.replace(" end", ""), at)]


def _wide(label: str, figure: Field) -> float:
    return float(max(width_of(figure.text, FIGURE, bold=True), width_of(label, DESK, bold=True)) + 3 * mm)


def _size(text: str, wide: float) -> float:
    return float(min(FIGURE, FIGURE * (wide - 2 * mm) / max(width_of(text, FIGURE, bold=True), 1.0)))


def _told(row: CutRow) -> list[str]:
    """All that the block of the cut says: what comes before and how it lies; then left and right, with what they
    measure."""
    told = [markup(f"Plate {row.plate.text}.", bold=True)] if row.plate.changed else []
    told += [dry_run(row)] if row.dry_run else []
    told += [piece(row) + (":" if row.steps else ".")]
    told += [steps(row)] if row.steps else []
    if row.speed.changed:
        label, speed, behind = figures(row)[-1]
        told.append(markup(f"{label} {speed.text}", bold=True) + markup(f" ({behind})."))
    told += [*lay(row, face=row.face.changed), markup(row.hold, bold=True)]
    told += [markup(f"{row.length.text}.", bold=True)] if row.length.changed else []
    told += [*resting(row), markup(row.passes_in_few)]
    return [" ".join(filter(None, told)), " ".join(after(RunRow((row,), ""), row, alone=True))]
