"""Blocks: rectangles that come out of a layout of rectangles and hold shapes, and the cuts that free these.

A block has a frame of its own: its length along x, its width along y, one corner at the origin.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from stripplan.model.polygon import Line, Outline


@dataclass(frozen=True)
class Placed:
    """A shape where it lies: the index of its part in the job, and its outline as it is cut, counter-clockwise."""

    part: int
    outline: Outline


@dataclass(frozen=True)
class Block:
    """A rectangle, `length` along x and `width` along y [mm], and the shapes that come out of it.

    `turns` says whether it may lie either way on the plate.
    """

    length: float
    width: float
    shapes: tuple[Placed, ...]
    turns: bool = True

    @property
    def outline(self) -> Outline:
        """Its corners."""
        return (0.0, 0.0), (self.length, 0.0), (self.length, self.width), (0.0, self.width)

    @property
    def parts(self) -> tuple[int, ...]:
        """Parts that come out of it, one for each shape, in order."""
        return tuple(sorted(each.part for each in self.shapes))

    def turned_over(self, *, along: bool, across: bool) -> Block:
        """The block with its shapes turned over end for end along x, along y, or both, which is half a turn."""
        if not (along or across):
            return self
        shapes = []
        for each in self.shapes:
            there = tuple(
                (round(self.length - x, 9) if along else x, round(self.width - y, 9) if across else y)
                for x, y in each.outline
            )
            shapes.append(Placed(each.part, there if along == across else there[::-1]))
        return Block(self.length, self.width, tuple(shapes), self.turns)

    def with_beside(self, west: float, south: float, east: float, north: float) -> Block:
        """The block with so much metal beside it; itself where there is none."""
        if not (west or south or east or north):
            return self
        shapes = tuple(
            Placed(each.part, tuple((round(x + west, 9), round(y + south, 9)) for x, y in each.outline))
            for each in self.shapes
        )
        length, width = round(self.length + west + east, 9), round(self.width + south + north, 9)
        return Block(length, width, shapes, self.turns)


@dataclass(frozen=True)
class Falls:
    """A piece that is not cut any more: a part of the job by its index, or waste."""

    outline: Outline
    part: int | None


@dataclass(frozen=True)
class Parted:
    """A piece that is parted along a line: what falls right and left of it; None = the kerf takes all there."""

    outline: Outline
    line: Line
    right: Falls | Parted | None
    left: Falls | Parted | None


Freed = Falls | Parted


def fallen(piece: Freed | None) -> Iterator[Falls]:
    """All that falls below a piece."""
    if isinstance(piece, Parted):
        yield from fallen(piece.right)
        yield from fallen(piece.left)
    elif piece is not None:
        yield piece


def number_of_cuts(piece: Freed | None) -> int:
    """How many cuts a piece takes."""
    return 1 + number_of_cuts(piece.right) + number_of_cuts(piece.left) if isinstance(piece, Parted) else 0
