"""The master of column generation: how often to use each pattern, at the least cost (a linear programme).

Problem: demands for items, patterns (columns) that each make some of each from one plate of a stock, a cost and
perhaps a limit for each stock. Find uses, fractions allowed, that make at least the demands at least cost. With
every legal pattern as a column its cost would bound every plan; with those found so far it gives the values of
the items by which `columns` looks for better patterns.

Method: P. C. Gilmore, R. E. Gomory, Operations Research 9 (1961) 849-859. Solved by HiGHS, which keeps its
basis while columns are added, so a round starts where the last one ended. Rows: each item's demand, then each stock's
limit. Columns of the programme: one for the shortfall of each item, then the patterns in the order in which
they came.

Exact within the solver's tolerances. No bound is read off it for that reason: `columns` takes its own, in whole
numbers, from the item values.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from stripplan.layout.linear_programme import add_cover_rows, new_programme

if TYPE_CHECKING:
    import numpy.typing as npt

    Flags = npt.NDArray[np.bool_]


@dataclass(frozen=True)
class Column:
    """One pattern: from which stock (its number in the problem), how many of each item. Whether it fits is the
    maker's to know.
    """

    stock: int
    counts: tuple[int, ...]


@dataclass(frozen=True)
class Solution:
    """Cost, use of each column, worth of each item and of each stock's limit (the duals).

    `use` goes by the columns as added, in plates, fractions allowed. `worth` is 0 or more: what one more of the
    item would cost. `limit_worth` is 0 or less: what one more plate of the stock would save, with its sign
    turned.
    """

    cost: float
    use: list[float]
    worth: list[float]
    limit_worth: list[float]


@dataclass
class Master:
    """Least cost of columns that cover `demands` within stock `limits` (None = no limit).

    `demands` has one entry for each item, `costs` and `limits` one for each stock. It covers: making more than
    is wanted is allowed here, since that keeps the item values from falling below 0; who needs exact numbers
    fixes columns that make no more than is left (`diving`).
    """

    demands: Sequence[int]
    costs: Sequence[float]
    limits: Sequence[int | None]
    columns: list[Column] = field(default_factory=list)

    def __post_init__(self) -> None:
        self._lp = new_programme()
        self._infinity = self._lp.getInfinity()
        add_cover_rows(self._lp, self.demands, self.limits)
        # Shortfall columns keep the programme feasible whatever the stock limits are.
        # A shortfall costs far more than a plate, or a plan would rather leave strips unmade than use one.
        self._shortfall = 1e3 * max(self.costs) + 1.0
        for row in range(len(self.demands)):
            self._lp.addCol(self._shortfall, 0.0, self._infinity, 1, np.array([row], np.int32), np.array([1.0]))
        # By number of column: what it makes (rows of a table that grows by doubling), and whether it is open
        # for use.
        self._known: dict[Column, int] = {}
        self._counts = np.zeros((64, len(self.demands)), dtype=np.int64)
        self._open = np.ones(64, dtype=np.bool_)

    def add(self, column: Column) -> bool:
        """Add a column; False if it is there already. Its counts must have one entry for each item."""
        if column in self._known:
            return False
        self._known[column] = len(self.columns)
        if len(self.columns) == len(self._counts):
            self._counts = np.concatenate([self._counts, np.zeros_like(self._counts)])
            self._open = np.concatenate([self._open, np.ones_like(self._open)])
        self._counts[len(self.columns)] = column.counts
        self.columns.append(column)
        rows = [row for row, count in enumerate(column.counts) if count]
        values = [float(column.counts[row]) for row in rows] + [1.0]
        rows.append(len(self.demands) + column.stock)
        self._lp.addCol(
            self.costs[column.stock], 0.0, self._infinity, len(rows), np.array(rows, np.int32), np.array(values)
        )
        return True

    def solve(self) -> Solution:
        """The least-cost solution over the columns so far; shortfall is in its cost, but not in its `use`.

        ArithmeticError where the solver ends without an optimum: shortfall columns rule out "infeasible", so
        that is a failure of the solver and must not be taken for an answer.
        """
        from highspy import HighsModelStatus

        self._lp.run()
        if self._lp.getModelStatus() != HighsModelStatus.kOptimal:
            raise ArithmeticError(f"the linear programme ended with {self._lp.getModelStatus()}")
        solution = self._lp.getSolution()
        count = len(self.demands)
        duals = list(solution.row_dual)
        # Duals that the tolerances leave on the wrong side of 0 are noise: the bound rests on the
        # right side.
        return Solution(
            float(self._lp.getInfo().objective_function_value),
            [float(each) for each in solution.col_value[count:]],
            [max(0.0, float(each)) for each in duals[:count]],
            [min(0.0, float(each)) for each in duals[count:]],
        )

    def set_demands(
        self, demands: Sequence[int], limits: Sequence[int | None], aside: frozenset[Column] = frozenset()
    ) -> None:
        """What is still wanted, and what stock is still there; columns that make too much are put aside too.

        `aside` must be columns of this master (KeyError otherwise). A column put aside keeps its place and its
        upper bound becomes 0, so the solver's basis and the numbers of the others stay; a later call opens it
        again.
        """
        for row, demand in enumerate(demands):
            self._lp.changeRowBounds(row, float(demand), self._infinity)
        for stock, limit in enumerate(limits):
            most = self._infinity if limit is None else float(limit)
            self._lp.changeRowBounds(len(self.demands) + stock, -self._infinity, most)
        fits: Flags = np.asarray((self._counts[: len(self.columns)] <= np.array(demands)).all(axis=1), dtype=np.bool_)
        for column in aside:
            fits[self._known[column]] = False
        # Only columns whose state has changed are told: most have not, and there may be thousands.
        for number in np.flatnonzero(fits != self._open[: len(fits)]):
            self._lp.changeColBounds(len(self.demands) + int(number), 0.0, self._infinity if fits[number] else 0.0)
        self._open[: len(fits)] = fits


def whole_numbers(
    demands: Sequence[int],
    costs: Sequence[float],
    limits: Sequence[int | None],
    columns: Sequence[Column],
    *,
    nodes: int = 2000,
    below: float | None = None,
) -> list[int] | None:
    """How often to use each column in whole numbers, by branch and bound of at most `nodes` nodes.

    One number for each of `columns`, in their order; together they make at least `demands` within `limits`.
    Only an answer cheaper than `below` counts. The node limit, not the clock, ends the search, so that the same
    job gives the same plan. None = nothing better was found, which proves nothing: other columns may do better.
    """
    from highspy import HighsModelStatus, HighsVarType

    lp = new_programme(mip_max_nodes=nodes, mip_rel_gap=0.0)
    infinity = lp.getInfinity()
    # There are no shortfall columns here: an answer that leaves strips unmade is no answer.
    add_cover_rows(lp, demands, limits)
    if below is not None:
        lp.setOptionValue("objective_bound", below)
    for number, column in enumerate(columns):
        rows = [row for row, count in enumerate(column.counts) if count]
        values = [float(column.counts[row]) for row in rows] + [1.0]
        rows.append(len(demands) + column.stock)
        lp.addCol(costs[column.stock], 0.0, infinity, len(rows), np.array(rows, np.int32), np.array(values))
        lp.changeColIntegrality(number, HighsVarType.kInteger)
    lp.run()
    solved = lp.getModelStatus() in (HighsModelStatus.kOptimal, HighsModelStatus.kSolutionLimit)
    if not solved and lp.getInfo().primal_solution_status != 2:
        return None
    # The solver's whole numbers are whole within its tolerance only; the cost is taken anew from the rounded
    # ones.
    times = [round(each) for each in lp.getSolution().col_value]
    cost = sum(costs[column.stock] * use for column, use in zip(columns, times, strict=True))
    return times if times and (below is None or cost < below - 1e-9) else None
