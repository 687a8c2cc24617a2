"""The drawing of a plate on paper with its crowded regions drawn larger, beside it where there is room, else below."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from stripplan.model.plan.plan import Plan
from stripplan.sheets.paper.flow import Box
from stripplan.sheets.paper.text import BOLD, points, width_of
from stripplan.sheets.pdf.plate_picture import LEAST_TEXT, Pen, PlateDrawing, plate_drawing, written_for
from stripplan.sheets.picture.on_plate import details

READ = 0.8
"""Share of `LEAST_TEXT` at which a label still counts as one that can be read: it is raised, or its letters are
narrower than was kept for them."""
CAPTION, RIM = 14.0, 4.0
"""Height of the words over a detail, and what is white around it [pt]."""
WORDS = points(2.6)
"""Size of these words [pt]."""
LEAST_LEFT = 0.4
"""Of a page's height that a detail may fill in any case."""
BESIDE = 2.0
"""A detail stands beside its plate where it is no higher than this times the plate, or than the room of both."""


def drawing_and_details(
    plan: Plan, plate: str, width: float, most: float, room: float, legend: float
) -> tuple[Box, list[Box]]:
    """The drawing of a plate, with its crowded regions drawn larger beside it where there is room, and rows of all
    others; `room` is the height of a page, and `legend` what stands below the drawing [pt]."""
    plain = plate_drawing(plan, plate, width, most)
    left = max(room - plain.height - legend, LEAST_LEFT * room)  # a detail that fits there saves a page
    wide, high, page = width - 3 * RIM, left - CAPTION - 2 * RIM, room - CAPTION - 2 * RIM
    found = details.details_of(
        plan,
        plate,
        plain.picture,
        scale=plain.scale,
        least=READ * LEAST_TEXT,
        room=(high, wide) if plain.turned else (wide, high),
        most=(page, wide) if plain.turned else (wide, page),
    )
    if not found:
        return plain, []
    around, written = written_for(plan, plate, plain.scale)
    framed = details.framed_picture(plan, plate, found, around=around, written=written)
    whole = PlateDrawing(framed, width, most)
    drawn = [DetailDrawing(each, plain.turned, each.scale / whole.scale) for each in found]
    beside: list[DetailDrawing] = []
    own = whole.drawn_width
    while drawn and own + sum(each.width for each in (*beside, drawn[0])) <= width:
        if drawn[0].height > max(BESIDE * whole.height, most):
            break
        beside.append(drawn.pop(0))
    if not beside:
        return whole, [*_in_rows(drawn, width)]
    narrow = PlateDrawing(framed, width - sum(each.width for each in beside), most)
    scaled = [replace(each, times=each.detail.scale / narrow.scale) for each in (*beside, *drawn)]
    return DetailRow((narrow, *scaled[: len(beside)])), [*_in_rows(scaled[len(beside) :], width)]


@dataclass(frozen=True)
class DetailDrawing:
    """A crowded region drawn larger, lying as its plate does, `times` as large."""

    detail: details.Detail
    turned: bool
    times: float

    @property
    def _sides(self) -> tuple[float, float]:
        x0, y0, x1, y1 = self.detail.picture.box
        along, across = (x1 - x0) * self.detail.scale, (y1 - y0) * self.detail.scale
        return (across, along) if self.turned else (along, across)

    @property
    def width(self) -> float:
        """Width with its rim, of its words at the least [pt]."""
        return max(self._sides[0], width_of(self._words, WORDS, bold=True)) + 3 * RIM

    @property
    def _words(self) -> str:
        return f"Detail {self.detail.region.letter}, {self.times:.1f} × as large"

    @property
    def height(self) -> float:
        """Height with words and rim [pt]."""
        return self._sides[1] + CAPTION + 2 * RIM

    def draw(self, canvas: Any, x: float, top: float) -> None:
        """Draw it, its top left corner at (x, top)."""
        wide, high = self._sides
        picture, scale = self.detail.picture, self.detail.scale
        x0, y0, _, _ = picture.box
        canvas.setFillGray(0)
        canvas.setFont(BOLD, WORDS)
        canvas.drawString(x + RIM, top - 10, self._words)
        left, low = x + RIM, top - CAPTION - RIM - high
        origin = (left + wide + y0 * scale, low - x0 * scale) if self.turned else (left - x0 * scale, low - y0 * scale)
        pen = Pen(canvas, *origin, scale, self.turned)
        canvas.saveState()
        path = canvas.beginPath()
        path.rect(left, low, wide, high)
        canvas.clipPath(path, stroke=0)
        for outline in picture.outlines:
            pen.outline(outline)
        for line in picture.lines:
            pen.torch(line.start, line.end)
        for hole in picture.holes:
            pen.hole(hole)
        canvas.restoreState()
        canvas.saveState()
        canvas.setStrokeGray(0)
        canvas.setLineWidth(1.3)
        canvas.rect(left, low, wide, high, fill=0)
        for text in picture.texts:
            pen.text(text)
        for bubble in picture.bubbles:
            pen.bubble(bubble)
        canvas.restoreState()


@dataclass(frozen=True)
class DetailRow:
    """Details side by side."""

    drawings: tuple[PlateDrawing | DetailDrawing, ...]
    outline: str = ""

    @property
    def height(self) -> float:
        """Height [pt]."""
        return max(each.height for each in self.drawings)

    def draw(self, canvas: Any, x: float, top: float) -> None:
        """Draw them, the first at the left."""
        for each in self.drawings:
            each.draw(canvas, x, top)
            x += each.width


def _in_rows(drawn: list[DetailDrawing], width: float) -> list[DetailRow]:
    """Details in rows of a width, the highest first, each in the first row that has room."""
    rows: list[list[DetailDrawing]] = []
    for each in sorted(drawn, key=lambda one: -one.height):
        row = next((row for row in rows if sum(other.width for other in row) + each.width <= width), None)
        if row is None:
            rows.append([each])
        else:
            row.append(each)
    return [DetailRow(tuple(row)) for row in rows]
