"""Painter of a Picture on paper."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from reportlab.lib.units import mm

from stripplan.model.plan.plan import Plan
from stripplan.sheets.paper.text import BOLD, REGULAR, as_read, lacks, points, printable
from stripplan.sheets.picture.lettering import text_box, text_width
from stripplan.sheets.picture.on_plate import details
from stripplan.sheets.picture.on_plate.plate import plate_picture
from stripplan.sheets.picture.on_rig.piece import hatch
from stripplan.sheets.picture.palette import BLACK, FILL, GREEN, GREY, STROKE
from stripplan.sheets.picture.polygons import crossed, hatched
from stripplan.sheets.picture.shapes import Angle, BevelLine, Bubble, Dimension, Drilled, Frame, Outline, Picture, Text
from stripplan.sheets.rows.forms import is_box

LEAST_TEXT = 1.6 * mm
"""Capitals below this are hard to read on paper [pt]; a smaller label is raised towards it as far as its place
allows."""


TURN_FOR = 1.15
"""A drawing is turned upright where that makes it larger by this much at least."""


@dataclass(frozen=True)
class PlateDrawing:
    """A picture scaled to a width and a greatest height [pt], turned upright where that makes it larger.

    Turned, edge A is on the right and D below: as the plate lies on the rig for a cut along its length.
    """

    picture: Picture
    width: float
    most: float
    outline: str = ""

    @property
    def _sides(self) -> tuple[float, float]:
        x0, y0, x1, y1 = self.picture.box
        return x1 - x0, y1 - y0

    @property
    def turned(self) -> bool:
        """Whether it stands upright."""
        long, high = self._sides
        return min(self.width / high, self.most / long) > TURN_FOR * min(self.width / long, self.most / high)

    @property
    def scale(self) -> float:
        """Points on paper for a mm of plate."""
        across, up = reversed(self._sides) if self.turned else self._sides
        return min(self.width / across, self.most / up)

    @property
    def height(self) -> float:
        """Height [pt]."""
        return self._sides[0 if self.turned else 1] * self.scale

    @property
    def drawn_width(self) -> float:
        """Width of what is drawn [pt]."""
        return self._sides[1 if self.turned else 0] * self.scale

    def draw(self, canvas: Any, x: float, top: float) -> None:
        """Draw it centred, its top at `top`."""
        x0, y0, x1, y1 = self.picture.box
        low = top - self.height
        if self.turned:
            right = x + (self.width + (y1 - y0) * self.scale) / 2
            pen = Pen(canvas, right + y0 * self.scale, low - x0 * self.scale, self.scale, True)
        else:
            left = x + (self.width - (x1 - x0) * self.scale) / 2
            pen = Pen(canvas, left - x0 * self.scale, low - y0 * self.scale, self.scale, False)
        canvas.saveState()
        for outline in self.picture.outlines:
            pen.outline(outline)
        for line in self.picture.lines:
            pen.torch(line.start, line.end)
        for hole in self.picture.holes:
            pen.hole(hole)
        for bevel in self.picture.bevels:
            pen.bevel(bevel)
        for frame in self.picture.frames:
            pen.frame(frame)
        for dimension in self.picture.dimensions:
            pen.dimension(dimension)
        for angle in self.picture.angles:
            pen.angle(angle)
        for text in self.picture.texts + self.picture.positions:
            pen.text(text)
        for bubble in self.picture.bubbles:
            pen.bubble(bubble)
        canvas.restoreState()


WRITTEN = 330.0
"""What is written around a plate is sized as for a drawing so large at the least [pt]: figures clear of their edges."""


def plate_drawing(plan: Plan, plate: str, width: float, most: float) -> PlateDrawing:
    """The drawing of a plate in a room [pt], what is written large enough to read where the drawing is small."""
    first = PlateDrawing(plate_picture(plan, plate), width, most)
    around, written = written_for(plan, plate, first.scale)
    return PlateDrawing(plate_picture(plan, plate, around=around, written=written), width, most)


def written_for(plan: Plan, plate: str, scale: float) -> tuple[float, float]:
    """The sizes of plate that what is written around a plate, and on it, is sized for [mm]."""
    own = next(max(each.length, each.width) for each in plan.plates if each.id == plate)
    return max(own, WRITTEN / scale), max(own, details.WRITTEN / scale)


@dataclass(frozen=True)
class Pen:
    """A canvas, where the plate's origin lies on it, its scale, and whether its x runs up the page."""

    canvas: Any
    x: float
    y: float
    scale: float
    turned: bool

    def at(self, point: tuple[float, float]) -> tuple[float, float]:
        across, up = (-point[1], point[0]) if self.turned else point
        return self.x + across * self.scale, self.y + up * self.scale

    def outline(self, each: Outline) -> None:
        points_ = [self.at(point) for point in each.points]
        canvas = self.canvas
        canvas.setStrokeColor(STROKE[each.layer])
        canvas.setFillColor(FILL[each.layer])
        canvas.setLineWidth(1.6 if each.layer == "PLATE" else 0.6)
        path = canvas.beginPath()
        path.moveTo(*points_[0])
        for point in points_[1:]:
            path.lineTo(*point)
        path.close()
        canvas.drawPath(path, fill=1, stroke=0 if each.layer == "KERF" else 1)
        xs, ys = [p[0] for p in points_], [p[1] for p in points_]
        if each.layer in ("OFFCUT", "SCRAP") and not is_box(each.points):
            if each.layer == "OFFCUT":
                canvas.setStrokeColor(GREEN)
                canvas.setLineWidth(0.5)
            for one, other in hatched(points_, 6) if each.layer == "OFFCUT" else crossed(points_):
                canvas.line(*one, *other)
        elif each.layer == "OFFCUT":
            hatch(canvas, min(xs), min(ys), max(xs), max(ys), 6)
        elif each.layer == "SCRAP":
            canvas.line(min(xs), min(ys), max(xs), max(ys))
            canvas.line(min(xs), max(ys), max(xs), min(ys))

    def torch(self, start: tuple[float, float], end: tuple[float, float]) -> None:
        canvas = self.canvas
        canvas.setStrokeColor(STROKE["CUT"])
        canvas.setLineWidth(0.9)
        canvas.setDash([6, 2, 1.5, 2])
        canvas.line(*self.at(start), *self.at(end))
        canvas.setDash([])

    def hole(self, each: Drilled) -> None:
        """A hole that is made later: its outline in dashes, a cross at its middle."""
        canvas, (x, y) = self.canvas, self.at(each.at)
        wide, high = (each.high, each.wide) if self.turned else (each.wide, each.high)
        dx, dy = wide * self.scale / 2, high * self.scale / 2
        canvas.setStrokeColor(BLACK)
        canvas.setLineWidth(0.5)
        canvas.line(x - dx / 2, y, x + dx / 2, y)
        canvas.line(x, y - dy / 2, x, y + dy / 2)
        canvas.setDash([1.5, 1])
        if each.round:
            canvas.circle(x, y, dx, fill=0)
        else:
            canvas.rect(x - dx, y - dy, 2 * dx, 2 * dy, fill=0)
        canvas.setDash([])

    def bevel(self, each: BevelLine) -> None:
        """Where a bevel ends on its face, in dashes on the one below."""
        canvas = self.canvas
        canvas.setStrokeColor(BLACK)
        canvas.setLineWidth(0.5)
        canvas.setDash([] if each.over else [1.5, 1])
        canvas.line(*self.at(each.start), *self.at(each.end))
        canvas.setDash([])

    def frame(self, each: Frame) -> None:
        """A region that is drawn larger elsewhere, with its letter."""
        (ax, ay), (bx, by) = self.at(each.box[:2]), self.at(each.box[2:])
        canvas = self.canvas
        for width, grey in ((2.6, 1), (1.3, 0)):  # on a white band, to be seen across lines of any kind
            canvas.setLineWidth(width)
            canvas.setStrokeGray(grey)
            canvas.rect(min(ax, bx), min(ay, by), abs(bx - ax), abs(by - ay), fill=0)
        self.text(each.letter)

    def text(self, each: Text) -> None:
        canvas, shown, height = self.canvas, as_read(printable(each.text)), each.height * self.scale
        name = BOLD if each.bold else REGULAR
        if height < LEAST_TEXT:
            x0, y0, x1, y1 = text_box(each)
            room = max(x1 - x0, y1 - y0) * self.scale
            height = min(LEAST_TEXT, height * max(1.0, room / canvas.stringWidth(shown, name, points(height / mm))))
        size = points(height / mm)
        if lacks(each.text) and canvas.stringWidth(shown, name, size) > text_width(each.text) * height:
            shown = as_read(printable(each.text, most=0))  # numbers of letters take more room than was kept
        wide = canvas.stringWidth(shown, name, size)
        canvas.saveState()
        (x, y) = each.at
        if self.turned and each.upright:  # read level now, the other way round: its label's lines change places
            x -= 2 * each.below
        canvas.translate(*self.at((x, y)))
        if each.upright != self.turned and not each.bold:  # letters of the edges stay level
            canvas.rotate(90)
        canvas.setFillGray(1)
        canvas.rect(-wide / 2 - 1, -height * 0.75, wide + 2, height * 1.5, fill=1, stroke=0)
        canvas.setFillColor(BLACK)
        canvas.setFont(name, size)
        canvas.drawCentredString(0, -height / 2, shown)
        canvas.restoreState()

    def angle(self, each: Angle) -> None:
        """The arc of an angle, and how large it is."""
        (x, y), radius = self.at(each.at), each.radius * self.scale
        turn = 90 if self.turned else 0
        self.canvas.setStrokeColor(GREY)
        self.canvas.setLineWidth(0.5)
        self.canvas.arc(x - radius, y - radius, x + radius, y + radius, each.start + turn, each.end - each.start)
        self.text(each.text)

    def bubble(self, each: Bubble) -> None:
        canvas, (x, y) = self.canvas, self.at(each.at)
        radius = each.radius * self.scale
        size = radius * min(1.3, 2.6 / len(str(each.number)))
        canvas.setFillGray(1)
        canvas.setStrokeGray(0)
        canvas.setLineWidth(0.7)
        canvas.circle(x, y, radius, fill=1)
        canvas.setFillGray(0)
        canvas.setFont(BOLD, size)
        canvas.drawCentredString(x, y - size * 0.36, str(each.number))

    def dimension(self, each: Dimension) -> None:
        """Dimension line to the right of its direction, with short lines to what it measures."""
        (ax, ay), (bx, by) = self.at(each.start), self.at(each.end)
        share = each.offset * self.scale / math.hypot(bx - ax, by - ay)
        level = abs(by - ay) < abs(bx - ax)
        dx, dy = (by - ay) * share, (ax - bx) * share
        canvas = self.canvas
        canvas.setStrokeColor(GREY)
        canvas.setLineWidth(0.5)
        canvas.line(ax, ay, ax + dx * 1.15, ay + dy * 1.15)
        canvas.line(bx, by, bx + dx * 1.15, by + dy * 1.15)
        canvas.line(ax + dx, ay + dy, bx + dx, by + dy)
        for x, y in ((ax + dx, ay + dy), (bx + dx, by + dy)):
            canvas.line(x - 3, y - 3, x + 3, y + 3)
        size = points(2.8)
        canvas.saveState()
        canvas.translate((ax + bx) / 2 + dx, (ay + by) / 2 + dy)
        if not level:
            canvas.rotate(90)
        canvas.setFillColor(BLACK)
        canvas.setFont(REGULAR, size)
        canvas.drawCentredString(0, 2.5, each.text)
        canvas.restoreState()
