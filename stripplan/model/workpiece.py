"""Pattern and order to final pieces: the one place where pieces get coordinates.

A `Workpiece` is a rectangle of metal in the plate frame with what is still to be cut out of it. The
order of work takes one sibling off one end at a time; siblings have no place until they are cut.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from typing import Literal

from stripplan.model.feasible import SAME
from stripplan.model.pattern import Blank, Direction, Leaf, Node, across
from stripplan.model.plan.cut import Point, Segment

Side = Literal["low", "high"]
State = Literal["mill", "dressed", "fresh"]
Edges = tuple[State, State, State, State]
"""States of the edges south (y least), east, north, west."""

SOUTH, EAST, NORTH, WEST = range(4)


@dataclass(frozen=True)
class Workpiece:
    """A rectangle on the bench: x0, y0, x1, y1 [mm], its edges, and what is still to come out of it.

    `children` are the siblings that remain, `low` and `high` the end pieces not yet cut off. A piece
    that is not cut any more has none of them and a Leaf as `node`.
    """

    x0: float
    y0: float
    x1: float
    y1: float
    edges: Edges
    node: Node
    children: tuple[Node, ...] = ()
    low: Leaf | None = None
    high: Leaf | None = None

    @property
    def length(self) -> float:
        """Extent along x [mm]."""
        return self.x1 - self.x0

    @property
    def width(self) -> float:
        """Extent along y [mm]."""
        return self.y1 - self.y0

    @property
    def done(self) -> bool:
        """Whether the piece is not cut any more."""
        return isinstance(self.node, Leaf)

    @property
    def direction(self) -> Direction:
        """The direction of its cuts; only for a piece that is still to be cut."""
        assert isinstance(self.node, Blank)
        return self.node.direction

    def outline(self) -> tuple[Point, Point, Point, Point]:
        """Corners, counter-clockwise from the least."""
        return ((self.x0, self.y0), (self.x1, self.y0), (self.x1, self.y1), (self.x0, self.y1))

    def edge(self, side: int) -> Segment:
        """One edge, counter-clockwise."""
        corners = self.outline()
        return corners[side], corners[(side + 1) % 4]


@dataclass(frozen=True)
class Separation:
    """Take `child` off the `end` of the piece; the end pieces are children too."""

    child: Node
    end: Side


def uncut(node: Node, edges: Edges) -> Workpiece:
    """The plate itself, not cut yet."""
    return opened(Workpiece(0.0, 0.0, node.length, node.width, edges, node))


def opened(piece: Workpiece) -> Workpiece:
    """The piece with the siblings of its node laid open for cutting."""
    node = piece.node
    if isinstance(node, Leaf):
        return piece
    if len(node.children) == 1 and node.low is None and node.high is None:
        return opened(replace(piece, node=node.children[0]))
    return Workpiece(piece.x0, piece.y0, piece.x1, piece.y1, piece.edges, node, node.children, node.low, node.high)


def separations(piece: Workpiece) -> list[Separation]:
    """What can be cut off next, alike siblings once; empty for a finished piece."""
    if piece.done:
        return []
    if not piece.children:  # two end pieces and nothing between them
        assert piece.low is not None
        return [Separation(piece.low, "low")]
    inner = list(dict.fromkeys(piece.children))
    found = [Separation(piece.low, "low")] if piece.low else [Separation(child, "low") for child in inner]
    alone = len(piece.children) == 1 and piece.low is None
    if alone:  # one sibling and the high end: a single cut parts them
        return [Separation(piece.children[0], "low")] if piece.high else []
    if piece.high:
        return [*found, Separation(piece.high, "high")]
    if len(piece.children) == 1:  # a low end piece and one sibling
        return found
    return found + [Separation(child, "high") for child in inner]


def split(piece: Workpiece, separation: Separation, kerf: float) -> tuple[Workpiece | None, Workpiece | None, float]:
    """The pieces at the low and high end after a cut, and where the torch centreline runs [mm].

    None stands for metal that the kerf takes away whole.
    """
    along = piece.direction == "along"
    size = across(separation.child, piece.direction)
    lo, hi = (piece.y0, piece.y1) if along else (piece.x0, piece.x1)
    rest = _without(piece, separation)
    if separation.end == "low":
        line = lo + size + kerf / 2
        low = _sub(piece, lo, lo + size, "low", separation.child, None)
        high = _sub(piece, lo + size + kerf, hi, "high", piece.node, rest)
    else:
        line = hi - size - kerf / 2
        low = _sub(piece, lo, hi - size - kerf, "low", piece.node, rest)
        high = _sub(piece, hi - size, hi, "high", separation.child, None)
    return low, high, line


def finished(piece: Workpiece, kerf: float) -> list[Workpiece]:
    """What comes out of a piece and is cut no more, where siblings are cut off in the order in which they stand."""
    found, left = list[Workpiece](), [piece]
    while left:
        each = left.pop()
        if each.done:
            found.append(each)
            continue
        low, high, _ = split(each, separations(each)[0], kerf)
        left += [part for part in (high, low) if part is not None]
    return found


def single_remainder(piece: Workpiece, separation: Separation) -> Node | None:
    """What remains after a cut if it is one thing that is not cut any more; else None."""
    holds: list[Node] = [*piece.children, *(end for end in (piece.low, piece.high) if end is not None)]
    if len(holds) != 2:
        return None
    other = holds[1] if holds[0] is separation.child or (holds[0] == separation.child) else holds[0]
    while isinstance(other, Blank) and len(other.children) == 1 and other.low is None and other.high is None:
        other = other.children[0]
    return other


Remaining = tuple[tuple[Node, ...], Leaf | None, Leaf | None]
"""Siblings, low and high end piece that a piece still holds."""


def _without(piece: Workpiece, separation: Separation) -> Remaining:
    if separation.child == piece.low and separation.end == "low":
        return piece.children, None, piece.high
    if separation.child == piece.high and separation.end == "high":
        return piece.children, piece.low, None
    remaining = list(piece.children)
    remaining.remove(separation.child)
    return tuple(remaining), piece.low, piece.high


def _sub(
    piece: Workpiece, lo: float, hi: float, side: Side, node: Node, remaining: Remaining | None
) -> Workpiece | None:
    """The part of `piece` between `lo` and `hi`; `remaining` says which siblings it still holds, None that it is `node`
    alone.
    """
    if hi - lo <= SAME:
        return None
    x0, y0, x1, y1 = piece.x0, piece.y0, piece.x1, piece.y1
    if piece.direction == "along":
        edges = _with(piece.edges, NORTH if side == "low" else SOUTH, "fresh")
        y0, y1 = lo, hi
    else:
        edges = _with(piece.edges, EAST if side == "low" else WEST, "fresh")
        x0, x1 = lo, hi
    if remaining is None:
        return opened(Workpiece(x0, y0, x1, y1, edges, node))
    children, low, high = remaining
    if (
        len(children) + (low is not None) + (high is not None) == 1
    ):  # a remainder that holds but one thing is that thing
        return opened(
            Workpiece(x0, y0, x1, y1, edges, next(each for each in (*children, low, high) if each is not None))
        )
    return Workpiece(x0, y0, x1, y1, edges, node, children, low, high)


def dressed(piece: Workpiece, sides: tuple[int, ...]) -> Workpiece:
    """The piece after dressing of some of its edges."""
    edges = piece.edges
    for side in sides:
        edges = _with(edges, side, "dressed")
    return Workpiece(piece.x0, piece.y0, piece.x1, piece.y1, edges, piece.node, piece.children, piece.low, piece.high)


@cache
def _with(edges: Edges, side: int, state: State) -> Edges:
    new = list(edges)
    new[side] = state
    south, east, north, west = new
    return south, east, north, west
