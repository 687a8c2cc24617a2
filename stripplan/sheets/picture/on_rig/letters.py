"""What is written into the small picture of a cut for pieces that are no rectangles: letters of edges, names of what
falls. Nothing stands on anything else, and what the words beside the picture name is there in any case.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from stripplan.sheets.paper.text import BOLD, DESK, NEAR, RIG, as_read, printable, width_of
from stripplan.sheets.rows.row_types import Fall

LETTER = 12.0
"""Side of the box of a letter [pt]."""
BAR = 7.0
"""How thick the mitre bar is [pt]."""

Point = tuple[float, float]
Box = tuple[float, float, float, float]


def words_on(y: float, wide: float, size: float, room: Box) -> Iterator[Box]:
    """Places for a word under a level line and over it: at its left end, its right end, between."""
    lefts = [room[0] + (room[2] - wide - room[0]) * n / 10 for n in (0, 10, 1, 9, 2, 8, 3, 7, 4, 6, 5)]
    for left, low in ((left, low) for low in (y - size, y + 1, y - 2 * size) for left in lefts):
        yield left, low, left + wide, low + size


@dataclass(frozen=True)
class Drawn:
    """A small picture while it is drawn: the `canvas`, the boxes that are `taken` (words and letters are added), the
    `room`, and what is `covered` by metal, all on paper.
    """

    canvas: Any
    taken: list[Box]
    room: Box
    covered: list[list[Point]]


@dataclass(frozen=True)
class Lettered:
    """The corners of a piece on paper, the letters of its edges from each to the next, which of them are `named` in
    words, the one by which the torch enters or that lies on the bar, `start`, and the one that the `fence` bears;
    `barred`: there is a mitre bar behind the edge at the start."""

    corners: list[Point]
    letters: tuple[str, ...]
    start: str
    named: frozenset[str]
    fence: str = ""
    barred: bool = False


def letters(drawn: Drawn, edges: Lettered) -> None:
    """Letters beside the edges: black where an edge lies on the bar, or the torch enters by it; that of the edge on the
    fence stands on the fence.

    Those that the words name come first, and get a place in any case.
    """
    canvas, taken, room, covered = drawn.canvas, drawn.taken, drawn.room, drawn.covered
    places, named = edges.corners, edges.named
    pairs = list(zip(itertools.pairwise((*places, places[0])), edges.letters, strict=True))
    pairs.sort(key=lambda each: (each[1] != edges.start, each[1] not in named))
    for (start, end), letter in pairs:
        long = math.dist(start, end)
        if (long < 1.0 and letter not in named) or (edges.fence and letter == edges.fence):
            continue
        off = LETTER / 2 + 2 + (BAR if edges.barred and letter == edges.start else 0.0)
        tries = [*_beside(start, end, places, off)]
        at = next((each for each in tries if _free(each, taken, room, covered)), None)
        if at is None:
            around = [*_around(start, end, places)]
            at = next((each for each in around if _free(each, taken, room, covered)), None)
            if at is None and letter in named:
                at = next((each for each in around if _free(each, taken, room, [])), tries[0])
            if at is None:
                continue
            canvas.setStrokeGray(0)
            canvas.setLineWidth(0.5)
            canvas.line(*at, (start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
            canvas.setFillGray(1)
            canvas.rect(at[0] - LETTER / 2 + 1, at[1] - LETTER / 2, LETTER - 2, LETTER, fill=1, stroke=0)
        taken.append(_boxed(at))
        draw_letter(canvas, letter, *at, key=letter == edges.start)


def _beside(start: Point, end: Point, places: list[Point], off: float) -> Iterator[Point]:
    """Places for the letter of an edge: outside of it, near its middle first [pt]."""
    long = math.dist(start, end) or 1.0
    ux, uy = (end[0] - start[0]) / long, (end[1] - start[1]) / long
    hand = _outward(start, (ux, uy), places)
    for far, share in itertools.product((off, off + LETTER), (0.5, 0.3, 0.7, 0.15, 0.85)):
        yield (
            start[0] + ux * long * share + hand * uy * far,
            start[1] + uy * long * share - hand * ux * far,
        )


def _around(start: Point, end: Point, places: list[Point]) -> Iterator[Point]:
    """Places around an edge for a letter with a leader, the nearest first, and of these those outside of it [pt]."""
    x, y = (start[0] + end[0]) / 2, (start[1] + end[1]) / 2
    out = math.degrees(math.atan2(end[1] - start[1], end[0] - start[0]))
    out -= 90 * _outward(start, (math.cos(math.radians(out)), math.sin(math.radians(out))), places)
    for far, turn in itertools.product(
        (1.5, 2.0, 2.5, 3.0, 4.0), (n * hand for n in range(0, 91, 15) for hand in (1, -1))
    ):
        way = math.radians(out + turn)
        yield x + far * LETTER * math.cos(way), y + far * LETTER * math.sin(way)


def _boxed(at: Point) -> Box:
    return at[0] - LETTER / 2, at[1] - LETTER / 2, at[0] + LETTER / 2, at[1] + LETTER / 2


def _free(at: Point, taken: list[Box], room: Box, covered: list[list[Point]]) -> bool:
    """Whether a letter at a place lies in the room, a point over its edge at most, and on nothing that is drawn."""
    box = _boxed(at)
    inside = room[0] - 1 <= box[0] and room[1] - 1 <= box[1] and box[2] <= room[2] + 1 and box[3] <= room[3] + 1
    small = box[0] + 2, box[1] + 1, box[2] - 2, box[3] - 1  # a letter is narrower than its box
    return inside and not any(_meet(box, each) for each in taken) and not any(overlap(small, each) for each in covered)


def _outward(start: Point, along: Point, places: list[Point]) -> float:
    """1 where the outside of an edge is to the right of its direction, else -1."""
    x, y = (sum(point[n] for point in places) / len(places) for n in (0, 1))
    return 1.0 if along[0] * (y - start[1]) - along[1] * (x - start[0]) > 0 else -1.0


def draw_letter(canvas: Any, letter: str, x: float, y: float, *, key: bool) -> None:
    canvas.setFillGray(0 if key else 1)
    canvas.setStrokeGray(0)
    canvas.setLineWidth(0.6)
    if key:
        canvas.rect(x - LETTER / 2, y - LETTER / 2, LETTER, LETTER, fill=1, stroke=0)
    canvas.setFillGray(1 if key else 0)
    canvas.setFont(BOLD, DESK if len(letter) == 1 else NEAR)
    canvas.drawCentredString(x, y - DESK * 0.36, letter)


def names(
    drawn: Drawn, left: tuple[Fall | None, list[Point]], right: tuple[Fall | None, list[Point]], torch: float
) -> None:
    """Names of both sides, each told with its corners on paper, the torch line at `torch`: inside where one fits, else
    over the picture, or under it, with a leader; on no letter."""
    canvas, taken = drawn.canvas, drawn.taken
    for fall, points in (left, right):
        if fall is None or not points:
            continue
        middle = middle_of(points)
        for text, size in itertools.product(_called(fall), (RIG, DESK, NEAR)):
            shown = printable(text)
            half = width_of(shown, size, bold=True) / 2
            box = (middle[0] - half, middle[1] - size * 0.4, middle[0] + half, middle[1] + size * 0.4)
            if inside(box, points) and not any(_meet(box, each) for each in taken):
                _write(canvas, shown, middle, size)
                taken.append(box)
                break
        else:
            text = printable(_called(fall)[-1])
            half = width_of(text, NEAR, bold=True) / 2
            at = _for_name(half, middle, taken, drawn.room, drawn.covered, torch=torch, left=fall is left[0])
            canvas.setStrokeGray(0)
            canvas.setLineWidth(0.5)
            canvas.line(at[0], at[1], *middle)
            _write(canvas, text, at, NEAR)
            taken.append(_name_box(at, half))


def _name_box(at: Point, half: float) -> Box:
    return at[0] - half - 1, at[1] - NEAR * 0.5, at[0] + half + 1, at[1] + NEAR * 0.5


def _for_name(
    half: float, middle: Point, taken: list[Box], room: Box, covered: list[list[Point]], *, torch: float, left: bool
) -> Point:
    """Where a name with a leader stands: on its own side of the torch line, at the top if it can be, where it hides
    nothing and its leader meets no letter."""
    x0, x1 = room[0] + half, room[2] - half
    across = [x0 + (x1 - x0) * n / 12 for n in range(13)]
    down = [room[3] - NEAR * 0.5 - (room[3] - room[1] - NEAR * 2) * n / 12 for n in range(13)]
    tries = [(x, y) for y in down for x in (across if left else across[::-1])]
    tries.sort(key=lambda at: at[0] + half > torch if left else at[0] - half < torch)

    def on_words(at: Point) -> bool:
        box = _name_box(at, half)
        return any(_meet(box, each) for each in taken)

    def hides(at: Point) -> bool:
        box = _name_box(at, half)
        return on_words(at) or any(overlap(box, each) for each in covered)

    def struck(at: Point) -> bool:
        steps = [(at[0] + (middle[0] - at[0]) * n / 24, at[1] + (middle[1] - at[1]) * n / 24) for n in range(25)]
        letters = [each for each in taken if _squarish(each)]
        return any(each[0] < x < each[2] and each[1] < y < each[3] for x, y in steps for each in letters)

    clear = (at for at in tries if not hides(at) and not struck(at))
    beside = (at for at in tries if not hides(at))
    # Where a long piece fills the picture a name may lie on metal, on words never.
    return next(itertools.chain(clear, beside, (at for at in tries if not on_words(at))), tries[0])


def _squarish(box: Box) -> bool:
    """Whether a box is that of a letter, not of a line or a word, which a leader may cross."""
    return abs((box[2] - box[0]) - (box[3] - box[1])) < 0.1


def _called(fall: Fall) -> list[str]:
    if fall.kind == "scrap":
        return ["scrap"]
    return [fall.name, fall.piece] if fall.kind == "part" and fall.name != fall.piece else [fall.piece]


def middle_of(points: list[Point]) -> Point:
    """The centroid of an outline."""
    twice = x = y = 0.0
    for (ax, ay), (bx, by) in itertools.pairwise((*points, points[0])):
        cross = ax * by - bx * ay
        twice, x, y = twice + cross, x + (ax + bx) * cross, y + (ay + by) * cross
    if abs(twice) < 1e-9:
        return points[0]
    return x / (3 * twice), y / (3 * twice)


def inside(box: tuple[float, float, float, float], points: list[Point]) -> bool:
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


def _meet(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def overlap(box: Box, outline: list[Point]) -> bool:
    """Whether a box and an outline without corners that point inward overlap: no edge of either parts them."""
    x0, y0, x1, y1 = box
    corners: list[Point] = [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]
    for (ax, ay), (bx, by) in (*itertools.pairwise((*outline, outline[0])), (corners[0], corners[1]), corners[1:3]):
        sides = [[(bx - ax) * (y - ay) - (by - ay) * (x - ax) for x, y in each] for each in (corners, outline)]
        if max(sides[0]) <= min(sides[1]) or max(sides[1]) <= min(sides[0]):
            return False
    return True


def _write(canvas: Any, text: str, at: Point, size: float) -> None:
    shown = as_read(text)
    wide = width_of(shown, size, bold=True) + 2
    canvas.setFillGray(1)
    canvas.rect(at[0] - wide / 2, at[1] - size * 0.5, wide, size, fill=1, stroke=0)
    canvas.setFillGray(0)
    canvas.setFont(BOLD, size)
    canvas.drawCentredString(at[0], at[1] - size * 0.36, shown)
