"""The section across a bevelled edge, as the piece lies for the torch: part, slanted faces, torch, an equal mate.

Seen from home along the travel, so that the fence is on the right: there the part is broken off. To scale. Drawn with
the strokes of a PDF canvas, which `svg_canvas` takes too.
"""

from __future__ import annotations

import math
from typing import Any

from stripplan.sheets.paper.text import BOLD, REGULAR, width_of
from stripplan.sheets.picture.palette import FILL, GREY, VERMILLION
from stripplan.sheets.rows.row_types import BevelGroup, EdgeSection

LETTERS = 8.0
"""Size of the figures [pt]."""
Point = tuple[float, float]


def draw_section(
    canvas: Any, section: EdgeSection, figures: dict[str, str], x: float, y: float, width: float, height: float
) -> None:
    """Draw the section into a rectangle with its lower left corner at (x, y) [pt]; `figures` are written beside it by
    name: thickness, angle, root_face, set_back, included, and what lies to the right."""
    drawn = _Drawn(canvas, section, x, y, width, height)
    canvas.saveState()
    drawn.mate()
    drawn.part()
    drawn.torch()
    drawn.figures(figures)
    canvas.restoreState()


def figures_of(group: BevelGroup) -> dict[str, str]:
    """What is written beside the section."""
    facts = dict(group.facts)
    return {
        "thickness": facts["depth"].rpartition(" of ")[2],
        "angle": facts["bevel angle"],
        "root_face": f"root face {facts['root face']}" if group.section.root_face > 0 else "no root face",
        "set_back": facts["face set back"],
        "included": facts["with an equal mate"],
        "right": "" if group.scribe else "to the fence →",
    }


class _Drawn:
    """The picture while it is drawn: the edge at 0, the part below 0, that is right of it; the lower face at 0 [mm]."""

    def __init__(self, canvas: Any, section: EdgeSection, x: float, y: float, width: float, height: float) -> None:
        self.canvas, self.section = canvas, section
        thick = section.thickness
        # Room above for torch and set-back, below for the root face's figure.
        self.scale = min((height - 3.0 * LETTERS) / (1.42 * thick), width / (4.0 * thick))
        self.x0, self.y0 = x + 0.5 * width, y + 1.4 * LETTERS
        self.far = 0.48 * width / self.scale

    def at(self, point: Point) -> Point:
        """A point of the section on paper [pt]."""
        return self.x0 - point[0] * self.scale, self.y0 + point[1] * self.scale

    def _outline(self, hand: float) -> list[Point]:
        """Corners from the far lower one, anticlockwise for the part (`hand` 1); mirrored for the mate."""
        s, t = self.section, self.section.thickness
        back, under = self._back(s.depth, s.angle), self._back(s.other_depth, s.other_angle)
        corners = [
            (-self.far, 0.0),
            (-under, 0.0),
            (0.0, s.other_depth),
            (0.0, t - s.depth),
            (-back, t),
            (-self.far, t),
        ]
        return [(x if hand > 0 else 0.5 / self.scale - x, y) for x, y in corners]

    @staticmethod
    def _back(depth: float, angle: float) -> float:
        return depth * math.tan(math.radians(angle))

    def _path(self, corners: list[Point], *, close: bool) -> Any:
        path = self.canvas.beginPath()
        path.moveTo(*self.at(corners[0]))
        for corner in corners[1:]:
            path.lineTo(*self.at(corner))
        if close:
            path.close()
        return path

    def part(self) -> None:
        """The part, tinted, without a line where it is broken off."""
        corners = self._outline(1)
        self.canvas.setFillColor(FILL["PART"])
        self.canvas.drawPath(self._path(corners, close=True), fill=1, stroke=0)
        self.canvas.setStrokeGray(0)
        self.canvas.setLineWidth(1.2)
        self.canvas.drawPath(self._path(corners, close=False), fill=0, stroke=1)

    def mate(self) -> None:
        """An equal mate beside it, broken lines."""
        self.canvas.setStrokeColor(GREY)
        self.canvas.setLineWidth(0.6)
        self.canvas.setDash([2, 1.5])
        corners = [(min(x, 0.8 * self.far), y) for x, y in self._outline(-1)]
        self.canvas.drawPath(self._path(corners, close=False), fill=0, stroke=1)
        self.canvas.setDash([])

    def torch(self) -> None:
        """The axis of the torch, leaning over the part, and the kerf beside it."""
        s, lean = self.section, math.radians(self.section.angle)
        down, foot = (math.sin(lean), -math.cos(lean)), (-s.axis_inward, s.thickness)
        above, below = 0.42 * s.thickness, s.depth / math.cos(lean) + 0.25 * s.thickness
        start = foot[0] - down[0] * above, foot[1] - down[1] * above
        end = foot[0] + down[0] * below, foot[1] + down[1] * below
        self.canvas.setStrokeColor(VERMILLION)
        self.canvas.setLineWidth(1.0)
        self.canvas.setDash([6, 1.5, 1.5, 1.5])
        self.canvas.line(*self.at(start), *self.at(end))
        self.canvas.setDash([])
        for turn in (150, -150):  # an arrow head where it leaves
            way = math.atan2(down[1], -down[0]) + math.radians(turn)
            (px, py), long = self.at(end), 5.0
            self.canvas.line(px, py, px + long * math.cos(way), py + long * math.sin(way))

    def figures(self, told: dict[str, str]) -> None:
        """Dimensions beside what they measure."""
        s, t = self.section, self.section.thickness
        back = self._back(s.depth, s.angle)
        self.canvas.setStrokeGray(0.35)
        self.canvas.setLineWidth(0.5)
        right, top = self.at((-self.far, t))
        _, foot = self.at((-self.far, 0.0))
        self._upright(right - 4, foot, top, told["thickness"])
        (ax, high), (bx, _) = self.at((-back, t)), self.at((0.0, t))
        over = high + 3.5
        self.canvas.line(ax, over, bx, over)
        for end in (ax, bx):
            self.canvas.line(end, high + 1, end, over + 2)
        self.canvas.setDash([1, 1])
        (ex, ey), (_, ez) = self.at((0.0, t - s.depth)), self.at((0.0, t))
        self.canvas.line(ex, ey, ex, ez)  # from here the bevel angle is measured
        self.canvas.setDash([])
        self._words((ax + bx) / 2, over + 2.5, told["set_back"])
        radius = 0.55 * s.depth
        way = math.radians(90 + s.angle / 2)
        px, py = self.at((radius * math.cos(way) * 1.5, t - s.depth + radius * math.sin(way) * 1.35))
        self._words(px, py - LETTERS / 3, told["angle"], clear=True)
        mx, my = self.at((0.0, t))
        self._words(mx - 0.12 * self.far * self.scale, my + LETTERS + 4, told["included"], share=1.0)
        rx, ry = self.at((0.0, s.other_depth + s.root_face / 2))
        if s.root_face > 0:
            self.canvas.line(rx, ry, rx - 10, self.y0 - 0.4 * LETTERS)
        self._words(rx - 11, self.y0 - LETTERS, told["root_face"], share=1.0)
        self._words(right, self.y0 - LETTERS - 1, told["right"], share=1.0)

    def _upright(self, x: float, low: float, high: float, text: str) -> None:
        self.canvas.line(x, low, x, high)
        for end in (low, high):
            self.canvas.line(x - 2, end, x + 2, end)
        self._words(x - 3, (low + high) / 2 - LETTERS / 3, text, share=1.0)

    def _words(self, x: float, y: float, text: str, *, share: float = 0.5, clear: bool = False) -> None:
        """Words, that share of which lies left of a place."""
        wide = width_of(text, LETTERS, bold=text[:1].isdigit())
        start = x - share * wide
        if clear:
            self.canvas.setFillColor(FILL["PART"])
            self.canvas.rect(start - 0.5, y - 1, wide + 1, LETTERS, fill=1, stroke=0)
        self.canvas.setFillGray(0)
        self.canvas.setFont(BOLD if text[:1].isdigit() else REGULAR, LETTERS)
        self.canvas.drawString(start, y, text)
