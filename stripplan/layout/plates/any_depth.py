"""Patterns of any depth at given values, and what no legal pattern is worth more than: tables of a whole plate.

Problem: the pricing of column generation (see `column_generation`) where cuts may change direction as often
as they like.

Method: dynamic programming over every rectangle of the plate (P. C. Gilmore, R. E. Gomory, Operations
Research 14 (1966) 1045-1074; see `single_plate.unbounded`). The tables know no demands: a pattern is cut
back to what is wanted by its taker, and the bound holds all the more.

Exact for its own problem: without demands, with kerf, narrowest offcut and longest cut. What else the rig
cannot do is asked of the pattern afterwards (`Problem.is_legal`). The bound drops the limits of the rig as
well, so every legal pattern is among those it looks at.

Cost: raster points along x times those along y times a quarter of both together, for each stock and each
round (see `unbounded.work`). That grows with the cube of the plate in units: so there are caps, and the
tables are asked last.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from stripplan.layout.plates.covering_programme import dual_bound
from stripplan.layout.problem import Problem
from stripplan.layout.single_plate.plate import ItemView, StockView, plate_of
from stripplan.layout.single_plate.unbounded import (
    Grounds,
    PlateTooFineError,
    grounds,
    rebuilt,
    table,
    value_bound,
    work_with_limits,
)
from stripplan.layout.stop_rule import Clock, OutOfTimeError
from stripplan.layout.tree import Tree

MOST_SUMS = 2_000_000_000
"""Sums that the tables of all stocks may take in one round. Higher: finer plates still get deep patterns and a
bound in full units, but a round takes longer. Set by trial, not studied.
"""

ALL_SUMS = 12_000_000_000
"""Sums that all rounds together may take: deep patterns against the time for the search that follows. Set by
trial, not studied.
"""


class Deep:
    """The tables of a problem's stocks.

    `sums` is about what one round takes, `rounds` how many rounds the budget allows (none where one would
    already be too long, and never more than 400).
    """

    def __init__(self, problem: Problem, out_of_time: Clock) -> None:
        self.problem, self.out_of_time = problem, out_of_time
        self._grounds: dict[int, Grounds | None] = {}
        self.sums = sum(
            work_with_limits(plate_of(stock), self._shapes(n, None)) for n, stock in enumerate(problem.stocks)
        )
        self.rounds = 0 if self.sums > MOST_SUMS else int(ALL_SUMS // max(self.sums, ALL_SUMS // 400))

    def _bare(self, number: int) -> StockView:
        """A stock with its sizes and kerf alone."""
        stock = self.problem.stocks[number]
        return StockView(stock.length, stock.width, stock.kerf)

    def _shapes(self, number: int, values: Sequence[int] | None, *, bare: bool = False) -> list[ItemView]:
        """All items on a stock, by their number in the problem, without demands; `bare`: at sizes no layout
        can undercut.
        """
        items = self.problem.items
        worth = values if values is not None else [1] * len(items)
        ways = [(item.bound_sizes if bare else item.sizes)[number] for item in items]
        return [ItemView(each, value) for each, value in zip(ways, worth, strict=True)]

    def _ground(self, number: int) -> Grounds | None:
        """Where a stock need be cut; None where that is too fine. It does not depend on values, so it is made once."""
        if number not in self._grounds:
            plate = plate_of(self.problem.stocks[number])
            try:
                self._grounds[number] = grounds(plate, self._shapes(number, None))
            except PlateTooFineError:
                self._grounds[number] = None
        return self._grounds[number]

    def pattern(self, number: int, values: Sequence[int], least: float) -> Tree | None:
        """The most valuable pattern of a stock; None where it is worth no more than `least`, or the plate is too fine.

        `values` are whole numbers, one for each item. The pattern may make more of an item than is wanted.
        Raises OutOfTimeError.
        """
        ground = self._ground(number)
        if ground is None:
            return None
        made = table(ground, values, self.out_of_time)
        return rebuilt(made, self._shapes(number, values)) if made.value > least else None

    def bound(self, values: Sequence[int], limit_worth: Sequence[float]) -> Fraction | None:
        """A lower bound on the cost of every legal plan; None where the plates are too fine, or time was over.

        In the unit of the stocks' costs. `limit_worth`, one for each stock, is 0 or below: see
        `covering_programme.dual_bound`.
        """
        try:
            tops = [
                value_bound(
                    self._bare(n),
                    self._shapes(n, values, bare=True),
                    most_work=MOST_SUMS,
                    out_of_time=self.out_of_time,
                )
                for n in range(len(self.problem.stocks))
            ]
        except (PlateTooFineError, OutOfTimeError):
            return None
        return dual_bound(self.problem, values, tops, limit_worth)
