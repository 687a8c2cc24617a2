"""Type on paper: the embedded font, the sizes, and foreign text made fit to print.

Sizes follow NUREG-0700 rev. 3, 11.4.1.5-1 (preferred height of capitals 0.006, least 0.004 of the reading
distance). The four numbers of a cut are 7 mm high (preferred at 1 m: 6.0), the rest of the cuts 3.5 mm (least at
0.7 m: 2.8), lists 2.8 mm.

The font is DejaVu Sans Condensed (Latin, Greek, Cyrillic, Hebrew, Arabic, signs). A character that it lacks
is printed as [U+hhhh]. Lines with right-to-left letters are put into the order of print (UAX #9); Arabic letters
are not joined.
"""

from __future__ import annotations

import io
import re
import unicodedata
from functools import cache
from html import escape
from importlib import resources

from reportlab.lib.enums import TA_CENTER, TA_LEFT
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

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
_MIRROR = str.maketrans("()[]{}", ")(][}{")


def points(capitals: float) -> float:
    """Font size [pt] that makes capitals that high [mm].

    >>> round(points(7.2))
    28
    """
    return float(capitals * mm / CAPITALS)


BIG = 28.0
RIG = points(3.5)
DESK = points(2.8)
NEAR = points(2.2)
"""What is read in the hand, once: preferred height at 0.37 m, least at 0.55 m."""


_PLAIN = re.compile("[ -~\u00b0-\u00b3\u00d7\u2013\u2026]*")
"""Letters that the font is known to have and that run from left to right: nothing to look up."""


@cache
def load_fonts() -> dict[int, int]:
    """Register the fonts once a process; returns the characters that both can show."""
    faces = []
    for name in (REGULAR, BOLD):
        data = resources.files("stripplan.sheets").joinpath("fonts", f"{name}.ttf").read_bytes()
        font = TTFont(name, io.BytesIO(data))
        pdfmetrics.registerFont(font)
        faces.append(font.face.charToGlyph)
    pdfmetrics.registerFontFamily(REGULAR, normal=REGULAR, bold=BOLD, italic=REGULAR, boldItalic=BOLD)
    return {code: glyph for code, glyph in faces[0].items() if code in faces[1] and code < PLANE}


def printable(text: str, *, most: int = TOLD) -> str:
    """Text in letters that the font can show, `most` others by their number; `as_read` puts a line of it into the order
    of print.

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
            shown.append(f"[U+{ord(letter):04X}]" if told <= most else "?")
    return "".join(shown)


def lacks(text: str) -> bool:
    """Whether some of its letters are printed by number only."""
    return not _PLAIN.fullmatch(text) and printable(text).count("[U+") > text.count("[U+")


def as_read(text: str) -> str:
    """One line of printable text in the order of print, left to right: the bidirectional algorithm of UAX #9, line
    direction left to right.

    >>> as_read("rail \u05d0\u05d1 12") == "rail 12 \u05d1\u05d0"
    True
    """
    if _PLAIN.fullmatch(text) or not any(unicodedata.bidirectional(letter) in _RTL for letter in text):
        return text
    from bidi import get_display  # few jobs have such names

    return _mirrored(get_display(text, base_dir="L"))


def _mirrored(shown: str) -> str:
    """Brackets that were turned round with what they hold: they close before they open."""
    letters = list(shown)
    closed: list[int] = []
    opened: list[int] = []
    for at, letter in enumerate(letters):
        if letter in "([{":
            if closed:
                other = closed.pop()
                letters[at], letters[other] = letter.translate(_MIRROR), letters[other].translate(_MIRROR)
            else:
                opened.append(at)
        elif letter in ")]}":
            if opened:
                opened.pop()
            else:
                closed.append(at)
    return "".join(letters)


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


def width_of(text: str, size: float, *, bold: bool = False) -> float:
    """Width of printable text [pt]."""
    load_fonts()
    return float(pdfmetrics.stringWidth(text, BOLD if bold else REGULAR, size))


def shortened(text: str, size: float, width: float, *, bold: bool = False) -> str:
    """Printable text, cut with an ellipsis to fit a width [pt], as it is read; `as_read` before it is drawn."""
    text = printable(text)
    if width_of(text, size, bold=bold) <= width:
        return text
    while text and width_of(text + "…", size, bold=bold) > width:
        text = text[:-1]
    return text.rstrip() + "…"
