"""Covering demands with plates: what the programmes over plate patterns share.

A `PlateColumn` is a pattern of one plate: a tree, and how many of each item are in it. `Covering` is the
linear programme over patterns (least cost, every demand met or exceeded, limits of stock kept);
`cheapest_cover` is the same in whole numbers; `dual_bound` makes a lower bound on cost out of any values,
in exact arithmetic.

Why "met or exceeded" and not "met": a copy too many can be left out of its pattern at no cost (`without`),
so the worth of an item is never below 0, which keeps pricing simple (P. C. Gilmore, R. E. Gomory,
Operations Research 9 (1961) 849-859, from memory).

Both programmes are solved by HiGHS, the linear one to its own tolerances. Nothing is taken on trust from
it: a cover is counted again in whole numbers, and a bound is made exact by `dual_bound` whatever the values
are.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

import numpy as np

from stripplan.layout.feasible import Limits
from stripplan.layout.grid import exact
from stripplan.layout.linear_programme import add_cover_rows, new_programme
from stripplan.layout.problem import Problem
from stripplan.layout.tree import Tree, cut_from


@dataclass(frozen=True)
class PlateColumn:
    """A pattern as a column: its stock, (item, copies) by rising item, and its tree.

    The tree is left out of comparison: two ways to cut the same items from the same stock are one column to
    the programme.
    """

    stock: int
    counts: tuple[tuple[int, int], ...]
    tree: Tree = field(compare=False)


def column_of(stock: int, tree: Tree) -> PlateColumn:
    """The column of a pattern.

    >>> column_of(0, cut_from(10, 4, "across", [Tree(3, 4, 1), Tree(3, 4, 1)], 0)).counts
    ((1, 2),)
    """
    return PlateColumn(stock, tuple(sorted(Counter(tree.items()).items())), tree)


def without(tree: Tree, surplus: Counter[int], limits: Limits) -> Tree:
    """The tree with surplus copies taken out (and off `surplus`); what they leave stays as metal.

    Children that are metal only go to the end, where they join what is left. A copy narrower than the
    narrowest offcut stays. `surplus` is changed in place: afterwards it holds what could not be taken out.
    The tree's other pieces keep their sizes, but move; so whether the rig can cut the new tree is to be
    asked again.

    >>> row = cut_from(10, 4, "across", [Tree(3, 4, 0), Tree(3, 4, 1)], 0)
    >>> smaller = without(row, Counter({0: 1}), Limits(kerf=0))
    >>> list(smaller.items()), smaller.left
    ([1], 7)
    """
    if tree.item is not None:
        if surplus[tree.item] <= 0 or min(tree.length, tree.width) < limits.narrowest:
            return tree
        surplus[tree.item] -= 1
        return Tree(tree.length, tree.width)
    if tree.cut is None:
        return tree
    children = [without(child, surplus, limits) for child in tree.children]
    filled = [child for child in children if not child.is_metal]
    return cut_from(tree.length, tree.width, tree.cut, filled, limits.kerf)


class Covering:
    """Least cost of columns that cover demands within stock limits: a linear programme that keeps its basis.

    Rows: one for each item (made >= demand), then one for each stock (plates used <= limit). Kept between
    calls, so that with new columns it starts from the last basis.
    """

    def __init__(self, demands: Sequence[int], costs: Sequence[float], limits: Sequence[int | None]) -> None:
        self.costs = [float(cost) for cost in costs]
        self.columns: list[PlateColumn] = []
        self._number: dict[PlateColumn, int] = {}
        self._rows = len(demands)
        self._lp = new_programme()
        add_cover_rows(self._lp, demands, limits)
        # Shortfall columns keep the programme feasible whatever the stock limits are. A piece short costs
        # more than any plate, so none is where patterns can help. Not infinitely more: that would spoil the
        # figures of the solver.
        shortfall = 1e3 * max(self.costs) + 1.0
        for row in range(self._rows):
            self._lp.addCol(shortfall, 0.0, self._lp.getInfinity(), 1, np.array([row], np.int32), np.array([1.0]))

    def add(self, column: PlateColumn) -> bool:
        """Add a column; False if one of the same stock with the same counts is there already.

        Where all that pricing found is there already, column generation goes no further with that family.
        """
        if column in self._number:
            return False
        self._number[column] = len(self.columns)
        self.columns.append(column)
        _add_column(self._lp, column, self._rows, self.costs)
        return True

    def ask(self, demands: Sequence[int], limits: Sequence[int | None]) -> None:
        """What is still wanted, and what stock is still there; columns that make too much are put aside."""
        infinity = self._lp.getInfinity()
        for row, demand in enumerate(demands):
            self._lp.changeRowBounds(row, float(demand), infinity)
        for stock, limit in enumerate(limits):
            self._lp.changeRowBounds(self._rows + stock, -infinity, infinity if limit is None else float(limit))
        for number, column in enumerate(self.columns):
            # A pattern that makes too much could be used in part by the linear programme, never whole: put
            # aside, until it is asked anew.
            fits = all(copies <= demands[item] for item, copies in column.counts)
            self._lp.changeColBounds(self._rows + number, 0.0, infinity if fits else 0.0)

    def solve(self) -> tuple[list[float], list[float], list[float]]:
        """Use of each column, worth of each item, worth of each stock's limit (0 or below).

        Use is in plates, worths in the unit of the costs. ArithmeticError where HiGHS ends without an
        optimum.
        """
        from highspy import HighsModelStatus

        self._lp.run()
        if self._lp.getModelStatus() != HighsModelStatus.kOptimal:
            # A basis kept from before can be a bad one to start from; once more, from none.
            self._lp.clearSolver()
            self._lp.run()
        if self._lp.getModelStatus() != HighsModelStatus.kOptimal:
            raise ArithmeticError(f"the linear programme ended with {self._lp.getModelStatus()}")
        solution = self._lp.getSolution()
        duals = [float(each) for each in solution.row_dual]
        # Shortfall columns come first and are no patterns. Duals are cut off at 0, which the solver may
        # miss by its tolerance.
        use = [float(each) for each in solution.col_value[self._rows :]]
        worth = [max(0.0, each) for each in duals[: self._rows]]
        return use, worth, [min(0.0, each) for each in duals[self._rows :]]


def _add_column(lp: Any, column: PlateColumn, rows: int, costs: Sequence[float]) -> None:
    """One plate of a pattern: its cost, its items, and one plate less of its stock."""
    index = [item for item, _ in column.counts] + [rows + column.stock]
    value = [float(copies) for _, copies in column.counts] + [1.0]
    infinity = lp.getInfinity()
    lp.addCol(costs[column.stock], 0.0, infinity, len(index), np.array(index, np.int32), np.array(value))


def cheapest_cover(
    demands: Sequence[int],
    costs: Sequence[float],
    limits: Sequence[int | None],
    columns: Sequence[PlateColumn],
    *,
    nodes: int,
    below: float,
    at_least: float = 0.0,
) -> list[int] | None:
    """How often to use each column in whole numbers, cheaper than `below`; None = nothing found in `nodes` nodes.

    The node limit, not the clock, ends the search, so that the same job gives the same plan. `at_least` is
    a lower bound known beforehand: a cover that cheap ends the search. None proves nothing: the columns are
    not all patterns there are, and the nodes may have been too few.
    """
    from highspy import HighsVarType

    lp = new_programme(mip_max_nodes=nodes, mip_rel_gap=0.0, objective_bound=below, mip_abs_gap=1e-6)
    add_cover_rows(lp, demands, limits)
    if at_least > 0:
        lp.setOptionValue("objective_target", at_least * (1 + 1e-9) + 1e-9)
    for number, column in enumerate(columns):
        _add_column(lp, column, len(demands), costs)
        lp.changeColIntegrality(number, HighsVarType.kInteger)
    lp.run()
    if lp.getInfo().primal_solution_status != 2:
        return None
    # The solver's whole numbers are whole within a tolerance. So they are rounded, and covering and cost
    # are counted again.
    times = [round(each) for each in lp.getSolution().col_value]
    made = Counter(dict.fromkeys(range(len(demands)), 0))
    for column, use in zip(columns, times, strict=True):
        for item, copies in column.counts:
            made[item] += copies * use
    cost = sum(costs[column.stock] * use for column, use in zip(columns, times, strict=True))
    covered = all(made[item] >= demand for item, demand in enumerate(demands))
    return times if covered and cost < below - 1e-9 else None


def dual_bound(problem: Problem, values: Sequence[int], tops: Sequence[int], limit_worth: Sequence[float]) -> Fraction:
    """A lower bound on cost: values scaled until no plate holds more worth than it costs, summed over all demands.

    `tops` bound from above, for each stock, the value of every pattern. A. A. Farley, Operations Research
    38 (1990) 922-923; exact, whatever the values are.

    Why it holds: let a stock cost c, its limit be worth w <= 0, and no pattern of it be worth more than t.
    With a scale s >= t / (c - w) for all stocks, a plate costs c >= (value of its pattern) / s + w. Summed
    over the plates of a plan, the first term is at least the value of all demands / s, the second at least
    w times the limit. `values`: one for each item; the bound is in the unit of the costs.
    """
    limits = [min(Fraction(0), exact(each)) for each in limit_worth]
    scale = Fraction(0)
    for stock, top, limit in zip(problem.stocks, tops, limits, strict=True):
        price = exact(stock.cost) - limit
        if top > 0 and price <= 0:
            return Fraction(0)  # a stock that costs nothing bounds nothing
        # A stock no pattern of which is worth anything sets no scale: its plates cannot make the plan cheaper.
        scale = max(scale, Fraction(top) / price if top > 0 else Fraction(0))
    if scale == 0:
        return Fraction(0)
    total = sum(item.demand * value for item, value in zip(problem.items, values, strict=True))
    held = sum(
        (s.limit * each for s, each in zip(problem.stocks, limits, strict=True) if s.limit is not None), Fraction(0)
    )
    return max(Fraction(0), total / scale + held)
