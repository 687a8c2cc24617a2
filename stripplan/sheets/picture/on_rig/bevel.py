"""The small picture of a bevel: how the part lies on the rig, seen from above, carriage running up the page.

The face that goes is dark, and at least as wide as can be seen. To scale but for that, unless the part is so slender
that letters would find no room: then it is drawn wider or longer, right angles at the bevelled edge stay what they
are, and the picture says that it is not to scale.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from typing import Any

from stripplan.model.polygon import area, kept_left, line_of
from stripplan.sheets.paper.text import BOLD, CAPITALS, DESK, NEAR, width_of
from stripplan.sheets.picture.on_rig.letters import Drawn, Lettered, Point, inside, letters, middle_of
from stripplan.sheets.picture.on_rig.strokes import (
    FENCE,
    NEARER_WORDS,
    cross,
    dot,
    fence,
    not_to_scale,
    path,
    start_line,
    torch,
)
from stripplan.sheets.picture.palette import BLUE, FILL
from stripplan.sheets.rows.row_types import LieBevel

BELOW, ABOVE, BESIDE = 17.0, 19.0, 24.0
"""Room under the part and over it for letters, start and stop; left of it for a letter and "start" [pt]."""
LEAST = 16.0
"""A part is drawn at least so wide and so long [pt]."""
FACE = 5.0
"""The face that goes is drawn at least so wide [pt]."""


@dataclass(frozen=True)
class _Paper:
    """Where the rig's points lie on paper: `x` and `y` of the torch's entry, the scales `across` and `along` the
    travel [pt]; `face`: how wide what goes is drawn, `edge`: where the bevelled edge is."""

    x: float
    y: float
    across: float
    along: float
    face: float
    edge: float

    def at(self, point: Point) -> Point:
        """A point right of the torch's axis and ahead of the start line [mm] on paper [pt]."""
        return self.x + point[0] * self.across, self.y + point[1] * self.along

    @property
    def to_scale(self) -> bool:
        return math.isclose(self.across, self.along)


def draw_lie_for_bevel(canvas: Any, lie: LieBevel, x: float, y: float, width: float, height: float) -> None:
    """Draw the picture of a bevel into a rectangle with its lower left corner at (x, y) [pt]."""
    paper = _paper(lie, x, y, width, height)
    corners = [paper.at(point) for point in lie.outline]
    canvas.saveState()
    if lie.right:
        fence(canvas, lie.right, x + width, y, height, None if lie.corner is None else paper.at(lie.corner))
    _part(canvas, corners, paper)
    room = (x, y, x + width - (FENCE if lie.right else 0.0), y + height)
    over = paper.edge + paper.face * _share(lie)
    entry, leaves = (over, paper.y), (over, paper.at((0.0, lie.length))[1])
    taken = [start_line(canvas, entry, room, [corners]), *torch(canvas, entry, leaves)]
    if not lie.right:
        for share in (0.2, 0.8):
            cross(canvas, (over, entry[1] + share * (leaves[1] - entry[1])))
    if lie.corner is not None:
        cx, cy = paper.at(lie.corner)
        dot(canvas, (cx, cy))
        taken.append((cx - 7, cy - 7, cx + 7, cy + 7))
    if not paper.to_scale:
        taken.append((x, y - 1, x + width_of(NEARER_WORDS, NEAR * 0.8), y + NEAR * 0.8))
        not_to_scale(canvas, x, y)
    named = frozenset({lie.start, lie.edge})
    letters(Drawn(canvas, taken, room, [corners]), Lettered(corners, lie.letters, lie.start, named, lie.right))
    _face_up(canvas, lie, corners, paper, (room[2], y))
    canvas.restoreState()


def _share(lie: LieBevel) -> float:
    """Where in the face that goes the torch's axis runs."""
    return min(1.0, max(0.0, lie.inward / lie.set_back)) if lie.set_back > 0 else 0.5


def _paper(lie: LieBevel, x: float, y: float, width: float, height: float) -> _Paper:
    points = [*lie.outline, (0.0, 0.0), (0.0, lie.length)]
    (x0, x1), (y0, y1) = ((min(p[n] for p in points), max(p[n] for p in points)) for n in (0, 1))
    wide, long = x1 - x0 or 1.0, y1 - y0 or 1.0
    room, high = width - BESIDE - (FENCE if lie.right else BESIDE), height - BELOW - ABOVE
    scale = min(room / wide, high / long)
    across, along = (max(scale, min(LEAST, most) / each) for each, most in ((wide, room), (long, high)))
    left = x + width - FENCE - x1 * across
    if not lie.right:
        left = x + BESIDE + (room - wide * across) / 2 - x0 * across
    low = y + BELOW + (0.0 if lie.right else (high - long * along) / 2) - y0 * along
    return _Paper(left, low, across, along, max(FACE, lie.set_back * across), left + x0 * across)


def _part(canvas: Any, corners: list[Point], paper: _Paper) -> None:
    """The part, tinted, with the face that goes."""
    canvas.setFillColor(FILL["PART"])
    canvas.setStrokeColor(BLUE)
    canvas.setLineWidth(1.2)
    canvas.drawPath(path(canvas, corners), fill=1, stroke=1)
    inner = paper.edge + paper.face
    line = line_of(((inner, paper.y), (inner, paper.y + 1.0)))
    gone = kept_left(_counter_clockwise(corners), line)
    if gone:
        canvas.setFillGray(0.45)
        canvas.drawPath(path(canvas, list(gone)), fill=1, stroke=0)


def _face_up(canvas: Any, lie: LieBevel, corners: list[Point], paper: _Paper, foot: Point) -> None:
    """Which face is up: on the part, level or upright, or where it finds no room there at the foot, on the right, where
    neither the end stop nor "start" is."""
    text = "TOP" if lie.face_up else "UNDER"
    inner = paper.edge + paper.face + 2
    rest = kept_left(_counter_clockwise(corners), line_of(((inner, paper.y + 1.0), (inner, paper.y))))
    canvas.setFillGray(0)
    for size, turn in itertools.product((DESK, NEAR), (0, 90)) if rest else ():
        x, y = middle_of(list(rest))
        sides = width_of(text, size, bold=True) / 2, size * CAPITALS / 2
        wide, high = sides if not turn else sides[::-1]
        if inside((x - wide, y - high, x + wide, y + high), list(rest)):
            canvas.setFont(BOLD, size)
            canvas.saveState()
            canvas.translate(x, y)
            canvas.rotate(turn)
            canvas.drawCentredString(0, -size * CAPITALS / 2, text)
            canvas.restoreState()
            return
    canvas.setFont(BOLD, DESK)
    canvas.drawString(foot[0] - width_of(text, DESK, bold=True), foot[1] + 1, text)


def _counter_clockwise(corners: list[Point]) -> tuple[Point, ...]:
    return tuple(corners if area(corners) > 0 else corners[::-1])
