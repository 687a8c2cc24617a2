"""Boxes of the pages that are read at a desk: rows of cells, boxes side by side or kept together, headings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from reportlab.lib.units import mm

from stripplan.sheets.paper.flow import HEADING_GAP, Box, Section, Words
from stripplan.sheets.paper.paragraph import Paragraph, paragraph
from stripplan.sheets.paper.text import DESK, RIG, markup, points

BOX = f'<font size="{points(3.2):.1f}">☐</font>'
GUTTER = 5 * mm


@dataclass(frozen=True)
class Row:
    """Cells of markup side by side; `shares` divide the width. Ruled below, unless it goes on."""

    cells: tuple[str, ...]
    shares: tuple[float, ...]
    width: float
    bold: bool = False
    outline: str = ""
    size: float = DESK
    ruled: bool = True

    @cached_property
    def _set(self) -> list[tuple[Paragraph, float]]:
        whole = sum(self.shares)
        made = []
        at = 0.0
        for cell, share in zip(self.cells, self.shares, strict=True):
            room = self.width * share / whole
            made.append((paragraph(cell, self.size, room - 2 * mm, bold=self.bold), at))
            at += room
        return made

    @property
    def height(self) -> float:
        """Height [pt]."""
        return float(max(words.height for words, _ in self._set) + (1.8 if self.ruled else 0.8) * mm)

    def draw(self, canvas: Any, x: float, top: float) -> None:
        """Draw it with its top left corner at (x, top)."""
        for words, at in self._set:
            words.draw(canvas, x + at, top - 0.4 * mm)
        if not self.ruled:
            return
        canvas.setStrokeGray(0 if self.bold else 0.6)
        canvas.setLineWidth(0.8 if self.bold else 0.4)
        canvas.line(x, top - self.height + 0.3 * mm, x + self.width, top - self.height + 0.3 * mm)


@dataclass(frozen=True)
class Together:
    """Boxes below each other that no page parts."""

    boxes: tuple[Box, ...]
    outline: str = ""

    @property
    def height(self) -> float:
        """Height [pt]."""
        return sum(box.height for box in self.boxes)

    def draw(self, canvas: Any, x: float, top: float) -> None:
        """Draw it with its top left corner at (x, top)."""
        for box in self.boxes:
            box.draw(canvas, x, top)
            top -= box.height


@dataclass(frozen=True)
class Beside:
    """Two boxes side by side, `apart` from left edge to left edge [pt]."""

    left: Box
    right: Box | None
    apart: float
    outline: str = ""

    @property
    def height(self) -> float:
        """Height [pt]."""
        return max(self.left.height, self.right.height if self.right is not None else 0.0)

    def draw(self, canvas: Any, x: float, top: float) -> None:
        """Draw it with its top left corner at (x, top)."""
        self.left.draw(canvas, x, top)
        if self.right is not None:
            self.right.draw(canvas, x + self.apart, top)


def section_of(title: str, boxes: Sequence[Any], width: float) -> Section:
    return Section(title, [heading_of(title, width)], boxes, fresh=False, whole=True)


def heading_of(title: str, width: float) -> Words:
    return Words(markup(title), width, RIG, bold=True, above=HEADING_GAP)


def line_of(text: str, width: float, *, bold: bool = False, size: float = DESK) -> Words:
    return Words(markup(text), width, size, bold=bold)


def ended_by(rows: Sequence[Box], end: Sequence[Box]) -> list[Box]:
    """Rows with what stands at their end and means nothing on a page without the last of them."""
    return [*rows[:-1], Together((*rows[-1:], *end))] if rows or end else []
