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


def fence(canvas: Any, letter: str, right: float, y: float, height: float) -> None:
    """The fence, with the letter of the edge that lies on it, as where rectangles are drawn."""
    canvas.setStrokeGray(0)
    canvas.setLineWidth(1.2)
    canvas.setFillGray(0.82)
    canvas.rect(right - FENCE, y + 6, FENCE, height - 12, fill=1)
    canvas.saveState()
    canvas.translate(right - FENCE / 2, y + (height - LETTER) / 2)
    canvas.rotate(90)
    canvas.setFillGray(0)
    canvas.setFont(BOLD, DESK)
    canvas.drawCentredString(0, -DESK * 0.36, "FENCE")
    canvas.restoreState()
    draw_letter(canvas, letter, right - FENCE / 2, y + height - 6 - LETTER / 2, key=True)


def dot(canvas: Any, at: Point) -> None:
    """The mark of a corner that is told from the start line."""
    canvas.setFillGray(0)
    canvas.rect(at[0] - 2, at[1] - 2, 4, 4, fill=1, stroke=0)


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
