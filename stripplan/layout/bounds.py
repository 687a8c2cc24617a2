"""Lower bounds on plates and cost, each saying how it was got.

All are taken on the relaxed problem: kerf and compulsory trims kept; narrowest offcut, stroke, reach and
mass dropped. So they hold for every legal plan.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from .grid import exact, rounded_to_costs
from .problem import Problem


@dataclass(frozen=True)
class LayoutBound:
    """At least so many plates, at least so much cost."""

    plates: int
    plates_how: str
    cost: float
    cost_how: str


def material_bound(problem: Problem) -> LayoutBound:
    """Metal alone: each part takes (x + kerf)(y + kerf) of a plate's (length + kerf)(width + kerf).

    The kerfs between parts belong half to each; a plate widened by one kerf holds them all.
    """
    kerf = min(stock.kerf for stock in problem.stocks)
    need = sum(item.demand * _least_area(item.bound_sizes, kerf) for item in problem.items)
    areas = [(stock.length + kerf) * (stock.width + kerf) for stock in problem.stocks]
    plates = _fewest(need, areas, [stock.limit for stock in problem.stocks])
    cost = _cheapest(need, areas, [stock.cost for stock in problem.stocks], [stock.limit for stock in problem.stocks])
    cost = rounded_to_costs(cost, [stock.cost for stock in problem.stocks])
    return LayoutBound(plates, "material bound", float(cost), "material bound")


def _least_area(sizes: Sequence[Sequence[tuple[int, int, bool]]], kerf: int) -> int:
    return min(((x + kerf) * (y + kerf) for stock in sizes for x, y, _ in stock), default=0)


def _fewest(need: int, areas: Sequence[int], limits: Sequence[int | None]) -> int:
    count = 0
    for area, limit in sorted(zip(areas, limits, strict=True), key=lambda each: -each[0]):
        if need <= 0:
            break
        wanted = -(-need // area)
        used = wanted if limit is None else min(limit, wanted)
        count += used
        need -= used * area
    return count


def _cheapest(need: int, areas: Sequence[int], costs: Sequence[float], limits: Sequence[int | None]) -> Fraction:
    """Cheapest metal first, the last plate in part."""
    total, left = Fraction(0), Fraction(need)
    for cost, area, limit in sorted(
        ((exact(c), a, n) for c, a, n in zip(costs, areas, limits, strict=True)), key=lambda each: each[0] / each[1]
    ):
        used = left / area if limit is None else min(left / area, Fraction(limit))
        total += used * cost
        left -= used * area
        if left <= 0:
            break
    return total


def tightened(bound: LayoutBound, problem: Problem, cost: Fraction, how: str) -> LayoutBound:
    """The better of a bound and another bound on cost; with one price for all plates it bounds plates too."""
    costs = {exact(stock.cost) for stock in problem.stocks}
    plates, plates_how = bound.plates, bound.plates_how
    if len(costs) == 1 and min(costs) > 0:
        by_cost = math.ceil(cost / min(costs))
        if by_cost > plates:
            plates, plates_how = by_cost, how
    if float(cost) > bound.cost:
        return LayoutBound(plates, plates_how, float(cost), how)
    return LayoutBound(plates, plates_how, bound.cost, bound.cost_how)
