"""Quick patterns of one plate, to start from.

Method: an item goes into the corner of a free rectangle, two cuts part off what is beside and beyond it,
and both are filled the same way; the item comes by some order (`KEYS`). Not exact: a pattern to begin with,
which a search or a bound then betters. Cost of a pattern: (free rectangles met) x (ways of all items). Source:
none, from common practice.

Gap and longest cut are kept in what is added, stages are not looked at: those are for the taker to check.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from stripplan.layout.single_plate.plate import ItemView, StockView
from stripplan.layout.tree import Tree, of_pieces

Key = Callable[[int, int, int], float]

KEYS: tuple[Key, ...] = (
    lambda value, _x, _y: value,
    lambda _, x, y: x * y,
    lambda value, x, y: value / (x * y),
    lambda _, x, y: max(x, y),
    lambda _, x, _y: x,
    lambda _, _x, y: y,
)
"""What makes an item of some value and extents come first: value, area, value for area, longer side, either
side. All are tried, as which is best depends on the plate; the choice of six is set by trial, not studied.
"""


def simple_patterns(plate: StockView, shapes: Sequence[ItemView], wanted: Sequence[int]) -> list[Tree]:
    """The plate filled corner by corner, by each order of items: one pattern for each, perhaps an empty one.

    `wanted` is how many of each shape there may be at most.
    """
    blank = Tree(plate.length, plate.width)
    return [_Filler(plate, shapes, list(wanted), key).filled(blank) for key in KEYS]


def kept(pattern: Tree, plate: StockView, shapes: Sequence[ItemView], wanted: Sequence[int]) -> Tree:
    """A pattern with what is too much of an item made room for others.

    Copies beyond `wanted` become metal, in the order in which pieces come off; then all metal is filled
    with what is still wanted, most valuable first. Cuts stay where they are.
    """
    left = list(wanted)

    def keep(one: Tree) -> Tree:
        if one.cut is not None:
            return of_pieces(one.length, one.width, one.cut, [keep(piece) for piece in one.pieces()])
        if one.item is None or left[one.item] > 0:
            if one.item is not None:
                left[one.item] -= 1
            return one
        return Tree(one.length, one.width)

    return _Filler(plate, shapes, left, KEYS[0]).filled(keep(pattern))


class _Filler:
    """Fills metal with what is left; `left` counts down as items are placed."""

    def __init__(self, plate: StockView, shapes: Sequence[ItemView], left: list[int], key: Key) -> None:
        self.plate = plate
        self.shapes = shapes
        self.left = left
        self.kerf = plate.kerf
        self.key = key

    def filled(self, one: Tree) -> Tree:
        """Waste filled with items still wanted, one at a time."""
        if one.cut is not None:
            return of_pieces(one.length, one.width, one.cut, [self.filled(piece) for piece in one.pieces()])
        item = None if one.item is not None else self._next(one)
        if item is None or item.item is None:
            return one
        self.left[item.item] -= 1
        # What is beside and beyond is metal now, and is filled in turn.
        placed = self._cornered(one, item)
        return self.filled(placed) if placed.cut is not None else placed

    def _next(self, room: Tree) -> Tree | None:
        """The item that comes first among those that fit a room, as a leaf; None = none fits."""
        fits = [
            (self.key(self.shapes[item].value, x, y), -item, x * y, x, y, turned)
            for item, times in enumerate(self.left)
            if times > 0
            for x, y, turned in self.shapes[item].ways
            if x <= room.length and y <= room.width and self._goes(room, x, y)
        ]
        if not fits:
            return None
        _, item, _, x, y, turned = max(fits)
        return Tree(x, y, -item, turned)

    def _goes(self, room: Tree, x: int, y: int) -> bool:
        """Whether what is left beside and beyond may be left, and the cuts are not too long."""
        beside, beyond = room.length - x, room.width - y
        if 0 < beside < self.plate.gap or 0 < beyond < self.plate.gap:
            return False
        return (not beside and not beyond) or self._along(room, x, y) or self._across(room, x, y)

    def _along(self, room: Tree, x: int, y: int) -> bool:
        """Whether the first cut may run along the room: it, and the one across the item after it, within the
        longest cut.
        """
        reach = self.plate.reach - self.kerf
        return room.width > y and room.length <= reach and (room.length == x or y <= reach)

    def _across(self, room: Tree, x: int, y: int) -> bool:
        """Whether the first cut may run across the room: it, and the one along the item after it, within the
        longest cut.
        """
        reach = self.plate.reach - self.kerf
        return room.length > x and room.width <= reach and (room.width == y or x <= reach)

    def _cornered(self, room: Tree, item: Tree) -> Tree:
        """A room with an item in its corner; of two legal first cuts the one that leaves the larger rest."""
        beside, beyond = room.length - item.length, room.width - item.width
        if not beside and not beyond:
            return item
        along, across = (can(room, item.length, item.width) for can in (self._along, self._across))
        if along and (not across or beyond * room.length >= beside * room.width):
            inner = self._cornered(Tree(room.length, item.width), item)
            return of_pieces(room.length, room.width, "along", [inner, Tree(room.length, beyond - self.kerf)])
        inner = self._cornered(Tree(item.length, room.width), item)
        return of_pieces(room.length, room.width, "across", [inner, Tree(beside - self.kerf, room.width)])
