"""Column generation for strips: legal patterns of least reduced cost until none is left, then a dual bound.

The bound is a dual feasible one in whole-number arithmetic: the master's item values, rounded down to whole
numbers, scaled until no set of strips that fits a plate is worth more than the plate costs (A. A. Farley,
Operations Research 38 (1990) 922-923). It is taken over all sets that fit, legal or not, so it holds
for every legal plan.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction

from .grid import exact
from .master import Column, Master, Solution
from .problem import Problem
from .strips import Knapsack, Totals

SCALE = 1 << 30
MOST_ROUNDS = 2000


class StripWorld:
    """A strips-only problem as knapsacks, one for each stock."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.demands = [item.demand for item in problem.items]
        self.costs = [stock.cost for stock in problem.stocks]
        self.limits = [stock.limit for stock in problem.stocks]

    def knapsack(self, stock: int, most: Sequence[int]) -> Knapsack:
        """What fits one plate of a stock; an item that cannot come from it has most 0."""
        s = self.problem.stocks[stock]
        sizes, bounds = [], []
        for item, left in zip(self.problem.items, most, strict=True):
            ways = item.sizes[stock]
            sizes.append(ways[0][1] + s.kerf if ways else s.width + s.kerf + 1)
            bounds.append(left if ways else 0)
        return Knapsack(tuple(sizes), tuple(bounds), s.width + s.kerf)

    def legal(self, stock: int, counts: Sequence[int]) -> bool:
        """Whether a set of strips may be cut from one plate: what is left is legal, or stays on a strip."""
        s = self.problem.stocks[stock]
        slack = s.width + s.kerf - self.total(stock, counts)
        return s.rest_ok(slack) or 0 < slack <= self.most_over(counts)

    def total(self, stock: int, counts: Sequence[int]) -> int:
        """Widths and kerfs of a set of strips."""
        kerf = self.problem.stocks[stock].kerf
        items = self.problem.items
        return sum(n * (items[i].sizes[stock][0][1] + kerf) for i, n in enumerate(counts) if n)

    def most_over(self, counts: Sequence[int]) -> int:
        """The greatest surplus that one of the strips may keep."""
        return max((self.problem.items[i].over for i, n in enumerate(counts) if n), default=0)

    def best_column(self, stock: int, values: Sequence[int], most: Sequence[int]) -> tuple[int, Column] | None:
        """The legal set of strips of greatest value from one plate."""
        s = self.problem.stocks[stock]
        totals = Totals(self.knapsack(stock, most), values)
        capacity = s.width + s.kerf
        zone = 0 if s.narrowest == 0 else s.kerf + s.narrowest
        found = [totals.best(exact=False, most=capacity - zone), totals.best(exact=True, most=capacity)]
        found += self._over_size(totals, capacity, zone)
        real = [each for each in found if each is not None and each[0] > 0]
        if not real:
            return None
        value, total = max(real)
        return value, Column(stock, totals.counts(total))

    def _over_size(self, totals: Totals, capacity: int, zone: int) -> list[tuple[int, int] | None]:
        """Sets whose surplus may stay on one of their strips."""
        most_over = max((item.over for item in self.problem.items), default=0)
        found: list[tuple[int, int] | None] = []
        for slack in range(1, min(zone, most_over + 1)) if most_over <= 2000 else ():
            one = totals.best(exact=True, most=capacity - slack)
            if one is not None and slack <= self.most_over(totals.counts(one[1])):
                found.append(one)
        return found


def generate(world: StripWorld, master: Master, most: Sequence[int]) -> Solution:
    """Add columns until none has a negative reduced cost; the master's last solution."""
    for _ in range(MOST_ROUNDS):
        solution = master.solve()
        top = max(max(solution.worth), 1e-12)
        values = [math.floor(each / top * SCALE) for each in solution.worth]
        added = False
        for stock in range(len(world.costs)):
            found = world.best_column(stock, values, most)
            if found is None:
                continue
            value, column = found
            if value * top / SCALE > world.costs[stock] - solution.limit_worth[stock] + 1e-7 * world.costs[stock]:
                added |= master.add(column)
        if not added:
            break
    return solution


def cost_bound(world: StripWorld, solution: Solution) -> Fraction:
    """A lower bound on the cost of every plan, exact: see the module's head."""
    top = max(max(solution.worth, default=0.0), 1e-12)
    values = [math.floor(each / top * SCALE) for each in solution.worth]
    scale = Fraction(0)
    limits = [min(Fraction(0), exact(each)) for each in solution.limit_worth]
    for stock, cost in enumerate(world.costs):
        totals = Totals(world.knapsack(stock, world.demands), values)
        best = totals.best(exact=False, most=world.problem.stocks[stock].width + world.problem.stocks[stock].kerf)
        price = exact(cost) - limits[stock]
        if best is not None and best[0] > 0 and price > 0:
            scale = max(scale, Fraction(best[0]) / price)
        elif best is not None and best[0] > 0:
            return Fraction(0)  # a stock that costs nothing bounds nothing
    if scale == 0:
        return Fraction(0)
    total = sum(demand * value for demand, value in zip(world.demands, values, strict=True))
    held = sum(
        (limit * each for limit, each in zip(world.limits, limits, strict=True) if limit is not None), Fraction(0)
    )
    return max(Fraction(0), Fraction(total) / scale + held)


def first_columns(world: StripWorld, master: Master) -> None:
    """Each item alone, as often as a plate holds it and the limits on what is left allow."""
    for stock in range(len(world.costs)):
        knapsack = world.knapsack(stock, world.demands)
        for item, (size, most) in enumerate(zip(knapsack.sizes, knapsack.most, strict=True)):
            for count in range(min(most, knapsack.capacity // size), 0, -1):
                counts = tuple(count if i == item else 0 for i in range(len(knapsack.sizes)))
                if world.legal(stock, counts):
                    master.add(Column(stock, counts))
                    break
