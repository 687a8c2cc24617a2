"""A part with its holes, or one that is no rectangle, as a small sketch on its label, its length lying level: one sees
at once what it is and that holes are due.

The sketch takes room from nothing: it stands over the code, where the label has room left there.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from reportlab.lib.units import mm

from stripplan.model.part import Part, Shape
from stripplan.sheets.labels.arrange import DEPTH, LEAST, LINE, Placed
from stripplan.sheets.paper.text import REGULAR, points, width_of

LEAST_ROOM = (12.0 * mm, 3.5 * mm)
"""Width and height below which holes in a sketch are specks [pt]."""
AIR = 0.8 * mm
"""Around it [pt]."""

Room = tuple[float, float, float, float]
"""Left and low edge from the label's inner low left corner, width and height [pt]."""


def room_over_code(lines: Sequence[Placed], width: float, height: float, side: float) -> Room | None:
    """What is left over the code of a label, below the lines that run as far; None where it is too little."""
    if not side:
        return None
    left, upper = width - side, 0.0
    for each in lines:
        if each.x + width_of(each.text, points(each.capitals), bold=each.bold) > left:
            upper = max(upper, each.y + (LINE - DEPTH) * each.capitals * mm)
    room = (left + AIR, side + AIR, side - 2 * AIR, height - side - upper - 2 * AIR)
    return room if room[2] >= LEAST_ROOM[0] and room[3] >= LEAST_ROOM[1] else None


def draw_sketch(canvas: Any, part: Part, holes: str, x: float, y: float, room: Room) -> None:
    """The outline of a finished part with its holes in the middle of a room of the label whose inner low left corner is
    (x, y), as large as it lets it be, the sizes of the holes below it if there is room. A strip, whose length is
    that of its plate, is drawn as far as its last hole."""
    line = LINE * LEAST * mm
    if room[3] - line >= LEAST_ROOM[1] and width_of(holes, points(LEAST)) <= room[2]:
        canvas.setFont(REGULAR, points(LEAST))
        canvas.drawCentredString(x + room[0] + room[2] / 2, y + room[1] + (LINE - DEPTH) * LEAST * mm, holes)
        room = (room[0], room[1] + line, room[2], room[3] - line)
    last = max((hole.x + hole.length / 2 for hole in part.holes), default=part.width)
    length = getattr(part, "length", None) or 1.1 * last
    scale = min(room[2] / length, room[3] / part.width)
    wide, high = length * scale, part.width * scale
    left, low = x + room[0] + (room[2] - wide) / 2, y + room[1] + (room[3] - high) / 2
    canvas.setStrokeGray(0)
    canvas.setLineWidth(0.7)
    if isinstance(part, Shape):
        path = canvas.beginPath()
        path.moveTo(left + part.outline[0][0] * scale, low + part.outline[0][1] * scale)
        for px, py in part.outline[1:]:
            path.lineTo(left + px * scale, low + py * scale)
        path.close()
        canvas.drawPath(path, fill=0, stroke=1)
    else:
        canvas.rect(left, low, wide, high, fill=0)
    canvas.setLineWidth(0.5)
    for hole in part.holes:
        dx, dy = hole.length * scale / 2, hole.width * scale / 2
        at_x, at_y = left + hole.x * scale, low + hole.y * scale
        if hole.round:
            canvas.circle(at_x, at_y, dx, fill=0)
        else:
            canvas.rect(at_x - dx, at_y - dy, 2 * dx, 2 * dy, fill=0)
