"""Strokes that the small pictures of pieces on the rig have in common: fence, start line, torch line up to its stop."""

from __future__ import annotations

from typing import Any

from stripplan.sheets.paper.text import BOLD, DESK, NEAR, REGULAR, width_of
from stripplan.sheets.picture.on_rig.letters import LETTER, Box, Point, draw_letter, overlap, words_on
from stripplan.sheets.picture.palette import VERMILLION

FENCE, BESIDE = 14.0, 15.0
"""Width of the fence; room on the other side for a letter [pt]."""
BELOW, ABOVE = 20.0, 22.0
"""Room under the piece and over it for letters, start and stop [pt]."""
NEARER_WORDS = "not to scale"


def path(canvas: Any, points: list[Point]) -> Any:
    """A closed path through points."""
    made = canvas.beginPath()
    made.moveTo(*points[0])
    for point in points[1:]:
        made.lineTo(*point)
    made.close()
    return made


DOT = 2.0
"""Half the size of the mark of a corner [pt]."""


def fence(canvas: Any, letter: str, right: float, y: float, height: float, corner: Point | None = None) -> None:
    """The fence, with the letter of the edge that lies on it, as where rectangles are drawn; its word stands clear of
    the mark of a `corner`, if it can."""
    canvas.setStrokeGray(0)
    canvas.setLineWidth(1.2)
    canvas.setFillGray(0.82)
    canvas.rect(right - FENCE, y + 6, FENCE, height - 12, fill=1)
    canvas.saveState()
    canvas.translate(right - FENCE / 2, _word_at(y + 6, y + height - 6 - LETTER, corner))
    canvas.rotate(90)
    canvas.setFillGray(0)
    canvas.setFont(BOLD, DESK)
    canvas.drawCentredString(0, -DESK * 0.36, "FENCE")
    canvas.restoreState()
    draw_letter(canvas, letter, right - FENCE / 2, y + height - 6 - LETTER / 2, key=True)


def _word_at(low: float, high: float, corner: Point | None) -> float:
    """The height of the middle of the fence's word, between its foot and the letter [pt]."""
    middle, off = (low + high) / 2, width_of("FENCE", DESK, bold=True) / 2 + 1
    if corner is None:
        return middle
    tries = [middle, corner[1] + DOT + off, corner[1] - DOT - off]
    clear = [each for each in tries if low + off <= each <= high - off and abs(each - corner[1]) >= DOT + off - 1e-9]
    return min(clear, key=lambda each: abs(each - middle), default=middle)


def dot(canvas: Any, at: Point) -> None:
    """The mark of a corner that is told from the start line."""
    canvas.setFillGray(0)
    canvas.rect(at[0] - DOT, at[1] - DOT, 2 * DOT, 2 * DOT, fill=1, stroke=0)


def start_line(canvas: Any, entry: Point, room: Box, covered: list[list[Point]]) -> Box:
    """The start line through the entry of the torch, and its word, where nothing else is drawn, at the left if it can
    be."""
    x, y = entry
    canvas.setStrokeGray(0)
    canvas.setLineWidth(0.8)
    canvas.setDash([5, 2])
    canvas.line(room[0], y, room[2], y)
    canvas.setDash([])
    canvas.setFillGray(0)
    torch = [(x - 3, y - DESK), (x + 3, y - DESK), (x + 3, y + DESK), (x - 3, y + DESK)]
    tries = [(box, size) for size in (DESK, NEAR) for box in words_on(y, width_of("start", size), size, room)]
    free = (each for each in tries if not any(overlap(each[0], one) for one in (*covered, torch)))
    box, size = next(free, tries[0])
    canvas.setFont(REGULAR, size)
    canvas.drawString(box[0], box[1] + (0.0 if box[1] < y else 1.0), "start")
    return box


def torch(canvas: Any, entry: Point, leaves: Point) -> list[Box]:
    """The torch line up to its end stop; what it takes of the room."""
    (x, low), (_, high) = entry, leaves
    canvas.setStrokeGray(0)
    canvas.setLineWidth(3)
    canvas.line(x - 10, high + 10, x + 10, high + 10)
    canvas.setStrokeColor(VERMILLION)
    canvas.setFillColor(VERMILLION)
    canvas.setLineWidth(1.6)
    canvas.setDash([8, 2.5, 2, 2.5])
    canvas.line(x, low - 14, x, high + 10)
    canvas.setDash([])
    canvas.drawPath(path(canvas, [(x, high + 7), (x - 5, high - 4), (x + 5, high - 4)]), fill=1, stroke=0)
    return [(x - 5, low - 14, x + 5, high + 12), (x - 10, high + 8, x + 10, high + 12)]


def cross(canvas: Any, at: Point) -> None:
    """The sign of a mark that is scribed."""
    canvas.setStrokeGray(0)
    canvas.setLineWidth(1.6)
    x, y = at
    canvas.line(x - 5, y - 5, x + 5, y + 5)
    canvas.line(x - 5, y + 5, x + 5, y - 5)


def not_to_scale(canvas: Any, x: float, y: float) -> None:
    """The words that say so, at the foot of a picture that begins at (x, y)."""
    canvas.setFillGray(0)
    canvas.setFont(REGULAR, NEAR * 0.8)
    canvas.drawString(x, y - 1, NEARER_WORDS)
