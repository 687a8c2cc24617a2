"""One plate less: the parts of the emptiest plate go onto the others, each onto one that holds it exactly seen.

Method: largest part first, fullest plate first that has metal enough; whether the plate holds one part more is asked of
`nearly_full`. Not exact: no other part changes its plate. Cost: at most `MOST_TRIES` such searches. Source: none, from
common practice of closing bins.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from stripplan.layout.problem import Problem
from stripplan.layout.single_plate.nearly_full import on_nearly_full_plate
from stripplan.layout.stop_rule import Clock
from stripplan.layout.tree import FilledStock

MOST_TRIES = 40
"""Plates searched at most; time against plates that could be closed. Set by trial, not studied."""
MOST_PARTS = 24
"""Parts up to which a plate is asked about one more. Set by trial, not studied."""


def one_plate_less(
    problem: Problem, filled: Sequence[FilledStock], *, steps: int, out_of_time: Clock
) -> list[FilledStock] | None:
    """The same parts on one plate less, or None where that was not found; `steps` are those of one search."""
    if len(filled) < 2:
        return None
    emptiest = min(range(len(filled)), key=lambda n: (_used(problem, filled[n]) / _whole(problem, filled[n]), n))
    plates = [plate for n, plate in enumerate(filled) if n != emptiest]
    stock = filled[emptiest].stock
    tries = 0
    for item in sorted(filled[emptiest].items, key=lambda item: (-_area(problem, item, stock), item)):
        free = [_whole(problem, plate) - _used(problem, plate) for plate in plates]
        for number in sorted(range(len(plates)), key=lambda n: (free[n], n)):
            plate = plates[number]
            if free[number] < _area(problem, item, plate.stock) or len(plate.items) >= MOST_PARTS:
                continue
            tries += 1
            if tries > MOST_TRIES or out_of_time():
                return None
            counts = Counter((*plate.items, item))
            wanted = [counts[each] for each in range(len(problem.items))]
            fit = on_nearly_full_plate(problem, plate.stock, wanted, steps=steps, out_of_time=out_of_time, prove=False)
            if fit.filled is not None:
                plates[number] = fit.filled
                break
        else:
            return None
    return plates


def _area(problem: Problem, item: int, stock: int) -> int:
    """The least that an item takes of a stock, kerf added; more than any plate has where it cannot come from it."""
    kerf = problem.stocks[stock].kerf
    return min(((x + kerf) * (y + kerf) for x, y, _ in problem.items[item].sizes[stock]), default=1 << 62)


def _used(problem: Problem, plate: FilledStock) -> int:
    """What the parts of a plate take, kerfs added."""
    return sum(_area(problem, item, plate.stock) for item in plate.items)


def _whole(problem: Problem, plate: FilledStock) -> int:
    """A plate's area, kerf added."""
    stock = problem.stocks[plate.stock]
    return (stock.length + stock.kerf) * (stock.width + stock.kerf)
