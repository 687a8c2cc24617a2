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
from stripplan.sheets.paper.text import DESK, NEAR, RIG, lacks, markup, points, shortened, tagged, width_of
from stripplan.sheets.rows.row_types import PartRow, PlateMark, Quoted, RunRow, Setting, Sheet

BOX = f'<font size="{points(3.2):.1f}">☐</font>'
TITLE = points(6)
GUTTER = 5 * mm
ABREAST = 4
"""Settings side by side in the overview."""
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


def job_sections(sheet: Sheet, width: float, pointer: str) -> list[Section]:
    """The first page: what to take, what it comes to, how good it is, what it rests on, what to mind; `pointer` leads
    to the cautions."""
    sections = [title_section(sheet, width, pointer), _section("Take off the rack", _stock_rows(sheet, width), width)]
    if sheet.first:
        sections.append(_section("Mind first", [_line(f"! {each}", width, bold=True) for each in sheet.first], width))
    if sheet.measure_first:
        sections.append(_section("Measure first", _measure_rows(sheet, width), width))
    if mind := [*sheet.warnings, *_lacking(sheet)]:
        sections.append(_section("Mind", [_line(f"! {each}", width) for each in mind], width))
    return [*sections, *behind_sections(sheet, width)]


def title_section(sheet: Sheet, width: float, pointer: str) -> Section:
    """Job, plan, units, and the line that leads to the cautions."""
    title = [Words(markup(sheet.job or "Job"), width, TITLE, bold=True)]
    units = "inches, masses in pounds" if sheet.units == "in" else "mm, masses in kg"
    made = f", made {sheet.made_at}" if sheet.made_at else ""
    scales = f" {_scales_in_mm(sheet)}" if _scales_in_mm(sheet) else ""
    intro = Words(markup(f"Setup sheet, plan {sheet.plan}{made}. All lengths in {units}.{scales}"), width, DESK)
    return Section("Job", title, [intro, Words(markup(pointer, bold=True), width, DESK)], fresh=True)


def _scales_in_mm(sheet: Sheet) -> str:
    """That readings are in mm for a person who reads inches: a scale is set to what is marked on it."""
    if sheet.units != "in":
        return ""
    scales = {"fence": [row.fence.text for row in sheet.cuts], "end stop": [row.end_stop.text for row in sheet.cuts]}
    marked = [name for name, texts in scales.items() if any(each.endswith(" mm") for each in texts)]
    return f"{' and '.join(marked).capitalize()}: mm, as marked." if marked else ""


def behind_sections(sheet: Sheet, width: float) -> list[Section]:
    """What stands behind the plan: what it comes to, how good it is, what it rests on, what was measured."""
    totals = _section("Totals, and what is left", [*_pairs(sheet.totals, width), *_left(sheet, width)], width)
    sections = [replace(totals, whole=False)]
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


def stock_lines(sheet: Sheet, width: float) -> list[Box]:
    """What to take off the rack, two lines a plate."""
    found: list[Box] = []
    for each in sheet.stock:
        note = f" ({each.note})" if each.note else ""
        heavy = markup(f": {each.lifting}", bold=True) if each.lifting else ""
        first = f"{BOX} {markup(each.plate, bold=True)} {markup(each.stock + note)}"
        second = f"{markup(f'{each.size} {each.material}')} {markup(each.mass)}{heavy}"
        found.append(Words(f"{first}<br/>{second}", width, DESK))
    return found


def mind_lines(sheet: Sheet, width: float) -> list[Box]:
    """All that is to be minded, what comes first in bold."""
    found: list[Box] = [_line(f"! {each}", width, bold=True) for each in sheet.first]
    found += _measure_rows(sheet, width) if sheet.measure_first else []
    return [*found, *(_line(f"! {each}", width, size=NEAR) for each in [*sheet.warnings, *_lacking(sheet)])]


def part_lines(sheet: Sheet, width: float) -> list[Box]:
    """Each part with a box for each of its pieces, and the offcuts to register, in few lines."""
    found: list[Box] = []
    for part in sheet.parts:
        for number, row in enumerate(
            part.pieces[at : at + IN_ONE] for at in range(0, max(1, len(part.pieces)), IN_ONE)
        ):
            told = f"{markup(part.name, bold=True)} {_in_few(part)} " if not number else ""
            found.append(Words(told + _ticks(row), width, DESK))
    for each in sheet.offcuts:
        words = f"{each.size} {each.material} {each.mass}, rack place ________"
        found.append(Words(f"{markup('Offcut', bold=True)} {_ticks((each.piece,))} {markup(words)}", width, DESK))
    return found


def _in_few(part: PartRow) -> str:
    """Wanted and made, sizes, how true, in one line."""
    expected = "; ".join(part.expected) + (f" ({part.tolerance})" if part.tolerance else "")
    size = part.size + (f" ({part.as_cut})" if part.as_cut else "")
    short = markup(" SHORT", bold=True) if part.made < part.wanted else ""
    count = f"filler, {part.made}" if part.filler else f"{part.wanted}, {part.made}"
    return markup(count) + short + markup(f"; {size}; {expected}" if expected else f"; {size}")


def _ticks(pieces: Sequence[str]) -> str:
    return "\u00a0\u00a0 ".join(f"{BOX}\u00a0{markup(each)}" for each in pieces)


def rests_in_few(sheet: Sheet, width: float) -> Box:
    """What the plan rests on, and what of it is to be checked, in small print."""
    rests = "; ".join(_setting(each) for each in (*sheet.settings, *sheet.measured))
    assumed = f"Assumed figures that move the minutes: {'; '.join(sheet.assumed_times)}." if sheet.assumed_times else ""
    return Words(f"{markup('Rests on:', bold=True)} {rests}. {markup(assumed)}", width, NEAR, above=HEADING_GAP / 3)


def behind_in_few(sheet: Sheet, width: float) -> Section:
    """What stands behind the plan, in small print: what it comes to, how good it is, how true the parts will be."""
    told = [
        ("How good", markup(" ".join([*sheet.proof, *([sheet.other_order] if sheet.other_order else [])]))),
        *(("Sizes", markup(each)) for each in sheet.of_all_sizes),
        *((part.name, markup("; ".join(part.trueness))) for part in sheet.parts if part.trueness),
    ]
    boxes = [Words(f"{markup(what + ':', bold=True)} {text}", width, NEAR) for what, text in told]
    boxes = [totals_in_few(sheet, width), *boxes, plate_legend(sheet, width)]
    return Section("Behind the plan", [], boxes, fresh=False, whole=True)


def totals_in_few(sheet: Sheet, width: float) -> Words:
    """What the plan comes to, in small print."""
    totals = "; ".join(f"{what}: {figure}" for what, figure in sheet.totals)
    return Words(f"{markup('Totals:', bold=True)} {markup(f'{totals}.')}", width, NEAR)


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
    "proved before the arc. HOLD: little of the piece lies on the fence and it would swing; its long edge on the start "
    "line shows that it lies square, a clamp clear of the torch keeps it there.",
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
    "hatched, scrap crossed. A piece is to scale unless a "
    "break line crosses it; a name that finds no room stands beside it. Black lozenge: chalk that end of the piece.",
    *WORDS,
)  # fmt: skip
BY_ROWS = (
    CHALK,
    "Stand at home. " + STAND.format(up="away from you"),
    "Work each row from top to bottom, and set what says SET: fence, end stop (SET stop), speed. What is bold is new "
    "or must "
    "be done; what is grey stays as it was for the cut before. Where nothing is to be set a row tells only what is "
    "new: the rest is as for the row above.",
    "The edge named after fence goes flat against the fence, the one after start on the start line. TWO PASSES: cut "
    "in to the stop, let it cool, scrape the dross, turn the piece over end for end, letter the new face, cut back to "
    "meet the first pass.",
    *WORDS,
)


ASLANT = (
    "Cuts at an angle. Edges that slant have letters from Z backwards; they stay with their edge like A to D. Mitre "
    "bar: set it to the angle told, from the direction of travel anticlockwise to its face; square across is 90. In "
    "brackets stands how far that end is ahead, over how much across the travel. Its face goes through the point where "
    "the torch line crosses the start line, and its stop stands so far from that point as is told, along the bar. Lay "
    "the edge told flat against the bar, its corner at the stop. Bar and stop hold until a cut says SET; take the bar "
    "off where a cut is made by the fence or by marks. Before the arc run the "
    "torch over the line with the arc off, and see where it leaves the metal. Pieces with sharp points are hot and "
    "cut: tongs."
)
"""Where a plan has cuts at an angle, or pieces that are no rectangles."""


def reading_section(width: float, *, short: bool, aslant: bool, size: float = NEAR) -> Section:
    """How to read the sheet, by its form, and of cuts `aslant` where there are any."""
    texts: tuple[str, ...] = BY_ROWS if short else BY_PICTURES
    if aslant:
        texts = (*texts[: -len(WORDS)], ASLANT, *WORDS)
    boxes = [Words(markup(f"{number}. {text}"), width, size) for number, text in enumerate(texts, 1)]
    title = "How to work by this sheet"
    return Section(title, [_heading(title, width)], boxes, fresh=False, again=[])


def plate_legend(sheet: Sheet, width: float, *, size: float = NEAR) -> Words:
    """What the signs of a plate's drawing mean."""
    words = (
        "Number: cut, in the order of work. Arrowhead: the way the torch goes; what lies on the right of it lies on "
        "the "
        f"fence. Edge that comes out square: {sheet.square_side}. A letter with a figure: so far runs that torch line "
        "from that edge of the plate; it is no fence reading. Tinted: part. Hatched: offcut. Crossed: scrap."
    )
    return Words(markup(words), width, size, above=HEADING_GAP / 2)


def overview_section(sheet: Sheet, width: float, room: float) -> Section:
    """When each plate is begun, and its settings in the order of work: of several plates a page to pin up. Names are in
    one line where they would fill more than the `room` of a page in two [pt]."""
    whole = _overview(sheet, width, 2)
    return whole if whole.height <= room else _overview(sheet, width, 1)


def _overview(sheet: Sheet, width: float, lines: int) -> Section:
    head: list[Box] = [_heading("Overview: plates and settings in the order of work", width)]
    for mark in sheet.marks:
        head.append(_line(_marked(mark), width))
    head.append(_line(f"All of it takes about {sheet.lasts}.", width, bold=True))
    head.append(_line("Each setting: cuts, fence, end stop; what falls.", width, size=NEAR))
    boxes = [box for mark in sheet.marks for box in settings_in_order(sheet, mark, width, lines)]
    return Section("Overview", head, boxes, fresh=len(sheet.marks) > 1, whole=True, again=head[:1])


def _marked(mark: PlateMark) -> str:
    return f"Plate {mark.plate} ({mark.stock}, {mark.size}) {mark.told}."


def settings_in_order(sheet: Sheet, mark: PlateMark, width: float, lines: int) -> list[Box]:
    """The settings of a plate in order: which cuts, fence, end stop, what falls."""
    cells = [_summed(run, width / ABREAST, lines) for run in sheet.runs if run.cuts[0].plate.text == mark.plate]
    head = Words(markup(f"Plate {mark.plate}", bold=True), width, DESK, above=HEADING_GAP / 2)
    filled = [*cells, *[""] * (-len(cells) % ABREAST)]
    chunks = [tuple(filled[at : at + ABREAST]) for at in range(0, len(filled), ABREAST)]
    rows = [Row(each, (1,) * ABREAST, width, size=NEAR, ruled=False) for each in chunks]
    return [Together((head, *rows[:1])), *rows[1:]]


def _summed(run: RunRow, room: float, lines: int) -> str:
    """A setting in one line or two of the room that it has [pt]."""
    first = run.cuts[0]
    where = f"scribe {first.scribe}" if first.scribe else first.fence.text
    if first.angle is not None and first.bar_stop is not None:
        where = f"bar {first.angle.text}, its stop {first.bar_stop.text} {first.bar_side}"
    figures = f": {where}, {first.end_stop.text}"
    left = room - 2.5 * mm - width_of(run.name + figures + "; ", NEAR, bold=True)
    what = "; " + tagged(shortened(run.parts, NEAR, max(left, 0.0) + 0.75 * room * (lines - 1))) if run.parts else ""
    return markup(run.name, bold=True) + markup(figures) + what


def parts_section(sheet: Sheet, width: float) -> Section:
    """Check list of parts: a box to tick for each piece."""
    half = (width - GUTTER) / 2
    title = Row(("part; want, made; finished size, size to expect",), (1,), half, bold=True)
    found = [box for part in sheet.parts for box in _part_boxes(part, half)]
    titles = Beside(title, title if len(found) > 1 else None, half + GUTTER)
    once = [Row((markup(each),), (1,), width, size=NEAR, ruled=False) for each in sheet.of_all_sizes]
    head: list[Box] = [_heading("Parts: check list", width), titles]
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
    ticks = [_ticks(part.pieces[at : at + IN_ONE]) for at in range(0, len(part.pieces), IN_ONE)]
    rows += [Row((each,), (1,), width) for each in ticks[:1]]
    again = tagged(shortened(part.name, DESK, width / 2, bold=True) + ": ", bold=True)
    return [Together(tuple(rows)), *(Row((again + each,), (1,), width) for each in ticks[1:])]


def _unbroken(size: str) -> str:
    """A size that is broken before it, never within."""
    return size.replace(" × ", "\u00a0×\u00a0")


def quoted_sections(quoted: Quoted, width: float) -> list[Section]:
    """What the job costs and what each part of it; where each figure comes from, and what is not in the sum. Each of
    both tables has its own heads, on a further page too."""
    shares, of_part = (18, 16, 10, 10, 46), (46, 12, 20, 22)
    title = _heading("What it costs", width)
    heads = Row(("what", "quantity", "price", "amount", "where from"), shares, width, bold=True)
    lines = [Row(tuple(map(markup, line)), shares, width) for line in quoted.lines]
    total = Row((markup("total", bold=True), "", "", markup(quoted.total, bold=True), ""), shares, width)
    part_heads = Row(("part", "made", "each", "in all"), of_part, width, bold=True)
    parts = [Row(tuple(map(markup, part)), of_part, width) for part in quoted.parts]
    notes = [_line(note, width) for note in quoted.notes]
    return [
        Section("What it costs", [title, heads], _ended(lines, [total]), fresh=False),
        Section("", [part_heads], _ended(parts, notes), fresh=False, again=[title, part_heads]),
    ]


def _ended(rows: Sequence[Box], end: Sequence[Box]) -> list[Box]:
    """Rows with what stands at their end and means nothing on a page without the last of them."""
    return [*rows[:-1], Together((*rows[-1:], *end))] if rows or end else []


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
    boxes: list[Box] = [*rows] if rows else [_line("None.", width)]
    end = [_line(each, width) for each in (sheet.kept_from,) if each]
    return Section("Offcuts to register", head, _ended(boxes, end), fresh=False)
