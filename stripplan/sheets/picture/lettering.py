"""What is written in a picture: how wide it is, the box that it fills, and boxes that are taken already."""

from __future__ import annotations

import math
from functools import lru_cache

from stripplan.sheets.picture.shapes import Point, Text

Reading = tuple[str, int]
"""Units that the person reads, and the fraction of an inch to show."""


Box = tuple[float, float, float, float]
"""x0, y0, x1, y1 [mm]."""


_USUAL = frozenset("abcdeghknopqrsuvxyz0123456789äöüßàáâãåçèéêëñòóôõøùúûýÿ")
_NARROW = frozenset(" .,:;'|!ijlIft()[]/-ìíîï")
"""Letters of DejaVu Sans at most 0.95 and 0.6 as wide as capitals are high; Latin at most 1.5, others 1.7."""


class Taken:
    """Boxes in which something is written, found again by the cells of a coarse grid."""

    def __init__(self, cell: float) -> None:
        self._cell = cell
        self._boxes: dict[tuple[int, int], list[Box]] = {}

    def add(self, box: Box) -> None:
        """Take a box."""
        for key in self._cells(box):
            self._boxes.setdefault(key, []).append(box)

    def free(self, box: Box) -> bool:
        """Whether nothing that was taken reaches into a box."""
        return not any(meet(box, other) for key in self._cells(box) for other in self._boxes.get(key, ()))

    def near(self, box: Box) -> list[Box]:
        """What was taken and reaches into a box."""
        found = {other for key in self._cells(box) for other in self._boxes.get(key, ()) if meet(box, other)}
        return list(found)

    def _cells(self, box: Box) -> list[tuple[int, int]]:
        x0, y0, x1, y1 = (math.floor(each / self._cell) for each in box)
        return [(x, y) for x in range(x0, x1 + 1) for y in range(y0, y1 + 1)]


def meet(one: Box, other: Box) -> bool:
    """Whether two boxes share more than an edge."""
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def within(inner: Box, outer: Box) -> bool:
    """Whether a box lies in another, edges included."""
    return outer[0] <= inner[0] and outer[1] <= inner[1] and inner[2] <= outer[2] and inner[3] <= outer[3]


def text_box(text: Text) -> Box:
    """The box that a text fills at most."""
    return _line_box(text.at, text_width(text.text) * text.height / 2, text.height, text.upright)


def _line_box(at: Point, half_wide: float, height: float, upright: bool) -> Box:
    half_high = height * 0.62
    dx, dy = (half_high, half_wide) if upright else (half_wide, half_high)
    return at[0] - dx, at[1] - dy, at[0] + dx, at[1] + dy


@lru_cache(maxsize=4096)
def text_width(text: str) -> float:
    """Greatest width of a text over the height of its capitals."""
    return sum(_letter_width(letter) for letter in text) or 1.0


def _letter_width(letter: str) -> float:
    if letter in _NARROW:
        return 0.6
    if letter in _USUAL:
        return 0.95
    if "A" <= letter <= "Z" and letter not in "MW":
        return 1.1
    return 1.5 if ord(letter) < 0x180 else 1.7
