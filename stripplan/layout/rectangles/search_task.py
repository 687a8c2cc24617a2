"""What the search of ruin and recreate is given and what it finds, in whole units with one kerf in every size."""

from __future__ import annotations

from dataclasses import dataclass

from stripplan.layout.feasible import Limits
from stripplan.layout.objective import Objective
from stripplan.layout.problem import Way
from stripplan.layout.tree import FilledStock, Tree, gathered
from stripplan.model.pattern import Direction

MANY = (1 << 63) - 1
"""A cost above any."""


@dataclass(frozen=True, kw_only=True)
class SearchStock(Limits):
    """A stock in the search's terms: its limits, its sides with one kerf, its cost in whole numbers.

    `cuttable` says whether the whole plate may be cut at all. `limit` None = as many as needed.

    With the kerf in the sides a plate of 1000 x 500 holds two parts of 498 side by side where the kerf is 4: 1004 is
    exactly twice 498 + 4. The last cut's kerf, which runs off the edge, needs no case of its own.
    """

    size: tuple[int, int]
    cuttable: bool = True
    cost: int
    limit: int | None = None


@dataclass(frozen=True)
class SearchItem:
    """An item in the search's terms: for each stock the ways it may lie, (x + kerf, y + kerf, turned).

    `over` is how much over size it may stay where a sliver would come off beside it. `area` is the least of all its
    ways, and the one measure of what is still to be placed: the search compares such areas, never lists of parts.
    """

    demand: int
    over: int
    area: int
    ways: tuple[tuple[Way, ...], ...]


@dataclass(frozen=True)
class Task:
    """Stocks, items, greatest depth (None = any) and the cost that cannot be undercut.

    At a cost of `enough` the search ends: nothing cheaper is there to be found. `objective` is for a search by total.
    """

    stocks: tuple[SearchStock, ...]
    items: tuple[SearchItem, ...]
    depth: int | None
    enough: int
    objective: Objective | None = None


@dataclass(frozen=True)
class Found:
    """Plates, their cost, items without a place and the area of these; the total, `MANY` where none was sought.

    An answer with items out is an answer too: where stock is short, the one with the least area out is what is wanted.
    """

    filled: tuple[FilledStock, ...]
    cost: int
    out: tuple[int, ...]
    out_area: int
    total: int


DIRECTIONS: tuple[Direction, Direction] = ("across", "along")
"""By axis: a blank stacked along x is cut across."""


def as_blank(task: Task, filled: FilledStock) -> Tree:
    """A plate as the search begins with it: all metal of a blank at its end, and the plate itself a blank.

    Engines may leave metal between parts, or a single part as the whole tree; the search knows neither.

    >>> stock = SearchStock(kerf=0, size=(100, 50), cost=1)
    >>> as_blank(Task((stock,), (), None, 0), FilledStock(0, Tree(100, 50, item=0))).children
    (Tree(length=100, width=50, item=0, turned=False, cut=None, children=(), left=None),)
    """
    stock = task.stocks[filled.stock]
    tree = gathered(filled.tree, stock.kerf)
    if tree is not None and tree.cut is not None:
        return tree
    x, y = (side - stock.kerf for side in stock.size)
    return Tree(x, y, cut="across", children=() if tree is None else (tree,), left=x if tree is None else None)


def way_number(task: Task, stock: int, leaf: Tree) -> int:
    """Number of a leaf's way among all ways of its item.

    By turning alone, not by size: a part may stay over size, and then has no size among its ways.
    """
    assert leaf.item is not None
    item = task.items[leaf.item]
    return way_starts(item)[stock] + [turned for _, _, turned in item.ways[stock]].index(leaf.turned)


def way_starts(item: SearchItem) -> list[int]:
    """For each stock the number of its first way in the item's list of all ways, and the length of that list.

    >>> way = (10, 20, False)
    >>> way_starts(SearchItem(1, 0, 200, ((way,), (), (way, (20, 10, True)))))
    [0, 1, 1, 3]
    """
    starts = [0]
    for ways in item.ways:
        starts.append(starts[-1] + len(ways))
    return starts
