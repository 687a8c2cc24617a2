"""The way into layout: a problem to patterns with their bound. Engines come in here, behind `lay_out`.

Strips alone are one problem, rectangles another; both end with the same search for a better offcut.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from stripplan.layout.bounds.material import LayoutBound, material_bound, tightened
from stripplan.layout.portfolio import Portfolio, Report
from stripplan.layout.problem import Problem
from stripplan.layout.rectangles.leftover import Gathered, gather
from stripplan.layout.rectangles.search import default_steps, strips_as_tree
from stripplan.layout.stop_rule import Clock
from stripplan.layout.strips.branch_and_price import solve_strips
from stripplan.layout.strips.columns import StripWorld
from stripplan.layout.strips.fewest_patterns import fewest_patterns
from stripplan.layout.to_pattern import PatternMaker
from stripplan.layout.tree import FilledStock
from stripplan.model.effort import Effort
from stripplan.model.offcut import offcut_value
from stripplan.model.part import Part
from stripplan.model.pattern import Pattern


@dataclass(frozen=True)
class Layout:
    """Patterns of one problem, how many of each item (by number) found no place, the bound, steps done."""

    patterns: list[Pattern]
    short: dict[int, int]
    bound: LayoutBound
    steps: int


def lay_out(
    problem: Problem,
    parts: Sequence[Part],
    *,
    effort: Effort,
    out_of_time: Clock,
    weights: Mapping[str, float] | None = None,
    report: Report = lambda _cost, _bound: None,
) -> Layout:
    """The cheapest layout found for a problem; of equally cheap ones that with the most valuable offcut.

    `parts` are the job's parts, by index; `weights` say what an offcut is worth (see `model.offcut`); `report`
    hears of the cost and its bound whenever either is better.
    """
    maker = PatternMaker(problem, parts)
    gathering = _Gathering(problem, effort, out_of_time, weights or {}, report)
    if problem.strips_only and _any_order_works(problem):
        return _strips(problem, maker, gathering)
    return _rectangles(problem, maker, gathering)


@dataclass(frozen=True)
class _Gathering:
    """Gathers what is left of plates into a better offcut."""

    problem: Problem
    effort: Effort
    out_of_time: Clock
    weights: Mapping[str, float]
    report: Report

    def of(self, filled: Sequence[FilledStock]) -> Gathered:
        """Plates with a better offcut."""
        steps = default_steps(self.problem) if self.effort.steps is None else self.effort.steps
        if steps == 0:
            return Gathered(list(filled), False, 0)
        return gather(
            self.problem,
            filled,
            value=self._value,
            seed=self.effort.seed,
            steps=steps // 4,
            out_of_time=self.out_of_time,
        )

    def _value(self, length: float, width: float) -> float:
        unit = float(self.problem.grid.unit)
        keep = (self.problem.keep[0] * unit, self.problem.keep[1] * unit)
        return offcut_value(length, width, keep, self.weights)


def _strips(problem: Problem, maker: PatternMaker, gathering: _Gathering) -> Layout:
    bound = material_bound(problem)
    world = StripWorld(problem)
    try:
        answer = solve_strips(
            world,
            steps=gathering.effort.steps,
            out_of_time=gathering.out_of_time,
            enough=bound.cost,
        )
    except ArithmeticError:  # the linear programme came to no end: strips are rectangles too
        return _rectangles(problem, maker, gathering)
    bound = tightened(bound, problem, answer.bound, answer.how)
    short = {number: n for number, n in enumerate(answer.short) if n}
    uses = fewest_patterns(world, answer.uses, out_of_time=gathering.out_of_time)
    filled = [
        FilledStock(column.stock, strips_as_tree(problem, column.stock, column.counts))
        for column, n in uses
        for _ in range(n)
    ]
    found = gathering.of(filled)
    if found.better:
        patterns = maker.of_filled(found.filled)
    else:
        patterns = maker.of_strips((column.stock, column.counts, n) for column, n in uses)
    return Layout(patterns, short, bound, answer.steps + found.steps)


def _rectangles(problem: Problem, maker: PatternMaker, gathering: _Gathering) -> Layout:
    found = Portfolio(problem, gathering.effort, gathering.out_of_time, gathering.report).run(gathering.of)
    short = {number: found.short.count(number) for number in sorted(set(found.short))}
    return Layout(maker.of_filled(found.filled), short, found.bound, found.steps)


def _any_order_works(problem: Problem) -> bool:
    """Whether any set of strips can be cut whatever their order: marked cuts allowed, or every strip in reach."""
    return all(
        stock.limits.far_max is None
        and (stock.limits.marked or all(stock.limits.reaches(y) for item in problem.items for _, y, _ in item.sizes[n]))
        for n, stock in enumerate(problem.stocks)
    )
