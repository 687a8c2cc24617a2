"""Edges that run along no side of the plate: their letters, and how a piece lies that has such edges or is cut aslant.

A piece has no corner that points inward, so one edge at most faces each way. Edges that face a side of the plate have
its letter; each other way has a letter of its own on its plate, Z, Y and so on from the side of edge A
counter-clockwise, and a piece keeps it however it is cut further.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from stripplan.model.plan.cut import Cut, Point, Segment
from stripplan.model.plan.piece import Piece
from stripplan.model.plan.size_chain import to_the_right
from stripplan.sheets.rows.forms import edges_of, is_box

SQUARE = "ABCD"
"""Edges that face -y, x, y, -x."""
OTHERS = "ZYXWVUTSRQPNMLKJHGFE"
"""I and O are taken for figures; the first letters after D name details of a plate."""
ALIKE = 0.02
"""Edges that face ways nearer than so are lettered alike [deg]."""


def facing(edge: Segment, outline: Iterable[Point]) -> float:
    """The way that an edge of an outline faces, anticlockwise from that of edge A, in 0 to 360 [deg]."""
    (ax, ay), (bx, by) = edge
    points = list(outline)
    x, y = sum(p[0] for p in points) / len(points), sum(p[1] for p in points) / len(points)
    inside = (bx - ax) * (y - ay) - (by - ay) * (x - ax)  # left of the edge: it then faces to its right
    dx, dy = (bx - ax, by - ay) if inside > 0 else (ax - bx, ay - by)
    turn = math.degrees(math.atan2(dy, dx)) % 360
    return 0.0 if turn > 360 - ALIKE / 2 else turn


def letters_of(pieces: Iterable[Piece]) -> list[tuple[str, float]]:
    """Letters of all ways that edges of the pieces of one plate face, and these ways [deg]."""
    ways = [(letter, 90.0 * n) for n, letter in enumerate(SQUARE)]
    turns = sorted(
        facing(edge, each.outline) for each in pieces if not is_box(each.outline) for edge in edges_of(each.outline)
    )
    number = 0
    for turn in turns:
        if all(apart(turn, way) > ALIKE for _, way in ways):
            ways.append((_other(number), turn))
            number += 1
    return ways


def apart(one: float, other: float) -> float:
    """The angle between two ways [deg]."""
    return abs((one - other + 180) % 360 - 180)


def _other(number: int) -> str:
    again, place = divmod(number, len(OTHERS))
    return OTHERS[place] + (str(again + 1) if again else "")


def reach(piece: Piece, way: float) -> float:
    """How far a piece reaches in a way [mm]."""
    turn = math.radians(way - 90.0)
    return max(math.cos(turn) * x + math.sin(turn) * y for x, y in piece.outline)


@dataclass(frozen=True)
class LieShape:
    """How a piece lies that is no rectangle, or is cut aslant: right of the torch line and ahead of its entry [mm].

    `outline` is the piece, `letters` those of its edges from each corner to the next, `right` and `left` what falls
    there (empty where the kerf takes it), `length` that of the torch line. On the mitre bar `angle` is that of the bar
    anticlockwise from the travel [deg] and `corner` what is at its stop; on the fence `corner` is that on the fence
    which comes first. `marks` are where the line is scribed.
    """

    outline: tuple[Point, ...]
    letters: tuple[str, ...]
    right: tuple[Point, ...]
    left: tuple[Point, ...]
    length: float
    angle: float | None = None
    corner: Point | None = None
    marks: tuple[Point, ...] = ()


def is_aslant(cut: Cut, piece: Piece) -> bool:
    """Whether a cut is one of those that only a shape shows: in no rectangle, or along neither side of one."""
    (ax, ay), (bx, by) = cut.line
    return not is_box(piece.outline) or (abs(bx - ax) > 1e-9 and abs(by - ay) > 1e-9)


def shape_of(cut: Cut, pieces: Mapping[str, Piece], letters: tuple[str, ...]) -> LieShape:
    """The shape of a cut; `letters` of the edges of its piece."""
    (ax, ay), right = cut.line[0], to_the_right(cut)
    (bx, by), far = cut.line[1], math.dist(*cut.line)
    ahead = (bx - ax) / far, (by - ay) / far

    def at(point: Point) -> Point:
        x, y = point[0] - ax, point[1] - ay
        return x * right[0] + y * right[1], x * ahead[0] + y * ahead[1]

    falls = [() if name is None else tuple(map(at, pieces[name].outline)) for name in cut.makes]
    corner = cut.mitre.corner if cut.mitre is not None else cut.edge_on_fence[0] if cut.edge_on_fence else None
    return LieShape(
        outline=tuple(at(edge[0]) for edge in edges_of(pieces[cut.piece].outline)),
        letters=letters,
        right=falls[0],
        left=falls[1],
        length=far,
        angle=None if cut.mitre is None else cut.mitre.angle,
        corner=None if corner is None else at(corner),
        marks=tuple(map(at, scribed(cut))),
    )


def scribed(cut: Cut) -> tuple[Point, ...]:
    """Where the two marks of a cut lie, on the side of their edge that the cut's line is."""
    if cut.marks is None:
        return ()
    marks = cut.marks
    edge = (
        marks.edge
        if math.dist(marks.from_, marks.edge[0]) <= math.dist(marks.from_, marks.edge[1])
        else marks.edge[::-1]
    )
    (x0, y0), (x1, y1) = edge
    long = math.dist(*edge)
    ux, uy = (x1 - x0) / long, (y1 - y0) / long
    x, y = (cut.line[0][0] + cut.line[1][0]) / 2 - x0, (cut.line[0][1] + cut.line[1][1]) / 2 - y0
    hand = 1.0 if ux * y - uy * x >= 0 else -1.0
    return tuple(
        (x0 + ux * along - hand * uy * off, y0 + uy * along + hand * ux * off)
        for along, off in zip(marks.along, marks.distance, strict=True)
    )
