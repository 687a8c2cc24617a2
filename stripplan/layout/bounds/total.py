"""What no layout can undercut in plate and hands together.

Problem. The total of a plan is its plates, plus its minutes at their price, less what the offcuts kept are worth.
Wanted is a figure below the total of every legal layout in every order.

Method. Each term is taken at its least, per plate and per part. An offcut is worth at most a share of its price by
area, so a plate of value v of which parts take the area a costs at least (1 - share) v + share x a x (v / its area).
Each cut makes one piece into two, so a plate with n parts needs n - 1 cuts at least. Each edge of a part lies on an
edge of the plate or along a cut, and a cut has two sides: so the cuts are at least half the parts' edges together,
less half the edges of the plates. What counts per plate goes into its cost, and the bound on the cost of plates
(`bounds/material.py`) does the rest; where a plate would cost less than nothing so, the cuts are left out.

Exact as a bound: it rests on nothing that an order or a layout could change. It is weak still: fence settings, masses
and rests of the power source are not in it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from stripplan.layout.bounds.material import layout_bound
from stripplan.layout.problem import Item, Problem, Stock

DIGITS = 6
"""Costs are cut down to so many decimals, so that they are exact numbers of a size that can be reckoned with."""


@dataclass(frozen=True)
class LeastHands:
    """What every cut of a stock takes in any order [s], and every millimetre of its length [s/mm].

    `but_one`: what of a cut only comes with the next one [s], so not after the last.
    """

    cut: float
    per_length: float
    but_one: float = 0.0


def total_bound(
    problem: Problem, hands: Sequence[LeastHands], values: Sequence[float], *, minute: float, share: float
) -> float:
    """Least total of a problem, in the currency of `values` (of a plate of each stock) and of a `minute`.

    `share` of its price by area is the most that an offcut is worth.
    """
    second = minute / 60
    cut = second * min(each.cut for each in hands)
    length = second * min(each.per_length for each in hands)
    by_area = min(value / (stock.full[0] * stock.full[1]) for stock, value in zip(problem.stocks, values, strict=True))
    plain = [(1 - share) * value for value in values]
    unit = float(problem.grid.unit)
    spared = [each - cut - length * unit * sum(stock.full) for each, stock in zip(plain, problem.stocks, strict=True)]
    parts = share * by_area * sum(item.demand * _area(item) for item in problem.items)
    edges = unit * length * sum(item.demand * _half_edges(item) for item in problem.items)
    bounds = [parts + _least_plates(problem, plain)]
    if min(spared) >= 0:
        count = problem.parts
        last = second * max(each.but_one for each in hands)
        bounds.append(parts + edges + count * cut - last + _least_plates(problem, spared))
    return max(bounds)


def _least_plates(problem: Problem, costs: Sequence[float]) -> float:
    stocks = [replace(stock, cost=_cut_down(cost)) for stock, cost in zip(problem.stocks, costs, strict=True)]
    return float(layout_bound(replace(problem, stocks=tuple[Stock, ...](stocks))).cost)


def _cut_down(cost: float) -> float:
    """Rounded down: a bound may lose a little, never gain."""
    return float(Fraction(math.floor(cost * 10**DIGITS), 10**DIGITS))


def _sizes(item: Item) -> list[tuple[int, int]]:
    return [(x, y) for ways in item.bound_sizes for x, y, _ in ways]


def _area(item: Item) -> int:
    """Least area that a part takes on any stock, in square units."""
    return min((x * y for x, y in _sizes(item)), default=0)


def _half_edges(item: Item) -> int:
    """Half of the least edges of a part, in units."""
    return min((x + y for x, y in _sizes(item)), default=0)
