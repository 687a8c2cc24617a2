"""Rectangles onto plates at once: a good plan before any search, and the answer where there is no time for one.

Problem: all parts from plates of least cost, legal by `layout.feasible`, in well under a second for some thousand
pieces of some hundred sizes.

Method. One plate after the other is filled by each of a few rules and from each stock, and the one that holds most for
its price is taken, as often as its parts are still wanted. A rule lays a row of equal parts along a side of what is
free: equal pieces side by side are one setting of the fence. What lies beside the row and what lies behind it are free
rectangles in turn and filled alike, so cuts may nest to any depth that the job allows. Not exact.

Cost: for each row a few passes over the ways in which parts that fit may lie, times rules and stocks. All sizes are in
units of the problem's grid, as cut; no chance is in it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from stripplan.layout.problem import Problem, Stock
from stripplan.layout.stop_rule import Clock, never
from stripplan.layout.tree import FilledStock, Tree, of_pieces
from stripplan.model.pattern import Direction

Whole = npt.NDArray[np.int64]
Real = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Rule:
    """Which row comes next: the greatest area of its part to the power `size`, times the share of the free rectangle
    that the row takes along its better filled side, to the power `tight`.
    """

    size: float
    tight: float


RULES = (Rule(1.0, 1.0), Rule(1.0, 3.0), Rule(0.5, 2.0))
"""Large parts first leaves the small ones for the holes, tight rows leave fewer holes; neither is best for all plates.
Set by trial on drawn lists, not studied: with one rule plans take up to three plates in a hundred more."""

MOST_TRIED = 60
"""Rows tried in a free rectangle where the rig cannot make the cuts of the best: beyond it the rectangle is left as it
is. Set by trial, not studied."""

MOST_WAYS = 4_000
"""Ways of parts on all stocks up to which all rules are tried for each plate; beyond, the first one alone, so
that time does not grow with both. Set by trial, not studied."""


@dataclass(frozen=True)
class Constructed:
    """Plates, and items (by number, one entry each) that found no place on what stock there is."""

    filled: list[FilledStock]
    short: list[int]


def construct(problem: Problem, *, out_of_time: Clock = never) -> Constructed:
    """A plan for all parts, or for as many as the stock holds; every plate is legal.

    `out_of_time` is asked before each plate: once it says stop, plates are filled by the first rule alone. The plan is
    whole all the same.
    """
    left = np.array([item.demand for item in problem.items], dtype=np.int64)
    ways = [_ways(problem, number) for number in range(len(problem.stocks))]
    used = [0] * len(problem.stocks)
    filled: list[FilledStock] = []
    while left.any():
        ways = [each.of(left) for each in ways]
        rules = RULES if sum(len(each.item) for each in ways) <= MOST_WAYS and not out_of_time() else RULES[:1]
        best = max(_plates(problem, ways, left, used, rules), key=lambda each: each.score, default=None)
        if best is None:
            break
        limit = problem.stocks[best.stock].limit
        times = int((left[best.made > 0] // best.made[best.made > 0]).min())
        times = times if limit is None else min(times, limit - used[best.stock])
        left = left - best.made * times
        used[best.stock] += times
        filled += [FilledStock(best.stock, best.tree)] * times
    return Constructed(filled, [item for item, n in enumerate(left.tolist()) for _ in range(n)])


@dataclass(frozen=True, eq=False)
class _Ways:
    """All ways in which parts may lie on a stock, as columns: item, extents, turned, how much over size it may stay."""

    item: Whole
    x: Whole
    y: Whole
    turned: Whole
    over: Whole

    def of(self, left: Whole) -> _Ways:
        """The ways of items that are still wanted."""
        there = left[self.item] > 0
        return _Ways(self.item[there], self.x[there], self.y[there], self.turned[there], self.over[there])


def _ways(problem: Problem, number: int) -> _Ways:
    rows = [(n, x, y, turned, item.over) for n, item in enumerate(problem.items) for x, y, turned in item.sizes[number]]
    return _Ways(*(np.ascontiguousarray(column) for column in np.array(rows, dtype=np.int64).reshape(-1, 5).T))


@dataclass(frozen=True, eq=False)
class _Plate:
    """One plate filled: what it makes of each item, and the area of that for its price."""

    stock: int
    tree: Tree
    made: Whole
    score: float


def _plates(
    problem: Problem, ways: Sequence[_Ways], left: Whole, used: Sequence[int], rules: Sequence[Rule]
) -> Iterator[_Plate]:
    """A plate of each stock by each rule, those that hold nothing or cannot be cut left out."""
    for number, stock in enumerate(problem.stocks):
        if stock.limit is not None and used[number] >= stock.limit:
            continue
        for rule in rules:
            filling = _Filling(stock, problem.depth, ways[number], left, rule)
            tree = filling.whole()
            made = left - filling.left
            if made.any() and problem.is_legal(number, tree):
                score = filling.area / stock.cost if stock.cost > 0 else filling.area * 1e100
                yield _Plate(number, tree, made, score)


@dataclass(frozen=True)
class _Free:
    """A free rectangle, the direction of the cuts that made it and their depth."""

    length: int
    width: int
    came_by: Direction | None = None
    depth: int = 0

    def deeper(self, cut: Direction) -> int:
        """Depth of cuts of a direction in it."""
        return self.depth + (self.came_by != cut)

    def part(self, cut: Direction, size: int, depth: int) -> _Free:
        """What a cut takes off it, `size` across."""
        return _Free(self.length, size, cut, depth) if cut == "along" else _Free(size, self.width, cut, depth)


class _Filling:
    """One plate filled by one rule; `left` is what is then still wanted, `area` what its parts take with their
    kerfs.
    """

    def __init__(self, stock: Stock, depth: int | None, ways: _Ways, left: Whole, rule: Rule) -> None:
        self.stock, self.most_depth, self.ways, self.rule = stock, depth, ways, rule
        self.limits, self.kerf, self.left, self.area = stock.limits, stock.kerf, left.copy(), 0.0

    def whole(self) -> Tree:
        """The plate."""
        return self._filled(_Free(self.stock.length, self.stock.width), np.arange(len(self.ways.item)))

    def _filled(self, free: _Free, ways: Whole) -> Tree:
        """A free rectangle with what of these ways fits into it; metal where nothing does."""
        small = ways[self._small_enough(free, ways)]
        fitting, x, y = self._without_sliver(free, small)
        for at, cut in self._by_rank(free, fitting, x, y):
            number = fitting[at]
            leaf = Tree(int(x[at]), int(y[at]), int(self.ways.item[number]), bool(self.ways.turned[number]))
            count = self._row(free, cut, leaf)
            if count is not None:
                return self._laid(free, cut, count, leaf, small)
        return Tree(free.length, free.width)

    def _small_enough(self, free: _Free, ways: Whole) -> npt.NDArray[np.bool_]:
        """Which ways of parts still wanted lie within a rectangle: no other will in a part of it."""
        there: npt.NDArray[np.bool_] = self.left[self.ways.item[ways]] > 0
        there &= (self.ways.x[ways] <= free.length) & (self.ways.y[ways] <= free.width)
        return there

    def _without_sliver(self, free: _Free, ways: Whole) -> tuple[Whole, Whole, Whole]:
        """Ways that leave no sliver, with their extents: a part that may keep the sliver is as large as the
        rectangle.
        """
        x, y, over, gap = self.ways.x[ways], self.ways.y[ways], self.ways.over[ways], self.limits.gap
        beside, behind = free.length - x, free.width - y
        # Most jobs have no part that may stay over size.
        if over.any():
            beside, behind = (np.where((each < gap) & (each <= over), 0, each) for each in (beside, behind))
        fits = ((beside == 0) | (beside >= gap)) & ((behind == 0) | (behind >= gap))
        return ways[fits], free.length - beside[fits], free.width - behind[fits]

    def _by_rank(self, free: _Free, ways: Whole, x: Whole, y: Whole) -> Iterator[tuple[int, Direction]]:
        """Rows by falling rank: number among the ways, and the first cut."""
        if not len(ways):
            return
        ranks = self._ranks(free, ways, x, y)
        best = int(np.argmax(ranks))
        yield from self._both_cuts(free, best, ways, x, y)
        for number in np.argsort(-ranks, kind="stable")[:MOST_TRIED].tolist():
            if number != best:
                yield from self._both_cuts(free, number, ways, x, y)

    def _ranks(self, free: _Free, ways: Whole, x: Whole, y: Whole) -> Real:
        """The rank of a row of each way."""
        wanted, kerf = self.left[self.ways.item[ways]], self.kerf
        length, width = x + kerf, y + kerf
        along = np.minimum((free.length + kerf) // length, wanted) * length / (free.length + kerf)
        across = np.minimum((free.width + kerf) // width, wanted) * width / (free.width + kerf)
        area = length * width / ((free.length + kerf) * (free.width + kerf))
        ranks: Real = area**self.rule.size * np.maximum(along, across) ** self.rule.tight
        return ranks

    def _both_cuts(self, free: _Free, at: int, ways: Whole, x: Whole, y: Whole) -> Iterator[tuple[int, Direction]]:
        """Both first cuts, the one that leaves less beside the row first."""
        item, length, width = int(self.ways.item[ways[at]]), int(x[at]), int(y[at])
        beside = (free.length - self._count(item, free.length, length) * (length + self.kerf)) * width
        behind = (free.width - self._count(item, free.width, width) * (width + self.kerf)) * length
        cuts: tuple[Direction, ...] = ("along", "across") if beside <= behind else ("across", "along")
        for cut in cuts:
            yield at, cut

    def _count(self, item: int, extent: int, size: int) -> int:
        """How many of a size make a row: as many as are wanted and fit, and leave no sliver."""
        count = min(int(self.left[item]), (extent + self.kerf) // (size + self.kerf))
        while count > 1 and not self._no_sliver(extent - count * (size + self.kerf) + self.kerf):
            count -= 1
        return count

    def _no_sliver(self, slack: int) -> bool:
        return slack == 0 or slack >= self.limits.gap

    def _row(self, free: _Free, cut: Direction, leaf: Tree) -> int | None:
        """How many parts make the row that a first cut of this direction parts off; None where the rig cannot cut
        it.
        """
        assert leaf.item is not None
        size, across = leaf.travel(cut), leaf.across(cut)
        extent, total = (free.length, free.width) if cut == "along" else (free.width, free.length)
        count = self._count(leaf.item, extent, size)
        if across < total:
            depth = free.deeper(cut)
            if not self._deep_enough(depth) or not self.limits.cut_ok(extent, total, across):
                return None
            depth += 1
        else:
            depth = free.deeper(_other(cut))
        return count if self._row_is_legal(extent, across, size, count, depth) else None

    def _row_is_legal(self, extent: int, across: int, size: int, count: int, depth: int) -> bool:
        """Whether `count` pieces of a size can be cut off a strip one after the other."""
        for _ in range(count):
            if extent == size:
                return True
            if not self._deep_enough(depth) or not self.limits.cut_ok(across, extent, size):
                return False
            extent -= size + self.kerf
        return True

    def _deep_enough(self, depth: int) -> bool:
        return self.most_depth is None or depth <= self.most_depth

    def _laid(self, free: _Free, cut: Direction, count: int, leaf: Tree, ways: Whole) -> Tree:
        """The rectangle with a row in it, what lies beside the row filled, then what lies behind it."""
        assert leaf.item is not None
        self.left[leaf.item] -= count
        self.area += float(count) * (leaf.length + self.kerf) * (leaf.width + self.kerf)
        other, across = _other(cut), leaf.across(cut)
        whole = across == (free.width if cut == "along" else free.length)
        strip = free if whole else free.part(cut, across, free.deeper(cut))
        row = self._followed(strip, other, [leaf] * count, ways)
        return row if whole else self._followed(free, cut, [row], ways)

    def _followed(self, free: _Free, cut: Direction, pieces: Sequence[Tree], ways: Whole) -> Tree:
        """Pieces cut off a free rectangle one after the other, and what is left beyond them filled."""
        extent = free.width if cut == "along" else free.length
        rest = extent - sum(piece.across(cut) + self.kerf for piece in pieces)
        if rest == -self.kerf:
            return pieces[0] if len(pieces) == 1 else of_pieces(free.length, free.width, cut, pieces)
        if rest <= 0:  # the last kerf runs along the edge, or partly off it
            return Tree(free.length, free.width, cut=cut, children=tuple(pieces), left=rest)
        last = self._filled(free.part(cut, rest, free.deeper(cut)), ways)
        return of_pieces(free.length, free.width, cut, [*pieces, last])


def _other(cut: Direction) -> Direction:
    return "across" if cut == "along" else "along"
