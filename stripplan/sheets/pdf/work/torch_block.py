"""How the torch is set up, before the first cut with a process."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

from reportlab.lib.units import mm

from stripplan.sheets.paper.paragraph import Paragraph, paragraph
from stripplan.sheets.paper.text import RIG, markup, points
from stripplan.sheets.pdf.work.set_up_block import BETWEEN, LEADING, PAD
from stripplan.sheets.rows.row_types import CutRow, Torch

TITLE = points(5)


@dataclass(frozen=True)
class TorchBox:
    """The block before a cut that changes the process: what to fit and set on torch and power source, and the speed by
    a watch."""

    row: CutRow
    torch: Torch
    width: float
    outline: str = ""

    @cached_property
    def _words(self) -> list[Paragraph]:
        room = self.width - 2 * PAD
        facts = ", ".join(f"{markup(name)} {markup(figure, bold=True)}" for name, figure in self.torch.facts)
        speed = markup(f"; {self.row.travel_speed}, that is {self.row.timed}.")
        return [
            paragraph(markup(f"{self.torch.title}:", bold=True), TITLE, room, leading=LEADING),
            paragraph(facts + speed, RIG, room, leading=LEADING),
        ]

    @property
    def _high(self) -> float:
        return float(sum(words.height for words in self._words) + 2 * mm)

    @property
    def height(self) -> float:
        """Height with the gap below [pt]."""
        return float(self._high + BETWEEN)

    def draw(self, canvas: Any, x: float, top: float) -> None:
        """Draw it with its top left corner at (x, top)."""
        canvas.setStrokeGray(0)
        canvas.setLineWidth(2.4 if self.torch.change else 1.2)
        canvas.rect(x, top - self._high, self.width, self._high)
        upper = top - 0.8 * mm
        for words in self._words:
            words.draw(canvas, x + PAD, upper)
            upper -= words.height
