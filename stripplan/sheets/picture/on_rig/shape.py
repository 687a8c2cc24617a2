"""The small picture of a cut for pieces that are no rectangles, or are cut aslant: on the fence, on the mitre bar, by
marks; seen from above, carriage running up the page.

To scale near the torch line. What reaches further than a few times its length is drawn nearer, along and across the bar
each by itself, as if the middle were left out: so bar, torch line, right angles and the slant of a far end stay what
they are; the picture then says that it is not to scale.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from stripplan.sheets.paper.text import NEAR, width_of
from stripplan.sheets.picture.on_rig.letters import BAR, Box, Drawn, Lettered, Point, letters, names
from stripplan.sheets.picture.on_rig.strokes import (
    ABOVE,
    BELOW,
    BESIDE,
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
from stripplan.sheets.picture.palette import BLUE, GREEN
from stripplan.sheets.picture.polygons import crossed, hatched
from stripplan.sheets.rows.aslant import LieShape
from stripplan.sheets.rows.row_types import CutRow, Fall

FAR, NEARER = 2.5, 0.7
"""What lies further from the entry, along or across the bar, than so many times the length of the cut is drawn within
so much more."""
SLANT = 0.7
"""So much of that room a far end may take to be drawn with its own slant."""


@dataclass(frozen=True)
class _Way:
    """One way from the entry: up to `limit` all is to scale, from there to the nearest corner beyond it, `first`, it is
    drawn by the share `between`, and what is further by the share `beyond`. All in mm."""

    limit: float
    first: float
    between: float
    beyond: float

    @classmethod
    def to(cls, far: list[float], limit: float) -> _Way:
        """To corners that are so far away: what is beyond the limit finds room in `NEARER` of it."""
        beyond, room = [each for each in far if each > limit], NEARER * limit
        if not beyond or max(beyond) <= limit + room:
            return cls(limit, limit, 1.0, 1.0)
        first, deep = min(beyond), max(beyond) - min(beyond)
        if deep > room * SLANT or first == limit:
            share = room / (max(beyond) - limit)
            return cls(limit, first, share, share)
        return cls(limit, first, (room - deep) / (first - limit), 1.0)

    def __call__(self, away: float) -> float:
        between = max(0.0, min(away, self.first) - self.limit)
        return min(away, self.limit) + between * self.between + max(0.0, away - self.first) * self.beyond


@dataclass(frozen=True)
class _Nearer:
    """How what is far is drawn nearer: along a direction at `turn` [rad] from x and across it, for each both ways."""

    turn: float
    ways: tuple[tuple[_Way, _Way], tuple[_Way, _Way]]

    @classmethod
    def of(cls, shape: LieShape) -> _Nearer:
        """For the picture of a shape: along the bar, where it lies on one, else along its longest edge."""
        turn = math.radians(90.0 + shape.angle) if shape.angle is not None else _longest(shape.outline)
        places, limit = [_turned(point, turn) for point in shape.outline], FAR * shape.length

        def both(axis: int) -> tuple[_Way, _Way]:
            return (_Way.to([each[axis] for each in places], limit), _Way.to([-each[axis] for each in places], limit))

        return cls(turn, (both(0), both(1)))

    @property
    def all_to_scale(self) -> bool:
        """Whether nothing is drawn nearer."""
        return all(way.between == way.beyond == 1.0 for axis in self.ways for way in axis)

    def __call__(self, point: Point) -> Point:
        along, across = _turned(point, self.turn)
        (on, back), (out, into) = self.ways
        near = (on(along) if along >= 0 else -back(-along), out(across) if across >= 0 else -into(-across))
        return _turned(near, -self.turn)


def _turned(point: Point, turn: float) -> Point:
    """A point in a frame whose first axis is at `turn` [rad] from x."""
    cos, sin = math.cos(turn), math.sin(turn)
    return point[0] * cos + point[1] * sin, point[1] * cos - point[0] * sin


def _longest(outline: tuple[Point, ...]) -> float:
    """The direction of the longest edge of an outline [rad]."""
    (x0, y0), (x1, y1) = max(zip(outline, (*outline[1:], outline[0]), strict=True), key=lambda edge: math.dist(*edge))
    return math.atan2(y1 - y0, x1 - x0)


@dataclass(frozen=True)
class _Paper:
    """Where the rig's points lie on paper: `at` maps them [pt]; `drawn_near`: not all is to scale."""

    scale: float
    x: float
    y: float
    nearer: _Nearer

    def at(self, point: Point) -> Point:
        """A point right of the torch line and ahead of its entry [mm] on paper [pt]."""
        px, py = self.nearer(point)
        return self.x + px * self.scale, self.y + py * self.scale

    @property
    def drawn_near(self) -> bool:
        return not self.nearer.all_to_scale


def draw_shape(canvas: Any, row: CutRow, shape: LieShape, x: float, y: float, width: float, height: float) -> None:
    """Draw the picture of a cut into a rectangle with its lower left corner at (x, y) [pt]."""
    paper = _paper(row, shape, x, y, width, height)
    canvas.saveState()
    room = (x, y, x + width - (FENCE if row.located == "fence" else 0.0), y + height)
    if row.located == "fence":
        corner = None if shape.corner is None else paper.at(shape.corner)  # what is measured from the start line
        fence(canvas, row.lie.right, x + width, y, height, corner)
        if corner is not None:
            dot(canvas, corner)
    covered = [] if shape.angle is None else [_bar(canvas, paper, shape, room)]
    covered += [[paper.at(point) for point in shape.outline]]
    _half(canvas, paper, shape.left, row.left)
    _half(canvas, paper, shape.right, row.right)
    taken = [start_line(canvas, paper.at((0.0, 0.0)), room, covered), *_torch(canvas, paper, shape, row)]
    if shape.corner is not None:
        cx, cy = paper.at(shape.corner)
        taken.append((cx - 7, cy - 7, cx + 7, cy + 7))
    if paper.drawn_near:
        taken.append((x, y - 1, x + width_of(NEARER_WORDS, NEAR * 0.8), y + NEAR * 0.8))
    drawn = Drawn(canvas, taken, room, covered)
    fenced = row.lie.right if row.located == "fence" else ""
    corners, named = [paper.at(point) for point in shape.outline], frozenset({row.lie.start, *_at_corner(shape)})
    letters(drawn, Lettered(corners, shape.letters, row.lie.start, named, fenced, barred=shape.angle is not None))
    left, right = ((fall, [paper.at(each) for each in outline]) for fall, outline in _sides(row, shape))
    names(drawn, left, right, paper.at((0.0, 0.0))[0])
    if paper.drawn_near:
        not_to_scale(canvas, x, y)
    canvas.restoreState()


def _sides(row: CutRow, shape: LieShape) -> tuple[tuple[Fall | None, tuple[Point, ...]], ...]:
    return (row.left, shape.left), (row.right, shape.right)


def _at_corner(shape: LieShape) -> Iterator[str]:
    """Letters of the edges that meet at the corner which the words name."""
    ends = itertools.pairwise((*shape.outline, shape.outline[0]))
    for edge, letter in zip(ends, shape.letters, strict=True):
        if shape.corner is not None and min(math.dist(end, shape.corner) for end in edge) < 0.01:
            yield letter


def _paper(row: CutRow, shape: LieShape, x: float, y: float, width: float, height: float) -> _Paper:
    nearer = _Nearer.of(shape)
    points = [nearer(point) for point in (*shape.outline, (0.0, 0.0), (0.0, shape.length))]
    (x0, x1), (y0, y1) = ((min(p[n] for p in points), max(p[n] for p in points)) for n in (0, 1))
    beside = FENCE if row.located == "fence" else BESIDE
    low = BELOW + (BAR if shape.angle is not None else 0.0)
    room, high = width - BESIDE - beside, height - low - ABOVE
    scale = min(room / (x1 - x0 or 1.0), high / (y1 - y0 or 1.0))
    if row.located == "fence":  # the edge on the fence lies at the right
        return _Paper(scale, x + width - FENCE - x1 * scale, y + low - y0 * scale, nearer)
    left = x + BESIDE + (room - (x1 - x0) * scale) / 2
    return _Paper(scale, left - x0 * scale, y + low + (high - (y1 - y0) * scale) / 2 - y0 * scale, nearer)


def _half(canvas: Any, paper: _Paper, outline: tuple[Point, ...], fall: Fall | None) -> None:
    """One side of the cut: a part is tinted, an offcut hatched, scrap crossed, a blank left white."""
    if not outline or fall is None:
        return
    points = [paper.at(point) for point in outline]
    canvas.setLineWidth(1.2)
    canvas.setStrokeGray(0)
    canvas.setFillGray(1)
    if fall.kind == "part":
        canvas.setFillColor("#DCEBF5")
        canvas.setStrokeColor(BLUE)
    canvas.drawPath(path(canvas, points), fill=1, stroke=1)
    if fall.kind in ("scrap", "offcut"):
        canvas.setLineWidth(0.6)
        canvas.setStrokeGray(0.45)
        if fall.kind == "offcut":
            canvas.setStrokeColor(GREEN)
        for one, other in crossed(points) if fall.kind == "scrap" else hatched(points, 7):
            canvas.line(*one, *other)


def _bar(canvas: Any, paper: _Paper, shape: LieShape, room: Box) -> list[Point]:
    """The bar behind the edge that lies on it, the stop at its corner; the bar ends where the room does."""
    assert shape.angle is not None
    turn = math.radians(shape.angle)
    fx, fy = -math.sin(turn), math.cos(turn)  # along the face, to the left of the travel
    nx, ny = -math.cos(turn), -math.sin(turn)  # away from the piece
    places = [paper.at(point) for point in shape.outline]
    x, y = paper.at((0.0, 0.0))
    on_face = [(px - x) * fx + (py - y) * fy for px, py in places if abs((px - x) * nx + (py - y) * ny) < 1.0]
    level = max(math.sin(turn), 1e-3)  # the bar's end that is to the left has the greater `along`
    low = max(min([-18.0, *on_face]) - 6, (x - room[2]) / level)
    high = min(max([18.0, *on_face]) + 6, (x - room[0]) / level)

    def at(along: float, back: float) -> Point:
        return x + fx * along + nx * back, y + fy * along + ny * back

    canvas.setStrokeGray(0)
    canvas.setLineWidth(1)
    canvas.setFillGray(0.82)
    bar = [at(low, 0), at(high, 0), at(high, BAR), at(low, BAR)]
    canvas.drawPath(path(canvas, bar), fill=1, stroke=1)
    if shape.corner is not None:
        cx, cy = paper.at(shape.corner)
        along = (cx - x) * fx + (cy - y) * fy
        out = math.copysign(5.0, along)
        block = [at(along, BAR), at(along, -6), at(along + out, -6), at(along + out, BAR)]
        canvas.setFillGray(0)
        canvas.drawPath(path(canvas, block), fill=1, stroke=0)
    return bar


def _torch(canvas: Any, paper: _Paper, shape: LieShape, row: CutRow) -> list[Box]:
    """The torch line up to its end stop, and its marks; what they take of the room."""
    taken = torch(canvas, paper.at((0.0, 0.0)), paper.at((0.0, shape.length)))
    for place in shape.marks if row.marks else ():
        cross(canvas, paper.at(place))
    return taken
