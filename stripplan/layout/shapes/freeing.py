"""Straight cuts from edge to edge that free the shapes in a block.

Problem. Shapes lie in a convex piece, at least a kerf apart. Which cuts free them, in which order?

Method. A shape is free once each of its edges is an edge of the piece. So every cut that can be needed runs beside an
edge of some shape, half a kerf outside; it may be made where its kerf takes nothing of any other shape. Of those one
that is square to the block is made, else one that slants, what parts shapes before what takes waste off a single one,
the nearest to the left end first, until nothing is left to be cut: so a row comes apart into equal pieces at one
setting of the fence, and what slants is then alike in all of them. Where in the end too little metal is left beside an
edge, that edge is cut before all others in a new attempt.

What separates shapes separates those of them that are left in a piece, so as far as shapes are in each other's way any
order frees them that there is one for. Not exact in what metal a torch needs beside it: of the orders in which that
would do only a few are tried. One cut frees two shapes where just a kerf lies between them. Cost: for n edges in all n
cuts at the most, each held against all shapes of its piece, in a few attempts.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from stripplan.model.feasible import SAME, rest_is_legal
from stripplan.model.polygon import THINNEST, Line, Outline, chord, edges, from_edge, line_of, split, thickness
from stripplan.model.shapes.block import Falls, Freed, Parted, Placed

TAKES = SAME / 2
"""What a kerf may take of a shape, or leave on it [mm]: half of what sizes are told apart by."""
OFF, ALONG = 0.8 * SAME, 2 * SAME
"""How far a corner may be off the outline for what the sides of a block were rounded up by, and off the corner that it
should be, which a blunt one is by more [mm]: two such still leave the length of an edge as it is told."""
SHORTEST = 2.0
"""A cut is at least so long [mm]: what is less is a corner that a torch does not find. Common practice, no source."""
MOST_BEFORE = 6
"""So many edges are cut before others, one more in each attempt. Chosen, not tuned."""
SPECK = 5 * THINNEST
"""What is thinner falls as a speck, of which nobody could say whether it is there [mm]."""
PARALLEL = 1e-6
"""Sine of an angle that is none."""
HAIR = 1.5 * SAME
"""An edge of which one end lies no farther off a cut than the other by more runs along the cut [mm]."""


@dataclass(frozen=True)
class Trouble:
    """A shape that cannot be freed: its number in the block, and its edge, by the corner that it begins at, from 0."""

    shape: int
    edge: int


def freed(outline: Outline, shapes: Sequence[Placed], kerf: float, narrowest: float) -> Freed | Trouble:
    """The cuts that free the shapes of a convex piece, or a shape that they do not.

    `narrowest` is the narrowest strip of metal that a torch may leave beside its kerf [mm].
    """
    before: list[tuple[int, int]] = []
    while True:
        found = _freed(outline, list(enumerate(shapes)), kerf, narrowest, before)
        if not isinstance(found, Trouble) or (found.shape, found.edge) in before or len(before) == MOST_BEFORE:
            return found
        before.append((found.shape, found.edge))  # while there is metal beside it


_Numbered = Sequence[tuple[int, Placed]]


def _freed(
    outline: Outline, shapes: _Numbered, kerf: float, narrowest: float, before: Sequence[tuple[int, int]]
) -> Freed | Trouble:
    """The cuts of one attempt: those `before` are made as soon as they may be, the others in the method's order."""
    if not shapes:
        return Falls(outline, None)
    trouble: Trouble | None = None
    best: tuple[tuple[bool, bool, bool, float, float], Line, Trouble] | None = None
    for number, edge, line in _beside_edges(outline, shapes, kerf):
        runs = chord(outline, line)
        if (
            runs is None
            or math.dist(*runs[0]) < SHORTEST
            or not _spares(line, shapes, kerf)
            or not _may_stay(outline, line, kerf, narrowest)
        ):
            trouble = trouble or Trouble(number, edge)  # another cut may take that metal away
            continue
        (entry, leaves), _, _ = runs
        # Square cuts before slanted ones, parting before trimming, then from the left: equal pieces come off a row one
        # after the other, and the fence stays where it is. Rounded, so that of two alike the first is always taken.
        waits = (number, edge) not in before
        slants = min(map(abs, line.along)) > PARALLEL
        trims = not any(line.beside(_middle(each.outline)) > 0 for _, each in shapes)
        place = waits, slants, trims, round((entry[0] + leaves[0]) / 2, 6), round((entry[1] + leaves[1]) / 2, 6)
        if best is None or place < best[0]:
            best = place, line, Trouble(number, edge)
    if best is None:
        # Nothing can be cut: either every edge is free, or metal is left at one that no cut may take.
        return trouble or (_true(outline, *shapes[0]) if len(shapes) == 1 else Trouble(shapes[1][0], 0))
    _, line, freeing = best
    right, left = split(outline, line, kerf)
    if any(piece and thickness(piece) < SPECK for piece in (right, left)):
        return freeing
    return _parted(outline, shapes, line, kerf, narrowest, before)


def _parted(
    outline: Outline,
    shapes: _Numbered,
    line: Line,
    kerf: float,
    narrowest: float,
    before: Sequence[tuple[int, int]],
) -> Freed | Trouble:
    """The piece parted along a line, and what lies on either side of it freed in turn; the first trouble ends it."""
    right, left = split(outline, line, kerf)
    made: list[Freed | None] = []
    for piece, side in ((right, 1.0), (left, -1.0)):
        there = [each for each in shapes if side * line.beside(_middle(each[1].outline)) > 0]
        found = _freed(piece, there, kerf, narrowest, before) if piece else None
        if isinstance(found, Trouble):
            return found
        made.append(found)
    return Parted(outline, line, made[0], made[1])


def _true(outline: Outline, number: int, shape: Placed) -> Falls | Trouble:
    """The piece as the part that it is, where neither has a corner that is far off the edges of the other: at a sharp
    corner a little on an edge is much on the corner.
    """
    theirs, own = list(edges(outline)), list(edges(shape.outline))
    for n, corner in enumerate(shape.outline):
        if min(from_edge(edge, corner) for edge in theirs) > OFF or min(math.dist(corner, p) for p in outline) > ALONG:
            return Trouble(number, n)
    for corner in outline:
        off, n = min((from_edge(edge, corner), n) for n, edge in enumerate(own))
        if off > OFF:
            return Trouble(number, n)
    return Falls(outline, shape.part)


def _beside_edges(outline: Outline, shapes: _Numbered, kerf: float) -> Iterator[tuple[int, int, Line]]:
    """Each edge of a shape that is not yet one of the piece: number of the shape, of the edge, the torch's line."""
    for number, shape in shapes:
        for n, edge in enumerate(edges(shape.outline)):
            line = line_of(edge)
            if max(line.beside(point) for point in outline) > TAKES:
                yield number, n, line.moved(kerf / 2)


def _spares(line: Line, shapes: _Numbered, kerf: float) -> bool:
    """Whether a kerf takes nothing of any shape."""
    for _, shape in shapes:
        off = [line.beside(point) for point in shape.outline]
        if min(off) < kerf / 2 - TAKES and max(off) > TAKES - kerf / 2:
            return False
    return True


def _may_stay(outline: Outline, line: Line, kerf: float, narrowest: float) -> bool:
    """Whether the metal to the right of a cut may be there: where an edge runs along the cut, wide enough.

    Edges that slant to the cut are exempt, as the torch then runs in full metal somewhere.
    """
    off = [line.beside(point) for point in outline]
    for start, end in zip(off, (*off[1:], off[0]), strict=True):
        if max(off) - min(start, end) <= HAIR:
            return rest_is_legal(max(off) + kerf / 2, kerf, narrowest)
    return True


def _middle(outline: Outline) -> tuple[float, float]:
    """A point within the outline, which tells on which side of a cut it lies."""
    return sum(x for x, _ in outline) / len(outline), sum(y for _, y in outline) / len(outline)
