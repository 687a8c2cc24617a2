"""Where the letters of the edges, "start" and "stop" stand beside a rectangular piece: nothing on anything else.

The words stand at the left of the picture, where they are looked for. A letter stands at the middle of its edge, or as
near to it as it is clear of the words and of the torch; where there is no such place the words are written smaller.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from stripplan.sheets.paper.text import DESK, NEAR, RIG, width_of

LETTER = 13.0
"""Side of the box of a letter [pt]."""
CAPITALS = 0.73
"""Height of what is written over its size."""
STEP = 2.0
"""A letter is tried so much further on [pt]."""
CLEAR = 11.0
"""Of a letter's box from the torch line: the stop reaches out so far [pt]."""

Box = tuple[float, float, float, float]
Point = tuple[float, float]


@dataclass(frozen=True)
class Edges:
    """The sides of a piece on paper, its torch line and the bar of the stop [pt]; `fenced`: its right edge lies on the
    fence, which bears its letter; `stopped`: the bar is named."""

    x0: float
    y0: float
    x1: float
    y1: float
    torch: float
    stop: float
    fenced: bool
    stopped: bool


@dataclass(frozen=True)
class Places:
    """Where the middles of letters lie and both words begin [pt], and how large the words are."""

    start: Point
    end: Point
    left: Point
    right: Point | None
    word: Point
    stop: Point | None
    size: float


def places(edges: Edges, x: float, taken: Iterable[Box] = ()) -> Places:
    """Places in a picture that begins at `x`; `taken` are boxes where nothing may stand.

    >>> found = places(Edges(40, 16, 80, 21, 46, 31, True, True), 0)  # a narrow strip beside a wide rest
    >>> found.start, found.left, round(found.size, 2) == round(RIG, 2)
    ((63.5, 8.5), (32.5, 18.5), True)
    """
    tried = [_tried(edges, x, [*taken], size) for size in (RIG, DESK, NEAR)]
    return min(tried, key=lambda each: each[0])[1]


def _tried(edges: Edges, x: float, taken: list[Box], size: float) -> tuple[int, Places]:
    """How many of the letters stand on something with words of a size, and the places."""
    word, stop = (x - 2, edges.y0 - 13), (x - 2, edges.stop - 3) if edges.stopped else None
    words = [_written("start", word, size)] + ([_written("stop", stop, size)] if stop is not None else [])
    full = [*taken, *words]
    worst, found = 0, []
    half, middle = LETTER / 2, (edges.y0 + edges.y1) / 2
    tries = [
        [(each, edges.y0 - half - 1) for each in _along(edges)],
        [(each, edges.y1 + half + 1) for each in _along(edges)],
        [(edges.x0 - half - 1 - away, middle) for away in range(0, 15, 2)],
        [] if edges.fenced else [(edges.x1 - half, middle)],
    ]
    for each in tries:
        if not each:
            continue
        at = next((place for place in each if not any(_meet(_boxed(place), box) for box in full)), None)
        worst += at is None
        found.append(at or each[0])
        full.append(_boxed(found[-1]))
    return worst, Places(found[0], found[1], found[2], None if edges.fenced else found[3], word, stop, size)


def _along(edges: Edges) -> Iterator[float]:
    """Middles for a letter along the edges at start and end: that of the wider side, then the nearest clear of the
    torch line and of the stop."""
    half = LETTER / 2
    wider = max(((edges.x0, edges.torch), (edges.torch, edges.x1)), key=lambda side: (side[1] - side[0], -side[0]))
    middle = sum(wider) / 2
    if abs(middle - edges.torch) < half + CLEAR:
        middle = edges.torch - half - CLEAR
    yield middle
    reach = int((edges.x1 - edges.x0 + 4 * LETTER) / STEP)
    shifts = sorted((STEP * n for n in range(-reach, reach + 1)), key=abs)
    beside = (edges.torch + half + CLEAR, *(middle + each for each in shifts))
    yield from (
        each
        for each in beside
        if edges.x0 - LETTER <= each <= edges.x1 - half and abs(each - edges.torch) >= half + CLEAR
    )


def _boxed(at: Point) -> Box:
    half = LETTER / 2 - 1  # a letter is smaller than its box
    return at[0] - half, at[1] - half, at[0] + half, at[1] + half


def _written(word: str, at: Point, size: float) -> Box:
    return at[0], at[1], at[0] + width_of(word, size), at[1] + CAPITALS * size


def _meet(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]
