"""Fewer kinds of plate than there are: what a person would try by hand, and no search may do worse than.

With several kinds of plate and offcuts a search has so many ways to mix them that it passes over the plain ones, one
sheet of the smaller kind that just holds all. Each plain choice is a problem of its own, small enough to be searched
well.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import NamedTuple

from stripplan.layout.problem import Item, Problem, Way
from stripplan.layout.tree import FilledStock

StockChoice = tuple[int, ...]
"""Stocks by number, in their order."""
STAGES = (3, 2)
"""Depths to which cuts are held back: beyond three a person loses the thread, and more are hardly a limit."""


class FormKey(NamedTuple):
    """A way to hold a problem back: stocks that it may use, and its depth."""

    stocks: StockChoice
    depth: int | None

    def within(self, other: FormKey) -> bool:
        """Whether what this form allows the other allows too."""
        shallower = other.depth is None or (self.depth is not None and self.depth <= other.depth)
        return shallower and set(self.stocks) <= set(other.stocks)


def stock_choices(problem: Problem) -> Iterator[StockChoice]:
    """All stocks; sheets without offcuts; each kind of sheet, with offcuts and without. Of fewer than all only those
    that every item can come from and that are metal enough for all: of a shelf full of sheets, one of each, few are.
    """
    every = range(len(problem.stocks))
    offcuts = frozenset(n for n in every if problem.stocks[n].plate.offcut)
    sheets = frozenset(every) - offcuts
    alone = (frozenset({n}) | more for n in sorted(sheets) for more in (offcuts, frozenset[int]()))
    for chosen in dict.fromkeys(tuple(sorted(some)) for some in (frozenset(every), sheets, *alone)):
        if len(chosen) == len(every) or may_hold_all(problem, chosen):
            yield chosen


def may_hold_all(problem: Problem, chosen: StockChoice) -> bool:
    """Whether every item can come from one of the chosen stocks, and they are metal enough for all."""
    wanted = (item.sizes for item in problem.items if item.demand)
    each_fits = all(any(sizes[n] for n in chosen) for sizes in wanted)
    return bool(chosen) and each_fits and with_stocks(problem, chosen).metal_enough


def forms_of(problem: Problem) -> Iterator[FormKey]:
    """The problem as it stands, then held back: each choice of stocks, of its own depth and of fewer stages."""
    depths = [problem.depth, *(each for each in STAGES if problem.depth is None or each < problem.depth)]
    yield from (FormKey(stocks, depth) for stocks in stock_choices(problem) for depth in depths)


def held_back(problem: Problem, form: FormKey) -> Problem:
    """The problem in a form."""
    return replace(with_stocks(problem, form.stocks), depth=form.depth)


def with_stocks(problem: Problem, chosen: StockChoice) -> Problem:
    """The problem as it would be if there were no other stocks: so a search finds what it would find then."""
    items = tuple(_with_stocks(item, chosen) for item in problem.items)
    return replace(problem, stocks=tuple(problem.stocks[n] for n in chosen), items=items)


def numbered(filled: Sequence[FilledStock], chosen: StockChoice) -> tuple[FilledStock, ...]:
    """Plates of such a problem with the numbers that their stocks have among all."""
    return tuple(replace(each, stock=chosen[each.stock]) for each in filled)


def renumbered(filled: Sequence[FilledStock], chosen: StockChoice) -> tuple[FilledStock, ...]:
    """Plates with the numbers that their stocks have among the chosen."""
    return tuple(replace(each, stock=chosen.index(each.stock)) for each in filled)


def _with_stocks(item: Item, chosen: StockChoice) -> Item:
    def some(ways: tuple[tuple[Way, ...], ...]) -> tuple[tuple[Way, ...], ...]:
        return tuple(ways[n] for n in chosen) if ways else ways

    return replace(item, sizes=some(item.sizes), bare=some(item.bare))
