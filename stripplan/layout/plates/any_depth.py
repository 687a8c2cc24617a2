"""Patterns of any depth at given values, and what no legal pattern is worth more than: tables of a whole plate.

The tables know no demands: a pattern is cut back to what is wanted by its taker, and the bound holds all the more.
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
    work,
)
from stripplan.layout.stop_rule import Clock, OutOfTimeError
from stripplan.layout.tree import Tree

MOST_SUMS = 2_000_000_000
"""Sums that the tables of all stocks may take in one round. Set by trial, not studied."""

ALL_SUMS = 12_000_000_000
"""Sums that all rounds together may take. Set by trial, not studied."""

GAPPED = 4
"""How much longer tables take where not any waste may be left. Set by trial, not studied."""


class Deep:
    """The tables of a problem's stocks."""

    def __init__(self, problem: Problem, out_of_time: Clock) -> None:
        self.problem, self.out_of_time = problem, out_of_time
        self._grounds: dict[int, Grounds | None] = {}
        self.sums = sum(work(self._bare(n), self._shapes(n, None)) for n in range(len(problem.stocks)))
        if any(stock.limits.narrowest for stock in problem.stocks):
            self.sums *= GAPPED
        self.rounds = 0 if self.sums > MOST_SUMS * GAPPED else int(ALL_SUMS // max(self.sums, ALL_SUMS // 400))

    def _bare(self, number: int) -> StockView:
        stock = self.problem.stocks[number]
        return StockView(stock.length, stock.width, stock.kerf)

    def _shapes(self, number: int, values: Sequence[int] | None, *, bare: bool = False) -> list[ItemView]:
        items = self.problem.items
        worth = values if values is not None else [1] * len(items)
        ways = [(item.bound_sizes if bare else item.sizes)[number] for item in items]
        return [ItemView(each, value) for each, value in zip(ways, worth, strict=True)]

    def _ground(self, number: int) -> Grounds | None:
        if number not in self._grounds:
            plate = plate_of(self.problem.stocks[number])
            try:
                self._grounds[number] = grounds(plate, self._shapes(number, None))
            except PlateTooFineError:
                self._grounds[number] = None
        return self._grounds[number]

    def pattern(self, number: int, values: Sequence[int], least: float) -> Tree | None:
        """The most valuable pattern of a stock; None where it is worth no more than `least`. Raises OutOfTimeError."""
        ground = self._ground(number)
        if ground is None:
            return None
        made = table(ground, values, self.out_of_time)
        return rebuilt(made, self._shapes(number, values)) if made.value > least else None

    def bound(self, values: Sequence[int], limit_worth: Sequence[float]) -> Fraction | None:
        """A lower bound on the cost of every legal plan; None where the plates are too fine, or time was over."""
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
