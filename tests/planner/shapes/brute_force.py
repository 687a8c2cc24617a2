"""How few plates a few straight-sided shapes need, by trying: every block of one or two, every way to cut rectangles
from edge to edge. Written with no code of the program; shapes are lists of corners as complex numbers.

A block of two holds them a kerf apart along an edge of each, in any turn and either face, slid to where corners of both
are level and to places between. Rectangles come off a plate by cuts from edge to edge, each of which takes a kerf.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cache
from itertools import combinations
from typing import TypeVar

Corners = tuple[complex, ...]
Box = tuple[float, float]
Held = TypeVar("Held")
"""What a block is told by: its box, or the shapes in it."""

STEPS = 8
"""Places between two at which corners are level."""
JUST = 1e-6
"""Slack for last bits [mm]."""


def ways(shape: Corners) -> Iterator[Corners]:
    """A shape with each edge in turn along x, and so its mirror image."""
    for face in (shape, tuple(each.conjugate() for each in reversed(shape))):
        for n, start in enumerate(face):
            along = face[(n + 1) % len(face)] - start
            yield tuple((each - start) * along.conjugate() / abs(along) for each in face)


def box(points: Sequence[complex]) -> Box:
    """Length and width of what points lie in."""
    xs, ys = [each.real for each in points], [each.imag for each in points]
    return max(xs) - min(xs), max(ys) - min(ys)


def singles(shape: Corners) -> list[Box]:
    """Boxes of one, those that another is no smaller than left out."""
    return _least([box(each) for each in ways(shape)])


def pairs(one: Corners, other: Corners, kerf: float) -> list[Box]:
    """Boxes of two, a kerf apart along an edge of each."""
    found: list[Box] = []
    for first in list(ways(one))[: len(one)]:
        for n, start in enumerate(first):
            along = (first[(n + 1) % len(first)] - start) / abs(first[(n + 1) % len(first)] - start)
            away = along / 1j  # the metal lies on the left
            for second in ways(other):
                laid = tuple(start + kerf * away - each * along for each in second)
                for at in places(first, laid, along):
                    found.append(box((*first, *(each + at * along for each in laid))))
    return _least(found)


def places(first: Corners, second: Corners, along: complex) -> list[float]:
    level = {0.0}
    for a in first:
        for b in second:
            if abs(along.real) > JUST:
                level.add((a - b).real / along.real)
            if abs(along.imag) > JUST:
                level.add((a - b).imag / along.imag)
    low, high = min(level), max(level)
    return sorted(level | {low + n / STEPS * (high - low) for n in range(1, STEPS)})


def _least(some: list[Box]) -> list[Box]:
    """Boxes with the longer side first, without those that hold another."""
    sizes = sorted({(round(max(each), 6), round(min(each), 6)) for each in some})
    return [
        each for each in sizes if not any(a <= each[0] and b <= each[1] for a, b in sizes if (a, b) != each)
    ]  # fmt: skip


def fewest_plates(shapes: Sequence[Corners], plate: Box, kerf: float) -> int | None:
    """Of a few shapes; None where one is larger than the plate."""
    count = len(shapes)
    alone = [singles(each) for each in shapes]
    of_two = {(n, m): pairs(shapes[n], shapes[m], kerf) for n, m in combinations(range(count), 2)}

    @cache
    def on_one(some: tuple[int, ...]) -> bool:
        return any(fit(boxes, *plate, kerf) for boxes in in_blocks(some, alone, of_two))

    @cache
    def fewest(some: tuple[int, ...]) -> int:
        if not some:
            return 0
        first, *rest = some
        best = 99
        for many in range(len(rest) + 1):
            for beside in combinations(rest, many):
                if on_one((first, *beside)):
                    best = min(best, 1 + fewest(tuple(each for each in rest if each not in beside)))
        return best

    found = fewest(tuple(range(count)))
    return None if found >= 99 else found


def in_blocks(
    some: tuple[int, ...], alone: Sequence[list[Held]], of_two: dict[tuple[int, int], list[Held]]
) -> Iterator[tuple[Held, ...]]:
    """All ways to lay shapes into blocks of one or two."""
    if not some:
        yield ()
        return
    first, *rest = some
    for rest_of in in_blocks(tuple(rest), alone, of_two):
        for each in alone[first]:
            yield (each, *rest_of)
    for other in rest:
        left = tuple(each for each in rest if each != other)
        for rest_of in in_blocks(left, alone, of_two):
            for each in of_two[first, other]:
                yield (each, *rest_of)


def fit(boxes: tuple[Box, ...], long: float, wide: float, kerf: float) -> bool:
    """Whether rectangles come out of one by cuts from edge to edge, each lying either way."""
    if len(boxes) == 1:
        ((a, b),) = boxes
        return (a <= long + JUST and b <= wide + JUST) or (b <= long + JUST and a <= wide + JUST)
    if sum(a * b for a, b in boxes) > long * wide:
        return False
    numbers = range(len(boxes))
    for many in range(1, len(boxes)):
        for some in combinations(numbers, many):
            if 0 not in some:
                continue
            here = tuple(boxes[n] for n in some)
            there = tuple(boxes[n] for n in numbers if n not in some)
            for x, y in ((long, wide), (wide, long)):
                for at in sums(here, kerf):
                    left = x - at - kerf
                    if left > 0 and fit(here, at, y, kerf) and fit(there, left, y, kerf):
                        return True
    return False


def sums(boxes: tuple[Box, ...], kerf: float) -> list[float]:
    """Lengths that some of the sides come to beside one another."""
    found = {-kerf}
    for sides in boxes:
        found |= {each + side + kerf for each in found for side in sides}
    return sorted(each for each in found if each > 0)
