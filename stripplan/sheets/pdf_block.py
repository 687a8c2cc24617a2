"""One cut as a block that can be ticked: the four numbers big, then what to do from top to bottom."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from reportlab.lib.units import mm

from .pdf_paragraph import Paragraph, paragraph
from .pdf_rig import draw_lie
from .pdf_text import BIG, BOLD, GREY, REGULAR, RIG, flagged, markup, shortened, tagged, width_of
from .rows_kinds import CutRow, Fall, Field, Measure

PICTURE = 44 * mm
LABEL = 19.5 * mm
PAD = 2 * mm
INSIDE = 1.2 * mm
HEAD = 14.4 * mm
TICK = 9 * mm
LEADING = 1.1
"""From line to line over the size of letters."""
LEAST_BODY = 30 * mm
"""Least height below the figures [pt]: a picture lower than that is no picture."""
BETWEEN = 2 * mm

Figure = tuple[str, Field, str]
"""A big figure: what stands over it, the figure, what stands small behind it."""


@dataclass(frozen=True)
class Block:
    """The block of one cut, `width` wide [pt]."""

    row: CutRow
    width: float
    outline: str = ""

    @property
    def figures_from(self) -> float:
        """Where the big figures start, right of the box to tick [pt]."""
        return float(TICK + 2.5 * PAD)

    @cached_property
    def _lines(self) -> list[tuple[str, Paragraph]]:
        room = self.width - PICTURE - LABEL - 3 * PAD
        return [(label, paragraph(text, RIG, room, leading=LEADING)) for label, text in lines(self.row)]

    @cached_property
    def figures(self) -> list[list[tuple[Figure, float]]]:
        """Rows of big figures, each with its width [pt]."""
        return in_rows(figures(self.row), self.width - self.figures_from)

    @property
    def _body(self) -> float:
        return float(max(LEAST_BODY, sum(words.height for _, words in self._lines) + 2 * INSIDE))

    @property
    def height(self) -> float:
        """Height with the gap below [pt]."""
        return float(HEAD * len(self.figures) + self._body + BETWEEN)

    def draw(self, canvas: Any, x: float, top: float) -> None:
        """Draw it with its top left corner at (x, top)."""
        high = self.height - BETWEEN
        head = HEAD * len(self.figures)
        canvas.setStrokeGray(0)
        canvas.setLineWidth(1.6)
        canvas.rect(x, top - high, self.width, high)
        canvas.setLineWidth(0.6)
        canvas.line(x, top - head, x + self.width, top - head)
        canvas.setLineWidth(1.4)
        canvas.rect(x + PAD, top - (HEAD + TICK) / 2, TICK, TICK)
        draw_figures(canvas, self.figures, x + self.figures_from, top)
        draw_lines(canvas, self._lines, x + PAD, top - head - INSIDE)
        draw_lie(
            canvas, self.row, x + self.width - PICTURE - PAD, top - high + INSIDE, PICTURE, self._body - 2 * INSIDE
        )


def draw_figures(canvas: Any, rows: list[list[tuple[Figure, float]]], x: float, top: float) -> None:
    """Big figures under what they are, the first row at `top`."""
    for number, line in enumerate(rows):
        at, upper = x, top - number * HEAD
        for (label, figure, behind), width in line:
            canvas.setFillColor("#000000" if figure.changed else GREY)
            canvas.setFont(BOLD if figure.changed else REGULAR, RIG)
            canvas.drawString(at, upper - 4.5 * mm, label)
            canvas.setFont(BOLD if figure.changed else REGULAR, BIG)
            canvas.drawString(at, upper - HEAD + 1.8 * mm, figure.text)
            if behind:
                wide = width_of(figure.text, BIG, bold=figure.changed)
                canvas.setFont(REGULAR, RIG)
                canvas.drawString(at + wide + 2 * mm, upper - HEAD + 1.8 * mm, behind)
            at += width


def draw_lines(canvas: Any, told: list[tuple[str, Paragraph]], x: float, top: float) -> None:
    """Labels with their lines below each other."""
    for label, words in told:
        canvas.setFillGray(0)
        canvas.setFont(REGULAR, RIG)
        canvas.drawString(x, top - RIG * 0.98, label)
        words.draw(canvas, x + LABEL, top)
        top -= words.height


def figures(row: CutRow, name: str = "") -> list[Figure]:
    """The big figures with their labels: a label says whether there is something to set. `name` for the numbers of several cuts."""
    number = Field(name or str(row.number))
    fence = f"{'SET' if row.fence.changed else 'same'} fence"
    stop = f"{'SET' if row.end_stop.changed else 'same'} end stop"
    word = f"dial, {row.travel_speed}" if row.dial else row.travel_speed.split()[-1]
    speed = f"{'SET' if row.speed.changed else 'same'} {word}"
    where = (fence, row.fence, "") if not row.scribe else (f"SCRIBE from {row.scribe_from}", Field(row.scribe), "")
    return [
        ("cuts" if name else "cut", number, ""),
        ("plate", row.plate, ""),
        where,
        (stop, row.end_stop, ""),
        (speed, row.speed, row.timed if row.speed.changed else ""),
    ]


def in_rows(found: list[Figure], width: float) -> list[list[tuple[Figure, float]]]:
    """Figures side by side, in as many rows as they need; each with its width."""
    rows: list[list[tuple[Figure, float]]] = [[]]
    used = 0.0
    for each in found:
        label, figure, behind = each
        wide = width_of(figure.text, BIG, bold=True) + (width_of(behind, RIG) + 2 * mm if behind else 0.0)
        least = max(wide, width_of(label, RIG, bold=True)) + 4 * mm
        if used + least > width and rows[-1]:
            rows.append([])
            used = 0.0
        rows[-1].append((each, least))
        used += least
    spare = [width - sum(wide for _, wide in row) for row in rows]
    return [[(each, wide + extra / len(row)) for each, wide in row] for row, extra in zip(rows, spare, strict=True)]


def lines(row: CutRow) -> list[tuple[str, str]]:
    """Label and markup of each line, in the order of doing."""
    made = [("Dry run", markup(f"{row.dry_run}.", bold=True))] if row.dry_run else []
    made += _labelled("Piece", [piece(row), steps(row)])
    if row.rest:
        made.append(("REST", rest(row)))
    made += _labelled("Lay", lay(row))
    made += _labelled("Cut", cutting(row))
    made.append(("Left", fell(row.left)))
    made.append(("Right", fell(row.right)))
    made += _labelled("Measure", [markup(each.piece) + " " + measured(each) for each in to_measure(row)])
    return [each for each in made if each[1]]


def _labelled(label: str, texts: list[str]) -> list[tuple[str, str]]:
    return [(label if number == 0 else "", text) for number, text in enumerate(texts)]


def piece(row: CutRow) -> str:
    """What is cut, how large and heavy it is, who lifts it."""
    return markup(f"{row.piece},", bold=True) + " " + markup(f"{row.size}, {row.mass}") + heavy(row)


def heavy(row: CutRow) -> str:
    """Who lifts a piece where one may not."""
    return markup(f", {row.lifting.removesuffix(' or hoist')}", bold=True) if row.lifting else ""


def steps(row: CutRow) -> str:
    """What to do with pieces before a cut."""
    return markup(" ".join(row.steps), bold=True)


def rest(row: CutRow) -> str:
    """How long the power source rests before a cut."""
    return markup(f"{row.rest} before the arc", bold=True)


def cutting(row: CutRow) -> list[str]:
    """How long the cut is and in how many passes."""
    return [flagged(row.length.text + ".", row.length.changed), *(markup(each) for each in row.passes)]


def lay(row: CutRow) -> list[str]:
    """How the piece lies, and where it is marked."""
    laid = [flagged(f"{row.face.text};", row.face.changed)]
    if row.located == "fence":
        laid.append(markup("fence: ") + flagged(f"{row.on_fence.text};", row.on_fence.changed))
    laid.append(markup("start: ") + flagged(f"{row.leading.text}.", row.leading.changed))
    return [" ".join(map(together, laid)), *(markup(each, bold=True) for each in row.marks)]


def together(text: str) -> str:
    """Markup whose edges stay on one line with where they come from."""
    return re.sub(r"(?<=[A-D]) \((cut )?", lambda m: m[0].replace(" ", "\u00a0"), text)


def fell(fall: Fall | None) -> str:
    """What falls on one side, and what becomes of it."""
    if fall is None:
        return markup("nothing: the kerf takes it")
    room = 70 * mm
    name = tagged(shortened(fall.name, RIG, room, bold=True), bold=True) + " " if fall.name else ""
    doing = markup(fall.doing + ".", bold=fall.kind in ("part", "offcut"))
    called = markup(f"({fall.piece})") if fall.name else markup(f"{fall.piece},", bold=True)
    return f"{name}{called} {markup(fall.size + ':')} {doing}"


def to_measure(row: CutRow) -> Iterator[Measure]:
    """All that is measured after a cut."""
    yield from (each for each in (row.measure, row.also) if each is not None)


def measured(each: Measure) -> str:
    """Width to expect, band, and a place for what it is."""
    band = markup(f"go {each.low} to {each.high}", bold=True)
    return f"{markup(each.expected)}, {band}; is\u00a0{'_' * 7}"
