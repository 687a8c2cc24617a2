"""The edges of pieces that are no rectangles, and the cuts that made them."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from stripplan.model.plan.cut import Cut
from stripplan.model.plan.piece import Piece
from stripplan.model.rig import Process
from stripplan.replay.lookup import Bench

LIES_ON, FLAT, SIZE = 0.02, 1e-4, 0.05
"""Nearer than so [mm] a point lies on a line; sine of no angle; sizes nearer than so [mm] are one."""


@dataclass(frozen=True)
class Side:
    """One edge of a piece in the complex plane, and the cut that made it."""

    start: complex
    end: complex
    cut: Cut | None

    @property
    def way(self) -> complex:
        """Its direction."""
        return (self.end - self.start) / abs(self.end - self.start)

    def off(self, point: complex) -> float:
        """How far a point lies from its line."""
        return abs(((point - self.start) * self.way.conjugate()).imag)


def sides_of(bench: Bench, piece: Piece, by_piece: Mapping[str, Cut]) -> list[Side]:
    """The edges of a piece; `by_piece` are the cuts by what they are made in."""
    points = [complex(x, y) for x, y in piece.outline]
    above, at = [], piece.parent
    while at is not None and at in bench.pieces:
        if at in by_piece:
            above.append(by_piece[at])
        at = bench.pieces[at].parent
    found = []
    for n, start in enumerate(points):
        end = points[(n + 1) % len(points)]
        found.append(Side(start, end, next((cut for cut in above if _made_by(cut, start, end)), None)))
    return found


def _made_by(cut: Cut, start: complex, end: complex) -> bool:
    """Whether an edge lies half a kerf beside a torch line, on one side of it, where the torch ran."""
    (ax, ay), (bx, by) = cut.line
    first, way = complex(ax, ay), complex(bx - ax, by - ay) / math.hypot(bx - ax, by - ay)
    one, other = ((point - first) * way.conjugate() for point in (start, end))
    beside = abs(abs(one.imag) - cut.kerf / 2) <= LIES_ON and abs(one.imag - other.imag) <= 10 * LIES_ON
    beside = beside and abs(abs(other.imag) - cut.kerf / 2) <= LIES_ON
    spare = cut.kerf / 2 + LIES_ON
    return beside and max(one.real, other.real) > -spare and min(one.real, other.real) < cut.length + spare


def process_of(bench: Bench, piece: Piece) -> Process:
    """The process of a piece's plate."""
    name = bench.plates[piece.plate].process
    return next(each for each in bench.plan.rig.processes if each.name == name)
