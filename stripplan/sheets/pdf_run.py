"""Cuts made with one setting: what is set stands big at the head, once; each cut is a row with a box to tick, what changes at it, and its width."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from reportlab.lib.units import mm

from .pdf_block import (
    BETWEEN,
    HEAD,
    INSIDE,
    LABEL,
    LEADING,
    PAD,
    PICTURE,
    Figure,
    cutting,
    draw_figures,
    draw_lines,
    fell,
    figures,
    heavy,
    in_rows,
    lay,
    measured,
    rest,
    steps,
    to_measure,
    together,
)
from .pdf_flow import Box, Section
from .pdf_paragraph import Paragraph, paragraph
from .pdf_rig import draw_lie
from .pdf_text import BOLD, RIG, markup, points, shortened, tagged
from .rows_kinds import CutRow, Fall, Field, RunRow

LEAST_BODY, TWO_PASSES = 26 * mm, 36 * mm
"""Least height below the figures [pt]; a picture of two passes says more."""
TICK = 6 * mm
NUMBER = 10 * mm
FIGURE = points(5)
"""Numbers of the cuts of a run: preferred height at 0.8 m (NUREG-0700, 11.4.1.5-1) [pt]."""


@dataclass(frozen=True)
class RunHead:
    """The head of a run: the big figures, how the piece lies, a picture, and as many rows as stand beside the picture."""

    run: RunRow
    width: float
    outline: str = ""

    @cached_property
    def figures(self) -> list[list[tuple[Figure, float]]]:
        """Rows of big figures, each with its width [pt]."""
        return in_rows(figures(self.run.cuts[0], self.run.name), self.width - 2 * PAD)

    @cached_property
    def _lines(self) -> list[tuple[str, Paragraph]]:
        room = self.width - PICTURE - LABEL - 3 * PAD
        return [(label, paragraph(text, RIG, room, leading=LEADING)) for label, text in run_lines(self.run)]

    @cached_property
    def beside(self) -> list[RunLine]:
        """Rows that begin above the foot of the picture."""
        depth, found = self._told, []
        for number, row in enumerate(self.run.cuts):
            if depth + 8 * mm > self._least:
                break
            before = self.run.cuts[number - 1] if number else None
            found.append(RunLine(self.run, row, before, self.width - PICTURE - PAD))
            depth += found[-1].height
        return found

    @property
    def _least(self) -> float:
        return float(TWO_PASSES if self.run.cuts[0].passes else LEAST_BODY)

    @property
    def _told(self) -> float:
        return float(sum(words.height for _, words in self._lines) + 2 * INSIDE)

    @property
    def _body(self) -> float:
        return float(max(self._least, self._told + sum(each.height for each in self.beside)))

    @property
    def height(self) -> float:
        """Height [pt]."""
        return float(HEAD * len(self.figures) + self._body)

    def draw(self, canvas: Any, x: float, top: float) -> None:
        """Draw it with its top left corner at (x, top)."""
        head = HEAD * len(self.figures)
        _sides(canvas, x, top, self.width, self.height)
        canvas.line(x, top, x + self.width, top)
        canvas.setLineWidth(0.6)
        canvas.line(x, top - head, x + self.width, top - head)
        draw_figures(canvas, self.figures, x + PAD, top)
        draw_lines(canvas, self._lines, x + PAD, top - head - INSIDE)
        upper = top - head - self._told
        for each in self.beside:
            each.draw_row(canvas, x, upper)
            upper -= each.height
        high = self._body - 2 * INSIDE
        draw_lie(canvas, pictured(self.run), x + self.width - PICTURE - PAD, top - self.height + INSIDE, PICTURE, high)


@dataclass(frozen=True)
class RunAgain:
    """The head of a run on a further page: nothing is set."""

    run: RunRow
    width: float
    outline: str = ""

    @cached_property
    def figures(self) -> list[list[tuple[Figure, float]]]:
        """The figures as they stand."""
        first = self.run.cuts[-1]
        kept = {key: replace(getattr(first, key), changed=False) for key in ("plate", "fence", "end_stop", "speed")}
        number, *others = figures(replace(first, **kept), self.run.name)
        return in_rows([(f"{number[0]}, still", number[1], ""), *others], self.width - 2 * PAD)

    @property
    def height(self) -> float:
        """Height [pt]."""
        return float(HEAD * len(self.figures))

    def draw(self, canvas: Any, x: float, top: float) -> None:
        """Draw it with its top left corner at (x, top)."""
        _sides(canvas, x, top, self.width, self.height)
        canvas.line(x, top, x + self.width, top)
        draw_figures(canvas, self.figures, x + PAD, top)


@dataclass(frozen=True)
class RunLine:
    """One cut of a run: box to tick, number, what to do before it, what falls, what to measure."""

    run: RunRow
    row: CutRow
    before: CutRow | None
    width: float
    last: bool = False
    outline: str = ""

    @cached_property
    def _words(self) -> list[Paragraph]:
        room = self.width - TICK - NUMBER - 3.5 * PAD
        told = row_lines(self.run, self.row, self.before)
        in_one = paragraph(" ".join(told), RIG, room, leading=LEADING)
        return [in_one] if len(in_one.lines) == 1 else [paragraph(each, RIG, room, leading=LEADING) for each in told]

    @property
    def _high(self) -> float:
        return float(max(sum(words.height for words in self._words), TICK) + 1.1 * mm)

    @property
    def height(self) -> float:
        """Height [pt]."""
        return float(self._high + (BETWEEN if self.last else 0.0))

    def draw(self, canvas: Any, x: float, top: float) -> None:
        """Draw it with its top left corner at (x, top)."""
        _sides(canvas, x, top, self.width, self._high)
        if self.last:
            canvas.line(x, top - self._high, x + self.width, top - self._high)
        self.draw_row(canvas, x, top)

    def draw_row(self, canvas: Any, x: float, top: float) -> None:
        """Draw it without its frame."""
        canvas.setStrokeGray(0)
        canvas.setLineWidth(0.4)
        canvas.line(x, top, x + self.width, top)
        canvas.setLineWidth(1.2)
        canvas.rect(x + PAD, top - 0.5 * mm - TICK, TICK, TICK)
        canvas.setFillGray(0)
        canvas.setFont(BOLD, FIGURE)
        canvas.drawString(x + TICK + 2 * PAD, top - 0.5 * mm - TICK + 0.6 * mm, str(self.row.number))
        upper = top - 0.4 * mm
        for words in self._words:
            words.draw(canvas, x + TICK + NUMBER + 2.5 * PAD, upper)
            upper -= words.height


def _sides(canvas: Any, x: float, top: float, width: float, height: float) -> None:
    canvas.setStrokeGray(0)
    canvas.setLineWidth(1.6)
    canvas.line(x, top, x, top - height)
    canvas.line(x + width, top, x + width, top - height)


def run_section(run: RunRow, width: float, above: list[Box]) -> Section:
    """A run of several cuts as a section: its head stands again on each further page. `above` stays with the head."""
    first = run.cuts[0]
    head = RunHead(run, width, f"Cuts {run.name}, plate {first.plate.text}")
    boxes: list[Box] = [
        RunLine(run, row, before, width, last=row is run.cuts[-1])
        for before, row in list(zip((None, *run.cuts), run.cuts, strict=False))[len(head.beside) :]
    ]
    if not boxes:
        boxes = [_Foot(width)]
    return Section("", [*above, head], boxes, fresh=False, again=[RunAgain(run, width)])


@dataclass(frozen=True)
class _Foot:
    """The lower edge of a run whose rows all stand beside the picture."""

    width: float
    outline: str = ""

    @property
    def height(self) -> float:
        """Height [pt]."""
        return float(BETWEEN)

    def draw(self, canvas: Any, x: float, top: float) -> None:
        """Draw it with its top left corner at (x, top)."""
        canvas.setStrokeGray(0)
        canvas.setLineWidth(1.6)
        canvas.line(x, top, x + self.width, top)


# --- words --------------------------------------------------------------------------------------------------------


def run_lines(run: RunRow) -> list[tuple[str, str]]:
    """What holds for the whole run: how many cuts, what falls, how the first piece lies, how long the cuts are."""
    first = run.cuts[0]
    made = [("Dry run", markup(f"{first.dry_run}.", bold=True))] if first.dry_run else []
    what = f"{len(run.cuts)} cuts, one setting" + (f": {run.parts}" if run.parts else "")
    made.append(("Run", markup(what + (f"; {run.size}" if run.size else "") + ".", bold=True)))
    made.append(("Lay", lay(first)[0]))
    made.append(("Cut", cutting(first)[0]))
    if alike(run) and first.measure is not None:
        band = markup(f"go {first.measure.low} to {first.measure.high}", bold=True)
        made.append(("Measure", markup(f"each part {first.measure.expected}, ") + band + markup(".")))
    return made


def alike(run: RunRow) -> bool:
    """Whether each cut of a run gives one piece of one part, on one side, to be measured by one band: what is said once need not be said again."""
    side = "right" if run.cuts[0].right is not None and run.cuts[0].right.kind == "part" else "left"
    found = set()
    for row in run.cuts:
        fall = getattr(row, side)
        if fall is None or fall.kind != "part" or row.measure is None or row.measure.piece != fall.piece:
            return False
        found.add((fall.name.rpartition(", ")[0], row.measure.expected, row.measure.low, row.measure.high))
    return len(found) == 1


def row_lines(run: RunRow, row: CutRow, before: CutRow | None) -> list[str]:
    """What is done before a cut of a run; then what falls, with what it measures."""
    return [" ".join(each) for each in (list(_before(row, before)), list(_after(run, row))) if each]


_SCRAPED = re.compile(r"^(Scrape [A-D]) \(.*\)(?=\.$)")
"""Where the edge came from stands at the head, and in the row above."""


def _before(row: CutRow, before: CutRow | None) -> Iterator[str]:
    size = f", {row.size}" if any(each.startswith("Fetch") for each in row.steps) else ""
    yield markup(row.piece, bold=True) + markup(f"{size}, {row.mass}") + heavy(row) + markup(":" if row.steps else ".")
    if row.steps:
        yield steps(replace(row, steps=tuple(_SCRAPED.sub(r"\1", each) for each in row.steps)))
    if before is not None:
        if row.dry_run:
            yield markup(f"Dry run: {row.dry_run}.", bold=True)
        if row.face.changed or (row.lie.right, row.lie.start) != (before.lie.right, before.lie.start):
            yield together(markup("Lay: ") + lay(row)[0])
        if row.length.changed:
            yield markup(f"Cut: {row.length.text}.", bold=True)
    if row.rest:
        yield markup("REST ", bold=True) + rest(row) + markup(".")
    yield from map(markup, row.passes)


def _after(run: RunRow, row: CutRow) -> Iterator[str]:
    widths = {each.piece: each for each in to_measure(row)}
    for side, fall in (("Left", row.left), ("Right", row.right)):
        width = measured(widths[fall.piece]) + "." if fall is not None and fall.piece in widths else ""
        if fall is not None and row.measure is not None and fall.piece == row.measure.piece and alike(run):
            yield markup(fall.piece, bold=True) + markup(f" is\u00a0{'_' * 8}")
            continue
        if fall is None:
            yield markup(f"{side}: ") + fell(None) + markup(".")
        elif fall.kind == "part":
            yield markup(f"{side}: ") + _part(fall) + markup(": ") + (width or markup("done."))
        elif not _goes_on(fall):
            yield markup(f"{side}: ") + fell(fall) + (" " + width if width else "")
        elif width:
            yield markup(f"{side}: {fall.piece} ") + width


def _part(fall: Fall) -> str:
    return tagged(shortened(fall.name, RIG, 70 * mm, bold=True), bold=True) + markup(f" ({fall.piece})")


def _goes_on(fall: Fall) -> bool:
    """Whether what falls stays on the bed: the next row or block says that it is cut."""
    return fall.doing.startswith("stays on the bed")


def pictured(run: RunRow) -> CutRow:
    """The first cut, with what falls named as for all of them."""

    def named(fall: Fall | None) -> Fall | None:
        if fall is None or fall.kind in ("offcut", "scrap"):
            return fall
        if fall.kind == "blank":
            return replace(fall, piece="rest" if _goes_on(fall) else "piece")
        return replace(fall, name=fall.name.rpartition(", ")[0] or fall.name, piece="part")

    first = run.cuts[0]
    return replace(first, left=named(first.left), right=named(first.right), length=Field(first.length.text))
