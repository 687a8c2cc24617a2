"""Bevels on the sheet: what is set for a group of them with the section across the edge, then a row for each, with a
picture of how the part lies where it lies otherwise than for one before with the same setting.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from reportlab.lib.units import mm

from stripplan.sheets.options import Form
from stripplan.sheets.paper.flow import HEADING_GAP, Box, Section, Words
from stripplan.sheets.paper.paragraph import Paragraph, paragraph
from stripplan.sheets.paper.text import BOLD, DESK, NEAR, RIG, flagged, markup, points
from stripplan.sheets.picture.edge_section import draw_section, figures_of
from stripplan.sheets.picture.on_rig.bevel import draw_lie_for_bevel
from stripplan.sheets.rows.forms import is_box
from stripplan.sheets.rows.row_types import BevelGroup, BevelRow, Field, HandRow, Sheet

TICK = 7 * mm
PAD = 1.5 * mm
BIG = points(5)
LEADING = 1.15
PICTURE = 78 * mm, 40 * mm
"""Width and height of the section [pt]."""
NARROW = 58 * mm
"""Width of the section beside a picture of how parts lie [pt]."""
LIE = 33 * mm, 28 * mm
"""Width and height of the picture of how a part lies [pt]."""
SLANTED = 35 * mm
"""Height of that of a part that is no rectangle [pt]."""
AGAIN = 5
"""So many of those pictures stand again on a page that goes on with a group."""
TITLE = "Bevels, after all cuts"
HOW = (
    "Each bevel is one pass along a finished part, torch tilted from the vertical and leaning over the part: the edge "
    "away from the fence, the other one flat on it; of an edge that is bevelled already its root lies there. Where a "
    "line is scribed, line it up with the torch's axis. The section shows the piece from home, along the travel; an "
    "equal mate is in broken lines."
)


PICTURES = (
    " How a part lies is drawn from above, with the face that goes dark, and the face that is up named: beside the "
    "section for all bevels of a setting, beside a bevel for this and those that are said to lie so."
)


def bevel_sections(rows: Sheet, width: float, form: Form = "full") -> list[Section]:
    """Bevels that are cut, group by group, and those that are left for the hand; the short form has no pictures of how
    parts lie."""
    found = []
    for number, group in enumerate(rows.bevels):
        above: list[Box] = []
        if not number:
            how = HOW + (PICTURES if form == "full" else "")
            above = [Words(markup(TITLE), width, RIG, bold=True, above=HEADING_GAP), Words(markup(how), width, NEAR)]
        head, lines, again = _boxes(group, width, pictures=form == "full")
        found.append(Section("" if number else TITLE, [*above, head], lines, fresh=False, again=again))
    return [*found, *([_by_hand(rows.by_hand, width)] if rows.by_hand else [])]


def _boxes(group: BevelGroup, width: float, *, pictures: bool) -> tuple[Box, list[Box], Callable[[int], Sequence[Box]]]:
    """The head of a group, its rows, and what stands over those from one on that go on overleaf."""
    one = pictures and all(row.lies_as for row in group.rows[1:])
    kept = _kept(group) if pictures else ()
    head = GroupHead(group, width, f"Bevels {group.name}", picture=one)
    shown = [pictures and not one and (not row.lies_as or row.lies_as not in kept) for row in group.rows]
    lines: list[Box] = [
        BevelLine(row, width, picture=own, told=not one) for row, own in zip(group.rows, shown, strict=True)
    ]
    words = Words(markup(_goes_on(group)), width, DESK, bold=True)

    def again(first: int) -> Sequence[Box]:
        """Those pictures that stand before the page and are needed on it or further on."""
        needed = {row.lies_as for row, own in zip(group.rows[first:], shown[first:], strict=True) if not own}
        rows = tuple(row for row in group.rows[:first] if row.number in needed and row.number in kept)
        return [words, LiesAgain(rows)] if rows else [words]

    return head, lines, again


def _first(row: BevelRow) -> int:
    """The first bevel of a group for which a part lies so."""
    return row.lies_as or row.number


def _kept(group: BevelGroup) -> tuple[int, ...]:
    """Bevels whose pictures serve for others of the group too."""
    found = Counter(_first(row) for row in group.rows)
    return tuple(number for number, count in found.items() if count > 1)[:AGAIN]


def _goes_on(group: BevelGroup) -> str:
    """What is set for a group whose rows go on overleaf, in one line."""
    across = f"scribed {group.scribe} from the edge" if group.scribe else f"fence {group.fence.text}"
    return f"Bevels {group.name} go on: tilt {group.tilt.text}, {across}, end stop {group.end_stop.text}."


def _by_hand(rows: tuple[HandRow, ...], width: float) -> Section:
    head: list[Box] = [Words(markup("Bevels by hand"), width, RIG, bold=True, above=HEADING_GAP)]
    boxes: list[Box] = []
    for row in rows:
        edges = f"{row.count} {'edge' if row.count == 1 else 'edges'} ({row.edges})"
        words = f": {edges}, {row.figures}; {row.why}. Pieces {', '.join(row.pieces)}."
        boxes.append(Words(markup(f"☐ {row.part}", bold=True) + markup(words), width, DESK))
    return Section("Bevels by hand", head, boxes, fresh=False, again=[])


@dataclass(frozen=True)
class GroupHead:
    """What is set for a group: big figures, the torch, the section beside its figures, and a `picture` of how all its
    parts lie, or none."""

    group: BevelGroup
    width: float
    outline: str = ""
    picture: bool = False

    @property
    def _pictures(self) -> float:
        """Width of the section, with the picture beside it [pt]."""
        return float(NARROW + 2 * PAD + LIE[0] if self.picture else PICTURE[0])

    @cached_property
    def _words(self) -> list[Paragraph]:
        room, group = self.width - self._pictures - 3 * PAD, self.group
        made = [paragraph(_set(group), BIG, room, leading=LEADING)]
        if group.torch is not None:
            facts = ", ".join(f"{name} {figure}" for name, figure in group.torch.facts)
            made.append(paragraph(markup(f"{group.torch.title}: ", bold=True) + markup(f"{facts}."), DESK, room))
        speed = f"Speed {group.travel_speed}, that is {group.timed}."
        speed += " ESTIMATED: more metal than the process is for." if group.estimated else ""
        made.append(paragraph(markup(speed, bold=group.estimated), DESK, room))
        if group.dry_run:
            made.append(paragraph(markup(f"Prove the end stop: {group.dry_run}.", bold=True), DESK, room))
        made.append(paragraph(markup("; ".join(f"{name} {figure}" for name, figure in group.facts) + "."), DESK, room))
        return made

    @property
    def height(self) -> float:
        """Height with the gap above [pt]."""
        return float(max(sum(each.height for each in self._words), PICTURE[1]) + 3 * PAD)

    def draw(self, canvas: Any, x: float, top: float) -> None:
        """Draw it with its top left corner at (x, top)."""
        high = self.height - PAD
        canvas.setStrokeGray(0)
        canvas.setLineWidth(1.6)
        canvas.rect(x, top - PAD - high, self.width, high)
        upper = top - 2 * PAD
        for each in self._words:
            each.draw(canvas, x + PAD, upper)
            upper -= each.height
        wide, tall = NARROW if self.picture else PICTURE[0], PICTURE[1]
        left, low = x + self.width - self._pictures - PAD, top - 2 * PAD - tall
        draw_section(canvas, self.group.section, figures_of(self.group), left, low, wide, tall)
        if self.picture:
            lie = self.group.rows[0].lie
            draw_lie_for_bevel(canvas, lie, x + self.width - LIE[0] - PAD, low, LIE[0], tall)


def _set(group: BevelGroup) -> str:
    """The big figures: which bevels, tilt, fence or line, end stop."""
    told = [markup(f"{'Bevel' if len(group.rows) == 1 else 'Bevels'} {group.name}.", bold=True)]
    told.append(_figure("tilt", group.tilt))
    told.append(
        markup(f"SCRIBE {group.scribe} from the edge", bold=True) if group.scribe else _figure("fence", group.fence)
    )
    told.append(_figure("end stop", group.end_stop))
    if group.dial:
        told.append(_figure("dial", group.speed))
    return " ".join(each + markup(";") for each in told[1:-1]).join((told[0] + " ", " " + told[-1] + markup(".")))


def _figure(what: str, figure: Field) -> str:
    return flagged(f"{'SET' if figure.changed else 'same'} {what} {figure.text}", figure.changed)


def picture_height(row: BevelRow) -> float:
    """Height of the picture of how its part lies [pt]."""
    return float(LIE[1] if is_box(row.lie.outline) else SLANTED)


@dataclass(frozen=True)
class BevelLine:
    """One bevel: a box to tick, its number, what to do, how the piece lies, with a `picture` or without (then, if it is
    to be `told`, for which bevel it lies so), what to measure."""

    row: BevelRow
    width: float
    outline: str = ""
    picture: bool = False
    told: bool = True

    @cached_property
    def _words(self) -> Paragraph:
        row = self.row
        told = [markup(f"{row.number}  {row.name or row.piece}", bold=True) + markup(f" ({row.piece}, {row.mass}).")]
        if row.lifting:
            told.append(markup(f"{row.lifting.removesuffix(' or hoist')}.", bold=True))
        told.append(markup(" ".join(row.steps), bold=True))
        told.append(flagged(f"{row.face.text};", row.face.changed))
        told.append(markup(f"BEVEL {row.edge}", bold=True) + markup(";"))
        told.append(markup(f"fence: {row.on_fence};" if row.on_fence else "no edge on the fence: follow the line;"))
        told.append(markup(f"start: {row.leading}{', ' + row.corner if row.corner else ''}."))
        if row.lies_as and self.told and not self.picture:
            told.append(markup(f"Lies as for {row.lies_as}."))
        if row.rest:
            told.append(markup(f"Rest {row.rest} before the arc.", bold=True))
        if row.measure:
            told.append(markup(f"Measure: {row.measure}; is\u00a0{'_' * 7}"))
        room = self.width - TICK - 3 * PAD - (LIE[0] + PAD if self.picture else 0.0)
        return paragraph(" ".join(each for each in told if each), DESK, room, leading=LEADING)

    @property
    def height(self) -> float:
        """Height [pt]."""
        return float(
            max(self._words.height + 2 * PAD, TICK + 2 * PAD, picture_height(self.row) + PAD if self.picture else 0.0)
        )

    def draw(self, canvas: Any, x: float, top: float) -> None:
        """Draw it with its top left corner at (x, top)."""
        canvas.setStrokeGray(0)
        canvas.setLineWidth(1.2)
        canvas.rect(x + PAD / 2, top - PAD - TICK, TICK, TICK)
        self._words.draw(canvas, x + TICK + 2 * PAD, top - PAD)
        if self.picture:
            high = picture_height(self.row)
            draw_lie_for_bevel(canvas, self.row.lie, x + self.width - LIE[0], top - PAD / 2 - high, LIE[0], high)
        canvas.setStrokeGray(0)
        canvas.setLineWidth(0.6)
        canvas.line(x, top - self.height, x + self.width, top - self.height)


@dataclass(frozen=True)
class LiesAgain:
    """How parts lie for bevels overleaf that others of the group go by, side by side."""

    rows: tuple[BevelRow, ...]
    outline: str = ""

    @cached_property
    def _high(self) -> float:
        return max(map(picture_height, self.rows))

    @property
    def height(self) -> float:
        """Height with the words under them [pt]."""
        return float(self._high + DESK + 3 * PAD)

    def draw(self, canvas: Any, x: float, top: float) -> None:
        """Draw them with the top left corner at (x, top)."""
        low = top - PAD - self._high
        for number, row in enumerate(self.rows):
            left = x + number * (LIE[0] + 2 * PAD)
            draw_lie_for_bevel(canvas, row.lie, left, low, LIE[0], self._high)
            canvas.setFillGray(0)
            canvas.setFont(BOLD, DESK)
            canvas.drawCentredString(left + LIE[0] / 2, low - PAD - DESK, f"as for {row.number}")
