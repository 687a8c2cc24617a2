"""Type on paper: the embedded font, the sizes, and foreign text made fit to print.

Sizes follow NUREG-0700 rev. 3, 11.4.1.5-1 (preferred height of capitals 0.006, least 0.004 of the reading
distance). The four numbers of a cut are 7 mm high (preferred at 1 m: 6.0), the rest of the cuts 3.5 mm (least at
0.7 m: 2.8), lists 2.8 mm.

The font is DejaVu Sans Condensed (Latin, Greek, Cyrillic, Hebrew, Arabic, signs). A character that it lacks
is printed as [U+hhhh]. Runs of right-to-left letters are set in the order in which they are read; Arabic
letters are not joined.
"""

from __future__ import annotations

import io
import re
import unicodedata
from functools import cache
from html import escape
from importlib import resources
from typing import Any

from reportlab.lib.enums import TA_CENTER, TA_LEFT
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.platypus import Paragraph

REGULAR = "DejaVuSansCondensed"
BOLD = "DejaVuSansCondensed-Bold"
CAPITALS = 1493 / 2048
"""Height of capitals of this font over its size."""

TOLD = 12
"""So many letters of a text that the font lacks are shown by their number, further ones as a question mark."""
PLANE = 0x10000
"""Characters beyond it are not copied rightly out of a PDF by this writer, so they are shown by number."""

GREY = "#555555"
"""What stays as it was: grey, but dark enough for any printer."""

_RTL = ("R", "AL")
_WEAK = ("EN", "AN", "NSM", "ES", "CS", "ET", "WS", "ON")
_MIRROR = str.maketrans("()[]{}<>«»", ")(][}{><»«")
_CLUSTER = re.compile(r"\d[\d.,]*\d|.", re.DOTALL)


def points(capitals: float) -> float:
    """Font size [pt] that makes capitals that high [mm].

    >>> round(points(7.2))
    28
    """
    return float(capitals * mm / CAPITALS)


BIG = 28.0
RIG = points(3.5)
DESK = points(2.8)


_PLAIN = re.compile("[ -~\u00b0-\u00b3\u00d7\u2013\u2026]*")
"""Letters that the font is known to have and that run from left to right: nothing to look up."""


@cache
def load_fonts() -> dict[int, int]:
    """Register the fonts once a process; returns the characters that both can show."""
    faces = []
    for name in (REGULAR, BOLD):
        data = resources.files(__package__).joinpath("fonts", f"{name}.ttf").read_bytes()
        font = TTFont(name, io.BytesIO(data))
        pdfmetrics.registerFont(font)
        faces.append(font.face.charToGlyph)
    pdfmetrics.registerFontFamily(REGULAR, normal=REGULAR, bold=BOLD, italic=REGULAR, boldItalic=BOLD)
    return {code: glyph for code, glyph in faces[0].items() if code in faces[1] and code < PLANE}


def printable(text: str) -> str:
    """Text that the font can show, in the order in which it is to be printed.

    >>> printable("rail" + chr(0x1F600))
    'rail[U+1F600]'
    """
    if _PLAIN.fullmatch(text):
        return text
    known = load_fonts()
    shown: list[str] = []
    told = 0
    for letter in unicodedata.normalize("NFC", text):
        if letter.isspace():
            shown.append("\u00a0" if letter == "\u00a0" else " ")
        elif ord(letter) in known and unicodedata.category(letter)[0] != "C":
            shown.append(letter)
        else:  # so many numbers tell names apart; more would outgrow a page
            told += 1
            shown.append(f"[U+{ord(letter):04X}]" if told <= TOLD else "?")
    return _as_read("".join(shown))


def _as_read(text: str) -> str:
    """Each run from one right-to-left letter to the last before a left-to-right one, turned round; numbers stay."""
    kinds = [unicodedata.bidirectional(letter) for letter in text]
    out, at = [], 0
    while at < len(text):
        if kinds[at] not in _RTL:
            out.append(text[at])
            at += 1
            continue
        end = last = at
        while end < len(text) and kinds[end] in _RTL + _WEAK:
            last = end if kinds[end] in _RTL else last
            end += 1
        out.append("".join(reversed(_CLUSTER.findall(text[at : last + 1]))).translate(_MIRROR))
        at = last + 1
    return "".join(out)


def markup(text: str, *, bold: bool = False, grey: bool = False) -> str:
    """Text as a piece of paragraph markup."""
    return tagged(printable(text), bold=bold, grey=grey)


def tagged(text: str, *, bold: bool = False, grey: bool = False) -> str:
    """Printable text as a piece of paragraph markup."""
    made = escape(text, quote=False)
    if bold:
        made = f"<b>{made}</b>"
    return f'<font color="{GREY}">{made}</font>' if grey else made


def flagged(text: str, changed: bool) -> str:
    """What changed in bold, what stays in grey."""
    return markup(text, bold=changed, grey=not changed)


@cache
def style(size: float, *, centred: bool = False, bold: bool = False, leading: float = 1.17) -> ParagraphStyle:
    """Paragraph style of a size [pt]; `leading` is from line to line, over the size."""
    load_fonts()
    return ParagraphStyle(
        f"{size:.2f}-{centred}-{bold}-{leading}",
        fontName=BOLD if bold else REGULAR,
        fontSize=size,
        leading=size * leading,
        alignment=TA_CENTER if centred else TA_LEFT,
        splitLongWords=1,
    )


def paragraph(
    marked_up: str, size: float, width: float, *, bold: bool = False, leading: float = 1.17
) -> tuple[Any, float]:
    """A paragraph of markup set to a width, and its height [pt]."""
    made = Paragraph(marked_up, style(size, bold=bold, leading=leading))
    _, height = made.wrap(width, 1e6)
    return made, float(height)


def width_of(text: str, size: float, *, bold: bool = False) -> float:
    """Width of printable text [pt]."""
    load_fonts()
    return float(pdfmetrics.stringWidth(text, BOLD if bold else REGULAR, size))


def shortened(text: str, size: float, width: float, *, bold: bool = False) -> str:
    """Printable text, cut with an ellipsis to fit a width [pt]."""
    text = printable(text)
    if width_of(text, size, bold=bold) <= width:
        return text
    while text and width_of(text + "…", size, bold=bold) > width:
        text = text[:-1]
    return text.rstrip() + "…"
