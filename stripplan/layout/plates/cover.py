"""Covering demands with plates: what the programmes over plate patterns share.

A `Block` is a pattern of one plate in whole units: nested blocks, each cut in one direction. `Covering` is the
linear programme over patterns (least cost, every demand met or exceeded, limits of stock kept); `cheapest_cover`
is the same in whole numbers; `dual_bound` makes a lower bound on cost out of any values, in exact arithmetic.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import Any

import numpy as np

from stripplan.layout.grid import exact
from stripplan.layout.problem import Problem, Stock
from stripplan.layout.rectangles.search import Rect, Sheet
from stripplan.model.feasible import cut_is_legal, lies_on_rig, split_is_legal
from stripplan.model.pattern import Direction


@dataclass(frozen=True)
class Block:
    """A rectangle of a pattern in units: an item, metal left (no item, no children), or cut into `children`.

    Cuts "along" add widths up, "across" lengths; what children and kerfs do not fill is left at the end.
    """

    length: int
    width: int
    item: int | None = None
    turned: bool = False
    cut: Direction | None = None
    children: tuple[Block, ...] = ()

    def size(self, cut: Direction) -> int:
        """Extent at right angles to cuts of a direction."""
        return self.width if cut == "along" else self.length

    def items(self) -> Iterator[int]:
        """The items in it, one entry for each copy."""
        if self.item is not None:
            yield self.item
        for child in self.children:
            yield from child.items()


@dataclass(frozen=True)
class PlateColumn:
    """A pattern as a column: its stock, (item, copies) by rising item, and the block."""

    stock: int
    counts: tuple[tuple[int, int], ...]
    block: Block = field(compare=False)


def column_of(stock: int, block: Block) -> PlateColumn:
    """The column of a pattern."""
    return PlateColumn(stock, tuple(sorted(Counter(block.items()).items())), block)


def is_legal(problem: Problem, stock_number: int, block: Block) -> bool:
    """Whether the rig can cut a whole plate of that stock into this pattern, within the job's depth."""
    stock = problem.stocks[stock_number]
    fits = block.length == stock.length and block.width == stock.width
    return fits and _cuts_legal(problem, stock, block, 0, None)


def _cuts_legal(problem: Problem, stock: Stock, block: Block, depth: int, came_by: Direction | None) -> bool:
    if block.cut is None:
        return block.item is not None or min(block.length, block.width) >= stock.narrowest
    cut, left = block.cut, block.size(block.cut)
    inside = depth + (came_by != cut)
    for child in block.children:
        size = child.size(cut)
        if size == left and len(block.children) == 1:
            return _cuts_legal(problem, stock, child, depth, came_by)
        if size != left and not _one_cut(problem, stock, block, cut, (left, size), inside):
            return False
        if not _cuts_legal(problem, stock, child, inside, cut):
            return False
        left -= size + stock.kerf
    return left == -stock.kerf or stock.rest_ok(left + stock.kerf)


def _one_cut(problem: Problem, stock: Stock, block: Block, cut: Direction, sizes: tuple[int, int], depth: int) -> bool:
    """Whether one cut parts a size from what is left of a block (sizes: left, size)."""
    if problem.depth is not None and depth > problem.depth:
        return False
    left, size = sizes
    unit, rules = float(problem.grid.unit), stock.rules
    travel = (block.length if cut == "along" else block.width) * unit
    return (
        size < left
        and cut_is_legal(rules, travel)
        and lies_on_rig(rules, travel, left * unit)
        and split_is_legal(rules, size * unit, (left - size) * unit - rules.kerf)
    )


def without(block: Block, surplus: Counter[int], narrowest: int) -> Block:
    """The block with surplus copies taken out (and off `surplus`); what they leave stays as metal.

    Children that are metal only go to the end, where they join what is left. A copy narrower than the narrowest
    offcut stays.
    """
    if block.item is not None:
        if surplus[block.item] <= 0 or min(block.length, block.width) < narrowest:
            return block
        surplus[block.item] -= 1
        return Block(block.length, block.width)
    if block.cut is None:
        return block
    children = tuple(without(child, surplus, narrowest) for child in block.children)
    filled = tuple(child for child in children if child.item is not None or child.children)
    return replace(block, children=filled) if filled else Block(block.length, block.width)


def block_of(rect: Rect) -> Block:
    """A filled rectangle of the constructive search as a block."""
    if rect.cut is None:
        return Block(rect.length, rect.width, rect.item, rect.turned)
    children, inner = [], rect
    while inner.cut == rect.cut:
        assert inner.first is not None
        assert inner.rest is not None
        children.append(block_of(inner.first))
        inner = inner.rest
    if inner.length > 0 and inner.width > 0 and (inner.item is not None or inner.cut is not None):
        children.append(block_of(inner))
    return Block(rect.length, rect.width, cut=rect.cut, children=tuple(children))


def sheet_of(problem: Problem, stock: int, block: Block) -> Sheet:
    """A pattern as a filled plate, with its free rectangles."""
    root = Rect(block.length, block.width, 0, None)
    sheet = Sheet(stock, root, [])
    _fill(sheet, root, block, problem.stocks[stock].kerf)
    return sheet


def _fill(sheet: Sheet, rect: Rect, block: Block, kerf: int) -> None:
    if block.item is not None:
        rect.item, rect.turned = block.item, block.turned
        sheet.items.append(block.item)
        sheet.filled += block.length * block.width
    elif block.cut is None:
        sheet.free.append(rect)
    else:
        _fill_children(sheet, rect, block, block.cut, kerf)


def _fill_children(sheet: Sheet, rect: Rect, block: Block, cut: Direction, kerf: int) -> None:
    depth, inner = rect.depth + (rect.came_by != cut), rect
    for child in block.children:
        if child.length == inner.length and child.width == inner.width:
            _fill(sheet, inner, child, kerf)
            return
        inner.cut = cut
        inner.first = Rect(child.length, child.width, depth, cut)
        length = inner.length - (child.length + kerf if cut == "across" else 0)
        width = inner.width - (child.width + kerf if cut == "along" else 0)
        inner.rest = Rect(length, width, depth, cut)
        _fill(sheet, inner.first, child, kerf)
        inner = inner.rest
    if inner.length > 0 and inner.width > 0:
        sheet.free.append(inner)


class Covering:
    """Least cost of columns that cover demands within stock limits: a linear programme that keeps its basis."""

    def __init__(self, demands: Sequence[int], costs: Sequence[float], limits: Sequence[int | None]) -> None:
        self.costs = [float(cost) for cost in costs]
        self.columns: list[PlateColumn] = []
        self._number: dict[PlateColumn, int] = {}
        self._rows = len(demands)
        self._lp = _empty_programme(demands, limits)
        # Shortfall columns keep the programme feasible whatever the stock limits are.
        shortfall = 1e3 * max(self.costs) + 1.0
        for row in range(self._rows):
            self._lp.addCol(shortfall, 0.0, self._lp.getInfinity(), 1, np.array([row], np.int32), np.array([1.0]))

    def add(self, column: PlateColumn) -> bool:
        """Add a column; False if one with the same counts is there already."""
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
            fits = all(copies <= demands[item] for item, copies in column.counts)
            self._lp.changeColBounds(self._rows + number, 0.0, infinity if fits else 0.0)

    def solve(self) -> tuple[list[float], list[float], list[float]]:
        """Use of each column, worth of each item, worth of each stock's limit (0 or below)."""
        from highspy import HighsModelStatus

        self._lp.run()
        if self._lp.getModelStatus() != HighsModelStatus.kOptimal:
            raise ArithmeticError(f"the linear programme ended with {self._lp.getModelStatus()}")
        solution = self._lp.getSolution()
        duals = [float(each) for each in solution.row_dual]
        use = [float(each) for each in solution.col_value[self._rows :]]
        worth = [max(0.0, each) for each in duals[: self._rows]]
        return use, worth, [min(0.0, each) for each in duals[self._rows :]]


def _empty_programme(demands: Sequence[int], limits: Sequence[int | None]) -> Any:
    from highspy import Highs

    new: Any = Highs
    lp = new()
    lp.setOptionValue("output_flag", False)
    lp.setOptionValue("threads", 1)
    infinity = lp.getInfinity()
    for demand in demands:
        lp.addRow(float(demand), infinity, 0, [], [])
    for limit in limits:
        lp.addRow(-infinity, infinity if limit is None else float(limit), 0, [], [])
    return lp


def _add_column(lp: Any, column: PlateColumn, rows: int, costs: Sequence[float]) -> None:
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

    The node limit, not the clock, ends the search, so that the same job gives the same plan. `at_least` is a
    lower bound known beforehand.
    """
    from highspy import HighsVarType

    lp = _empty_programme(demands, limits)
    for name, value in (("mip_max_nodes", nodes), ("mip_rel_gap", 0.0), ("objective_bound", below)):
        lp.setOptionValue(name, value)
    lp.setOptionValue("mip_abs_gap", 1e-6)
    if at_least > 0:
        lp.setOptionValue("objective_target", at_least * (1 + 1e-9) + 1e-9)
    for number, column in enumerate(columns):
        _add_column(lp, column, len(demands), costs)
        lp.changeColIntegrality(number, HighsVarType.kInteger)
    lp.run()
    if lp.getInfo().primal_solution_status != 2:
        return None
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

    `tops` bound from above, for each stock, the value of every pattern. A. A. Farley, Operations Research 38
    (1990) 922-923; exact, whatever the values are.
    """
    limits = [min(Fraction(0), exact(each)) for each in limit_worth]
    scale = Fraction(0)
    for stock, top, limit in zip(problem.stocks, tops, limits, strict=True):
        price = exact(stock.cost) - limit
        if top > 0 and price <= 0:
            return Fraction(0)  # a stock that costs nothing bounds nothing
        scale = max(scale, Fraction(top) / price if top > 0 else Fraction(0))
    if scale == 0:
        return Fraction(0)
    total = sum(item.demand * value for item, value in zip(problem.items, values, strict=True))
    held = sum(
        (s.limit * each for s, each in zip(problem.stocks, limits, strict=True) if s.limit is not None), Fraction(0)
    )
    return max(Fraction(0), total / scale + held)
