"""Cuts made with one setting: what is set stands big at the head, once; each cut is a row with a box to tick, what
changes at it, and its width."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from reportlab.lib.units import mm

from stripplan.sheets.paper.flow import Box, Section
from stripplan.sheets.paper.paragraph import Paragraph, paragraph
from stripplan.sheets.paper.text import BOLD, RIG, markup, points, shortened, tagged, width_of
from stripplan.sheets.pdf.work.set_up_band import (
    GAP,
    HEAD,
    INSIDE,
    LEADING,
    Band,
    draw_set,
    fewest_lines,
    rows_of,
    set_figures,
)
from stripplan.sheets.pdf.work.set_up_block import PAD, Figure, fell, heavy, measured, rest, to_measure, together
from stripplan.sheets.rows.aslant import SQUARE
from stripplan.sheets.rows.row_types import CutRow, Fall, Field, Measure, RunRow

TICK = 6 * mm
FIGURE = points(5)
"""Numbers of the cuts of a run: preferred height at 0.8 m (NUREG-0700, 11.4.1.5-1) [pt]."""


@dataclass(frozen=True)
class RunHead:
    """The head of a run: what is set, how the piece lies, a picture, and as many rows as stand beside the picture."""

    run: RunRow
    width: float
    outline: str = ""

    @cached_property
    def band(self) -> Band:
        """Figures and words."""
        return Band(self.run.cuts[0], (" ".join(run_lines(self.run)),), self.width, self.run.name, tick=False)

    @cached_property
    def beside(self) -> list[RunLine]:
        """Rows that begin above the foot of the picture."""
        depth, found = self.band.told, []
        for number, row in enumerate(self.run.cuts):
            if depth + 6 * mm > self.band.least:
                break
            before = self.run.cuts[number - 1] if number else None
            found.append(RunLine(self.run, row, before, self.band.room + 1.5 * PAD))
            depth += found[-1].height
        return found

    @property
    def height(self) -> float:
        """Height [pt]."""
        return max(self.band.least, self.band.told + sum(each.height for each in self.beside))

    def draw(self, canvas: Any, x: float, top: float) -> None:
        """Draw it with its top left corner at (x, top)."""
        _sides(canvas, x, top, self.width, self.height)
        canvas.line(x, top, x + self.width, top)
        self.band.draw(canvas, x, top)
        upper = top - self.band.told
        for each in self.beside:
            each.draw_row(canvas, x, upper)
            upper -= each.height
        self.band.draw_picture(canvas, pictured(self.run), x, top, self.height)


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
        number, *others = set_figures(replace(first, **kept), self.run.name)
        return rows_of([(f"{number[0]}, still", number[1], ""), *others], self.width - 2 * PAD)

    @property
    def height(self) -> float:
        """Height [pt]."""
        return float(HEAD * len(self.figures) + INSIDE)

    def draw(self, canvas: Any, x: float, top: float) -> None:
        """Draw it with its top left corner at (x, top)."""
        _sides(canvas, x, top, self.width, self.height)
        canvas.line(x, top, x + self.width, top)
        draw_set(canvas, self.figures, x + PAD, top)


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
    def words(self) -> list[Paragraph]:
        """What is done before the cut, and what falls."""
        room = self.width - self.begins - 0.75 * PAD  # a line that runs on by a hair does not touch the frame
        told = row_lines(self.run, self.row, self.before)
        return fewest_lines(told, lambda text, _: paragraph(text, RIG, room, leading=LEADING))

    @property
    def begins(self) -> float:
        """Where the words begin: below one another in all rows of a run [pt]."""
        return float(TICK + 2.25 * PAD + width_of(str(self.run.cuts[-1].number), FIGURE, bold=True))

    @property
    def _high(self) -> float:
        # Below the words there is room for the line to write on, which hangs below its letters.
        return float(max(sum(words.height for words in self.words) + 1.8 * mm, TICK + 0.9 * mm))

    @property
    def height(self) -> float:
        """Height [pt]."""
        return float(self._high + (GAP if self.last else 0.0))

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
        canvas.drawString(x + TICK + 1.5 * PAD, top - 0.5 * mm - TICK + 0.6 * mm, str(self.row.number))
        upper = top - 0.4 * mm
        for words in self.words:
            words.draw(canvas, x + self.begins, upper)
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
        return float(GAP)

    def draw(self, canvas: Any, x: float, top: float) -> None:
        """Draw it with its top left corner at (x, top)."""
        canvas.setStrokeGray(0)
        canvas.setLineWidth(1.6)
        canvas.line(x, top, x + self.width, top)


# --- words --------------------------------------------------------------------------------------------------------


def run_lines(run: RunRow) -> list[str]:
    """What holds for the whole run: how many cuts, what falls, how the first piece lies, how long the cuts are."""
    first = run.cuts[0]
    made = [dry_run(first)] if first.dry_run else []
    what = f"{len(run.cuts)} cuts" + (f": {run.parts}" if run.parts else "")
    made.append(markup(what + (f"; {run.size}" if run.size else "") + ".", bold=True))
    placed = (markup(each, bold=True) for each in (*first.marks, *first.aids))
    made += [_laid(first), markup(first.hold, bold=True), *placed]
    made += _long(first)
    if alike(run) and first.measure is not None:
        lengths = [_length(each) for each in (first.measure, *first.measure.further)]
        made.append(markup(f"Measure each part{',' if first.measure.of else ''} ") + "; ".join(lengths) + markup("."))
    return list(filter(None, made))


def _length(each: Measure) -> str:
    of = f"{each.of} " if each.of else ""
    return markup(f"{of}{each.expected}, ") + markup(f"go {each.low} to {each.high}", bold=True)


def by_itself(row: CutRow) -> list[str]:
    """All that is done at a cut by itself: before the arc; then what falls, with what it measures."""
    made = [dry_run(row)] if row.dry_run else []
    placed = (markup(each, bold=True) for each in (*row.marks, *row.aids))
    made += [*_piece(row), _laid(row), markup(row.hold, bold=True), *placed]
    made += [*_long(row), *resting(row)]
    passes = [markup(each) for each in row.passes]
    return [" ".join(filter(None, made)), *passes, " ".join(after(RunRow((row,), ""), row, alone=True))]


def dry_run(row: CutRow) -> str:
    """That the end stop is proved before the arc."""
    return markup(f"DRY RUN, {row.dry_run}.", bold=True)


def _laid(row: CutRow) -> str:
    """Which face is up, which edge goes on the fence and which to the start line, where that is new: the picture has
    the letters.

    Of a plate off the rack it is also said what its edges are.
    """
    if row.does("fetch_plate"):
        fence = f", fence {row.on_fence.text}" if row.located == "fence" else ""
        start = "" if row.located == "mitre" else f", start {row.leading.text}"
        return together(markup(f"{row.face.text}{fence}{start}.", bold=True))
    told = [row.face.text] if row.face.changed else []
    edge = row.lie.right if row.lie.right in SQUARE else row.on_fence.text  # one that slants is known by its cut
    told += [f"fence {edge}"] if row.located == "fence" and row.on_fence.changed else []
    told += [f"start {row.lie.start}"] if row.located != "mitre" and row.leading.changed else []
    words = ", ".join(told)
    return markup(f"{words[0].upper()}{words[1:]}.", bold=True) if told else ""


def _long(row: CutRow) -> Iterator[str]:
    """How long a cut is, where that is new, and in how many passes where that is not one."""
    if row.length.changed:
        yield markup(f"Cut {row.length.text.removesuffix(', one pass')}.", bold=True)


def alike(run: RunRow) -> bool:
    """Whether each cut of a run gives one piece of one part, on one side, to be measured by one band: what is said once
    need not be said again."""
    side = "right" if run.cuts[0].right is not None and run.cuts[0].right.kind == "part" else "left"
    found = set()
    for row in run.cuts:
        fall = getattr(row, side)
        if fall is None or fall.kind != "part" or row.measure is None or row.measure.piece != fall.piece:
            return False
        lengths = (replace(each, piece="", further=()) for each in (row.measure, *row.measure.further))
        found.add((fall.name.rpartition(", ")[0], *lengths))
    return len(found) == 1


def row_lines(run: RunRow, row: CutRow, before: CutRow | None, *, few: bool = False) -> list[str]:
    """What is done before a cut of a run; then what falls, with what it measures. Two passes are told in `few` words
    where that is asked for."""
    return [" ".join(each) for each in (list(_before(row, before, few)), list(after(run, row))) if each]


def _before(row: CutRow, before: CutRow | None, few: bool) -> Iterator[str]:
    yield from _piece(row)
    if before is not None:
        if row.dry_run:
            yield dry_run(row)
        if row.face.changed or (row.lie.right, row.lie.start) != (before.lie.right, before.lie.start):
            yield _laid(row)
        if row.hold and row.hold != before.hold:
            yield markup(row.hold, bold=True)
        yield from (markup(each, bold=True) for each in row.aids if each not in before.aids)
        yield from _long(row)
    yield from resting(row)
    yield from map(markup, filter(None, [row.passes_in_few]) if few else row.passes)


def _piece(row: CutRow) -> Iterator[str]:
    """Which piece, what to do with it; its size where it is fetched, its mass where one may not lift it."""
    size = f", {row.size}" if row.does("fetch_plate", "fetch") else ""
    mass = f", {row.mass}" if row.lifting else ""
    yield markup(row.piece, bold=True) + markup(size + mass) + heavy(row) + markup(":" if row.steps else ".")
    if row.steps:
        yield markup(" ".join(step.fewest for step in row.steps), bold=True)


def resting(row: CutRow) -> Iterator[str]:
    """How long the power source rests once the piece lies."""
    if row.rest:
        yield markup("REST ", bold=True) + rest(row) + markup(".")


def after(run: RunRow, row: CutRow, *, alone: bool = False) -> Iterator[str]:
    """What falls, with what it measures. In a run nothing is said of the rest that stays: the next row has it."""
    widths = {each.piece: each for each in to_measure(row)}
    for side, fall in (("Left", row.left), ("Right", row.right)):
        width = measured(widths[fall.piece]) + "." if fall is not None and fall.piece in widths else ""
        same = not alone and alike(run)
        if fall is not None and row.measure is not None and fall.piece == row.measure.piece and same:
            yield markup(fall.piece, bold=True) + markup(f" is\u00a0{'_' * 8}")
            continue
        if fall is None:
            yield markup(f"{side}: ") + fell(None) + markup(".")
        elif fall.kind == "part":
            yield markup(f"{side}: ") + _part(fall) + markup(": ") + (width or markup("done."))
        elif fall.kind == "scrap" and not width:
            yield markup(f"{side}: {fall.piece}, {fall.doing}.")
        elif fall.whereto != "bed":
            told = _aside(fall, width) if fall.kind == "blank" else " ".join(filter(None, (fell(fall), width)))
            yield markup(f"{side}: ") + told
        elif alone or width:
            yield (
                markup(f"{side}: ")
                + markup(f"{fall.piece} stays", bold=alone)
                + (": " + width if width else markup("."))
            )


def _aside(fall: Fall, width: str) -> str:
    """A piece that is put aside: where it is measured it is as long as the cut, and as wide as it measures."""
    doing = markup(f"{'' if width else f' {fall.size}:'} {fall.few}.")
    return markup(f"{fall.piece},", bold=True) + doing + (f" {width[0].upper()}{width[1:]}" if width else "")


def _part(fall: Fall) -> str:
    return tagged(shortened(fall.name, RIG, 70 * mm, bold=True), bold=True) + markup(f" ({fall.piece})")


def pictured(run: RunRow) -> CutRow:
    """The first cut, with what falls named as for all of them."""

    def named(fall: Fall | None) -> Fall | None:
        if fall is None or fall.kind in ("offcut", "scrap"):
            return fall
        if fall.kind == "blank":
            return replace(fall, piece="rest" if fall.whereto == "bed" else "piece")
        return replace(fall, name=fall.name.rpartition(", ")[0] or fall.name, piece="part")

    first = run.cuts[0]
    return replace(first, left=named(first.left), right=named(first.right), length=Field(first.length.text))
