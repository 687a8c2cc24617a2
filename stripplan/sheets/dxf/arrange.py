"""Where drawings of several plates go on one: in rows, apart, about one and a half times as wide as high."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

Size = tuple[float, float]
"""Width and height."""

WIDE = 1.5
"""Width over height that is aimed at: between the sheets of ISO 216, 1.41, and screens of 16 : 10."""


def in_rows(sizes: Sequence[Size], gap: float, *, ratio: float = WIDE) -> list[tuple[float, float]]:
    """Lower left corners of boxes in reading order, the first at the upper left; tops of a row are level at most 0.

    Rows have room for k boxes at least, for the k whose whole is nearest to `ratio`.

    >>> in_rows([(2, 1)] * 4, 0)
    [(0.0, -1.0), (2.0, -1.0), (0.0, -2.0), (2.0, -2.0)]
    """
    best: list[tuple[float, float]] = []
    least = float("inf")
    for limit in _limits(sizes, gap):
        places, width, height = _filled(sizes, gap, limit)
        shape = width / height
        off = max(shape / ratio, ratio / shape)
        if off < least:
            best, least = places, off
        if shape > ratio:
            break
    return best


def _limits(sizes: Sequence[Size], gap: float) -> Iterator[float]:
    """Widths of a row that are worth a try, growing: for each k, such that any k boxes in turn have room."""
    for count in range(1, len(sizes) + 1):
        run = sum(width for width, _ in sizes[:count])
        widest = run
        for leaving, entering in zip(sizes, sizes[count:], strict=False):
            run += entering[0] - leaving[0]
            widest = max(widest, run)
        yield widest + (count - 1) * gap


def _filled(sizes: Sequence[Size], gap: float, limit: float) -> tuple[list[tuple[float, float]], float, float]:
    """Boxes row by row, as many in each as `limit` holds; with the width and height of the whole."""
    slack = 1e-9 * limit
    rows: list[list[Size]] = []
    width = 0.0
    for size in sizes:
        if not rows or width + gap + size[0] > limit + slack:
            rows.append([])
            width = -gap
        rows[-1].append(size)
        width += gap + size[0]
    places, top, widest = list[tuple[float, float]](), 0.0, 0.0
    for row in rows:
        x = 0.0
        for wide, high in row:
            places.append((x, top - high))
            x += wide + gap
        widest = max(widest, x - gap)
        top -= max(high for _, high in row) + gap
    return places, widest, -gap - top
