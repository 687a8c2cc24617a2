"""Bounds on what can still be had round a build: unbounded tables with a price on each item.

Problem: `bounded` needs for each rectangle it has built a bound on every pattern with that rectangle in it,
as close as may be. Tables that know no demands give one, but too high a one where a small, valuable item
would fill the plate.

Method: with prices p >= 0 on items of which at most d are wanted, every pattern with counts n <= d is worth at most
sum (value - p) n + sum p d (Lagrange). So a build with counts c is part of no pattern worth more than
sum (value - p) c + (most that tables with values value - p give round it) + sum p d. Prices come from subgradient
steps (M. Held, R. M. Karp, Math. Programming 1 (1971) 6-25): an item used too often gets dearer. What lies round a
build is bounded as by K. V. Viswanathan, A. Bagchi (see `dp_tables.outside`).

The bound is exact whatever the prices are: whole numbers throughout. How close it is depends on the prices,
which are found by a heuristic. On the way every pattern that the tables give is cut back to demands, and
the best legal one is kept.

Cost: a table for each step (see `unbounded.work`), as many steps as `MOST_SUMS` allows.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from stripplan.layout.single_plate.corner_fill import kept, simple_patterns
from stripplan.layout.single_plate.dp_tables import outside
from stripplan.layout.single_plate.plate import ItemView, StockView, counted, faults, worth
from stripplan.layout.single_plate.raster import widened
from stripplan.layout.single_plate.unbounded import Grounds, grounds, rebuilt, table
from stripplan.layout.stop_rule import Clock
from stripplan.layout.tree import Tree

if TYPE_CHECKING:
    import numpy.typing as npt

    Whole = npt.NDArray[np.int64]
    Numbers = npt.NDArray[np.int32]

SCALE = 16
"""Prices are counted in this part of a value: they are whole numbers, and beside small values whole ones would
be too coarse. Set by trial, not studied.
"""

ROUNDS = 60
"""Subgradient steps at most: closer bounds against time before the search begins. Set by trial, not studied."""

FEWEST_ROUNDS = 8
"""Subgradient steps even where tables are large: closer bounds though each step is long. Set by trial, not studied.
"""

MOST_SUMS = 6_000_000_000
"""Sums in all tables together; large tables are filled fewer times, and bounds stay further off. Set by trial,
not studied.
"""

MOST_PIECES = 30_000
"""Pieces in all patterns looked at; small items make long patterns, and the steps then end early. Set by trial, not
studied.
"""


@dataclass(frozen=True)
class Priced:
    """Tables of what lies outside for some sets of prices; the best bound and the best pattern met on the way.

    `bound`, `value` are in values as given; `net` (value less price), `outsides` and `paid` (sum p d) in
    parts of `SCALE`, one for each set of prices. `number_x`, `number_y` tell for an extent, one kerf added,
    its place in the tables. No sets: nothing is left to be searched.
    """

    bound: int
    value: int
    pattern: Tree
    net: Whole
    outsides: list[Whole]
    paid: list[int]
    number_x: Numbers
    number_y: Numbers

    def worths(self, item: int) -> list[int]:
        """Value of an item less its price, by each set of prices; in parts of `SCALE`."""
        return [int(each[item]) for each in self.net]

    def bounds(self, ints: Whole) -> Whole:
        """For each column of a build what no pattern with it is worth more than.

        `ints` are the whole numbers of `build_arrays.States`. Each set of prices gives a bound; the least
        of them holds. Rounded down, as values are whole.
        """
        x = self.number_x[np.minimum(ints[0], len(self.number_x) - 1)]
        y = self.number_y[np.minimum(ints[2], len(self.number_y) - 1)]
        found = [ints[7 + k] + each[x, y] + self.paid[k] for k, each in enumerate(self.outsides)]
        if not found:
            return np.full(ints.shape[1], self.bound, dtype=np.int64)
        best: Whole = np.minimum.reduce(found) // SCALE
        return best


def priced_tables(
    plate: StockView, shapes: Sequence[ItemView], most: Sequence[int], floor: int, out_of_time: Clock
) -> Priced:
    """Subgradient steps, then tables for no prices and for the best prices met. All of everything bounds the
    value, too.

    `most` are the copies wanted, one for each shape; only patterns worth more than `floor` count. Limits of
    the plate are left out of the tables, so the bounds hold within them all the more. PlateTooFineError
    where the tables would be too large.

    Two sets, as neither is always the closer: prices suit the plate as a whole, not each rest that a build
    leaves.
    """
    bare = StockView(plate.length, plate.width, plate.kerf)
    wanted = [s if n > 0 and s.value > 0 else ItemView((), 0) for s, n in zip(shapes, most, strict=True)]
    ground = grounds(bare, wanted)
    values = np.array([shape.value * SCALE for shape in wanted], dtype=np.int64)
    demand = np.array([max(n, 0) for n in most], dtype=np.int64)
    prices, bound, value, pattern = _steps(plate, ground, wanted, values, demand, floor, out_of_time)
    sets = [np.zeros_like(values), prices] if prices.any() else [prices]
    if bound <= max(value, floor):
        sets = []  # nothing is left to be searched
    net = np.array([values - each for each in sets])
    outsides = [outside(table(ground, each.tolist()).stages[0][0], ground.x, ground.y) for each in net]
    numbers = [_numbers(axis.sizes, whole) for axis, whole in ((ground.x, bare.sides[0]), (ground.y, bare.sides[1]))]
    return Priced(bound, value, pattern, net, outsides, [int(each @ demand) for each in sets], *numbers)


def _steps(
    plate: StockView,
    ground: Grounds,
    shapes: Sequence[ItemView],
    values: Whole,
    demand: Whole,
    floor: int,
    out_of_time: Clock,
) -> tuple[Whole, int, int, Tree]:
    """Best prices, their bound, value and pattern of the best legal pattern met.

    `values` are in parts of `SCALE`. It ends when no item with a price is used too often or too rarely (the
    prices cannot be bettered), when the bound is no more than the best pattern's value or `floor`, or by
    its limits.
    """
    simple = [each for each in simple_patterns(plate, shapes, demand.tolist()) if not faults(each, plate, shapes)]
    pattern = max(simple, key=lambda each: worth(each, shapes), default=Tree(plate.length, plate.width))
    value = worth(pattern, shapes)
    prices = np.zeros_like(values)
    best_prices, bound = values, int(values @ demand)
    stride, stuck, pieces = 1.0, 0, 0
    if bound <= SCALE * max(value, floor):
        return best_prices, bound // SCALE, value, pattern
    for _ in range(_rounds(ground)):
        made = table(ground, (values - prices).tolist())
        now = made.value + int(prices @ demand)
        full = rebuilt(made, shapes)
        some = kept(full, plate, shapes, demand.tolist())
        if not faults(some, plate, shapes) and worth(some, shapes) > value:
            value, pattern = worth(some, shapes), some
        better = now < bound
        if better:
            best_prices, bound = prices, now
        stuck = 0 if better else stuck + 1
        # Five steps without a better bound: they are too long. Five and a half: set by trial, not studied.
        if stuck and stuck % 5 == 0:
            stride /= 2
        counts = counted(full)
        pieces += counts.total()
        excess = _excess(counts, demand, prices)
        if not excess.any() or bound // SCALE <= max(value, floor) or pieces > MOST_PIECES or out_of_time():
            break
        # The usual length: what the bound is off the best value known, over the square of the excess; it is
        # 0 where the two meet. At least one value, lest it come to rest on the way.
        step = stride * max(now - SCALE * max(value, floor), SCALE) / int(excess @ excess)
        prices = np.clip(prices + np.rint(step * excess).astype(np.int64), 0, values)
    return best_prices, bound // SCALE, value, pattern


def _rounds(ground: Grounds) -> int:
    """Steps that `MOST_SUMS` allows for tables of this size."""
    x, y = len(ground.x.sizes), len(ground.y.sizes)
    return min(ROUNDS, max(FEWEST_ROUNDS, MOST_SUMS // max(1, x * y * (x + y) // 4)))


def _excess(counts: Counter[int], demand: Whole, prices: Whole) -> Whole:
    """How many more of each item than wanted; fewer matters only where the price can still fall."""
    excess = np.array([counts[item] for item in range(len(demand))], dtype=np.int64) - demand
    return np.where((excess < 0) & (prices == 0), 0, excess)


def _numbers(sizes: Whole, whole: int) -> Numbers:
    """For each extent up to the whole the number of the raster point it is widened to.

    An extent between two points is first taken down to the lower one, which only loosens a bound.
    """
    extents = np.arange(whole + 1, dtype=np.int64)
    return np.searchsorted(sizes, widened(extents, sizes, whole)).astype(np.int32)
