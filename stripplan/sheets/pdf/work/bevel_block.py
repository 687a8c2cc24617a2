"""Bevels on the sheet: what is set for a group of them with the section across the edge, then a row for each."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

from reportlab.lib.units import mm

from stripplan.sheets.paper.flow import HEADING_GAP, Box, Section, Words
from stripplan.sheets.paper.paragraph import Paragraph, paragraph
from stripplan.sheets.paper.text import DESK, NEAR, RIG, flagged, markup, points
from stripplan.sheets.picture.edge_section import draw_section, figures_of
from stripplan.sheets.rows.row_types import BevelGroup, BevelRow, Field, HandRow, Sheet

TICK = 7 * mm
PAD = 1.5 * mm
BIG = points(5)
LEADING = 1.15
PICTURE = 78 * mm, 40 * mm
"""Width and height of the section [pt]."""
TITLE = "Bevels, after all cuts"
HOW = (
    "Each bevel is one pass along a finished part, torch tilted from the vertical and leaning over the part: the edge "
    "away from the fence, the other one flat on it; of an edge that is bevelled already its root lies there. Where a "
    "line is scribed, line it up with the torch's axis. The section shows the piece from home, along the travel; an "
    "equal mate is in broken lines."
)


def bevel_sections(rows: Sheet, width: float) -> list[Section]:
    """Bevels that are cut, group by group, and those that are left for the hand."""
    found = []
    for number, group in enumerate(rows.bevels):
        above: list[Box] = []
        if not number:
            above = [Words(markup(TITLE), width, RIG, bold=True, above=HEADING_GAP), Words(markup(HOW), width, NEAR)]
        head = GroupHead(group, width, f"Bevels {group.name}")
        lines: list[Box] = [BevelLine(row, width) for row in group.rows]
        again = Words(markup(_goes_on(group)), width, DESK, bold=True)
        found.append(Section("" if number else TITLE, [*above, head], lines, fresh=False, again=[again]))
    return [*found, *([_by_hand(rows.by_hand, width)] if rows.by_hand else [])]


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
    """What is set for a group: big figures, the torch, and the section beside its figures."""

    group: BevelGroup
    width: float
    outline: str = ""

    @cached_property
    def _words(self) -> list[Paragraph]:
        room, group = self.width - PICTURE[0] - 3 * PAD, self.group
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
        wide, tall = PICTURE
        draw_section(
            canvas, self.group.section, figures_of(self.group), x + self.width - wide - PAD, top - 2 * PAD - tall, wide,
            tall,
        )  # fmt: skip


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


@dataclass(frozen=True)
class BevelLine:
    """One bevel: a box to tick, its number, what to do, how the piece lies, what to measure."""

    row: BevelRow
    width: float
    outline: str = ""

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
        if row.rest:
            told.append(markup(f"Rest {row.rest} before the arc.", bold=True))
        if row.measure:
            told.append(markup(f"Measure: {row.measure}; is\u00a0{'_' * 7}"))
        return paragraph(" ".join(each for each in told if each), DESK, self.width - TICK - 3 * PAD, leading=LEADING)

    @property
    def height(self) -> float:
        """Height [pt]."""
        return float(max(self._words.height, TICK) + 2 * PAD)

    def draw(self, canvas: Any, x: float, top: float) -> None:
        """Draw it with its top left corner at (x, top)."""
        canvas.setStrokeGray(0)
        canvas.setLineWidth(1.2)
        canvas.rect(x + PAD / 2, top - PAD - TICK, TICK, TICK)
        self._words.draw(canvas, x + TICK + 2 * PAD, top - PAD)
        canvas.setLineWidth(0.6)
        canvas.line(x, top - self.height, x + self.width, top - self.height)
