"""Figures that were written down in inches where millimetres are asked for."""

from __future__ import annotations

from collections.abc import Sequence

INCH = 25.4
"""Millimetres to an inch, exact."""


def inch_rows(values: Sequence[float]) -> tuple[tuple[int, int], ...]:
    """(row, row it was compared with), from 1, where a value is about 1/25.4 of another of the same kind: typed in
    inches among millimetres.

    Meant for values that can hardly differ by a factor of 1.5 of themselves.

    >>> inch_rows([1.55, 1.50, 0.061])
    ((3, 1),)
    """
    found = []
    for row, value in enumerate(values, 1):
        others = (other for other, each in enumerate(values, 1) if value > 0 and INCH / 1.5 < each / value < INCH * 1.5)
        partner = next(others, None)
        if partner is not None:
            found.append((row, partner))
    return tuple(found)
