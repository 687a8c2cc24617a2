"""Paragraphs of the sheet: bold and grey words set to a width.

The markup is a small part of HTML: <b>, <font color="..."> or <font size="...">, <br/>. Lines are broken first and then
put into the order in which they are read (`text.as_read`), so that text from right to left begins on its first line.
One paragraph is set and drawn in a tenth of a millisecond or two: a cut has eight.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from html import unescape
from itertools import chain, repeat
from typing import Any

from reportlab.pdfbase import pdfmetrics

from stripplan.sheets.paper.text import BOLD, REGULAR, as_read, load_fonts

_TOKEN = re.compile(r'<(/?)(b|font|br)(?:/| (color|size)="([^"]*)")?>|([^<]+)')
_BREAK = re.compile("( +)")
SLACK, TIGHT = 1e-3, 0.05
"""How far a line may run beyond its width [pt], and by which share of its spaces: no word turns to a new line for a
hair."""


@dataclass(frozen=True, slots=True)
class _Look:
    font: str
    size: float
    colour: str = "#000000"


Piece = tuple[str, _Look]
"""Letters of one look."""


@dataclass(frozen=True, slots=True)
class Paragraph:
    """Lines that are set, in the order of print; `leading` from line to line, the first base line `size` below the top
    [pt].

    `beside` = (so many lines, begin so far to the right), for a paragraph that runs round something.
    """

    lines: tuple[tuple[Piece, ...], ...]
    leading: float
    size: float
    beside: tuple[int, float] = (0, 0.0)

    @property
    def height(self) -> float:
        """Height [pt]."""
        return self.leading * len(self.lines)

    def draw(self, canvas: Any, x: float, top: float) -> None:
        """Draw it with its top left corner at (x, top)."""
        canvas.saveState()
        words = canvas.beginText(x, top - self.size)
        now: _Look | None = None
        for number, line in enumerate(self.lines):
            right = self.beside[1] if number < self.beside[0] else 0.0
            words.setTextOrigin(x + right, top - self.size - number * self.leading)
            for text, look in line:
                if now is None or (now.font, now.size) != (look.font, look.size):
                    words.setFont(look.font, look.size)
                if now is None or now.colour != look.colour:
                    words.setFillColor(look.colour)
                now = look
                words.textOut(text)
        canvas.drawText(words)
        canvas.restoreState()


def paragraph(
    marked_up: str,
    size: float,
    width: float,
    *,
    bold: bool = False,
    leading: float = 1.17,
    beside: tuple[int, float] = (0, 0.0),
) -> Paragraph:
    """Markup set to a width [pt]; `leading` is from line to line, over the size. A word wider than that is broken.

    The first `beside[0]` lines begin `beside[1]` further right.
    """
    load_fonts()
    look = _Look(BOLD if bold else REGULAR, size)
    rooms = chain(repeat(width - beside[1], beside[0]), repeat(width))
    lines = [line for part in _parts(marked_up, look) for line in _broken(part, rooms)]
    return Paragraph(tuple(tuple(_turned(line)) for line in lines), size * leading, size, beside)


def _parts(marked_up: str, look: _Look) -> Iterator[list[Piece]]:
    """Pieces of one look, up to each forced break."""
    found: list[Piece] = []
    looks = [look]
    for token in _TOKEN.finditer(marked_up):
        closes, tag, attribute, value, text = token.groups()
        if text is not None:
            found.append((unescape(text), looks[-1]))
        elif tag == "br":
            yield found
            found = []
        elif closes:
            looks.pop()
        elif tag == "b":
            looks.append(replace(looks[-1], font=BOLD))
        elif attribute == "size":
            looks.append(replace(looks[-1], size=float(value)))
        else:
            looks.append(replace(looks[-1], colour=value))
    yield found


def _broken(pieces: list[Piece], rooms: Iterator[float]) -> Iterator[list[Piece]]:
    """Lines: as many words on each as its width of `rooms` holds; a word wider than a line begins where the last one
    ends."""
    width = next(rooms)
    line: list[Piece] = []
    between: list[Piece] = []
    used, spaces = 0.0, 0.0
    for word in _words(pieces):
        if word[0][0] == " ":
            between = word if line else []
            continue
        gap, wide = _wide(between), _wide(word)
        while wide > width + SLACK:
            head, word = _split(word, width - used - gap, least=0 if line else 1)
            if head:
                line += between + head
            yield line
            width = next(rooms)
            line, between, used, spaces, gap, wide = [], [], 0.0, 0.0, 0.0, _wide(word)
        if line and used + gap + wide > width + SLACK + TIGHT * (spaces + gap):
            yield line
            width = next(rooms)
            line, between, used, spaces, gap = [], [], 0.0, 0.0, 0.0
        line += between + word
        used += gap + wide
        spaces += gap
        between = []
    yield line


def _words(pieces: list[Piece]) -> Iterator[list[Piece]]:
    """Words of one or more pieces, and a space between each two."""
    word: list[Piece] = []
    for text, look in pieces:
        for each in _BREAK.split(text):
            if each.startswith(" "):
                if word:
                    yield word
                    word = []
                yield [(" ", look)]
            elif each:
                word.append((each, look))
    if word:
        yield word


def _split(word: list[Piece], width: float, *, least: int) -> tuple[list[Piece], list[Piece]]:
    """As many letters of a word as the width holds, at least so many; and the others."""
    head: list[Piece] = []
    used = 0.0
    for number, (text, look) in enumerate(word):
        wide = _wide([(text, look)])
        if used + wide <= width + SLACK:
            head.append((text, look))
            used += wide
            continue
        count = len(text)
        while count and used + _wide([(text[:count], look)]) > width + SLACK:
            count -= 1
        count = max(count, 0 if head else least)
        head += [(text[:count], look)] if count else []
        return head, [each for each in ((text[count:], look), *word[number + 1 :]) if each[0]]
    return head, []


def _wide(pieces: list[Piece]) -> float:
    return float(sum(pdfmetrics.stringWidth(text, look.font, look.size) for text, look in pieces))


def _turned(line: list[Piece]) -> Iterator[Piece]:
    """Neighbours of one look as one piece, in the order of print."""
    text, look = "", None
    for piece, each in line:
        if each != look:
            if look is not None:
                yield as_read(text), look
            text, look = "", each
        text += piece
    if look is not None:
        yield as_read(text), look
