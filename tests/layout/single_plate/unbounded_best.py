"""The most valuable pattern of a plate, each shape as often as one likes, out of the tables that bound others."""

from __future__ import annotations

from collections.abc import Sequence

from stripplan.layout.single_plate.plate import Best, ItemView, StockView
from stripplan.layout.single_plate.unbounded import grounds, rebuilt, table


def best_unbounded(plate: StockView, shapes: Sequence[ItemView]) -> Best:
    """Proven best: `bound` is its value. PlateTooFineError (a ValueError) where the plate has too many sizes.

    >>> best = best_unbounded(StockView(10, 10), [ItemView(((3, 10, False),), 2), ItemView(((4, 10, False),), 3)])
    >>> best.value, sorted(best.pattern.items())
    (7, [0, 0, 1])
    """
    made = table(grounds(plate, shapes), [shape.value for shape in shapes])
    return Best(made.value, rebuilt(made, shapes), made.value)
