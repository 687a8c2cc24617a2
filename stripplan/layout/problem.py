"""What layout is asked: demands and stocks of one material and thickness, in whole units.

`Item` and `Stock` are plain numbers; which sizes an item has on which stock (a strip is as long as what
the stock's end trims leave; the rolling direction may forbid a turn) is settled here once.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from stripplan.layout.grid import Grid
from stripplan.model.cut_rules import CutRules
from stripplan.model.feasible import rest_is_legal


@dataclass(frozen=True)
class Stock:
    """Plates alike. All lengths in units; `length`, `width` are what trims leave usable.

    `trims` are the widths of scrap to come off the south, east, north, west edges; `cost` is money (or m2
    where nobody gave a price); `limit` None = as many as needed.
    """

    plate: int
    length: int
    width: int
    full_length: int
    full_width: int
    trims: tuple[int, int, int, int]
    kerf: int
    narrowest: int
    cost: float
    limit: int | None
    rules: CutRules
    all_mill: bool = True
    """Whether all its own edges are mill edges, which are square; cut or dressed edges are not."""

    @property
    def spaced(self) -> bool:
        """Whether a part with square edges needs scrap beside each of them."""
        return self.rules.square_side != "equal" or not self.all_mill

    @property
    def order_fixed(self) -> bool:
        """Whether siblings must come apart as they were laid out, cut by cut, lest one cannot be located."""
        return not self.rules.marked or self.rules.far_max is not None

    def rest_ok(self, slack: int) -> bool:
        """Whether metal of this width may stay beyond a piece: none, or kerf and the narrowest offcut."""
        return rest_is_legal(slack, self.kerf, self.narrowest)


@dataclass(frozen=True)
class Item:
    """A part of the job and how many are wanted.

    `sizes` gives for each stock the ways it may lie there: (extent along x, along y, turned), as cut and
    with whatever must be laid out round it; no way = it cannot come from that stock. `over` is how
    much over size it may stay where a sliver could not be cut off.
    """

    part: int
    demand: int
    sizes: tuple[tuple[tuple[int, int, bool], ...], ...]
    over: int
    strip: bool
    bare: tuple[tuple[tuple[int, int, bool], ...], ...] = ()
    """The sizes without what is laid out round the part (spacers for square edges), for bounds."""

    @property
    def bound_sizes(self) -> tuple[tuple[tuple[int, int, bool], ...], ...]:
        """Sizes that no layout can undercut."""
        return self.bare or self.sizes


@dataclass(frozen=True)
class Problem:
    """One material and thickness: what to make from what."""

    grid: Grid
    items: tuple[Item, ...]
    stocks: tuple[Stock, ...]
    keep: tuple[int, int]
    depth: int | None

    @property
    def strips_only(self) -> bool:
        """Whether every item runs the whole usable length, so that only widths matter."""
        return all(item.strip for item in self.items)


def spacer(stock_kerf: int, narrowest: int) -> int:
    """Width of the scrap between a square edge and what lies beside it, in units."""
    return max(narrowest, stock_kerf)


def strip_widths(problem: Problem, stock_number: int, counts: Sequence[int]) -> tuple[list[tuple[int, int]], int]:
    """(item, width) of each strip of a plate, and what is left with the kerf before it; a sliver stays on a strip."""
    stock, items = problem.stocks[stock_number], problem.items
    widths = [(i, items[i].sizes[stock_number][0][1]) for i, n in enumerate(counts) for _ in range(n)]
    slack = stock.width - sum(width + stock.kerf for _, width in widths) + stock.kerf
    if stock.rest_ok(slack):
        return widths, slack
    at = max(range(len(widths)), key=lambda n: items[widths[n][0]].over)  # the one that may keep most
    widths[at] = (widths[at][0], widths[at][1] + slack)
    return widths, 0
