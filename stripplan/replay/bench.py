"""Pieces on the bed: where the torch goes for this setting, and what metal is left.

Works backwards from the plan's own numbers: the line the torch takes follows from the edge on the fence
and the offset (or the marks), the pieces from subtracting the kerf band from the metal.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import shapely
from shapely.geometry import LineString, Polygon, box

from ..model.cut import Cut, Point, Segment
from ..model.piece import Piece
from ..model.plan import Plan
from .finding import Finding

NEAR = 0.01
"""Agreement asked of outlines [mm]."""

FAR = 1e5


@dataclass
class Metal:
    """A piece rebuilt from the plate: its shape, and which stretches of edge are freshly cut."""

    shape: Polygon
    fresh: list[LineString] = field(default_factory=list)


def unit(segment: Segment) -> tuple[float, float]:
    """Unit vector along a segment; (0, 0) for a point."""
    (x0, y0), (x1, y1) = segment
    length = math.hypot(x1 - x0, y1 - y0)
    return ((x1 - x0) / length, (y1 - y0) / length) if length else (0.0, 0.0)


def to_right(segment: Segment, distance: float, *, face_up: bool) -> Segment:
    """The segment moved to the right of its own direction, as the piece lies."""
    dx, dy = unit(segment)
    sign = 1.0 if face_up else -1.0
    ox, oy = sign * dy * distance, -sign * dx * distance
    return tuple((x + ox, y + oy) for x, y in segment)  # type: ignore[return-value]


def torch_line(cut: Cut) -> Segment | None:
    """A long line that the torch centre follows, from the setting alone; None where nothing sets it."""
    if cut.located == "fence" and cut.edge_on_fence is not None and cut.fence_offset is not None:
        moved = to_right(cut.edge_on_fence, -cut.fence_offset, face_up=cut.passes[0].face_up)
        return lengthened(moved)
    if cut.located == "marked" and cut.marks is not None:
        return lengthened(_through_marks(cut))
    return None


def _through_marks(cut: Cut) -> Segment:
    """Through the two marks, on the side of the edge where the plan's line lies, in the direction of travel."""
    assert cut.marks is not None
    (ex, ey), edge = cut.marks.from_, cut.marks.edge
    other = edge[1] if math.dist(edge[0], (ex, ey)) < math.dist(edge[1], (ex, ey)) else edge[0]
    dx, dy = unit(((ex, ey), other))
    middle = ((cut.line[0][0] + cut.line[1][0]) / 2, (cut.line[0][1] + cut.line[1][1]) / 2)
    side = 1.0 if dx * (middle[1] - ey) - dy * (middle[0] - ex) > 0 else -1.0
    points = [
        (ex + dx * a - side * dy * d, ey + dy * a + side * dx * d)
        for a, d in zip(cut.marks.along, cut.marks.distance, strict=True)
    ]
    ahead = unit((points[0], points[1]))
    travel = unit(cut.line)
    if ahead[0] * travel[0] + ahead[1] * travel[1] < 0:
        points.reverse()
    return points[0], points[1]


def lengthened(segment: Segment) -> Segment:
    """The same line, much longer at both ends."""
    dx, dy = unit(segment)
    (x0, y0), (x1, y1) = segment
    return (x0 - dx * FAR, y0 - dy * FAR), (x1 + dx * FAR, y1 + dy * FAR)


def half_plane(line: Segment, distance: float, *, right: bool, face_up: bool) -> Polygon:
    """Everything on one side of a long line, from `distance` off it."""
    away = distance if right else -distance
    near = to_right(line, away, face_up=face_up)
    far = to_right(line, away + (FAR if right else -FAR), face_up=face_up)
    return Polygon([near[0], near[1], far[1], far[0]])


def rebuilt(plan: Plan) -> tuple[dict[str, Metal], list[Finding]]:
    """Every piece of the plan, made anew from the plates in the order of work, with what did not agree."""
    findings: list[Finding] = []
    pieces = {piece.id: piece for piece in plan.pieces}
    metals: dict[str, Metal] = {}
    for plate in plan.plates:
        roots = [p for p in plan.pieces if p.plate == plate.id and p.parent is None]
        if len(roots) != 1:
            findings.append(
                Finding("roots", plate.id, f"Plate {plate.id} has {len(roots)} whole pieces instead of one.")
            )
            continue
        shape = box(0.0, 0.0, plate.length, plate.width)
        sides = [LineString([a, b]) for a, b in _sides(shape)]
        states = list(plate.edges)
        metals[roots[0].id] = Metal(
            shape,
            [side for side, state in zip(sides, states, strict=True) if state == "cut"],
        )
    for cut in plan.cuts:
        _one_cut(cut, pieces, metals, findings)
    for piece in plan.pieces:
        if piece.id in metals and not same_shape(metals[piece.id].shape, piece.outline):
            findings.append(
                Finding("outline", piece.id, f"Piece {piece.id} does not have the outline that its cuts give it.")
            )
        elif piece.id not in metals:
            findings.append(Finding("not_made", piece.id, f"Piece {piece.id} is made by no cut."))
    return metals, findings


def _sides(shape: Polygon) -> list[tuple[Point, Point]]:
    """South, east, north, west of a box."""
    x0, y0, x1, y1 = shape.bounds
    corners = [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]
    return [(corners[n], corners[(n + 1) % 4]) for n in range(4)]


def _one_cut(cut: Cut, pieces: dict[str, Piece], metals: dict[str, Metal], findings: list[Finding]) -> None:
    about = f"cut {cut.number}"
    metal = metals.get(cut.piece)
    line = torch_line(cut) if cut.passes else None
    if metal is None:
        findings.append(Finding("no_piece", about, f"Cut {cut.number} is made in {cut.piece}, which is not there yet."))
        return
    if line is None:
        findings.append(Finding("no_line", about, f"Nothing says where the torch goes in cut {cut.number}."))
        return
    face_up = cut.passes[0].face_up
    for edge in (each.edge for each in cut.setup.dress):
        cleaned = LineString(edge)
        if not on_boundary(metal.shape, cleaned):
            findings.append(
                Finding("dress", about, f"Cut {cut.number} dresses an edge that {cut.piece} does not have.")
            )
        metal.fresh = [left for each in metal.fresh for left in _lines(each.difference(cleaned.buffer(NEAR)))]
    made = []
    for right, name in zip((True, False), cut.makes, strict=True):
        side = metal.shape.intersection(half_plane(line, cut.kerf / 2, right=right, face_up=face_up))
        made.append(side)
        _take(cut, name, side, metal, pieces, metals, findings)
    cut_edges = [to_right(line, d, face_up=face_up) for d in (cut.kerf / 2, -cut.kerf / 2)]
    for side, name, edge in zip(made, cut.makes, cut_edges, strict=True):
        if name is not None and name in metals:
            border = side.boundary.intersection(LineString(edge).buffer(1e-6))
            metals[name].fresh += [g for g in _lines(border) if g.length > NEAR]


def _take(
    cut: Cut, name: str | None, side: Polygon, metal: Metal, pieces: dict[str, Piece], metals: dict[str, Metal],
    findings: list[Finding],
) -> None:  # fmt: skip
    about = f"cut {cut.number}"
    empty = side.is_empty or side.area < NEAR * max(1.0, side.length / 2)
    if name is None:
        if not empty:
            findings.append(Finding("lost", about, f"Cut {cut.number} leaves {side.area:.1f} mm2 that is no piece."))
    elif empty:
        findings.append(Finding("no_metal", about, f"Cut {cut.number} leaves no metal for {name}."))
    elif name in metals:
        findings.append(Finding("made_twice", name, f"Piece {name} is made twice."))
    elif name not in pieces:
        findings.append(Finding("unknown_piece", about, f"Cut {cut.number} makes {name}, which is not in the list."))
    elif not isinstance(side, Polygon):
        findings.append(Finding("pieces", about, f"Cut {cut.number} leaves {name} in several pieces."))
    else:
        metals[name] = Metal(side, list(metal.fresh))


def _lines(geometry: shapely.Geometry) -> list[LineString]:
    if isinstance(geometry, LineString):
        return [geometry]
    return [each for each in getattr(geometry, "geoms", []) if isinstance(each, LineString)]


def same_shape(shape: Polygon, outline: tuple[Point, ...]) -> bool:
    """Whether an outline is within 0.01 mm of a shape, everywhere."""
    if len(outline) < 3:
        return False
    other = Polygon(outline)
    if not other.is_valid or other.is_empty or shape.is_empty:
        return False
    return bool(other.exterior.is_ccw and shapely.hausdorff_distance(shape.exterior, other.exterior) <= NEAR)


def on_boundary(shape: Polygon, line: LineString) -> bool:
    """Whether a line lies on the edge of a shape."""
    return bool(shape.exterior.buffer(NEAR).contains(line))


def part_fresh(metal: Metal, edge: Segment) -> bool:
    """Whether any stretch of an edge of the piece is freshly cut and not dressed."""
    line = LineString(edge).buffer(NEAR)
    return any(line.intersection(each).length > 4 * NEAR for each in metal.fresh)
