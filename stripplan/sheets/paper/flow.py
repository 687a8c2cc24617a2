"""Boxes of known height, dealt out to pages; no box is ever split.

Everything is measured before anything is drawn, so the number of pages is known on the first page.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, Protocol

from reportlab.lib.pagesizes import A4, letter
from reportlab.lib.units import mm

from stripplan.sheets.paper.paragraph import Paragraph, paragraph
from stripplan.sheets.paper.stamp import stamp_box
from stripplan.sheets.paper.text import BOLD, DESK, REGULAR, as_read, load_fonts, points, shortened, width_of

PAGES = {"a4": A4, "letter": letter}
GAP = 2 * mm
HEADING_GAP = 3 * mm
SLACK = 1e-6


@dataclass(frozen=True)
class Frame:
    """A page's size and the room inside its margins [pt]."""

    width: float
    height: float
    margin: float = 8 * mm
    head: float = 9 * mm
    foot: float = 6 * mm

    @property
    def inner(self) -> float:
        """Width between the margins."""
        return self.width - 2 * self.margin

    @property
    def top(self) -> float:
        """Where the first box starts."""
        return self.height - self.margin - self.head

    @property
    def room(self) -> float:
        """Height that boxes may fill."""
        return self.top - self.margin - self.foot


def frame(page: str) -> Frame:
    """The frame of "a4" or "letter" paper, upright."""
    width, height = PAGES[page]
    return Frame(width, height)


class Box(Protocol):
    """Something of a known height that can be drawn with its top left corner at (x, top)."""

    @property
    def height(self) -> float:
        """Height [pt]."""

    @property
    def outline(self) -> str:
        """Entry in the document's outline; empty = none."""

    def draw(self, canvas: Any, x: float, top: float) -> None:
        """Draw it."""


@dataclass(frozen=True)
class Words:
    """A paragraph of markup."""

    text: str
    width: float
    size: float = DESK
    bold: bool = False
    above: float = 0.0
    outline: str = ""

    @cached_property
    def _set(self) -> Paragraph:
        return paragraph(self.text, self.size, self.width, bold=self.bold)

    @property
    def height(self) -> float:
        """Height with a gap below and `above` [pt]."""
        return float(self.above + self._set.height + GAP / 2)

    def draw(self, canvas: Any, x: float, top: float) -> None:
        """Draw it with its top left corner at (x, top)."""
        self._set.draw(canvas, x, top - self.above)


@dataclass(frozen=True)
class Section:
    """Boxes under a heading that is repeated on each page they fill.

    `fresh` starts on a new page; `whole` starts on a new page where the section would not fit into what is
    left of one, but would fit a page of its own. `again` stands in place of the heading on further pages, all of
    them or that which a box begins. A section without a title has no entry in the outline.
    """

    title: str
    heading: Sequence[Box]
    boxes: Sequence[Box]
    fresh: bool = True
    whole: bool = False
    again: Sequence[Box] | Callable[[int], Sequence[Box]] | None = None

    def again_at(self, first: int) -> Sequence[Box]:
        """What stands over a page that goes on with the box of that number."""
        if self.again is None:
            return self.heading
        return self.again(first) if callable(self.again) else self.again

    @property
    def height(self) -> float:
        """Height of all of it [pt]."""
        return sum(box.height for box in (*self.heading, *self.boxes))


@dataclass
class Sheet:
    """One page: boxes with the height of their tops, and the outline's entries."""

    placed: list[tuple[Box, float]] = field(default_factory=list)
    titles: list[str] = field(default_factory=list)


def paginate(sections: Sequence[Section], room: float) -> list[Sheet]:
    """Deal sections out to pages of height `room` [pt]; depths are measured from the top.

    Raises ValueError for a box that fits no page.
    """
    dealer = _Dealer(room)
    for section in sections:
        dealer.deal(section)
    return dealer.pages


class _Dealer:
    """Pages as they fill."""

    def __init__(self, room: float) -> None:
        self.pages: list[Sheet] = []
        self._room = room
        self._left = 0.0

    def deal(self, section: Section) -> None:
        """Place a section: its heading goes before its first box and again on each further page."""
        head = sum(box.height for box in section.heading)
        cramped = section.whole and self._left < section.height <= self._room
        if section.fresh or cramped or not self._fits(head + section.boxes[0].height):
            self._turn()
        if section.title:
            self.pages[-1].titles.append(section.title)
        self._place(*section.heading)
        for number, box in enumerate(section.boxes):
            if head + box.height > self._room + SLACK:
                raise ValueError(
                    f"{section.title}: a block {box.height:.0f} pt high fits no page of {self._room:.0f} pt"
                )
            if not self._fits(box.height) or self._leaves_one(section, number):
                self._turn()
                self._place(*section.again_at(number))
            self._place(box)

    def _leaves_one(self, section: Section, number: int) -> bool:
        """Whether the last row of a run that goes on overleaf would stand there alone, under its head: it takes the row
        before along."""
        if section.again is None or number == 0 or number != len(section.boxes) - 2:
            return False
        both = section.boxes[-2].height + section.boxes[-1].height
        again = sum(box.height for box in section.again_at(number))
        return not self._fits(both) and again + both <= self._room

    def _fits(self, height: float) -> bool:
        return height <= self._left + SLACK

    def _turn(self) -> None:
        self.pages.append(Sheet())
        self._left = self._room

    def _place(self, *boxes: Box) -> None:
        for box in boxes:
            self.pages[-1].placed.append((box, self._room - self._left))
            self._left -= box.height


def draw_pages(
    canvas: Any, pages: Sequence[Sheet], on: Frame, job: str, tag: str, foot: str, *, checked: bool = True
) -> None:
    """Draw all pages with their head, foot and outline entries; a plan that was not `checked` is stamped on each."""
    load_fonts()
    serial = 0
    for number, page in enumerate(pages, 1):
        _head(canvas, on, job, f"{tag}  page {number} of {len(pages)}")
        for title in page.titles:
            serial += 1
            _entry(canvas, title, serial, 0, on.top)
        for box, depth in page.placed:
            if box.outline:
                serial += 1
                _entry(canvas, box.outline, serial, 1, on.top - depth)
            box.draw(canvas, on.margin, on.top - depth)
        _foot(canvas, on, foot)
        if not checked:
            stamp_box(canvas, on.margin, on.margin, on.inner, on.top - on.margin)
        canvas.showPage()


def _entry(canvas: Any, title: str, serial: int, level: int, top: float) -> None:
    key = f"place-{serial}"
    canvas.bookmarkHorizontalAbsolute(key, top)
    canvas.addOutlineEntry(title, key, level=level, closed=level == 0)


def _head(canvas: Any, on: Frame, job: str, right: str) -> None:
    size, base = points(3.5), on.height - on.margin - 4.5 * mm
    wide = width_of(right, size, bold=True)
    canvas.setFillGray(0)
    canvas.setFont(REGULAR, size)
    canvas.drawString(on.margin, base, as_read(shortened(job, size, on.inner - wide - 12)))
    canvas.setFont(BOLD, size)
    canvas.drawRightString(on.width - on.margin, base, right)
    canvas.setLineWidth(0.8)
    canvas.setStrokeGray(0)
    canvas.line(on.margin, base - 2 * mm, on.width - on.margin, base - 2 * mm)


def _foot(canvas: Any, on: Frame, text: str) -> None:
    canvas.setFillGray(0)
    canvas.setFont(REGULAR, points(1.9))
    canvas.drawString(on.margin, on.margin, as_read(shortened(text, points(1.9), on.inner)))
