"""The pages that are read at a desk: the job, how to read the sheet, part check list, offcuts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import zip_longest
from typing import Any

from reportlab.lib.units import mm

from stripplan.sheets.paper.flow import HEADING_GAP, Box, Section, Words
from stripplan.sheets.paper.paragraph import Paragraph, paragraph
from stripplan.sheets.paper.text import DESK, NEAR, RIG, lacks, markup, points, shortened, tagged
from stripplan.sheets.rows.row_types import PartRow, Quoted, RunRow, Setting, Sheet

BOX = f'<font size="{points(3.2):.1f}">☐</font>'
TITLE = points(6)
GUTTER = 5 * mm
IN_ONE = 48
"""Pieces of a part in one row of the check list: a row is never split over two pages."""


@dataclass(frozen=True)
class Row:
    """Cells of markup side by side; `shares` divide the width. Ruled below, unless it goes on."""

    cells: tuple[str, ...]
    shares: tuple[float, ...]
    width: float
    bold: bool = False
    outline: str = ""
    size: float = DESK
    ruled: bool = True

    @cached_property
    def _set(self) -> list[tuple[Paragraph, float]]:
        whole = sum(self.shares)
        made = []
        at = 0.0
        for cell, share in zip(self.cells, self.shares, strict=True):
            room = self.width * share / whole
            made.append((paragraph(cell, self.size, room - 2 * mm, bold=self.bold), at))
            at += room
        return made

    @property
    def height(self) -> float:
        """Height [pt]."""
        return float(max(words.height for words, _ in self._set) + (1.8 if self.ruled else 0.8) * mm)

    def draw(self, canvas: Any, x: float, top: float) -> None:
        """Draw it with its top left corner at (x, top)."""
        for words, at in self._set:
            words.draw(canvas, x + at, top - 0.4 * mm)
        if not self.ruled:
            return
        canvas.setStrokeGray(0 if self.bold else 0.6)
        canvas.setLineWidth(0.8 if self.bold else 0.4)
        canvas.line(x, top - self.height + 0.3 * mm, x + self.width, top - self.height + 0.3 * mm)


@dataclass(frozen=True)
class Together:
    """Boxes below each other that no page parts."""

    boxes: tuple[Box, ...]
    outline: str = ""

    @property
    def height(self) -> float:
        """Height [pt]."""
        return sum(box.height for box in self.boxes)

    def draw(self, canvas: Any, x: float, top: float) -> None:
        """Draw it with its top left corner at (x, top)."""
        for box in self.boxes:
            box.draw(canvas, x, top)
            top -= box.height


@dataclass(frozen=True)
class Beside:
    """Two boxes side by side, `apart` from left edge to left edge [pt]."""

    left: Box
    right: Box | None
    apart: float
    outline: str = ""

    @property
    def height(self) -> float:
        """Height [pt]."""
        return max(self.left.height, self.right.height if self.right is not None else 0.0)

    def draw(self, canvas: Any, x: float, top: float) -> None:
        """Draw it with its top left corner at (x, top)."""
        self.left.draw(canvas, x, top)
        if self.right is not None:
            self.right.draw(canvas, x + self.apart, top)


def job_sections(sheet: Sheet, width: float) -> list[Section]:
    """The first page: what to take, what it comes to, how good it is, what it rests on, what to mind."""
    title = [Words(markup(sheet.job or "Job"), width, TITLE, bold=True)]
    units = "inches, unless mm is said" if sheet.units == "in" else "mm"
    made = f", made {sheet.made_at}" if sheet.made_at else ""
    intro = Words(markup(f"Setup sheet, plan {sheet.plan}{made}. All lengths in {units}, masses in kg."), width, DESK)
    sections = [
        Section("Job", title, [intro], fresh=True),
        _section("Take off the rack", _stock_rows(sheet, width), width),
    ]
    if sheet.first:
        sections.append(_section("Mind first", [_line(f"! {each}", width, bold=True) for each in sheet.first], width))
    if sheet.measure_first:
        sections.append(_section("Measure first", _measure_rows(sheet, width), width))
    if mind := [*sheet.warnings, *_lacking(sheet)]:
        sections.append(_section("Mind", [_line(f"! {each}", width) for each in mind], width))
    totals = _section("Totals, and what is left", [*_pairs(sheet.totals, width), *_left(sheet, width)], width)
    sections.append(replace(totals, whole=False))
    good = [*sheet.proof, *([sheet.other_order] if sheet.other_order else [])]
    sections.append(_section("How good the plan is", [_line(" ".join(good), width, size=NEAR)], width))
    rests: list[Box] = [*_settings(sheet.settings, width)]
    if sheet.assumed_times:
        rests.append(
            _line(f"Assumed figures that move the minutes: {'; '.join(sheet.assumed_times)}.", width, size=NEAR)
        )
    sections.append(_section("The plan rests on", rests, width))
    if sheet.measured:
        rows = [Row((_setting(each),), (1,), width) for each in sheet.measured]
        sections.append(_section("Measured on this rig", rows, width))
    return sections


def _lacking(sheet: Sheet) -> list[str]:
    """That letters of names cannot be printed, where that is so."""
    names = {
        sheet.job,
        *(name for each in sheet.stock for name in (each.stock, each.material)),
        *(each.name for each in sheet.parts),
    }
    count = sum(map(lacks, names))
    holds = "name holds" if count == 1 else "names hold"
    return (
        [f"{count} {holds} letters that this print lacks: they stand by number, [U+hhhh]; drawings have them."]
        if count
        else []
    )


def _section(title: str, boxes: Sequence[Any], width: float) -> Section:
    return Section(title, [_heading(title, width)], boxes, fresh=False, whole=True)


def _heading(title: str, width: float) -> Words:
    return Words(markup(title), width, RIG, bold=True, above=HEADING_GAP)


def _line(text: str, width: float, *, bold: bool = False, size: float = DESK) -> Words:
    return Words(markup(text), width, size, bold=bold)


def _stock_rows(sheet: Sheet, width: float) -> list[Row]:
    shares = (8, 26, 26, 18, 22)
    rows = [Row(("plate", "name", "size", "material", "mass"), shares, width, bold=True)]
    for each in sheet.stock:
        mass = markup(each.mass) + (markup(f": {each.lifting}", bold=True) if each.lifting else "")
        note = f" ({each.note})" if each.note else ""
        cells = (
            f"{BOX} {markup(each.plate, bold=True)}", markup(each.stock + note), markup(each.size),
            markup(each.material), mass,
        )  # fmt: skip
        rows.append(Row(cells, shares, width))
    return rows


def _measure_rows(sheet: Sheet, width: float) -> list[Words]:
    blanks = "Length ________ width ________ diagonals ________ and ________"
    why = "Some part takes its size from the plate itself. If the plate differs, plan again with its true size."
    return [_line(f"{each} {blanks}", width) for each in sheet.measure_first] + [_line(why, width)]


def _pairs(pairs: Sequence[tuple[str, str]], width: float) -> list[Row]:
    """What and figure, four pairs to a row."""
    rows = []
    for at in range(0, len(pairs), 4):
        chunk = [*pairs[at : at + 4], ("", ""), ("", ""), ("", "")][:4]
        cells = tuple(f"{markup(what)}: {markup(figure, bold=True)}" if what else "" for what, figure in chunk)
        rows.append(Row(cells, (25, 25, 27, 23), width))
    return rows


def _left(sheet: Sheet, width: float) -> list[Words]:
    if not sheet.offcuts:
        return [_line("No offcut worth keeping.", width)]
    words = "Left: " + "; ".join(f"{each.piece}: {each.size}" for each in sheet.offcuts[:8])
    more = len(sheet.offcuts) - 8
    return [_line(words + (f"; and {more} more, all in the list of offcuts" if more > 0 else "") + ".", width)]


def _settings(settings: Sequence[Setting], width: float) -> list[Row]:
    rows = []
    for at in range(0, len(settings), 3):
        cells = [_setting(each) for each in settings[at : at + 3]]
        rows.append(Row((*cells, *[""] * (3 - len(cells))), (1, 1, 1), width, size=NEAR))
    return rows


def _setting(each: Setting) -> str:
    doubt = " " + markup(f"{each.doubt.upper()}: CHECK", bold=True) if each.doubt else ""
    return f"{markup(each.name)}: {markup(each.value, bold=True)}{doubt}"


CHALK = (
    "Before the first cut of a plate: lay it on the bench as it is drawn. On the face that is up (the TOP face) chalk "
    "its name, and along its edges the letters A, B, C, D as on the drawing. A letter stays with its edge, also on a "
    "piece "
    "cut from it. Chalk it: name and letters go on each piece that you put aside, and on a face that comes up new "
    "(the UNDER face)."
)
STAND = (
    "The carriage runs {up}. The fence is on the right. Left and right are meant as you look along the travel. Turns "
    "are "
    "made flat on the bed. TWO PEOPLE: or a hoist. HOIST: too heavy for two."
)
WORDS = (
    "Edge (cut 3): made by cut 3. Clear: take away what was cut off and is not cut next. Fetch it (from cut 3): it "
    "was put aside then. ↺: anticlockwise, "
    "↻: clockwise. Scrape: clean the dross off that edge, as it goes on the fence or to the start line. Push up: "
    "slide the piece up to the fence, that "
    "edge flat against it. Dry run: torch trigger unplugged, run the carriage to the end stop and home; both must be "
    "proved before the arc.",
    "Torch: fit and set what its block says, before the cuts below it. No scale for the speed: set it so that the "
    "carriage takes the seconds told "
    "over the distance told.",
    "Measure across the cut, dross off, when cool. Outside the band: stop, check the fence, measure the kerf, plan "
    "again. Tick the box when the cut "
    "is done and all pieces are where they belong.",
)
BY_PICTURES = (
    CHALK,
    "Stand at home, at the bottom of the small pictures. " + STAND.format(up="up the page, away from you"),
    "Set what says SET. What is bold is new or must be done; what is grey stays as it was for the cut before, and so "
    "does what is not said: plate, speed, "
    "face, edges, length of the cut. A block for several cuts is a run: set once, then work its rows from top to "
    "bottom. What stands before a colon is "
    "the piece; then what to do before the cut; then what falls, and what it measures.",
    "Fence A, start D: edge A goes flat against the fence, edge D on the start line. They are the black letters in "
    "the picture, also where the words do "
    "not name them. In a run they hold for every row, until a row says otherwise. A part is tinted, an offcut "
    "hatched, scrap crossed; nothing is to scale.",
    *WORDS,
)  # fmt: skip
BY_ROWS = (
    CHALK,
    "Stand at home. " + STAND.format(up="away from you"),
    "Work each row from top to bottom, and set what says SET: fence, end stop (SET stop), speed. What is bold is new "
    "or must "
    "be done; what is grey stays as it was for the cut before. Where nothing is to be set a row tells only what is "
    "new: the rest is as for the row above.",
    "The edge named after fence goes flat against the fence, the one after start on the start line.",
    *WORDS,
)


def reading_section(width: float, *, short: bool) -> Section:
    """How to read the sheet, by its form."""
    texts = BY_ROWS if short else BY_PICTURES
    boxes = [Words(markup(f"{number}. {text}"), width, NEAR) for number, text in enumerate(texts, 1)]
    title = "How to work by this sheet"
    return Section(title, [_heading(title, width)], boxes, fresh=False, again=[])


def plate_legend(sheet: Sheet, width: float) -> Words:
    """What the signs of a plate's drawing mean."""
    words = (
        "Number: cut, in the order of work. Arrowhead: the way the torch goes; what lies on the right of it lies on "
        "the "
        f"fence. Edge that comes out square: {sheet.square_side}. A letter with a figure: so far runs that torch line "
        "from that edge of the plate; it is no fence reading. Tinted: part. Hatched: offcut. Crossed: scrap."
    )
    return Words(markup(words), width, NEAR, above=HEADING_GAP / 2)


def summary(sheet: Sheet, plate: str, width: float) -> list[Box]:
    """The settings of a plate in order: which cuts, fence, end stop, what falls."""
    runs = [run for run in sheet.runs if run.cuts[0].plate.text == plate]
    cells = [_summed(run) for run in runs]
    if not cells:
        return []
    head = Words(markup("Settings in order, line by line:", bold=True), width, DESK, above=HEADING_GAP / 2)
    rows = [(*cells[at : at + 3], "", "")[:3] for at in range(0, len(cells), 3)]
    return [head, *(Row(each, (1, 1, 1), width, size=NEAR, ruled=False) for each in rows)]


def _summed(run: RunRow) -> str:
    first, count = run.cuts[0], len(run.cuts)
    where = f"scribe {first.scribe}" if first.scribe else f"fence {first.fence.text}"
    many = f"{count} cuts" if count > 1 else "1 cut"
    what = ": " + tagged(shortened(run.parts, NEAR, 26 * mm)) if run.parts else ""
    return f"{markup(run.name, bold=True)}: {markup(f'{where}, stop {first.end_stop.text}, {many}')}{what}"


def parts_section(sheet: Sheet, width: float) -> Section:
    """Check list of parts: a box to tick for each piece."""
    half = (width - GUTTER) / 2
    title = Row(("part; want, made; finished size, size to expect",), (1,), half, bold=True)
    found = [box for part in sheet.parts for box in _part_boxes(part, half)]
    titles = Beside(title, title if len(found) > 1 else None, half + GUTTER)
    head: list[Box] = [_heading("Parts: check list", width), titles]
    boxes = [
        Beside(left, right, half + GUTTER) for left, right in zip_longest(found[::2], found[1::2]) if left is not None
    ]
    return Section("Parts: check list", head, boxes, fresh=False)


def _part_boxes(part: PartRow, width: float) -> list[Box]:
    """A part with its first pieces on one page; further pieces, under its name again, may stand on the next."""
    expected = "; ".join(part.expected) + (f" ({part.tolerance})" if part.tolerance else "")
    short = markup(" SHORT", bold=True) if part.made < part.wanted else ""
    size = part.size + (f" ({part.as_cut})" if part.as_cut else "")
    count = markup(f"filler, {part.made}" if part.filler else f"{part.wanted}, {part.made}") + short
    rows = [
        Row((markup(part.name, bold=True), count), (72, 28), width, ruled=False),
        Row((markup(size), markup(expected)), (40, 60), width, ruled=False),
    ]
    rows += [Row((markup(each, bold=True),), (1,), width, ruled=False) for each in part.notes]
    if part.trueness:
        rows.append(Row((markup("; ".join(part.trueness)),), (1,), width, size=NEAR, ruled=False))
    ticks = [
        "\u00a0\u00a0 ".join(f"{BOX}\u00a0{markup(each)}" for each in part.pieces[at : at + IN_ONE])
        for at in range(0, len(part.pieces), IN_ONE)
    ]
    rows += [Row((each,), (1,), width) for each in ticks[:1]]
    again = tagged(shortened(part.name, DESK, width / 2, bold=True) + ": ", bold=True)
    return [Together(tuple(rows)), *(Row((again + each,), (1,), width) for each in ticks[1:])]


def quoted_section(quoted: Quoted, width: float) -> Section:
    """What the job costs and what each part of it; where each figure comes from, and what is not in the sum."""
    shares = (18, 16, 10, 10, 46)
    head: list[Box] = [
        _heading("What it costs", width),
        Row(("what", "quantity", "price", "amount", "where from"), shares, width, bold=True),
    ]
    boxes: list[Box] = [Row(tuple(map(markup, line)), shares, width) for line in quoted.lines]
    boxes.append(Row((markup("total", bold=True), "", "", markup(quoted.total, bold=True), ""), shares, width))
    parts = (46, 12, 20, 22)
    boxes.append(Row(("part", "made", "each", "in all"), parts, width, bold=True))
    boxes += [Row(tuple(map(markup, part)), parts, width) for part in quoted.parts]
    boxes += [_line(note, width) for note in quoted.notes]
    return Section("What it costs", head, boxes, fresh=False)


def offcuts_section(sheet: Sheet, width: float) -> Section:
    """Offcuts to put into the stock book."""
    shares = (14, 34, 20, 12, 20)
    head: list[Box] = [
        _heading("Offcuts to register", width),
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
    return Section("Offcuts to register", head, rows or [_line("None.", width)], fresh=False)
