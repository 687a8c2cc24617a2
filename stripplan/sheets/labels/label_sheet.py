"""Grids of label paper.

Several usual ones lie in `data/label_sheets.csv`, from memory (common practice, no source): print the page of
`calibration` on plain paper and hold it against the label paper first. Any other grid is written as a text,
`page:columns x rows:width x height:left,top[:pitch x,pitch y]`.
"""

from __future__ import annotations

import csv
import difflib
import math
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Literal

from stripplan.wording.quantity import UnitError, parse_length

PAGES = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
"""Width and height of pages by name, upright [mm] (ISO 216 A4; ANSI/ASME Y14.1 size A)."""

FORM = (
    "write page:columns x rows:width x height:left,top and, if there are gaps, :pitch x,pitch y; for example "
    "a4:3x8:70x36:0,4.5"
)

SLACK = 0.01
"""Label paper is not truer than this [mm]."""

LARGEST_PAGE = 2000.0
"""Longest side of a page [mm]."""

PAD, PAGE_EDGE = 2.0, 5.0
"""Nothing is printed nearer to the edge of a label, or of the page [mm]: few printers reach it. Common practice, no
source."""

LEAST_INNER = (30.0, 15.0)
"""Least width and height inside a label's pads: letters 2 mm high, whole sizes and a code go in [mm]."""


@dataclass(frozen=True)
class _Along:
    """The labels along one side of the page [mm]: `count` of them (columns or rows), from `margin` on, one every
    `pitch`."""

    side: Literal["width", "height"]
    page: float
    count: int
    lines: str
    size: float
    margin: float
    pitch: float

    def misfits(self, pad: float, least: float) -> Iterator[str]:
        """What is wrong, where `pad` stays white at each edge of a label and `least` must be left between them."""
        side, size, page = self.side, self.size, self.page
        if page > LARGEST_PAGE:
            yield f"page {side} {page:g} mm is more than {LARGEST_PAGE:g} mm"
        if self.pitch < size - SLACK:
            axis = "x" if side == "width" else "y"
            on_each_other = f"the label's {side} {size:g} mm: labels would lie on each other"
            yield f"pitch {axis} {self.pitch:g} mm is less than {on_each_other}"
        end = self.margin + (self.count - 1) * self.pitch + size
        if end > page + SLACK:
            yield (
                f"{self.count} {self.lines} of labels end {end:.2f} mm from the page's edge, beyond its {side} "
                f"{page:g} mm"
            )
            return
        inner = size - 2 * pad
        if inner < least - SLACK:
            yield (
                f"label {side} {size:g} mm leaves {inner:.1f} mm to print on; at least {least:g} mm are "
                "needed for letters 2 mm high beside the code"
            )


@dataclass(frozen=True, kw_only=True)
class LabelSheet:
    """A grid of labels on a page [mm]. `left` and `top` are the page's margins before the first label, `pitch_x` and
    `pitch_y` the distances from one label's edge to the same edge of the next. Raises ValueError that names every
    fault."""

    name: str
    page_width: float
    page_height: float
    columns: int
    rows: int
    width: float
    height: float
    left: float
    top: float
    pitch_x: float
    pitch_y: float

    def __post_init__(self) -> None:
        faults = list(self._faults())
        if faults:
            raise ValueError(f"label sheet {_said(self.name)}: {'; '.join(faults)}")

    def _faults(self) -> Iterator[str]:
        lengths = {"page width": self.page_width, "page height": self.page_height, "label width": self.width,
                   "label height": self.height, "left margin": self.left, "top margin": self.top,
                   "pitch x": self.pitch_x, "pitch y": self.pitch_y}  # fmt: skip
        wrong = [f"{what} {value} is no length" for what, value in lengths.items() if not _is_length(value)]
        yield from wrong
        for what, count in (("columns", self.columns), ("rows", self.rows)):
            if isinstance(count, bool) or not isinstance(count, int) or count < 1:
                wrong.append(what)
                yield f"{what} {count} must be a whole number, at least 1"
        if wrong:
            return
        across = _Along("width", self.page_width, self.columns, "columns", self.width, self.left, self.pitch_x)
        down = _Along("height", self.page_height, self.rows, "rows", self.height, self.top, self.pitch_y)
        for along, pad, least in zip((across, down), self.pads, LEAST_INNER, strict=True):
            yield from along.misfits(pad, least)

    @property
    def pads(self) -> tuple[float, float]:
        """What stays blank at both sides, and at the top and bottom, of every label [mm]."""
        right = self.page_width - self.left - (self.columns - 1) * self.pitch_x - self.width
        bottom = self.page_height - self.top - (self.rows - 1) * self.pitch_y - self.height
        return max(PAD, PAGE_EDGE - min(self.left, right)), max(PAD, PAGE_EDGE - min(self.top, bottom))

    @property
    def places(self) -> int:
        """How many labels there are on a sheet."""
        return self.columns * self.rows

    def corner(self, place: int) -> tuple[float, float]:
        """Where a label's top left corner lies, from the page's top left corner [mm]; places count from 1, row by row.

        >>> label_sheet("a4-3x7-63.5x38.1").corner(5)
        (73.25, 53.25)
        """
        row, column = divmod(place - 1, self.columns)
        return self.left + column * self.pitch_x, self.top + row * self.pitch_y


@cache
def label_sheets() -> Mapping[str, LabelSheet]:
    """The usual grids by name, as `data/label_sheets.csv` has them."""
    text = resources.files(__package__).joinpath("data", "label_sheets.csv").read_text(encoding="utf-8")
    rows = csv.DictReader(line for line in text.splitlines() if not line.startswith("#"))
    return {row["name"]: _usual(row) for row in rows}


def _usual(row: Mapping[str, str]) -> LabelSheet:
    page_width, page_height = PAGES[row["page"]]
    lengths = {
        key: parse_length(row[key], row["unit"]) for key in ("width", "height", "left", "top", "pitch_x", "pitch_y")
    }
    return LabelSheet(
        name=row["name"], page_width=page_width, page_height=page_height, columns=int(row["columns"]),
        rows=int(row["rows"]),
        **lengths,
    )  # fmt: skip


def label_sheet(text: str) -> LabelSheet:
    """A grid by its name, or one of the person's own as `page:columns x rows:width x height:left,top[:pitch x,pitch
    y]`.

    The page is a4, letter, or width x height. Bare figures are mm; a unit behind the last figure of a group holds for
    the group. Without pitches labels lie edge to edge. Raises ValueError that says what cannot be read.

    >>> label_sheet("a4:3x8:70x36:0,4.5").places
    24
    >>> label_sheet("letter:3x10:2 5/8 x 1 in:3/16,1/2 in:2 3/4,1 in").width
    66.675
    >>> label_sheet("a4:3x8:70x36")  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    ValueError: label sheet 'a4:3x8:70x36': 3 groups between colons, 4 or 5 are needed; write page:...
    """
    clean = " ".join(text.lower().split())
    if ":" in clean:
        return _own(clean)
    known = label_sheets()
    if clean in known:
        return known[clean]
    near = difflib.get_close_matches(clean[:80], known, 1)
    hint = f"the nearest is {near[0]}" if near else f"the names are {', '.join(known)}"
    raise ValueError(f"label sheet {_said(text)}: no grid has this name; {hint}; for one of your own {FORM}")


def _own(text: str) -> LabelSheet:
    groups = [each.strip() for each in text.split(":")]
    if len(groups) not in (4, 5):
        raise ValueError(f"label sheet {_said(text)}: {len(groups)} groups between colons, 4 or 5 are needed; {FORM}")
    faults: list[str] = []
    page = PAGES.get(groups[0]) or _pair(groups[0], "page", "x", faults, "a4, letter or width x height")
    counts = _counts(groups[1], faults)
    size = _pair(groups[2], "label", "x", faults, "width x height")
    margins = _pair(groups[3], "margins", ",", faults, "left,top, with a point for decimals")
    pitches = (
        size
        if len(groups) == 4
        else _pair(groups[4], "pitches", ",", faults, "pitch x,pitch y, with a point for decimals")
    )
    if faults:
        raise ValueError(f"label sheet {_said(text)}: {'; '.join(faults)}; {FORM}")
    return LabelSheet(
        name=text, page_width=page[0], page_height=page[1], columns=counts[0], rows=counts[1], width=size[0],
        height=size[1],
        left=margins[0], top=margins[1], pitch_x=pitches[0], pitch_y=pitches[1],
    )  # fmt: skip


def _counts(text: str, faults: list[str]) -> tuple[int, int]:
    found = re.fullmatch(r"([0-9]{1,4}) ?[x×] ?([0-9]{1,4})", text)
    if found is None:
        faults.append(f"{_said(text)} is no columns x rows")
        return 0, 0
    return int(found[1]), int(found[2])


def _pair(text: str, what: str, between: str, faults: list[str], form: str) -> tuple[float, float]:
    """Two lengths [mm]; adds to `faults` what cannot be read."""
    figures = [each.strip() for each in re.split("[x×]" if between == "x" else between, text)]
    if len(figures) != 2:
        faults.append(f"{what} {_said(text)} must be two figures, {form}")
        return 0.0, 0.0
    unit = re.search(r"(mm|cm|in|\")$", figures[1])
    held = unit[1].replace('"', "in") if unit else "mm"
    try:
        return parse_length(figures[0], held), parse_length(figures[1], held)
    except UnitError as error:
        faults.append(f"{what}: {error.said}")
        return 0.0, 0.0


def _is_length(value: object) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool) and math.isfinite(value) and value >= 0


def _said(text: str) -> str:
    """What was written, in quotes, not longer than a message bears."""
    return repr(text) if len(text) <= 60 else f"{text[:57]!r}..."
