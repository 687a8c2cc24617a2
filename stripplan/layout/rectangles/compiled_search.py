"""The compiled twin of the search of ruin and recreate, and which of the two is used."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import fields
from typing import Any

from stripplan.kernel import api, available
from stripplan.layout.objective import Objective
from stripplan.layout.problem import Way
from stripplan.layout.rectangles.ruin_recreate import Search
from stripplan.layout.rectangles.search_task import DIRECTIONS, MANY, Found, SearchStock, Task, as_blank, way_number
from stripplan.layout.tree import FilledStock, Tree, cut_from


class Compiled:
    """The search in kernel/ruin_recreate.c, with the methods of `Search`.

    It takes and gives trees as flat lists, and holds everything between; same seed and steps, same answer as `Search`.
    The lock of the interpreter is let go while it runs, which is why two of them may run side by side.
    """

    def __init__(self, task: Task, seed: int) -> None:
        self.task = task
        stocks = [_stock(stock) for stock in task.stocks]
        items = [api.item(item.demand, item.over, item.area, item.ways) for item in task.items]
        self._search = api.RuinRecreate(
            stocks, items, depth=task.depth, enough=task.enough, seed=seed, **_by_total(task.objective)
        )

    def load(self, plates: Sequence[FilledStock]) -> None:
        """Plates to begin with, before `begin`."""
        for each in plates:
            self._search.load(each.stock, list(self._twigs(each.stock, as_blank(self.task, each))))

    def _twigs(self, stock: int, tree: Tree) -> Iterator[api.Twig]:
        """A tree flat, each node before its children: how the kernel reads a plate."""
        kerf = self.task.stocks[stock].kerf
        size = (tree.length + kerf, tree.width + kerf)
        if tree.item is None:
            yield api.Twig(-1, 1 if tree.cut == "along" else 0, size, len(tree.children))
        else:
            yield api.Twig(tree.item, way_number(self.task, stock, tree), size, 0)
        for child in tree.children:
            yield from self._twigs(stock, child)

    def begin(self) -> None:
        """Place what is not in the plates loaded, large first."""
        self._search.begin()

    def run(self, steps: int) -> int:
        """Steps done: fewer than asked once the answer costs no more than `enough`."""
        return self._search.run(steps)

    def run_by_total(self, steps: int) -> int:
        """From the best plates to such as cost less in plate and hands together. Steps done: none where a part has no
        place.
        """
        return self._search.run_by_total(steps)

    def accept_up_to(self, total: int) -> None:
        """Keep layouts of up to this total in a search by total from here on, until late acceptance has come down."""
        self._search.accept_up_to(total)

    def lower_budget(self, budget: int) -> None:
        """Look only for answers that cost no more than this from now on."""
        self._search.lower_budget(budget)

    def cost_found(self) -> int:
        """Cost of the best so far; `MANY` while a part has no place."""
        result = self._search.result()
        return MANY if result.out_area else result.cost

    def total_found(self) -> int:
        """What the best so far costs in plate and hands together [ticks]; `MANY` before a search by total."""
        return self._search.result().total

    def found(self) -> Found:
        """The best so far."""
        result = self._search.result()
        stocks, twigs, out = self._search.found()
        ways = [[way for some in item.ways for way in some] for item in self.task.items]
        filled = tuple(FilledStock(stock, self._tree(twigs, ways, stock)) for stock in stocks)
        return Found(filled, result.cost, tuple(out), result.out_area, result.total)

    def _tree(self, twigs: Iterator[api.Twig], ways: list[list[Way]], stock: int) -> Tree:
        """The next tree from the kernel's flat list; takes as many twigs as it has nodes."""
        twig, kerf = next(twigs), self.task.stocks[stock].kerf
        x, y = (side - kerf for side in twig.size)
        if twig.item >= 0:
            return Tree(x, y, twig.item, ways[twig.item][twig.way_or_axis][2])
        children = [self._tree(twigs, ways, stock) for _ in range(twig.children)]
        return cut_from(x, y, DIRECTIONS[twig.way_or_axis], children, kerf)

    def close(self) -> None:
        """Give the memory back; nothing may be asked after it."""
        self._search.close()


def _stock(stock: SearchStock) -> api.Stock:
    """A stock as the kernel reads it."""
    return api.Stock(
        size=stock.size, kerf=stock.kerf, gap=stock.gap, longest=stock.longest, cuttable=stock.cuttable,
        marked=stock.marked, far_max=_or_none(stock.far_max), reach_low=stock.reach[0], reach_high=stock.reach[1],
        order_fixed=stock.order_fixed, cost=stock.cost, limit=_or_none(stock.limit), one_pass=stock.one_pass,
        turnable=_or_none(stock.turnable),
    )  # fmt: skip


def _by_total(objective: Objective | None) -> dict[str, Any]:
    """What plates and hands cost, as the kernel reads it; nothing for a search for plates alone."""
    if objective is None:
        return {}
    terms = [api.Terms(**{each.name: getattr(one, each.name) for each in fields(one)}) for one in objective.terms]
    return {"terms": terms, "setting": objective.setting, "keep": objective.keep}


def _or_none(limit: int | None) -> int:
    """The kernel's number for a limit: -1 stands for none."""
    return -1 if limit is None else limit


def search_of(task: Task, seed: int) -> Search | Compiled:
    """The compiled search where it was built, else the one in Python.

    The answers are the same, the time is not: a step takes 3 to 7 microseconds compiled and a hundred times as long in
    Python (measured on five published jobs of 20 to 100 parts).
    """
    return Compiled(task, seed) if available() else Search(task, seed)
