"""Signs of one step: a thick frame round the piece to cut, teeth at its edge on the fence, the torch line.

Meaning never hangs on colour: a part is tinted and named besides, an offcut hatched, scrap crossed.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from stripplan.model.plan.cut import Cut, Segment
from stripplan.model.plan.piece import Piece
from stripplan.sheets.picture.lettering import Box, Taken
from stripplan.sheets.picture.on_plate.plate import arrowhead, point_along, torch_line
from stripplan.sheets.picture.order_of_work.stage import Stage, bubble_radius
from stripplan.sheets.picture.shapes import Bubble, Outline, Point


def head_length(size: float) -> float:
    """Length of an arrowhead, a little more than its width [mm]."""
    return size / 45


def band_beside(edge: Segment, near: float, far: float, before: float = 0.0, beyond: float = 0.0) -> tuple[Point, ...]:
    """A band along a segment, from `near` to `far` to the right of its direction, longer at its ends."""
    (ax, ay), (bx, by) = edge
    length = math.dist(*edge)
    dx, dy = (bx - ax) / length, (by - ay) / length

    def at(along: float, right: float) -> Point:
        return ax + dx * along + dy * right, ay + dy * along - dx * right

    return at(-before, near), at(-before, far), at(length + beyond, far), at(length + beyond, near)


def frame_thickness(size: float) -> float:
    """How thick the frame of the piece to cut is [mm]."""
    return size / 220


def frame_of(piece: Piece, size: float) -> list[Outline]:
    """A thick frame around a piece: bands outside its edges, so that a narrow strip keeps its inside."""
    thick, points = frame_thickness(size), piece.outline
    edges = zip(points, (*points[1:], points[0]), strict=True)
    return [Outline("TEXT", band_beside(edge, 0, thick, thick, thick)) for edge in edges]


def teeth_of(cut: Cut, size: float, taken: Taken) -> list[Outline]:
    """Teeth outside the edge that lies on the fence or the mitre bar."""
    edge = datum_of(cut)
    if edge is None:
        return []
    (ax, ay), (bx, by) = edge
    near, far = frame_thickness(size), tooth_length(size)
    taken.add(_hull(band_beside(edge, 0, far)))
    count = max(2, min(40, round(math.dist((ax, ay), (bx, by)) / (1.6 * far))))
    shares = [((n + 0.25) / count, (n + 0.75) / count) for n in range(count)]
    return [
        Outline(
            "TEXT",
            band_beside(
                ((ax + (bx - ax) * a, ay + (by - ay) * a), (ax + (bx - ax) * b, ay + (by - ay) * b)), near, far
            ),
        )
        for a, b in shares
    ]


def datum_of(cut: Cut) -> Segment | None:
    """The edge on the fence, or on the mitre bar, with the piece to the left of its direction as both are drawn."""
    if cut.mitre is None:
        return cut.edge_on_fence
    (ax, ay), (bx, by) = cut.mitre.edge
    (x0, y0), (x1, y1) = cut.line
    inside = (bx - ax) * (y1 - y0) - (by - ay) * (x1 - x0) > 0  # the torch goes into the metal from that edge
    return cut.mitre.edge if inside else (cut.mitre.edge[1], cut.mitre.edge[0])


def tooth_length(size: float) -> float:
    """How far teeth reach from the edge on the fence [mm]."""
    return size / 75


def _hull(points: Iterable[Point]) -> Box:
    xs, ys = zip(*points, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def torch_signs(stage: Stage, cut: Cut, taken: Taken) -> tuple[Bubble, list[Outline]]:
    """The number at the tail of the torch line, the line as a band, an arrowhead where each pass ends."""
    line, size = torch_line(stage.plan, cut), stage.size
    head, radius = head_length(size), bubble_radius(size)
    start = -math.dist(line.start, cut.line[0])
    end = cut.length + math.dist(line.end, cut.line[1])
    band = Outline("TEXT", band_beside((line.start, line.end), -size / 500, size / 500))
    taken.add(_hull(band_beside((line.start, line.end), -head / 2, head / 2)))
    bubble = Bubble(point_along(cut, start - radius), cut.number, radius)
    (x, y) = bubble.at
    taken.add((x - radius, y - radius, x + radius, y + radius))
    if len(cut.passes) == 1:
        return bubble, [band, arrowhead(cut, end - head, head)]
    meet = sorted((cut.passes[0].length, cut.length - cut.passes[1].length))
    return bubble, [band, arrowhead(cut, meet[0] - head, head), arrowhead(cut, meet[1] + head, -head)]
