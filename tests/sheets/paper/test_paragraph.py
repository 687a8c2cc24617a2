"""Paragraphs of the sheet against reportlab's own, a general reference: the same words on the same lines."""

from __future__ import annotations

import random
from html import escape

import pytest
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Paragraph as Reference

from stripplan.sheets.paper.paragraph import paragraph
from stripplan.sheets.paper.text import REGULAR, load_fonts
from tests.checking import in_turn

WORDS = (
    "cut",
    "fence:",
    "P1-13,",
    "2877.5",
    "×",
    "1500:",
    "Quarter",
    "&",
    "<b>",
    "5 1/16",
    "dross",
    "edge",
    "(clockwise).",
    "x" * 45,
    "m\u00a0n",
)


def lines_of(marked_up: str, size: float, width: float) -> list[str]:
    """What each line says."""
    return ["".join(text for text, _ in line) for line in paragraph(marked_up, size, width).lines]


def reference(marked_up: str, size: float, width: float) -> list[str]:
    """The same by the library's own paragraph."""
    load_fonts()
    made = Reference(
        marked_up, ParagraphStyle("any", fontName=REGULAR, fontSize=size, leading=1.2 * size, splitLongWords=1)
    )
    made.wrap(width, 1e6)
    found = []
    for line in made.blPara.lines:
        words = line[1] if isinstance(line, tuple) else [word.text for word in line.words]
        found.append((" " if isinstance(line, tuple) else "").join(words).strip())
    return found


@in_turn("seed", range(60))
def test_lines_are_broken_as_the_library_breaks_them(seed: int) -> None:
    """Plain, bold and grey words of all lengths, with spaces and without between them."""
    chance = random.Random(seed)
    text = ""
    for _ in range(chance.randint(1, 60)):
        word = escape(chance.choice(WORDS), quote=False)
        look = chance.choice(("{}", "{}", "<b>{}</b>", '<font color="#555555">{}</font>'))
        text += look.format(word) + " " * chance.choice((1, 1, 1, 0))
    size, width = chance.choice((7.0, 10.5, 13.2)), chance.uniform(60, 400)
    assert [each.strip() for each in lines_of(text, size, width)] == reference(text, size, width)


def test_no_line_is_wider_than_its_room() -> None:
    """Letters of a word that is too long go on further lines, none is lost."""
    made = paragraph("<b>" + "W" * 100 + "</b>iii", 10.0, 50.0)
    assert "".join(text for line in made.lines for text, _ in line) == "W" * 100 + "iii"
    assert len(made.lines) > 10
    assert made.height == pytest.approx(1.17 * 10.0 * len(made.lines))


def test_a_name_from_right_to_left_begins_on_its_first_line() -> None:
    """Lines are broken in the order of reading, then turned round one by one (UAX #9, 3.4:
    reordering follows line breaking).
    """
    first, second = "\u05d0" * 20, "\u05d1" * 20
    assert lines_of(f"{first} {second}", 10.0, 140.0) == [first, second]
    assert lines_of("rail \u05d0\u05d1\u05d2 12", 10.0, 400.0) == ["rail 12 \u05d2\u05d1\u05d0"]


def test_forced_breaks_and_marks() -> None:
    """A break begins a line, escaped signs are signs."""
    assert lines_of("<br/>a &amp; b", 10.0, 100.0) == ["", "a & b"]
    assert lines_of("", 10.0, 100.0) == [""]
