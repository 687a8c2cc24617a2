"""Labels for parts and offcuts as PDF, on ordinary sheets of label paper.

A grid of label paper is a `LabelSheet`. Several usual ones lie in `data/label_sheets.csv`, from memory (common practice, no
source): print `calibration_page` on plain paper and hold it against the label paper first. Any other grid is written as a text,
`page:columns x rows:width x height:left,top[:pitch x,pitch y]`, see `label_sheet`.

The code on a label is a QR code (ISO/IEC 18004, level M, UTF-8) of the plain text `stripplan:<plan id>:<piece id>`: the plan id
is the one printed on the setup sheet, the piece id is all that follows the second colon.

Letters are 2 mm high or more (capitals and figures). Where a label is small, fewer things stand on it, never smaller ones. A name
may end in an ellipsis, a size is whole or not there. Same plan, same bytes: only SOURCE_DATE_EPOCH changes the date inside the file.
"""

from __future__ import annotations

import csv
import difflib
import io
import math
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from functools import cache, lru_cache
from importlib import resources
from itertools import groupby
from typing import Any, Literal

from reportlab.graphics.barcode.qrencoder import QR8bitByte, QRCode, QRErrorCorrectLevel
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from stripplan.model.plan.piece import Piece
from stripplan.model.plan.plan import PartLine, Plan
from stripplan.sheets.paper.stamp import stamp_box
from stripplan.sheets.paper.text import BOLD, REGULAR, as_read, load_fonts, points, printable, width_of
from stripplan.sheets.rows.cuts import lifting
from stripplan.sheets.rows.lookup import SAME, Bench, show_exact, show_mass
from stripplan.sheets.rows.plan_rows import plan_id
from stripplan.wording.quantity import UnitError, parse_length

Which = Literal["part", "offcut"]
KINDS: tuple[Which, ...] = ("part", "offcut")

PAGES = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
"""Width and height of pages by name, upright [mm] (ISO 216 A4; ANSI/ASME Y14.1 size A)."""

FORM = "write page:columns x rows:width x height:left,top and, if there are gaps, :pitch x,pitch y; for example a4:3x8:70x36:0,4.5"

SLACK = 0.01
"""Label paper is not truer than this [mm]."""

LARGEST_PAGE = 2000.0
"""Longest side of a page [mm]."""

PAD, PAGE_EDGE = 2.0, 5.0
"""Nothing is printed nearer to the edge of a label, or of the page [mm]: few printers reach it. Common practice, no source."""

LEAST_INNER = (30.0, 15.0)
"""Least width and height inside a label's pads: letters 2 mm high, whole sizes and a code go in [mm]."""


# --- grids of label paper -----------------------------------------------------------------------------------------


@dataclass(frozen=True, kw_only=True)
class LabelSheet:
    """A grid of labels on a page [mm]. `left` and `top` are the page's margins before the first label, `pitch_x` and `pitch_y` the
    distances from one label's edge to the same edge of the next. Raises ValueError that names every fault."""

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
        yield from self._misfits("width", self.page_width, self.columns, "columns", self.width, self.left, self.pitch_x)
        yield from self._misfits("height", self.page_height, self.rows, "rows", self.height, self.top, self.pitch_y)

    def _misfits(
        self, side: str, page: float, count: int, lines: str, size: float, margin: float, pitch: float
    ) -> Iterator[str]:
        """What is wrong along one side of the page."""
        if page > LARGEST_PAGE:
            yield f"page {side} {page:g} mm is more than {LARGEST_PAGE:g} mm"
        if pitch < size - SLACK:
            axis = "x" if side == "width" else "y"
            yield f"pitch {axis} {pitch:g} mm is less than the label's {side} {size:g} mm: labels would lie on each other"
        end = margin + (count - 1) * pitch + size
        if end > page + SLACK:
            yield f"{count} {lines} of labels end {end:.2f} mm from the page's edge, beyond its {side} {page:g} mm"
            return
        at = 0 if side == "width" else 1
        inner = size - 2 * self.pads[at]
        if inner < LEAST_INNER[at] - SLACK:
            yield (
                f"label {side} {size:g} mm leaves {inner:.1f} mm to print on; at least {LEAST_INNER[at]:g} mm are "
                "needed for letters 2 mm high beside the code"
            )

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
        name=row["name"], page_width=page_width, page_height=page_height, columns=int(row["columns"]), rows=int(row["rows"]),
        **lengths,
    )  # fmt: skip


def label_sheet(text: str) -> LabelSheet:
    """A grid by its name, or one of the person's own as `page:columns x rows:width x height:left,top[:pitch x,pitch y]`.

    The page is a4, letter, or width x height. Bare figures are mm; a unit behind the last figure of a group holds for the group.
    Without pitches labels lie edge to edge. Raises ValueError that says what cannot be read.

    >>> label_sheet("a4:3x8:70x36:0,4.5").places
    24
    >>> label_sheet("letter:3x10:2 5/8 x 1 in:3/16,1/2 in:2 3/4,1 in").width
    66.675
    >>> label_sheet("a4:3x8:70x36")
    Traceback (most recent call last):
    ValueError: label sheet 'a4:3x8:70x36': 3 groups between colons, 4 or 5 are needed; write page:columns x rows:width x height:left,top and, if there are gaps, :pitch x,pitch y; for example a4:3x8:70x36:0,4.5
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
        name=text, page_width=page[0], page_height=page[1], columns=counts[0], rows=counts[1], width=size[0], height=size[1],
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


# --- what a label says --------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Line:
    """One line: the fullest wording first, then shorter ones, as good if `as_good`. `whole` has figures that must not be cut: it is left
    out if no wording fits."""

    wordings: tuple[str, ...]
    bold: bool = False
    whole: bool = False
    as_good: bool = False


@dataclass(frozen=True)
class Label:
    """What one label says: name, the two sides of the size, and lines with what matters most first."""

    piece: str
    code: str
    name: str
    size: tuple[str, str]
    lines: tuple[Line, ...]


def code_text(plan: str, piece: str) -> str:
    """What the code on a label says: the plan's id and the piece's.

    >>> code_text("0a1b2c3d", "P1-12")
    'stripplan:0a1b2c3d:P1-12'
    """
    return f"stripplan:{plan}:{piece}"


def label_list(
    plan: Plan, *, which: Sequence[Which] = KINDS, made_at: str | None = None, tag: str | None = None
) -> list[Label]:
    """One label for each part and offcut, in the order in which they fall; `made_at` in place of the plan's own date, `tag` the plan's id if known."""
    strange = [each for each in which if each not in KINDS]
    if strange or not which:
        raise ValueError(f"labels for {', '.join(map(repr, strange)) or 'nothing'}: must be part, offcut or both")
    bench, tag = Bench(plan), tag or plan_id(plan)
    parts = {line.name: line for line in plan.parts}
    pieces = [piece for piece in plan.pieces if piece.kind in which]
    falling = sorted(pieces, key=lambda piece: bench.made_by.get(piece.id, 0))
    return [_label(bench, piece, parts.get(piece.part or ""), tag, _day(made_at or plan.made_at)) for piece in falling]


def _label(bench: Bench, piece: Piece, part: PartLine | None, tag: str, day: str) -> Label:
    plate = bench.plates[piece.plate]
    thickness = show_exact(plate.thickness, bench.units) + (" mm" if bench.units == "mm" else "")
    material = Line((f"{thickness} {plate.material}",))
    cut = bench.made_by.get(piece.id)
    after = f"after cut {cut}" if cut else "no cut"
    fell = Line((f"plate {piece.plate}, {after}", after), as_good=True)  # the piece's id has the plate too
    job = Line((bench.plan.job.name,))
    made = Line((f"{day}, plan {tag}", day) if day else (f"plan {tag}",))
    mass = Line(_mass(bench, piece), bold=bool(lifting(bench, piece)), whole=True, as_good=True)
    if piece.kind == "offcut" or part is None:
        name = "OFFCUT" if piece.kind == "offcut" else piece.part or "part"
        told = (Line((piece.id,), bold=True), mass, material, job, made, fell)
        return Label(piece.id, code_text(tag, piece.id), name, _sides(bench, *_spans(piece)), told)
    finished, as_cut = _sizes(piece, part)
    count = f", {bench.count[piece.id]} of {part.made}" if part.made > 1 else ""
    kind = " (filler)" if part.filler else ""
    more = [mass] if lifting(bench, piece) else []
    if any(abs(a - b) > SAME for a, b in zip(finished, as_cut, strict=True)):
        sides = " × ".join(_sides(bench, *as_cut))
        more.append(Line((f"as cut {sides}", f"cut {sides}"), whole=True))
    first = Line((f"{piece.id}{count}{kind}", f"{piece.id}{count}", piece.id), bold=True)
    lines = (first, *more, material, fell, job, made)
    return Label(piece.id, code_text(tag, piece.id), part.name, _sides(bench, *finished), lines)


def _mass(bench: Bench, piece: Piece) -> tuple[str, ...]:
    mass, by = show_mass(piece.mass), lifting(bench, piece)
    return tuple(dict.fromkeys((f"{mass}: {by}", f"{mass}: {by.removesuffix(' or hoist')}", mass))) if by else (mass,)


def _spans(piece: Piece) -> tuple[float, float]:
    """Sizes along x and y of the plate [mm]."""
    x0, y0, x1, y1 = piece.box
    return x1 - x0, y1 - y0


def _sizes(piece: Piece, part: PartLine) -> tuple[tuple[float, float], tuple[float, float]]:
    """Length and width of a part, finished and as cut [mm]: of both sides the one nearer to the wanted width is the width."""
    width, length = part.size_wanted
    x, y = _spans(piece)
    wanted_x = x if length is None else length
    wanted_y = y if length is None else length
    along_x = abs(y - width) + abs(x - wanted_x) <= abs(x - width) + abs(y - wanted_y)
    as_cut = (x, y) if along_x else (y, x)
    return (as_cut[0] if length is None else length, width), as_cut


def _sides(bench: Bench, length: float, width: float) -> tuple[str, str]:
    """Both sides of a size in the job's units; mm are named once, inches carry their sign."""
    return bench.long(length), bench.long(width) + ("" if bench.units == "in" else " mm")


def _day(made_at: str | None) -> str:
    """The day of a date and time; anything else as it is."""
    try:
        return datetime.fromisoformat(made_at).date().isoformat() if made_at else ""
    except ValueError:
        return made_at or ""


# --- letters that fit ---------------------------------------------------------------------------------------------

LEAST = 2.0
"""Least height of capitals and figures [mm]."""

LINE = 1.6
"""Height of a line over that of its capitals: accents above (0.27) and what hangs below (0.33) of one line stay off the next."""

DEPTH = 1.27
"""From the top of a line to its baseline, over the height of capitals."""

SCALES = (
    (9.0, 6.0, 4.0), (8.2, 5.4, 3.6), (7.5, 5.0, 3.2), (6.5, 4.4, 2.9), (5.6, 4.0, 2.7), (4.8, 3.6, 2.5), (4.2, 3.2, 2.3),
    (4.0, 2.8, 2.1), (3.2, 2.6, 2.0), (2.8, 2.2, 2.0), (2.4, 2.0, 2.0),
)  # fmt: skip
"""Heights of capitals of name, size and other lines [mm], the largest first."""

WAYS = (*((scale, False) for scale in SCALES[:-3]), *((scale, True) for scale in SCALES[-5:]))
"""In which order the scales are tried, and whether lines share a line where they fit: small letters only when that does not help."""

LONGEST = 400
"""Letters of a name that are looked at: no label shows more."""

_BREAKS = re.compile(r"(?<=[\s_/\-])(?=\S)")


@lru_cache(maxsize=8192)
def _measured(text: str, bold: bool) -> tuple[str, float]:
    """Text as it is printed, and its width at capitals of 1 mm [pt]."""
    shown = as_read(printable(text))
    return shown, width_of(shown, points(1.0), bold=bold)


@lru_cache(maxsize=4096)
def fitted(text: str, width: float, largest: float, least: float = LEAST, *, bold: bool = False) -> tuple[str, float]:
    """Printable text and the height of its capitals [mm]: as high as fits a width [pt], from `largest` to `least`, then cut with an ellipsis."""
    if len(text) > LONGEST:
        text = text[:LONGEST] + "…"
    shown, wide = _measured(text, bold)
    if wide * least <= width:
        return shown, min(largest, width / wide) if wide else largest
    low, high = 0, len(text)
    while high - low > 1:  # the most letters that fit before an ellipsis
        middle = (low + high) // 2
        low, high = (middle, high) if _measured(_cut(text, middle), bold)[1] * least <= width else (low, middle)
    return _measured(_cut(text, low), bold)[0], least


def _cut(text: str, letters: int) -> str:
    return text[:letters].rstrip(" …") + "…"


@lru_cache(maxsize=4096)
def name_lines(name: str, width: float, height: float) -> tuple[tuple[str, float], ...]:
    """A name in one line of capitals up to `height` [mm], or in two of half that, whichever shows more and larger letters."""
    one = fitted(name, width, height, bold=True)
    half = height / 2
    if half < LEAST or (one[1] > half and _measured(name, True)[1] * one[1] <= width + SLACK):
        return (one,)
    breaks = [each.start() for each in _BREAKS.finditer(name[:LONGEST])]
    fits = [at for at in breaks if _measured(name[:at].rstrip(), True)[1] * LEAST <= width]
    if not fits:
        return (one,)
    balanced = [at for at in fits if abs(at - len(name) / 2) <= len(name) / 4]
    at = min(balanced, key=lambda each: abs(each - len(name) / 2)) if balanced else fits[-1]
    two = [fitted(each, width, half, bold=True) for each in (name[:at].rstrip(), name[at:])]
    if two[1][0].endswith("…") and at != fits[-1]:
        two = [fitted(each, width, half, bold=True) for each in (name[: fits[-1]].rstrip(), name[fits[-1] :])]
    common = min(capitals for _, capitals in two)
    return tuple((shown, common) for shown, _ in two)


@dataclass(frozen=True)
class Placed:
    """A line of printable text: its left end and baseline from the label's inner top left corner [pt], capitals [mm]."""

    text: str
    x: float
    y: float
    capitals: float
    bold: bool


@dataclass(frozen=True)
class _Arranged:
    """What stands on a label and how high: heights of capitals of name and other lines, the size's box [mm]; side of the code [pt]."""

    name: float
    size: float
    rest: float
    side: float
    sizes: tuple[tuple[str, float], ...]
    lines: tuple[tuple[str, bool], ...]

    @property
    def used(self) -> float:
        """Height of all lines [pt]."""
        return float((self.name + self.size * len(self.sizes) + self.rest * len(self.lines)) * LINE * mm)


def _arranged(label: Label, width: float, height: float, modules: int) -> _Arranged:
    """The first way that has room for every line in its fullest wording, else for every line, else the last with the first lines."""
    shorter: _Arranged | None = None
    for (name, size, rest), packed in WAYS:
        side = min(CODE_SHARE * width, CODE_LARGEST * mm, height - name * LINE * mm)
        if side < modules * LEAST_MODULE * mm or _widest(label.size) * LEAST > width - side:
            side = 0.0
        lines, curt = _other_lines(label.lines, width - side, rest, packed=packed)
        made = _Arranged(name, size, rest, side, _size_lines(label.size, width - side, size), lines)
        if made.used <= height and not curt:
            return made
        if made.used <= height and shorter is None:
            shorter = made
    if shorter is not None:
        return shorter
    over = math.ceil((made.used - height) / (made.rest * LINE * mm) - 1e-9)
    return replace(made, lines=made.lines[: max(0, len(made.lines) - over)])


def placed(label: Label, width: float, height: float, modules: int) -> tuple[list[Placed], float]:
    """The lines of a label on an inner field of `width` x `height` [pt], and the side of its code with the quiet zone [pt].

    The name stands over the whole width, the code below on the right, the rest beside it on the left. `modules` are those along
    a side with the quiet zone. A side of 0: no code, for its modules would be too small to read.
    """
    made = _arranged(label, width, height, modules)
    heads = name_lines(label.name, width, made.name)
    found, top = [], 0.0
    for text, capitals in heads:
        box = made.name * LINE * mm / len(heads)
        found.append(Placed(text, 0.0, top + (box - capitals * LINE * mm) / 2 + capitals * DEPTH * mm, capitals, True))
        top += box
    for text, capitals in made.sizes:
        found.append(Placed(text, 0.0, top + capitals * DEPTH * mm, capitals, True))
        top += made.size * LINE * mm
    for text, bold in made.lines:
        found.append(Placed(text, 0.0, top + made.rest * DEPTH * mm, made.rest, bold))
        top += made.rest * LINE * mm
    return found, made.side


def _widest(size: tuple[str, str]) -> float:
    """Width of the wider side of a size, at capitals of 1 mm [pt]."""
    return max(_measured(f"{size[0]} ×", True)[1], _measured(size[1], True)[1])


def _size_lines(size: tuple[str, str], width: float, height: float) -> tuple[tuple[str, float], ...]:
    """A size in one line, or in two where that is what it takes: never cut."""
    whole = " × ".join(size)
    if _measured(whole, True)[1] * max(LEAST, 0.7 * height) <= width:
        return (fitted(whole, width, height, bold=True),)
    return tuple(fitted(each, width, height, bold=True) for each in (f"{size[0]} ×", size[1]))


def _other_lines(
    lines: Sequence[Line], width: float, height: float, *, packed: bool
) -> tuple[tuple[tuple[str, bool], ...], bool]:
    """Lines as they are printed and whether each is bold; and whether any had to take a shorter wording or go.

    `packed` puts neighbours that fit together into one line, bold with bold and plain with plain.
    """
    found: list[tuple[str, bool]] = []
    curt = False
    for line in lines:
        good = line.wordings if line.as_good else line.wordings[:1]
        if packed and found and found[-1][1] == line.bold:
            joined = (f"{found[-1][0]}, {each}" for each in good if each)
            together = next((each for each in joined if _measured(each, line.bold)[1] * height <= width), None)
            if together is not None:
                found[-1] = (together, line.bold)
                continue
        fits = next((each for each in line.wordings if _measured(each, line.bold)[1] * height <= width), None)
        curt = curt or (fits not in good and (line.whole or len(line.wordings) > 1))
        if fits is None and line.whole:
            continue
        text = line.wordings[-1] if fits is None else fits
        found += [(text, line.bold)] if text else []
    return tuple((fitted(text, width, height, height, bold=bold)[0], bold) for text, bold in found), curt


# --- the code -----------------------------------------------------------------------------------------------------

QUIET = 4
"""Blank modules around a code (ISO/IEC 18004: 4)."""

CODE_SHARE, CODE_LARGEST = 0.38, 30.0
"""Side of the code, with its quiet zone, over the width of the label's inner field; and at most [mm]."""

LEAST_MODULE = 0.3
"""A telephone reads modules of this size on a plain print [mm]: common practice, no source."""

LONGEST_CODE = 300
"""Bytes beyond which a code would be too fine for any label."""


def modules_of(text: str, mask: int | None = None) -> list[list[bool]]:
    """The dark modules of a text's code, row by row from the top, without the quiet zone; nothing for a text that is too long.

    `mask` is one of the eight patterns (0 to 7) that are laid over the data; None weighs them as the standard asks.
    """
    data = text.encode("utf-8", "replace")
    if len(data) > LONGEST_CODE:
        return []
    code = QRCode(None, QRErrorCorrectLevel.M)
    code.addData(QR8bitByte(data))
    code.version = code.calculate_version()
    code.makeImpl(False, code.getBestMaskPattern() if mask is None else mask)
    return [[bool(each) for each in row] for row in code.modules]


def best_mask(text: str) -> int:
    """The mask that the standard's weighing picks for a text.

    >>> best_mask("stripplan:0a1b2c3d:P1-1") in range(8)
    True
    """
    code = QRCode(None, QRErrorCorrectLevel.M)
    code.addData(QR8bitByte(text.encode("utf-8", "replace")[:LONGEST_CODE]))
    code.version = code.calculate_version()
    return int(code.getBestMaskPattern())


def _bars(modules: Sequence[Sequence[bool]]) -> Iterator[tuple[int, int, int, int]]:
    """Rectangles that cover the dark modules, each once: runs of a row, those of one place and length in rows that follow drawn together."""
    open_: dict[tuple[int, int], int] = {}
    for y, row in enumerate((*modules, ())):
        runs, at = set(), 0
        for dark, run in groupby(row):
            long = len(list(run))
            if dark:
                runs.add((at, long))
            at += long
        for ended in [each for each in open_ if each not in runs]:
            start = open_.pop(ended)
            yield ended[0], start, ended[1], y - start
        for each in sorted(runs):
            open_.setdefault(each, y)


def _draw_code(canvas: Any, modules: Sequence[Sequence[bool]], x: float, y: float, side: float) -> None:
    """A code with its quiet zone, the lower left corner at (x, y)."""
    step = side / (len(modules) + 2 * QUIET)
    path = canvas.beginPath()
    for x0, y0, long, high in _bars(modules):
        path.rect(x0, len(modules) - y0 - high, long, high)
    canvas.saveState()
    canvas.transform(step, 0, 0, step, x + QUIET * step, y + QUIET * step)
    canvas.drawPath(path, stroke=0, fill=1)
    canvas.restoreState()


# --- pages --------------------------------------------------------------------------------------------------------


def labels(
    plan: Plan,
    sheet: LabelSheet,
    *,
    which: Sequence[Which] = KINDS,
    first: int = 1,
    outline: bool = False,
    calibration: bool = False,
    made_at: str | None = None,
    checked: bool = True,
) -> bytes:
    """A label for each part and offcut of a plan, in the order in which they fall, as the bytes of a PDF.

    `first` is the place on the sheet to begin at (from 1, row by row), `outline` draws the labels' borders for a test print, and
    `calibration` puts the calibration page before the rest. `made_at` stands in place of the plan's own date. Labels of a
    plan that was not `checked` are stamped, each of them: they leave their page. Raises ValueError
    where there is nothing to print or `first` is no place of the sheet.
    """
    if isinstance(first, bool) or not isinstance(first, int) or not 1 <= first <= sheet.places:
        raise ValueError(f"first label {first}: the places of this sheet are 1 to {sheet.places}")
    tag = plan_id(plan)
    every = label_list(plan, which=which, made_at=made_at, tag=tag)
    if not every:
        raise ValueError(f"no labels to print: the plan has no {' and no '.join(which)}")
    job = plan.job.name
    canvas, stream = _canvas(
        sheet, f"Labels: {job}", f"Labels of parts and offcuts, plan {tag}", plan.stripplan_version
    )
    if calibration:
        _calibrate(canvas, sheet)
        canvas.showPage()
    mask = best_mask(code_text(tag, plan.pieces[0].id))  # weighed once: readers take any, and weighing takes the time
    for number, label in enumerate(every, first - 1):
        place = number % sheet.places + 1
        if place == 1 and number >= first:
            canvas.showPage()
        if outline and (place == 1 or number == first - 1):
            _borders(canvas, sheet)
        _draw(canvas, sheet, place, label, modules_of(label.code, mask))
        if not checked:
            _stamp(canvas, sheet, place)
    canvas.showPage()
    canvas.save()
    return stream.getvalue()


def calibration_page(sheet: LabelSheet) -> bytes:
    """One page for plain paper as the bytes of a PDF: borders and numbers of all labels, a ruler each way of 100 mm (less on a small page)."""
    canvas, stream = _canvas(sheet, "Calibration page for labels", f"Grid {sheet.name}", "")
    _calibrate(canvas, sheet)
    canvas.showPage()
    canvas.save()
    return stream.getvalue()


def _canvas(sheet: LabelSheet, title: str, subject: str, version: str) -> tuple[Any, io.BytesIO]:
    load_fonts()
    stream = io.BytesIO()
    size = (sheet.page_width * mm, sheet.page_height * mm)
    canvas = Canvas(stream, pagesize=size, invariant=1, lang="en-GB", initialFontName=REGULAR)
    canvas.setTitle(title.encode("utf-8", "replace").decode())
    canvas.setSubject(subject)
    canvas.setCreator(f"stripplan {version}".strip())
    canvas.setAuthor("stripplan")
    canvas.setViewerPreference("DisplayDocTitle", "true")
    canvas.setViewerPreference("PrintScaling", "None")
    return canvas, stream


def _draw(canvas: Any, sheet: LabelSheet, place: int, label: Label, modules: Sequence[Sequence[bool]]) -> None:
    (left, top), (pad_x, pad_y) = sheet.corner(place), sheet.pads
    width, height = (sheet.width - 2 * pad_x) * mm, (sheet.height - 2 * pad_y) * mm
    x, y = (left + pad_x) * mm, (sheet.page_height - top - pad_y) * mm
    lines, side = placed(label, width, height, len(modules) + 2 * QUIET if modules else 10**6)
    canvas.setFillGray(0)
    for line in lines:
        canvas.setFont(BOLD if line.bold else REGULAR, points(line.capitals))
        canvas.drawString(x + line.x, y - line.y, line.text)
    if side:
        _draw_code(canvas, modules, x + width - side, y - height, side)


def _stamp(canvas: Any, sheet: LabelSheet, place: int) -> None:
    (left, top), (pad_x, pad_y) = sheet.corner(place), sheet.pads
    x, y = left + pad_x, sheet.page_height - top - sheet.height + pad_y
    stamp_box(canvas, x * mm, y * mm, (sheet.width - 2 * pad_x) * mm, (sheet.height - 2 * pad_y) * mm)


def _borders(canvas: Any, sheet: LabelSheet) -> None:
    canvas.setStrokeGray(0.4)
    canvas.setLineWidth(0.3)
    for place in range(1, sheet.places + 1):
        left, top = sheet.corner(place)
        canvas.rect(left * mm, (sheet.page_height - top - sheet.height) * mm, sheet.width * mm, sheet.height * mm)


# --- calibration page ---------------------------------------------------------------------------------------------

RULER, RIM = 100, 6.0
"""Length of the rulers, and what stays white around them [mm]."""

ADVICE = (
    "Print this page on plain paper at 100 %, not fitted to the page.",
    "Both rulers must be true: 100 mm are 3 15/16 inches.",
    "If they are not, mend the scale in the printer's settings.",
    "Hold it against the label paper before a light: borders must meet.",
    "The numbers are the places to begin at on a used sheet.",
)


def _calibrate(canvas: Any, sheet: LabelSheet) -> None:
    """Borders with their numbers, and both rulers on a white field in the middle."""
    _borders(canvas, sheet)
    across, upright = (_ruler_length(each) for each in (sheet.page_width, sheet.page_height))
    x, y = (sheet.page_width - across) / 2, (sheet.page_height - upright) / 2
    field = (x - RIM, y - RIM, across + 2 * RIM, upright + 2 * RIM)
    canvas.setFillGray(1)
    canvas.rect(*(each * mm for each in field), stroke=0, fill=1)
    canvas.setFillGray(0)
    canvas.setFont(REGULAR, points(LEAST))
    for place in range(1, sheet.places + 1):
        (left, top), (pad_x, pad_y) = sheet.corner(place), sheet.pads
        at, base = left + pad_x, sheet.page_height - top - pad_y - LEAST * DEPTH
        wide = width_of(str(place), points(LEAST)) / mm
        beside = at + wide < field[0] or at > field[0] + field[2]
        if beside or base > field[1] + field[3] or base + 2 * LEAST < field[1]:
            canvas.drawString(at * mm, base * mm, str(place))
    _ruler(canvas, x, y, across, upright=False)
    _ruler(canvas, x, y, upright, upright=True)
    if across < RULER or upright < RULER:
        return
    written = [fitted(each, (RULER - 2 * RIM) * mm, 2.6) for each in (f"Grid {sheet.name}", *ADVICE)]
    capitals = min(each for _, each in written)
    canvas.setFont(REGULAR, points(capitals))
    for number, (text, _) in enumerate(written, 1):
        canvas.drawString((x + 2 * RIM) * mm, (y + RULER - RIM - number * 1.2 * capitals * LINE) * mm, text)


def _ruler_length(page: float) -> int:
    """The longest whole number of centimetres that a page has room for, at most RULER [mm]."""
    return max(10, min(RULER, int((page - 2 * PAGE_EDGE - 2 * RIM) // 10 * 10)))


def _ruler(canvas: Any, x: float, y: float, length: int, *, upright: bool) -> None:
    """A ruler from (x, y) to the right or up, with a mark each millimetre and a number each two centimetres and at the end [mm]."""
    canvas.saveState()
    canvas.setStrokeGray(0)
    canvas.setLineWidth(0.3)
    canvas.translate(x * mm, y * mm)
    canvas.line(0, 0, 0 if upright else length * mm, length * mm if upright else 0)
    for at in range(length + 1):
        long = (4 if at % 10 == 0 else 3 if at % 5 == 0 else 2) * mm
        canvas.line(*((0, at * mm, long, at * mm) if upright else (at * mm, 0, at * mm, long)))
    canvas.setFont(REGULAR, points(LEAST))
    for at in (*range(20, length - 9, 20), length):
        text = f"{at} mm" if at == length else str(at)
        if upright:
            canvas.drawString(4.6 * mm, (at - LEAST / 2) * mm, text)
        else:
            canvas.drawCentredString(at * mm, 4.8 * mm, text)
    canvas.restoreState()
