"""The small picture of a cut for pieces that are no rectangles, or are cut aslant: on the fence, on the mitre bar, by
marks; seen from above, carriage running up the page.

To scale near the torch line. What reaches further than a few times its length is drawn nearer, in its own direction, so
that bar, torch line and corners stay what they are; the picture then says that it is not to scale.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from typing import Any

from stripplan.sheets.paper.text import BOLD, DESK, NEAR, REGULAR, RIG, as_read, printable, width_of
from stripplan.sheets.picture.palette import BLUE, GREEN, VERMILLION
from stripplan.sheets.picture.polygons import crossed, hatched
from stripplan.sheets.rows.aslant import LieShape
from stripplan.sheets.rows.row_types import CutRow, Fall

FENCE, BESIDE = 14.0, 15.0
"""Width of the fence; room on the other side for a letter [pt]."""
BELOW, ABOVE = 20.0, 22.0
"""Room under the piece and over it for letters, start and stop [pt]."""
LETTER = 12.0
"""Side of the box of a letter [pt]."""
BAR = 7.0
"""How thick the mitre bar is [pt]."""
FAR, NEARER = 2.5, 0.7
"""What lies further from the entry than so many times the length of the cut is drawn within so much more."""

Point = tuple[float, float]


@dataclass(frozen=True)
class _Paper:
    """Where the rig's points lie on paper: `at` maps them [pt]; `drawn_near`: not all is to scale."""

    scale: float
    x: float
    y: float
    limit: float
    squeeze: float

    def at(self, point: Point) -> Point:
        """A point right of the torch line and ahead of its entry [mm] on paper [pt]."""
        px, py = _nearer(point, self.limit, self.squeeze)
        return self.x + px * self.scale, self.y + py * self.scale

    @property
    def drawn_near(self) -> bool:
        return self.squeeze < 1.0


def _nearer(point: Point, limit: float, squeeze: float) -> Point:
    away = math.hypot(*point)
    if away <= limit or squeeze >= 1.0:
        return point
    share = (limit + (away - limit) * squeeze) / away
    return point[0] * share, point[1] * share


def draw_shape(canvas: Any, row: CutRow, shape: LieShape, x: float, y: float, width: float, height: float) -> None:
    """Draw the picture of a cut into a rectangle with its lower left corner at (x, y) [pt]."""
    paper = _paper(row, shape, x, y, width, height)
    canvas.saveState()
    if row.located == "fence":
        _fence(canvas, paper, shape, x + width, y, height)
    if shape.angle is not None:
        _bar(canvas, paper, shape)
    _half(canvas, paper, shape.left, row.left)
    _half(canvas, paper, shape.right, row.right)
    _start(canvas, paper, shape, x, x + width - FENCE)
    _torch(canvas, paper, shape, row)
    taken: list[tuple[float, float, float, float]] = []
    low = paper.at((0.0, 0.0))[1]
    taken.append((x, low - DESK, x + width_of("start", DESK), low))
    if shape.corner is not None:
        cx, cy = paper.at(shape.corner)
        taken.append((cx - 7, cy - 7, cx + 7, cy + 7))
    _letters(canvas, paper, shape, row, taken)
    _names(canvas, paper, shape, row, taken, (x, y, x + width, y + height))
    if paper.drawn_near:
        canvas.setFillGray(0)
        canvas.setFont(REGULAR, NEAR * 0.8)
        canvas.drawString(x, y - 1, "not to scale")
    canvas.restoreState()


def _paper(row: CutRow, shape: LieShape, x: float, y: float, width: float, height: float) -> _Paper:
    farthest = max(math.hypot(*point) for point in shape.outline)
    limit = FAR * shape.length
    squeeze = 1.0 if farthest <= limit * (1 + NEARER) else NEARER * limit / (farthest - limit)
    points = [_nearer(point, limit, squeeze) for point in (*shape.outline, (0.0, 0.0), (0.0, shape.length))]
    (x0, x1), (y0, y1) = ((min(p[n] for p in points), max(p[n] for p in points)) for n in (0, 1))
    beside = FENCE if row.located == "fence" else BESIDE
    low = BELOW + (BAR if shape.angle is not None else 0.0)
    room, high = width - BESIDE - beside, height - low - ABOVE
    scale = min(room / (x1 - x0 or 1.0), high / (y1 - y0 or 1.0))
    if row.located == "fence":  # the edge on the fence lies at the right
        return _Paper(scale, x + width - FENCE - x1 * scale, y + low - y0 * scale, limit, squeeze)
    left = x + BESIDE + (room - (x1 - x0) * scale) / 2
    return _Paper(scale, left - x0 * scale, y + low + (high - (y1 - y0) * scale) / 2 - y0 * scale, limit, squeeze)


def _path(canvas: Any, points: list[Point]) -> Any:
    path = canvas.beginPath()
    path.moveTo(*points[0])
    for point in points[1:]:
        path.lineTo(*point)
    path.close()
    return path


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
    canvas.drawPath(_path(canvas, points), fill=1, stroke=1)
    if fall.kind in ("scrap", "offcut"):
        canvas.setLineWidth(0.6)
        canvas.setStrokeGray(0.45)
        if fall.kind == "offcut":
            canvas.setStrokeColor(GREEN)
        for one, other in crossed(points) if fall.kind == "scrap" else hatched(points, 7):
            canvas.line(*one, *other)


def _fence(canvas: Any, paper: _Paper, shape: LieShape, right: float, y: float, height: float) -> None:
    canvas.setStrokeGray(0)
    canvas.setLineWidth(1.2)
    canvas.setFillGray(0.82)
    canvas.rect(right - FENCE, y + 6, FENCE, height - 12, fill=1)
    canvas.saveState()
    canvas.translate(right - FENCE / 2, y + height / 2)
    canvas.rotate(90)
    canvas.setFillGray(0)
    canvas.setFont(BOLD, DESK)
    canvas.drawCentredString(0, -DESK * 0.36, "FENCE")
    canvas.restoreState()
    if shape.corner is not None:  # what is measured from the start line
        _dot(canvas, paper.at(shape.corner))


def _bar(canvas: Any, paper: _Paper, shape: LieShape) -> None:
    """The bar behind the edge that lies on it, the stop at its corner."""
    assert shape.angle is not None
    turn = math.radians(shape.angle)
    fx, fy = -math.sin(turn), math.cos(turn)  # along the face, to the left of the travel
    nx, ny = -math.cos(turn), -math.sin(turn)  # away from the piece
    places = [paper.at(point) for point in shape.outline]
    x, y = paper.at((0.0, 0.0))
    on_face = [(px - x) * fx + (py - y) * fy for px, py in places if abs((px - x) * nx + (py - y) * ny) < 1.0]
    low, high = min([-18.0, *on_face]) - 6, max([18.0, *on_face]) + 6

    def at(along: float, back: float) -> Point:
        return x + fx * along + nx * back, y + fy * along + ny * back

    canvas.setStrokeGray(0)
    canvas.setLineWidth(1)
    canvas.setFillGray(0.82)
    canvas.drawPath(_path(canvas, [at(low, 0), at(high, 0), at(high, BAR), at(low, BAR)]), fill=1, stroke=1)
    if shape.corner is not None:
        cx, cy = paper.at(shape.corner)
        along = (cx - x) * fx + (cy - y) * fy
        out = math.copysign(5.0, along)
        block = [at(along, BAR), at(along, -6), at(along + out, -6), at(along + out, BAR)]
        canvas.setFillGray(0)
        canvas.drawPath(_path(canvas, block), fill=1, stroke=0)


def _dot(canvas: Any, at: Point) -> None:
    canvas.setFillGray(0)
    canvas.rect(at[0] - 2, at[1] - 2, 4, 4, fill=1, stroke=0)


def _start(canvas: Any, paper: _Paper, shape: LieShape, left: float, right: float) -> None:
    _, y = paper.at((0.0, 0.0))
    canvas.setStrokeGray(0)
    canvas.setLineWidth(0.8)
    canvas.setDash([5, 2])
    canvas.line(left, y, right, y)
    canvas.setDash([])
    canvas.setFillGray(0)
    canvas.setFont(REGULAR, DESK)
    canvas.drawString(left, y - DESK, "start")
    x, top = paper.at((0.0, shape.length))
    canvas.setLineWidth(3)
    canvas.line(x - 10, top + 10, x + 10, top + 10)


def _torch(canvas: Any, paper: _Paper, shape: LieShape, row: CutRow) -> None:
    (x, low), (_, high) = paper.at((0.0, 0.0)), paper.at((0.0, shape.length))
    canvas.setStrokeColor(VERMILLION)
    canvas.setFillColor(VERMILLION)
    canvas.setLineWidth(1.6)
    canvas.setDash([8, 2.5, 2, 2.5])
    canvas.line(x, low - 14, x, high + 10)
    canvas.setDash([])
    canvas.drawPath(_path(canvas, [(x, high + 7), (x - 5, high - 4), (x + 5, high - 4)]), fill=1, stroke=0)
    canvas.setStrokeGray(0)
    canvas.setLineWidth(1.6)
    for place in shape.marks if row.marks else ():
        px, py = paper.at(place)
        canvas.line(px - 5, py - 5, px + 5, py + 5)
        canvas.line(px - 5, py + 5, px + 5, py - 5)


def _letters(canvas: Any, paper: _Paper, shape: LieShape, row: CutRow, taken: list[Any]) -> None:
    """Letters beside the edges: black where an edge lies on fence or bar, or the torch enters by it."""
    places = [paper.at(point) for point in shape.outline]
    keys = {row.lie.start, row.lie.right}
    x, low = paper.at((0.0, 0.0))
    high = paper.at((0.0, shape.length))[1]
    pairs = list(zip(itertools.pairwise((*places, places[0])), shape.letters, strict=True))
    pairs.sort(key=lambda each: each[1] not in keys)
    for ((ax, ay), (bx, by)), letter in pairs:
        long = math.dist((ax, ay), (bx, by))
        if long < 1.0:
            continue
        ux, uy = (bx - ax) / long, (by - ay) / long
        hand = _outward((ax, ay), (ux, uy), places)
        off = LETTER / 2 + 2 + (BAR if shape.angle is not None and letter == row.lie.start else 0.0)
        if row.located == "fence" and letter == row.lie.right:
            off = -LETTER / 2 - 2
        tries = [(share, far) for far in (off, off + LETTER) for share in (0.5, 0.3, 0.7, 0.15, 0.85)]
        for share, far in tries:
            px, py = ax + ux * long * share + hand * uy * far, ay + uy * long * share - hand * ux * far
            box = (px - LETTER / 2, py - LETTER / 2, px + LETTER / 2, py + LETTER / 2)
            on_torch = box[0] < x + 6 and x - 6 < box[2] and box[1] < high + 12 and low - 14 < box[3]
            if not on_torch and not any(_meet(box, each) for each in taken):
                taken.append(box)
                _letter(canvas, letter, px, py, key=letter in keys)
                break


def _outward(start: Point, along: Point, places: list[Point]) -> float:
    """1 where the outside of an edge is to the right of its direction, else -1."""
    x, y = (sum(point[n] for point in places) / len(places) for n in (0, 1))
    return 1.0 if along[0] * (y - start[1]) - along[1] * (x - start[0]) > 0 else -1.0


def _letter(canvas: Any, letter: str, x: float, y: float, *, key: bool) -> None:
    canvas.setFillGray(0 if key else 1)
    canvas.setStrokeGray(0)
    canvas.setLineWidth(0.6)
    if key:
        canvas.rect(x - LETTER / 2, y - LETTER / 2, LETTER, LETTER, fill=1, stroke=0)
    canvas.setFillGray(1 if key else 0)
    canvas.setFont(BOLD, DESK if len(letter) == 1 else NEAR)
    canvas.drawCentredString(x, y - DESK * 0.36, letter)


def _names(canvas: Any, paper: _Paper, shape: LieShape, row: CutRow, taken: list[Any], room: Any) -> None:
    """Names of both sides: inside where one fits, else over the picture with a leader."""
    beside = 0
    for fall, outline in ((row.left, shape.left), (row.right, shape.right)):
        if fall is None or not outline:
            continue
        points = [paper.at(point) for point in outline]
        middle = _middle(points)
        for text, size in itertools.product(_called(fall), (RIG, DESK, NEAR)):
            shown = printable(text)
            half = width_of(shown, size, bold=True) / 2
            box = (middle[0] - half, middle[1] - size * 0.4, middle[0] + half, middle[1] + size * 0.4)
            if _inside(box, points) and not any(_meet(box, each) for each in taken):
                _write(canvas, shown, middle, size)
                break
        else:
            text = printable(_called(fall)[-1])
            half = width_of(text, NEAR, bold=True) / 2
            at = room[0] + half if fall is row.left else room[2] - half, room[3] - NEAR * (0.5 + beside)
            canvas.setStrokeGray(0)
            canvas.setLineWidth(0.5)
            canvas.line(at[0], at[1] - NEAR * 0.4, *middle)
            _write(canvas, text, at, NEAR)
            beside += 1


def _called(fall: Fall) -> list[str]:
    if fall.kind == "scrap":
        return ["scrap"]
    return [fall.name, fall.piece] if fall.kind == "part" and fall.name != fall.piece else [fall.piece]


def _middle(points: list[Point]) -> Point:
    """The centroid of an outline."""
    twice = x = y = 0.0
    for (ax, ay), (bx, by) in itertools.pairwise((*points, points[0])):
        cross = ax * by - bx * ay
        twice, x, y = twice + cross, x + (ax + bx) * cross, y + (ay + by) * cross
    if abs(twice) < 1e-9:
        return points[0]
    return x / (3 * twice), y / (3 * twice)


def _inside(box: tuple[float, float, float, float], points: list[Point]) -> bool:
    """Whether a box lies in an outline, 1 pt clear of its edges."""
    x0, y0, x1, y1 = box
    corners = ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
    for (ax, ay), (bx, by) in itertools.pairwise((*points, points[0])):
        long = math.dist((ax, ay), (bx, by))
        if long < 1e-6:
            continue
        ux, uy = (bx - ax) / long, (by - ay) / long
        hand = _outward((ax, ay), (ux, uy), points)
        if any(hand * (ux * (py - ay) - uy * (px - ax)) < 1.0 for px, py in corners):
            return False
    return True


def _meet(one: Any, other: Any) -> bool:
    return bool(one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3])


def _write(canvas: Any, text: str, at: Point, size: float) -> None:
    shown = as_read(text)
    wide = width_of(shown, size, bold=True) + 2
    canvas.setFillGray(1)
    canvas.rect(at[0] - wide / 2, at[1] - size * 0.5, wide, size, fill=1, stroke=0)
    canvas.setFillGray(0)
    canvas.setFont(BOLD, size)
    canvas.drawCentredString(at[0], at[1] - size * 0.36, shown)
