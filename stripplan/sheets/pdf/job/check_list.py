"""The check list of parts, a box to tick for each piece, and the offcuts to register."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import zip_longest

from stripplan.sheets.paper.flow import Box, Section
from stripplan.sheets.paper.text import DESK, NEAR, markup, shortened, tagged
from stripplan.sheets.pdf.job.boxes import BOX, GUTTER, Beside, Row, Together, ended_by, heading_of, line_of
from stripplan.sheets.rows.row_types import PartRow, Sheet

IN_ONE = 48
"""Pieces of a part in one row of the check list: a row is never split over two pages."""


def ticks_of(pieces: Sequence[str]) -> str:
    return "\u00a0\u00a0 ".join(f"{BOX}\u00a0{markup(each)}" for each in pieces)


def parts_section(sheet: Sheet, width: float) -> Section:
    """Check list of parts: a box to tick for each piece."""
    half = (width - GUTTER) / 2
    title = Row(("part; want, made; finished size, size to expect",), (1,), half, bold=True)
    found = [box for part in sheet.parts for box in _part_boxes(part, half)]
    titles = Beside(title, title if len(found) > 1 else None, half + GUTTER)
    once = [Row((markup(each),), (1,), width, size=NEAR, ruled=False) for each in sheet.of_all_sizes]
    head: list[Box] = [heading_of("Parts: check list", width), titles]
    rows: list[Box] = [
        Beside(left, right, half + GUTTER) for left, right in zip_longest(found[::2], found[1::2]) if left is not None
    ]
    boxes = [Together((*once, *rows[:1])), *rows[1:]]  # what is said of all sizes is no reason to begin a page's end
    return Section("Parts: check list", head, boxes, fresh=False)


def _part_boxes(part: PartRow, width: float) -> list[Box]:
    """A part with its first pieces on one page; further pieces, under its name again, may stand on the next."""
    tolerance = part.tolerance.replace(" ", "\u00a0")
    expected = _unbroken("; ".join(part.expected)) + (f" ({tolerance})" if part.tolerance else "")
    short = markup(" SHORT", bold=True) if part.made < part.wanted else ""
    size = _unbroken(part.size) + (f" ({part.as_cut})" if part.as_cut else "")
    count = markup(f"filler, {part.made}" if part.filler else f"{part.wanted}, {part.made}") + short
    rows = [
        Row((markup(part.name, bold=True), count), (72, 28), width, ruled=False),
        Row((markup(size), markup(expected)), (40, 60), width, ruled=False)
        if expected
        else Row((markup(size),), (1,), width, ruled=False),
    ]
    rows += [Row((markup(each, bold=True),), (1,), width, ruled=False) for each in part.notes]
    if part.trueness:
        rows.append(Row((markup("; ".join(part.trueness)),), (1,), width, size=NEAR, ruled=False))
    ticks = [ticks_of(part.pieces[at : at + IN_ONE]) for at in range(0, len(part.pieces), IN_ONE)]
    rows += [Row((each,), (1,), width) for each in ticks[:1]]
    again = tagged(shortened(part.name, DESK, width / 2, bold=True) + ": ", bold=True)
    return [Together(tuple(rows)), *(Row((again + each,), (1,), width) for each in ticks[1:])]


def _unbroken(size: str) -> str:
    """A size that is broken before it, never within."""
    return size.replace(" × ", "\u00a0×\u00a0")


def offcuts_section(sheet: Sheet, width: float) -> Section:
    """Offcuts to put into the stock book."""
    shares = (14, 34, 20, 12, 20)
    head: list[Box] = [
        heading_of("Offcuts to register", width),
        Row(("piece", "length × width × thickness", "material", "mass", "rack place"), shares, width, bold=True),
    ]
    rows = [
        Row(
            (
                f"{BOX}\u00a0{markup(each.piece, bold=True)}",
                markup(each.size),
                markup(each.material),
                markup(each.mass),
                "",
            ),
            shares,
            width,
        )
        for each in sheet.offcuts
    ]
    boxes: list[Box] = [*rows] if rows else [line_of("None.", width)]
    end = [line_of(each, width) for each in (sheet.kept_from,) if each]
    return Section("Offcuts to register", head, ended_by(boxes, end), fresh=False)
