"""Quick patterns of one plate, to start from. Gap and longest cut are kept in what is added, stages are not looked at."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from stripplan.layout.single_plate.plate import Cutting, OnePlate, Shape

Key = Callable[[int, int, int], float]

KEYS: tuple[Key, ...] = (
    lambda value, _x, _y: value,
    lambda _, x, y: x * y,
    lambda value, x, y: value / (x * y),
    lambda _, x, y: max(x, y),
    lambda _, x, _y: x,
    lambda _, _x, y: y,
)
"""What makes an item of some value and extents come first."""


def simple_patterns(plate: OnePlate, shapes: Sequence[Shape], wanted: Sequence[int]) -> list[Cutting]:
    """The plate filled corner by corner, by each order of items."""
    blank = Cutting(plate.length, plate.width)
    return [_Filler(plate, shapes, list(wanted), key).filled(blank) for key in KEYS]


def kept(pattern: Cutting, plate: OnePlate, shapes: Sequence[Shape], wanted: Sequence[int]) -> Cutting:
    """A pattern with what is too much of an item made room for others."""
    left = list(wanted)

    def keep(one: Cutting) -> Cutting:
        if one.first is not None and one.rest is not None:
            return Cutting(one.length, one.width, one.cut, keep(one.first), keep(one.rest))
        if one.item is None or left[one.item] > 0:
            if one.item is not None:
                left[one.item] -= 1
            return one
        return Cutting(one.length, one.width)

    return _Filler(plate, shapes, left, KEYS[0]).filled(keep(pattern))


class _Filler:
    def __init__(self, plate: OnePlate, shapes: Sequence[Shape], left: list[int], key: Key) -> None:
        self.plate = plate
        self.shapes = shapes
        self.left = left
        self.kerf = plate.kerf
        self.key = key

    def filled(self, one: Cutting) -> Cutting:
        """Waste filled with items still wanted, one at a time."""
        if one.first is not None and one.rest is not None:
            return Cutting(one.length, one.width, one.cut, self.filled(one.first), self.filled(one.rest))
        item = None if one.item is not None else self._next(one)
        if item is None or item.item is None:
            return one
        self.left[item.item] -= 1
        placed = self._cornered(one, item)
        return self.filled(placed) if placed.cut is not None else placed

    def _next(self, room: Cutting) -> Cutting | None:
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
        return Cutting(x, y, None, None, None, -item, turned)

    def _goes(self, room: Cutting, x: int, y: int) -> bool:
        """Whether what is left beside and beyond may be left, and the cuts are not too long."""
        beside, beyond = room.length - x, room.width - y
        if 0 < beside < self.plate.gap or 0 < beyond < self.plate.gap:
            return False
        return (not beside and not beyond) or self._along(room, x, y) or self._across(room, x, y)

    def _along(self, room: Cutting, x: int, y: int) -> bool:
        """Whether the first cut may run along the room."""
        reach = self.plate.reach - self.kerf
        return room.width > y and room.length <= reach and (room.length == x or y <= reach)

    def _across(self, room: Cutting, x: int, y: int) -> bool:
        reach = self.plate.reach - self.kerf
        return room.length > x and room.width <= reach and (room.width == y or x <= reach)

    def _cornered(self, room: Cutting, item: Cutting) -> Cutting:
        """A room with an item in its corner; of two legal first cuts the one that leaves the larger rest."""
        beside, beyond = room.length - item.length, room.width - item.width
        if not beside and not beyond:
            return item
        along, across = (can(room, item.length, item.width) for can in (self._along, self._across))
        if along and (not across or beyond * room.length >= beside * room.width):
            inner = self._cornered(Cutting(room.length, item.width), item)
            rest = Cutting(room.length, beyond - self.kerf)
            return Cutting(room.length, room.width, "along", inner, rest)
        inner = self._cornered(Cutting(item.length, room.width), item)
        return Cutting(room.length, room.width, "across", inner, Cutting(beside - self.kerf, room.width))
