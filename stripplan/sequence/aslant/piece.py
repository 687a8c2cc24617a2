"""Pieces with slanted edges as they lie on the bench, and blocks as they come out of the cuts of rectangles."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cached_property

from stripplan.model.feasible import for_two
from stripplan.model.polygon import Line, Outline, Point, area, box, edges, line_of, minus, moved, turned
from stripplan.model.rig import Rig
from stripplan.model.shapes.block import Falls, Freed, Parted
from stripplan.model.workpiece import State
from stripplan.sequence.conditions import CutConditions
from stripplan.sequence.cut_options import BenchPiece
from stripplan.sequence.handled import Handled

ON_EDGE = 1e-3
"""A point so near to an edge lies on it [mm]."""


@dataclass(frozen=True, eq=False)
class SlantedPiece(Handled):
    """A piece as it lies: what becomes of it, its outline in the plate frame, the state of each of its edges, and the
    face that is up. `unsure` are lines along edges that nobody knows the place of to a millimetre: nothing is measured
    from them.
    """

    conditions: CutConditions
    node: Freed
    outline: Outline
    states: tuple[State, ...]
    face_up: bool
    unsure: tuple[Line, ...] = ()

    @cached_property
    def mass(self) -> float:
        """Mass [kg]."""
        return area(self.outline) * self.conditions.rules.areal_mass

    @cached_property
    def weighed(self) -> tuple[Rig, float, bool]:
        """The rig, the mass [kg], and whether it is for two people or a hoist."""
        rig, (x0, y0, x1, y1) = self.conditions.rig, box(self.outline)
        limits = {"mass_limit": rig.two_person_mass, "length_limit": rig.two_person_length}
        return rig, self.mass, for_two(self.mass, max(x1 - x0, y1 - y0), **limits)

    @property
    def still_to_cut(self) -> bool:
        """Whether something is still to be cut out of it."""
        return isinstance(self.node, Parted)

    @property
    def line(self) -> Line | None:
        """Where it is cut next; None for what is not cut any more."""
        return self.node.line if isinstance(self.node, Parted) else None

    @property
    def two_person(self) -> bool:
        """Whether it is for two people or a hoist."""
        return self.weighed[2]

    def scraped(self, numbers: frozenset[int]) -> SlantedPiece:
        """The piece with these edges clean."""
        states = tuple("dressed" if n in numbers else state for n, state in enumerate(self.states))
        return replace(self, states=states) if numbers else self

    def product(self, node: Freed) -> SlantedPiece:
        """What a cut of this piece makes: edges that were there are as they were, the others fresh from the torch."""
        states = tuple(self._state_at(((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)) for a, b in edges(node.outline))
        return SlantedPiece(self.conditions, node, node.outline, states, self.face_up, self.unsure)

    def is_sure(self, *points: Point) -> bool:
        """Whether no point lies on an edge whose place is not known."""
        return all(abs(line.beside(point)) > ON_EDGE for line in self.unsure for point in points)

    def _state_at(self, point: tuple[float, float]) -> State:
        for edge, state in zip(edges(self.outline), self.states, strict=True):
            line = line_of(edge)
            if abs(line.beside(point)) <= ON_EDGE and -ON_EDGE <= line.ahead(point) <= _long(edge) + ON_EDGE:
                return state
        return "fresh"


def _long(edge: tuple[tuple[float, float], tuple[float, float]]) -> float:
    dx, dy = minus(edge[1], edge[0])
    return float((dx * dx + dy * dy) ** 0.5)


def block_as_it_lies(piece: BenchPiece, tree: Freed, *, quarter: bool, unsure: Iterable[int] = ()) -> SlantedPiece:
    """A block that came out of the cuts of rectangles, with what is to be cut out of it laid into the plate frame;
    `quarter`: the block lies a quarter turn round. `unsure` are sides whose place is not known.
    """
    workpiece = piece.workpiece
    node = _laid(tree, (workpiece.x0, workpiece.y0, workpiece.length), quarter=quarter)
    lines = tuple(line_of(workpiece.edge(side)) for side in unsure)
    return SlantedPiece(piece.conditions, node, workpiece.outline(), workpiece.edges, piece.face_up, lines)


def _laid(node: Freed, at: tuple[float, float, float], *, quarter: bool) -> Freed:
    """A piece of a block in the plate frame."""
    outline = _there(node.outline, at, quarter=quarter)
    if isinstance(node, Falls):
        return Falls(outline, node.part)
    (point,) = _there((node.line.at,), at, quarter=quarter)
    x, y = node.line.along
    line = Line(point, (-y, x) if quarter else (x, y))
    right, left = (None if each is None else _laid(each, at, quarter=quarter) for each in (node.right, node.left))
    return Parted(outline, line, right, left)


def _there(points: Outline, at: tuple[float, float, float], *, quarter: bool) -> Outline:
    """Points of a block in the plate frame: `at` is its corner, and its extent along x."""
    x0, y0, length = at
    if quarter:
        points = moved(turned(points, 0.0, 1.0), length, 0.0)
    return tuple((round(x + x0, 6) + 0.0, round(y + y0, 6) + 0.0) for x, y in points)
