"""A pattern: what goes into one plate. Nested blanks with sizes; no coordinates, no order of siblings."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

LeafKind = Literal["part", "offcut", "scrap"]
Direction = Literal["along", "across"]


@dataclass(frozen=True)
class Leaf:
    """A piece that is not cut any more. `length` lies along x, `width` along y [mm].

    `part` is the index of the part in the job; `turned` says that the part's own length lies along y.
    A scrap without extent (a size of 0 or less) stands for metal that the kerf takes away whole.
    """

    kind: LeafKind
    length: float
    width: float
    part: int | None = None
    turned: bool = False

    @cached_property
    def _hash(self) -> int:
        return hash((self.kind, self.length, self.width, self.part, self.turned))

    def __hash__(self) -> int:
        return self._hash

    def __getstate__(self) -> dict[str, object]:
        return _without_hash(self)


@dataclass(frozen=True)
class Blank:
    """A piece that is cut in one direction: "along" = cut lines parallel to x, sizes add up along y.

    `children` may lie in any order. `low` and `high` are what must lie at the end of small and of
    large coordinates: a trim, or what is left. Sizes of all of them and one kerf between each two
    fill the blank exactly.
    `square` marks a blank whose one part must lie on the square side of every cut in it.
    """

    length: float
    width: float
    direction: Direction
    children: tuple[Node, ...]
    low: Leaf | None = None
    high: Leaf | None = None
    square: bool = False

    @cached_property
    def _hash(self) -> int:
        # Worked out once: whoever looks up blanks would else walk through all that is in them each time.
        return hash((self.length, self.width, self.direction, self.children, self.low, self.high, self.square))

    def __hash__(self) -> int:
        return self._hash

    def __getstate__(self) -> dict[str, object]:
        return _without_hash(self)


Node = Leaf | Blank


@dataclass(frozen=True)
class Pattern:
    """A layout of one plate of the job (by index), used `count` times."""

    plate: int
    root: Node
    count: int = 1


def _without_hash(node: Node) -> dict[str, object]:
    """What is handed to another process of a node: strings have another hash there, so its own is left behind."""
    return {name: value for name, value in vars(node).items() if name != "_hash"}


def leaves(node: Node) -> Iterator[Leaf]:
    """All leaves below a node, trims and what is left among them."""
    if isinstance(node, Leaf):
        yield node
        return
    for end in (node.low, node.high):
        if end is not None:
            yield end
    for child in node.children:
        yield from leaves(child)


def across(node: Node, direction: Direction) -> float:
    """Size of a node at right angles to cuts of that direction [mm]."""
    return node.width if direction == "along" else node.length
