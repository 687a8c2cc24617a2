"""The way into layout: a problem to patterns with their bound. Other engines come in here, behind `lay_out`."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from ..model.effort import Effort
from ..model.legal import reaches
from ..model.part import Part
from ..model.pattern import Pattern
from .bounds import LayoutBound, material_bound, tightened
from .generate import StripWorld
from .grid import exact
from .patterns import PatternMaker
from .problem import Problem
from .rectangles import solve_rectangles
from .whole import solve_strips

DEFAULT_WORK = 6000
"""Placements tried by default for rectangles; steps are this over the number of parts."""


@dataclass(frozen=True)
class Layout:
    """Patterns of one problem, how many of each item (by number) found no place, the bound, steps done."""

    patterns: list[Pattern]
    short: dict[int, int]
    bound: LayoutBound
    steps: int


def lay_out(problem: Problem, parts: Sequence[Part], *, effort: Effort, out_of_time: Callable[[], bool]) -> Layout:
    """The cheapest layout found for a problem. `parts` are the job's parts, by index."""
    maker = PatternMaker(problem, parts)
    bound = material_bound(problem)
    if problem.strips_only and _any_order_works(problem):
        enough = exact(bound.cost)
        answer = solve_strips(StripWorld(problem), steps=effort.steps, out_of_time=out_of_time, enough=enough)
        bound = tightened(bound, problem, answer.bound, "column generation bound over all sets of strips")
        short = {number: n for number, n in enumerate(answer.short) if n}
        return Layout(maker.of_columns(answer.uses), short, bound, answer.steps)
    count = sum(item.demand for item in problem.items)
    steps = effort.steps if effort.steps is not None else max(8, min(200, DEFAULT_WORK // max(count, 1)))
    found = solve_rectangles(problem, seed=effort.seed, steps=steps, out_of_time=out_of_time)
    short = {number: found.short.count(number) for number in sorted(set(found.short))}
    return Layout(maker.of_sheets(found.sheets), short, bound, found.steps)


def _any_order_works(problem: Problem) -> bool:
    """Whether any set of strips can be cut whatever their order: marked cuts allowed, or every strip in reach."""
    unit = float(problem.grid.unit)
    return all(
        stock.rules.far_max is None
        and (
            stock.rules.marked
            or all(reaches(stock.rules, way[1] * unit) for item in problem.items for way in item.sizes[n])
        )
        for n, stock in enumerate(problem.stocks)
    )
