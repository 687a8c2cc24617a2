"""Every bevel that a part asks for is cut or left for the hand, once, and no other; the root faces come out."""

from __future__ import annotations

import cmath
import math
from collections import defaultdict
from collections.abc import Iterator

from shapely.geometry import Polygon, box

from stripplan.model.bevel import Bevel
from stripplan.model.part import Part, Shape
from stripplan.model.plan.bevel import BevelCut, HandBevel
from stripplan.model.plan.cut import Segment
from stripplan.model.plan.piece import Piece
from stripplan.replay import metal as m
from stripplan.replay.aslant.outlines import as_cut, lies_as
from stripplan.replay.bevels.cuts import across, axis_of
from stripplan.replay.bevels.section import edge_left
from stripplan.replay.finding import Finding, figures
from stripplan.replay.lookup import Bench
from stripplan.replay.metal import NEAR
from stripplan.replay.parts_made import lies

Face = tuple[int, bool, float, float]
"""One slanted face of an edge: the edge's number, whether the first face was up, angle, depth to a thousandth."""


def check_wanted(bench: Bench) -> Iterator[Finding]:
    """Of every piece of every part."""
    made: dict[str, list[BevelCut | HandBevel]] = defaultdict(list)
    every: list[BevelCut | HandBevel] = [*bench.plan.bevels, *bench.plan.hand_bevels]
    for each in every:
        made[each.piece].append(each)
    parts = {part.name: part for part in bench.plan.job.parts}
    for piece in bench.plan.pieces:
        part = parts.get(piece.part or "") if piece.kind == "part" else None
        shape = bench.shape(piece)
        some = made.pop(piece.id, [])
        if shape is None or part is None or not (part.bevels or some):
            if some:
                yield Finding("bevel_piece", piece.id, f"{piece.id} is bevelled, and is no part that asks for it.")
            continue
        yield from _of_piece(bench, piece, part, shape, some)
    for name in made:
        yield Finding("bevel_piece", name, f"{name} is bevelled, and there is no such piece.")


def _of_piece(
    bench: Bench, piece: Piece, part: Part, shape: Polygon, made: list[BevelCut | HandBevel]
) -> Iterator[Finding]:
    edges, thick = m.edges(shape), bench.plates[piece.plate].thickness
    has = sorted(_face(edges, each) for each in made)
    if not any(_alike(has, sorted(want)) for want in wanted_ways(bench, piece, part, shape)):
        text = f"{piece.part} ({piece.id}) does not get the bevels that are wanted of it, each of them once."
        yield Finding("bevels", piece.id, text)
    for number, several in _by_edge(edges, made).items():
        yield from _root(piece, shape, number, several, thick)


def _root(
    piece: Piece, shape: Polygon, number: int, several: list[BevelCut | HandBevel], thick: float
) -> Iterator[Finding]:
    """What is said to stay of an edge is what the bevels leave of it; those for the hand by their depth."""
    cut = [each for each in several if isinstance(each, BevelCut)]
    wide = max((across(each, shape) for each in cut if each.located == "fence"), default=0.0)
    flanks = []
    for one in cut:
        axis, width = axis_of(one, wide)
        flanks.append((axis + (wide - width if wide else 0.0), one.angle, one.kerf, one.face_up))
    by_hand = sum(each.depth for each in several if isinstance(each, HandBevel))
    root = (edge_left(thick, flanks, wide or _width(cut)) if cut else thick) - by_hand
    for each in several:
        if abs(root - each.root_face) > 2 * NEAR:
            right, said = figures(root, each.root_face)
            text = f"Edge {number + 1} of {piece.id}: {right} mm of it stay, the plan says {said} mm."
            yield Finding("root_face", piece.id, text)
            return


def _width(cut: list[BevelCut]) -> float:
    return axis_of(cut[0], 0.0)[1] if cut else 0.0


def _by_edge(edges: list[Segment], made: list[BevelCut | HandBevel]) -> dict[int, list[BevelCut | HandBevel]]:
    found: dict[int, list[BevelCut | HandBevel]] = defaultdict(list)
    for each in made:
        found[_number(edges, each.edge)].append(each)
    return found


def _face(edges: list[Segment], each: BevelCut | HandBevel) -> Face:
    return _number(edges, each.edge), each.face_up, round(each.angle, 6), round(each.depth, 3)


def _number(edges: list[Segment], edge: Segment) -> int:
    """The edge of a piece that a segment is; -1 for none."""
    for n, (a, b) in enumerate(edges):
        if min(math.dist(a, edge[0]) + math.dist(b, edge[1]), math.dist(b, edge[0]) + math.dist(a, edge[1])) <= NEAR:
            return n
    return -1


def _alike(one: list[Face], other: list[Face]) -> bool:
    return len(one) == len(other) and all(
        a[:2] == b[:2] and abs(a[2] - b[2]) < 1e-5 and abs(a[3] - b[3]) < 2e-3 for a, b in zip(one, other, strict=True)
    )


def wanted_ways(bench: Bench, piece: Piece, part: Part, shape: Polygon) -> Iterator[list[Face]]:
    """What a part asks of the edges of a piece, in each way that the piece may be called the part."""
    thick = bench.plates[piece.plate].thickness
    wanted, outlines = asked(part.bevels, thick), _outlines(bench, piece, part, shape)
    edges = m.edges(shape)
    for outline, inner in outlines:
        for lie in lies_as(shape, outline):
            faces = [(_laid(edges, shape, outline, inner[n], lie.turn, over=lie.over), first != lie.over, a, d)
                     for n, first, a, d in wanted]  # fmt: skip
            yield [(n, first, a, d) for n, first, a, d in faces]


def _outlines(bench: Bench, piece: Piece, part: Part, shape: Polygon) -> list[tuple[Polygon, list[Segment]]]:
    """Outlines that a piece may have, each with its edges as the part counts them; of a rectangle its own size."""
    if isinstance(part, Shape):
        points = part.outline
        return [(as_cut(points, part.allowance), [(p, points[(n + 1) % len(points)]) for n, p in enumerate(points)])]
    found = []
    x0, y0, x1, y1 = shape.bounds
    for turned in lies(bench, shape.bounds, part, bench.plates[piece.plate]) or [False]:
        long, wide = (y1 - y0, x1 - x0) if turned else (x1 - x0, y1 - y0)
        corners = [(0.0, 0.0), (long, 0.0), (long, wide), (0.0, wide)]
        found.append((box(0.0, 0.0, long, wide), [(p, corners[(n + 1) % 4]) for n, p in enumerate(corners)]))
    return found


def _laid(edges: list[Segment], shape: Polygon, outline: Polygon, edge: Segment, turn: float, *, over: bool) -> int:
    """The number of the piece's edge that an edge of the outline comes to lie on: by its middle, from the centroids."""
    centre, middle = complex(*outline.centroid.coords[0]), complex(*shape.centroid.coords[0])
    point = (complex(*edge[0]) + complex(*edge[1])) / 2 - centre
    there = middle + (point.conjugate() if over else point) * cmath.rect(1.0, turn)
    away = [abs((complex(*a) + complex(*b)) / 2 - there) for a, b in edges]
    return away.index(min(away))


def asked(bevels: tuple[Bevel, ...], thick: float) -> list[Face]:
    """The slanted faces that are asked for: half of what is beside the root face from each where it is of both."""
    found = []
    for each in bevels:
        rest = thick - each.root_face
        deep = each.depth or (rest / 2 if each.face == "both" else rest)
        faces = {"first": (True,), "other": (False,), "both": (True, False)}[each.face]
        found += [(each.edge, first, round(each.angle, 6), round(deep, 3)) for first in faces]
    return found
