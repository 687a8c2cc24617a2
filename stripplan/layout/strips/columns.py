"""Column generation for strips: legal patterns of least reduced cost until none is left, then a dual bound.

Problem: the master (`master`) knows some patterns only. Which pattern that it does not know would lower its
cost, and how low could the cost of any plan be? Method: P. C. Gilmore, R. E. Gomory (see `master`). Each round
solves the master, takes its item values, and asks a knapsack for each stock (`knapsack`) for the sets worth
most. A set worth more than its plate costs is a new column; when there is none, the linear programme is solved.

The bound is a dual feasible one in whole-number arithmetic: the master's item values, rounded down to whole
numbers, scaled until no set of strips that fits a plate is worth more than the plate costs (A. A. Farley,
Operations Research 38 (1990) 922-923). It is taken over all sets that fit, legal or not, so it holds for every
legal plan. Every round gives one; the best is kept, and the loop ends early once it is good enough.

Rounds are spared by pricing between the master's values and those of the best bound so far (P. Wentges,
International Transactions in Operational Research 4 (1997) 151-162), and by taking several unlike columns at
once.

Exact: the bound, whatever the rounding before it. Not exact: that every legal column of use is found, for a set
whose surplus may stay on a strip is looked for among the best sets of each total only. Cost: in each round one
linear programme, and one knapsack for each stock and each set of values tried.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from stripplan.layout.grid import exact, rounded_to_costs
from stripplan.layout.problem import Problem
from stripplan.layout.strips.first_fit import Bars
from stripplan.layout.strips.knapsack import Knapsack, Totals
from stripplan.layout.strips.master import Column, Master, Solution

SCALE = 1 << 30
"""Item values are whole numbers up to this: sums of thousands of them stay below 2^53, exact in doubles too."""
MOST_ROUNDS = 5000
"""A stop for a programme that would cycle; the best bound so far still holds then. Set by trial, not studied."""
LOOKED_AT = 16
"""Totals of a plate looked at for more columns in one round: fewer rounds against a larger master. Set by
trial, not studied."""
STEADY = 0.5
"""Share of the best bound's item values in those that are priced first: more means steadier values, but
columns that serve the master less. Set by trial, not studied."""


class StripWorld:
    """A strips-only problem as knapsacks, one for each stock.

    Widths and capacities are in units of the problem's grid; knapsacks count in the coarser `unit`. Stocks and
    items go by their numbers in the problem. `overs`: whether any item may stay over size, so that a sliver may
    be left on it.
    """

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.demands = [item.demand for item in problem.items]
        self.costs = [stock.cost for stock in problem.stocks]
        self.limits = [stock.limit for stock in problem.stocks]
        self.exact_costs = [exact(cost) for cost in self.costs]
        self.overs = any(item.over for item in problem.items)
        # A strip's first way is its only one: it never turns. Where it cannot come from a stock, a width that
        # fits nowhere stands for it, so that no other place has to ask.
        self._widths = [
            [
                item.sizes[n][0][1] + stock.kerf if item.sizes[n] else stock.width + stock.kerf + 1
                for item in problem.items
            ]
            for n, stock in enumerate(problem.stocks)
        ]
        self._units = [self.unit(n) for n in range(len(problem.stocks))]

    def capacity(self, stock: int) -> int:
        """What strips and the kerf after each may take up: the usable width and one kerf, as the last strip needs
        none.
        """
        return self.problem.stocks[stock].width + self.problem.stocks[stock].kerf

    def unit(self, stock: int) -> int:
        """What all widths that fit are multiples of: counted in it, knapsacks are smaller and say the same.

        Where slivers are barred "filled exactly" must be told from "nearly filled", so then the capacity must
        be a multiple too; else the unit stays 1. Without such a bar the capacity may be rounded down: no total
        lies in between.
        """
        capacity = self.capacity(stock)
        unit = math.gcd(*(width for width in self._widths[stock] if width <= capacity)) or 1
        return unit if not self.zone(stock) or capacity % unit == 0 else 1

    def widths(self, stock: int) -> list[int]:
        """Width of each item and a kerf on a stock; wider than the plate where it cannot come from it."""
        return self._widths[stock]

    def zone(self, stock: int) -> int:
        """The least that may be left where something is: kerf and narrowest offcut; 0 where anything may be left."""
        limits = self.problem.stocks[stock].limits
        return limits.gap if limits.narrowest else 0

    def knapsack(self, stock: int, most: Sequence[int]) -> Knapsack:
        """What fits one plate of a stock, in its `unit`; an item that cannot come from it has most 0.

        `most` gives for each item the copies still wanted: a column that makes more could not be fixed in a
        dive.
        """
        widths, capacity, unit = self._widths[stock], self.capacity(stock), self._units[stock]
        bounds = (left if width <= capacity else 0 for width, left in zip(widths, most, strict=True))
        return Knapsack(tuple(width // unit for width in widths), tuple(bounds), capacity // unit)

    def legal(self, stock: int, counts: Sequence[int]) -> bool:
        """Whether a set of strips may be cut from one plate: what is left is legal, or stays on a strip."""
        slack = self.capacity(stock) - self.total(stock, counts)
        return self.problem.stocks[stock].limits.rest_ok(slack) or 0 < slack <= self.most_over(counts)

    def total(self, stock: int, counts: Sequence[int]) -> int:
        """Widths and kerfs of a set of strips."""
        return sum(n * width for n, width in zip(counts, self._widths[stock], strict=True) if n)

    def most_over(self, counts: Sequence[int]) -> int:
        """The greatest surplus that one of the strips may keep."""
        if not self.overs:
            return 0
        return max((self.problem.items[i].over for i, n in enumerate(counts) if n), default=0)

    def one_stock(self) -> tuple[Bars, list[int]] | None:
        """The problem as strips for plates of one stock, in its `unit`, widest first, with the items' numbers; or
        None.

        None where there are several stocks, or an item does not fit the only one: the quick plans and the exact
        searches for one plate less are for plates all alike. Widest first is what first fit and arc flow ask
        for.
        """
        if len(self.costs) > 1 or any(width > self.capacity(0) for width in self._widths[0]):
            return None
        order = sorted(range(len(self.demands)), key=lambda n: (-self._widths[0][n], n))
        unit = self._units[0]
        sizes = tuple(self._widths[0][n] // unit for n in order)
        demands = tuple(self.demands[n] for n in order)
        # The zone is rounded up: what is left is whole units, so it is enough to compare it with whole units.
        return Bars(sizes, demands, self.capacity(0) // unit, -(-self.zone(0) // unit)), order

    def best_columns(self, stock: int, totals: Totals) -> list[tuple[int, Column]]:
        """Legal sets of strips of greatest value from one plate, best first, each with its value.

        Three kinds are legal: so narrow that an offcut worth its name is left, filled exactly, or (see
        `_over_size`) with a sliver that may stay on a strip. Then some that are unlike these. Sets worth
        nothing are left out.
        """
        capacity, zone, unit = self.capacity(stock), self.zone(stock), self._units[stock]
        most = (capacity - zone) // unit
        found = [totals.best(exact=False, most=most)]
        if zone:
            found.append(totals.best(exact=True, most=capacity // unit))
            found += self._over_size(stock, totals)
        real = sorted({each for each in found if each is not None and each[0] > 0}, reverse=True)
        best = [(value, Column(stock, totals.counts(total))) for value, total in real]
        return best + _unlike(best, stock, totals, most)

    def _over_size(self, stock: int, totals: Totals) -> list[tuple[int, int] | None]:
        """Sets whose surplus may stay on one of their strips.

        One set for each width of sliver is looked at, the best of its total; another of the same total might
        have had a strip that takes the surplus. So a column may be missed, which costs metal at worst; the
        bound does not rest on it.
        """
        capacity, zone, unit = self.capacity(stock), self.zone(stock), self._units[stock]
        most_over = max((item.over for item in self.problem.items), default=0)
        found: list[tuple[int, int] | None] = []
        # Tolerances of more than 2000 units are passed over: each width of sliver is a look-up and a way back.
        for slack in range(1, min(zone, most_over + 1)) if most_over <= 2000 else ():
            one = totals.best(exact=True, most=(capacity - slack) // unit) if (capacity - slack) % unit == 0 else None
            if one is not None and slack <= self.most_over(totals.counts(one[1])):
                found.append(one)
        return found


def _unlike(best: Sequence[tuple[int, Column]], stock: int, totals: Totals, most: int) -> list[tuple[int, Column]]:
    """Sets of near the best value that have no strip in common with the best, or with each other.

    The best sets of one round are mostly the same set with one strip changed, and the master would use one of
    them. Sets without a strip in common can all be of use at once, so fewer rounds are needed.
    """
    used = {item for _, column in best for item, n in enumerate(column.counts) if n}
    found = []
    for value, total in totals.near_best(most=most, number=LOOKED_AT):
        counts = totals.counts(total) if value > 0 else ()
        items = {item for item, n in enumerate(counts) if n}
        if items and not items & used:
            used |= items
            found.append((value, Column(stock, counts)))
    return found


def whole_values(worth: Sequence[float]) -> list[int]:
    """Item values as whole numbers, the greatest turned into SCALE; values must be 0 or more.

    Rounding can make a bound weaker, never wrong: `_dual_bound` scales whatever values it is given.

    >>> whole_values([2.0, 1.0, 0.0]) == [SCALE, SCALE // 2, 0]
    True
    """
    top = max(max(worth), 1e-12)
    return [math.floor(each / top * SCALE) for each in worth]


@dataclass(frozen=True)
class Generated:
    """The master's last solution, and the best lower bound on cost met on the way, raised to a multiple of what
    costs share.

    The bound holds for every plan that makes what was wanted, and is not the solution's cost: that one is a
    float, and while columns are missing it is too high to be a bound.
    """

    solution: Solution
    bound: Fraction


def generate(
    world: StripWorld,
    master: Master,
    wanted: Sequence[int],
    limits: Sequence[int | None],
    enough: Fraction | None = None,
    *,
    to_end: bool = False,
    good: float | None = None,
) -> Generated:
    """Add columns until none has a negative reduced cost, or the bound, rounded to sums of costs, can rise no
    more.

    `wanted` and `limits` are what the master asks for now: who changes one must have called
    `Master.set_demands` with the same. A bound of `enough` ends the work at once, and so does a solution that
    costs no more than `good`. `to_end` goes on when the rounded bound can rise no more: the values then say
    most about which sets are of use.
    """
    bound, rounded, centre = Fraction(0), Fraction(0), None
    for _ in range(MOST_ROUNDS):
        solution = master.solve()
        # The caller needs a solution this cheap, not the cheapest; the bound so far is kept, 0 in the first
        # round.
        if good is not None and solution.cost <= good:
            break
        # Steadied values first. If they bring no column that the master's own values call worth while, those
        # are priced themselves in the same round: only they can show that no column is left.
        for worth in (_between(centre, solution.worth), solution.worth) if centre else (solution.worth,):
            values = whole_values(worth)
            priced = [Totals(world.knapsack(stock, wanted), values) for stock in range(len(world.costs))]
            now = _dual_bound(world, wanted, limits, values, solution.limit_worth, priced)
            if now >= bound:
                bound, centre = now, worth
            rounded = rounded_to_costs(bound, world.costs)
            added = _add_columns(world, master, solution, priced)
            if added:
                break
        # The master's cost only falls from here on, and no bound can end above it: where the rounded bound has
        # reached it already, no further round can raise the bound.
        rises = float(rounded) < solution.cost - 1e-6 * max(1.0, solution.cost)
        if not added or (enough is not None and rounded >= enough) or not (rises or to_end):
            break
    return Generated(solution, rounded)


def _between(centre: Sequence[float], worth: Sequence[float]) -> list[float]:
    """Item values between those of the best bound so far and the master's: steadier, so that fewer rounds are
    needed.

    The master's own jump about while it has few columns, and bounds from them are poor. Any mix of values
    bounds as well.
    """
    return [STEADY * one + (1 - STEADY) * other for one, other in zip(centre, worth, strict=True)]


def _add_columns(world: StripWorld, master: Master, solution: Solution, priced: Sequence[Totals]) -> bool:
    """The best legal columns of each stock that are worth more than they cost; whether one is new."""
    added = False
    for stock, totals in enumerate(priced):
        cost = world.costs[stock] - solution.limit_worth[stock]
        for _, column in world.best_columns(stock, totals):
            # By the master's own values: a column that only the steadied ones call worth while does not lower its cost.
            worth = sum(n * each for n, each in zip(column.counts, solution.worth, strict=True) if n)
            # A margin above the solver's tolerance, or columns that gain nothing would come round after round.
            if worth > cost + 1e-7 * world.costs[stock]:
                added |= master.add(column)
    return added


def _dual_bound(
    world: StripWorld,
    wanted: Sequence[int],
    limits: Sequence[int | None],
    values: Sequence[int],
    limit_worth: Sequence[float],
    priced: Sequence[Totals],
) -> Fraction:
    """A lower bound on the cost of every plan, exact: see the module's head.

    A solution of the dual programme has item values y >= 0 and limit values m <= 0 such that no set that fits a
    plate of stock s is worth more than cost(s) - m(s). Its objective, demands times y plus limits times m,
    bounds every plan. Here m is the master's, and y its item values divided by the greatest ratio of a plate's
    value to cost(s) - m(s), so the condition holds for every stock. A stock on which nothing of value fits does
    not bind.
    """
    # Limit values as exact fractions: with floats the last digit of a bound could be rounded up past the truth.
    held = [min(Fraction(0), exact(each)) for each in limit_worth]
    scale = Fraction(0)
    for stock, totals in enumerate(priced):
        # All that fits, slivers or not: the condition on more sets than are legal can only make the bound
        # lower, never wrong.
        best = totals.best(exact=False, most=totals.knapsack.capacity)
        price = world.exact_costs[stock] - held[stock]
        if best is not None and best[0] > 0:
            if price <= 0:
                return Fraction(0)  # a stock that costs nothing bounds nothing
            scale = max(scale, Fraction(best[0]) / price)
    if scale == 0:
        return Fraction(0)
    total = sum(demand * value for demand, value in zip(wanted, values, strict=True))
    spared = sum((limit * each for limit, each in zip(limits, held, strict=True) if limit is not None), Fraction(0))
    return max(Fraction(0), Fraction(total) / scale + spared)


def first_columns(world: StripWorld, master: Master) -> None:
    """Each item alone, as often as a plate holds it and the limits on what is left allow.

    So the master has a plan to start from and values that mean something. An item for which no number is legal
    gets no column here; its shortfall column stands in until pricing finds one.
    """
    for stock in range(len(world.costs)):
        knapsack = world.knapsack(stock, world.demands)
        for item, (size, most) in enumerate(zip(knapsack.sizes, knapsack.most, strict=True)):
            for count in range(min(most, knapsack.capacity // size), 0, -1):
                counts = tuple(count if i == item else 0 for i in range(len(knapsack.sizes)))
                if world.legal(stock, counts):
                    master.add(Column(stock, counts))
                    break
