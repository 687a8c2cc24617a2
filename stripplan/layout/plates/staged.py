"""The most valuable pattern of two or three stages from one plate, given what each item is worth.

Problem: one plate, a worth for each item, any number of copies of each. Wanted is the pattern of greatest
worth among those whose cuts change direction only so often. It is the pricing problem of column generation
(see `column_generation`).

Method: stages (P. C. Gilmore, R. E. Gomory, Operations Research 13 (1965) 94-120): first cuts part the
plate into strips; second cuts part a strip into stacks; third cuts part a stack into pieces. With trimming,
one further cut may bring a piece to size. All stages are one recurrence (`reachable_totals`).

Limits of the rig are kept by leaving out what it cannot cut; `shelves` keeps the demands as well, strip by
strip.

Exact within its family where the rig sets no limits, `Totals.complete` holds along every side and all widths of
strips are looked at. Else it may miss the best pattern: many totals and widths are thinned, and with a narrowest
offcut a strip might have to be wider than any sum of sizes, lest a sliver be left. A `relaxed` programme leaves
nothing out, so its value bounds every pattern of the family from above.

Cost of a pricing: (totals along) x (stack lengths) x (strip widths), and for three stages as much again for
the stacks: (totals across) x (ways) x (stack lengths). `Staged.work` tells it beforehand.

Words: "along" a strip and "across" it are in the frame of the strips; where first cuts run across the
plate, the plate's length and width change places (see `Staged`). All sizes are whole units of the problem's
grid.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from stripplan.layout.problem import Problem, Stock
from stripplan.layout.stop_rule import Clock, go_on, never
from stripplan.layout.tree import Tree, cut_from
from stripplan.model.pattern import Direction

if TYPE_CHECKING:
    import numpy.typing as npt

    from stripplan.layout.plates.reachable_totals import Array, Whole
from stripplan.layout.plates.reachable_totals import NONE, Totals, filled, totals, traced

MOST_POINTS = 3000
"""Sums of sizes looked at; of more evenly spread ones, and then no bound is taken. More points find better
patterns where sizes have no common measure; the cost of a pricing grows in proportion. Set by trial, not
studied.
"""

MOST_WIDTHS = 160
"""Widths of strips looked at where stacks add widths up. Every width is one more column of the strips' table,
so time and memory grow in proportion; with fewer, some strips come wider than they need be. Set by trial,
not studied.
"""

COMPLETE = 1 << 62
"""As many sums as there are: for a bound nothing may be left out."""


@dataclass(frozen=True)
class Family:
    """Which patterns: stages of cuts (2 or 3), whether pieces may be trimmed by one more, directions of first cuts.

    A family stands in the answer, beside a bound that holds for it alone.
    """

    stages: int
    trimming: bool
    first: tuple[Direction, ...] = ("along", "across")


@dataclass(frozen=True)
class Way:
    """How an item may lie, in the frame of its strips: `long` along the strip, `wide` across it."""

    item: int
    long: int
    wide: int
    turned: bool


@dataclass
class _Ends:
    """For each capacity (rows) and column the row of the best total that leaves legal metal, and its value."""

    value: Array
    row: Whole


class Staged:
    """Patterns of one family and first direction from one stock. `relaxed`: limits of the rig left out, for bounds.

    Made once for a stock; then `price` may be asked with any values, and `patterns`, `strip_at`,
    `best_beyond` answer about the last pricing. `ways`, `longs` (lengths of stacks), `widths` (of strips)
    are numbered from 0; tables go by those numbers.

    Kept, unless `relaxed`: narrowest offcut, length of cuts, mass of what is cut. Not kept: where the fence
    reaches, and the order in which pieces come off. So a pattern is still to be asked about by
    `Problem.is_legal`. Raises OutOfTimeError.
    """

    def __init__(
        self,
        problem: Problem,
        stock_number: int,
        family: Family,
        first: Direction,
        *,
        relaxed: bool = False,
        out_of_time: Clock = never,
    ) -> None:
        self.out_of_time = out_of_time
        self.problem, self.number, self.family, self.first = problem, stock_number, family, first
        self.stock: Stock = problem.stocks[stock_number]
        self.relaxed = relaxed
        self.limits = self.stock.limits
        self.narrowest = 0 if relaxed else self.limits.narrowest
        self.kerf = self.stock.kerf
        # With first cuts across, the plate is looked at turned: what follows knows only strips that run along.
        along = first == "along"
        self.length = self.stock.length if along else self.stock.width
        self.width = self.stock.width if along else self.stock.length
        self.ways = self._ways()
        self.usable = bool(self.ways) and self._may_cut(self.length, self.width)
        if self.usable:
            self._tables()

    def _ways(self) -> list[Way]:
        """Ways of all items that fit the plate, in the frame of the strips."""
        found = []
        whole = self.problem.depth == 1  # one direction of cuts: every piece runs the whole length
        for number, item in enumerate(self.problem.items):
            sizes = item.bound_sizes if self.relaxed else item.sizes
            for x, y, turned in sizes[self.number]:
                long, wide = (x, y) if self.first == "along" else (y, x)
                if long <= self.length and wide <= self.width and (long == self.length or not whole):
                    found.append(Way(number, long, wide, turned))
        return found

    def _may_cut(self, travel: int, across: int) -> bool:
        """Whether a piece of these sizes may be cut along `travel`; always, where relaxed."""
        return self.relaxed or self.limits.travel_ok(travel, across)

    def _tables(self) -> None:
        """What does not depend on values: totals along each side, and what may lie where."""
        limit = COMPLETE if self.relaxed else MOST_POINTS
        kerf, ways = self.kerf, self.ways
        self.longs = sorted({way.long for way in ways})
        self.wides = sorted({way.wide for way in ways})
        # n pieces side by side have n - 1 kerfs between them. With one kerf added to each piece and one to
        # the room they fill it exactly.
        self.sums = totals([wide + kerf for wide in self.wides], self.width + kerf, limit)
        self.along = totals([long + kerf for long in self.longs], self.length + kerf, limit)
        # A strip whose second cuts, which run across its width, or whose mass are beyond the rig is left
        # out before anything is counted.
        self.widths = [each for each in self._strip_widths() if self._may_cut(each, self.length)]
        self.across = totals([each + kerf for each in self.widths], self.width + kerf, limit)
        self._stack_rows = self.sums.rows([way.wide + kerf for way in ways])
        self._strip_rows = self.along.rows([long + kerf for long in self.longs])
        self._plate_rows = self.across.rows([each + kerf for each in self.widths])
        self._in_stack = self._fits_stack()
        self._third_cut = np.array([[self._may_cut(long, width) for width in self.widths] for long in self.longs])
        self._in_strip = self._fits_strip()

    def _strip_widths(self) -> list[int]:
        """Widths of strips looked at: those of items and, where stacks add widths up, sums of them."""
        if self.family.stages == 2:
            return self.wides
        sums = [int(point) - self.kerf for point in self.sums.points[1:]]
        if not self.relaxed and len(sums) > MOST_WIDTHS:
            sums = [sums[int(at)] for at in np.linspace(0, len(sums) - 1, MOST_WIDTHS)]
        return sorted({each for each in {*self.wides, *sums} if each <= self.width})

    def _rest_ok(self, slack: int) -> bool:
        """Whether so much may be left (kerf counted) beside a piece; any, where relaxed."""
        return slack >= 0 and (self.relaxed or self.limits.rest_ok(slack))

    def _fits_stack(self) -> npt.NDArray[np.bool_]:
        """Whether a way may lie in a stack of each length (ways x lengths): equal, or trimmed by a last cut."""
        equal = np.array([[way.long == long for long in self.longs] for way in self.ways])
        if self.family.stages == 2 or not self.family.trimming:
            return equal
        trimmed = []
        for way in self.ways:
            go_on(self.out_of_time)
            trimmed.append([self._rest_ok(long - way.long) and self._may_cut(way.wide, long) for long in self.longs])
        return np.asarray(equal | np.array(trimmed))

    def _cells(self) -> int:
        """Sums of one run of `filled` over strips."""
        return len(self.along.points) * len(self.longs) * len(self.widths)

    @property
    def points(self) -> int:
        """Sums of sizes along the side that has more of them; no end of them where they were not worked out."""
        if not self.usable:
            return COMPLETE if self.ways else 0
        return max(len(self.along.points), len(self.sums.points))

    @property
    def work(self) -> int:
        """About how many elementary steps one pricing takes."""
        if not self.usable:
            return 0
        stacks = len(self.sums.points) * len(self.ways) * len(self.longs) if self.family.stages == 3 else 0
        return self._cells() + stacks + len(self.across.points) * len(self.widths)

    # -- one pricing -------------------------------------------------------------------------------------------

    def price(self, values: Sequence[int]) -> int:
        """The greatest value of a pattern; its parts are kept for `patterns`. Raises OutOfTimeError.

        `values` has one whole number for each item of the problem; items of 0 or less are left out. 0 = no
        pattern is worth anything. Only where the programme is `usable`.
        """
        worth = np.array([float(values[way.item]) if values[way.item] > 0 else NONE for way in self.ways])
        self._worth = worth
        self._stack_best: Array | None = None
        # Inside out: third cuts (stacks of pieces), then second (strips of stacks), then first (plates of strips).
        if self.family.stages == 2:
            self._stacks = self._single(worth)
        else:
            self._stack_values = np.where(self._in_stack, worth[:, None], NONE)
            self._stack_best = filled(self._stack_rows, self._stack_values, self.out_of_time)
            self._stack_ends = self._ends(self._stack_best, self.sums, self.widths)
            self._stacks = self._cut_stacks(self._stack_ends.value.T)
        self._strip_best = filled(self._strip_rows, self._stacks, self.out_of_time)
        self._strip_ends = self._ends(self._strip_best, self.along, [self.length])
        self._strips = self._strip_ends.value[0][:, None]
        self._plate_best = filled(self._plate_rows, self._strips, self.out_of_time)
        ends = self._ends(self._plate_best, self.across, [self.width])
        self._plate_row = int(ends.row[0, 0])
        return int(ends.value[0, 0])

    def _single(self, worth: Array) -> Array:
        """Two stages: a stack is one piece (lengths x widths)."""
        # Of ways of the same length that may lie across a width the one worth most stands for all.
        best = np.full((len(self.longs), len(self.widths)), NONE)
        at = {long: n for n, long in enumerate(self.longs)}
        self._one = np.full(best.shape, -1, dtype=np.int64)
        for number, way in enumerate(self.ways):
            row = at[way.long]
            better = self._in_strip[number] & (worth[number] > best[row])
            best[row][better] = worth[number]
            self._one[row][better] = number
        return best

    @property
    def fits_strip(self) -> npt.NDArray[np.bool_]:
        """Whether a way may lie alone across a strip of each width (ways x widths)."""
        return self._in_strip

    def _fits_strip(self) -> npt.NDArray[np.bool_]:
        """Whether a way may lie alone across a strip of each width (ways x widths)."""
        widths = np.array(self.widths)
        wide = np.array([way.wide for way in self.ways])
        slack = widths[None, :] - wide[:, None]
        if not self.family.trimming:
            return np.asarray(slack == 0)
        # A trimming cut must leave at least kerf and the narrowest offcut. Where any waste is allowed the
        # kerf may run off the edge.
        zone = self.kerf + self.narrowest if self.narrowest else 0
        may_cut = self._third_cut[[self.longs.index(way.long) for way in self.ways]]
        return np.asarray((slack == 0) | ((slack > 0) & (slack >= zone) & may_cut))

    def _cut_stacks(self, values: Array) -> Array:
        """Stack values where the third cuts can be made; elsewhere only one whole piece, which needs none."""
        return np.where(self._third_cut, values, self._whole_pieces())

    def _whole_pieces(self) -> Array:
        """Worth of the best piece that is just a stack's size (lengths x widths); `_one` says which way it is,
        -1 = none.
        """
        best = np.full((len(self.longs), len(self.widths)), NONE)
        long_at = {long: n for n, long in enumerate(self.longs)}
        wide_at = {wide: n for n, wide in enumerate(self.widths)}
        self._one = np.full(best.shape, -1, dtype=np.int64)
        for number, way in enumerate(self.ways):
            at = long_at[way.long], wide_at.get(way.wide, -1)
            if at[1] >= 0 and self._worth[number] > best[at]:
                best[at] = self._worth[number]
                self._one[at] = number
        return best

    def _ends(self, best: Array, reached: Totals, capacities: Sequence[int]) -> _Ends:
        """Best totals that leave nothing, or kerf and the narrowest offcut, of each capacity.

        `best` is a table of `filled` over the totals `reached`; capacities are extents in units, without
        kerf.
        """
        # A total with one kerf for each piece is a capacity filled to the edge where it is the capacity and
        # one kerf. Less than that leaves metal: at most the capacity less the narrowest offcut keeps kerf
        # and offcut. Without a narrowest offcut any total will do.
        best, points, count = best[:-1], reached.points, len(reached.points)
        upto = np.maximum.accumulate(best, axis=0)
        fresh = np.concatenate([np.ones((1, best.shape[1]), bool), best[1:] > upto[:-1]])
        last = np.maximum.accumulate(np.where(fresh, np.arange(count)[:, None], 0), axis=0)
        caps = np.asarray(capacities, dtype=np.int64)
        most = caps - self.narrowest if self.narrowest else caps + self.kerf
        at = np.searchsorted(points, most, side="right") - 1
        value = np.where((at >= 0)[:, None], upto[np.maximum(at, 0)], NONE)
        row = last[np.maximum(at, 0)]
        # Filled to the edge: legal, too, and only there if that very total is reached. A thinned point
        # stands for totals up to it, of which one just short of the edge would leave a sliver; so then it
        # is not looked at.
        if self.narrowest and reached.complete:
            full = np.searchsorted(points, caps + self.kerf)
            there = (full < count) & (points[np.minimum(full, count - 1)] == caps + self.kerf)
            whole = np.where(there[:, None], best[np.minimum(full, count - 1)], NONE)
            row = np.where(whole > value, np.minimum(full, count - 1)[:, None], row)
            value = np.maximum(whole, value)
        return _Ends(value, row)

    def best_beyond(self, rests: Sequence[int]) -> tuple[Array, Whole]:
        """Value of the best strips for each width still there, and where `widths_of` finds them.

        A rest below 0 holds nothing and is worth 0: a strip that fills the plate has no kerf after it.
        """
        ends = self._ends(self._plate_best, self.across, [max(0, rest) for rest in rests])
        whole = np.array([rest >= 0 for rest in rests])
        return np.where(whole, ends.value[:, 0], 0.0), ends.row[:, 0]

    def strip_ends(self, best: Array) -> tuple[Array, Whole]:
        """For totals along a strip (rows, one past the last row; any columns): best value and its row."""
        ends = self._ends(best, self.along, [self.length])
        return ends.value[0], ends.row[0]

    def leaves_legal(self, rest: int, width: int) -> bool:
        """Whether a strip may come off what is left of the plate's width."""
        return width <= rest and self._rest_ok(rest - width)

    def copies_across(self, way: Way, width: int) -> int:
        """How many copies of a way may be stacked across a strip; 0 = not even one.

        As many as fit, or fewer where that many would leave a sliver beyond them.
        """
        copies = (width + self.kerf) // (way.wide + self.kerf)
        while copies:
            slack = width + self.kerf - copies * (way.wide + self.kerf)
            if self._rest_ok(slack) and ((copies == 1 and slack == 0) or self._may_cut(way.long, width)):
                return copies
            copies -= 1
        return 0

    def stack_of(self, way: Way, copies: int, width: int) -> Tree:
        """Copies of one way across a strip."""
        return self._cut(way.long, width, "strips", [self._leaf(way)] * copies)

    def strip_of(self, stacks: Sequence[Tree], width: int) -> Tree:
        """A strip of stacks."""
        return self._cut(self.length, width, "stacks", stacks)

    def plate_of(self, strips: Sequence[Tree]) -> Tree:
        """A plate of strips."""
        return self._cut(self.length, self.width, "strips", strips)

    def widths_of(self, row: int) -> list[int]:
        """Strips (by number of their width) of the best total in a row."""
        return self._trace_plate(row)

    # -- patterns ----------------------------------------------------------------------------------------------

    def patterns(self, most: int) -> list[tuple[int, Tree]]:
        """(value, pattern) of the last pricing: the best first, then the best with each of some other strips in it.

        At most `most`, only those worth something. Several patterns from one pricing save rounds of the
        master; each has a strip that none before had, as patterns that differ little teach the master
        little.
        """
        best = self._plate([self.widths[n] for n in self._trace_plate(self._plate_row)])
        value = int(self._plate_best[self._plate_row, 0])
        found = [(value, best)]
        if most > 1:
            found += self._others(most - 1)
        return [each for each in found if each[0] > 0]

    def _trace_plate(self, row: int) -> list[int]:
        """Numbers of the strips' widths that make up a row of the plate's table."""
        return traced(self._plate_rows, self._strips, self._plate_best, row, 0)

    def _others(self, most: int) -> list[tuple[int, Tree]]:
        """For each strip not seen yet, by falling worth: that strip, and the best of what is then still there."""
        beyond, rows = self.best_beyond([self.width - width - self.kerf for width in self.widths])
        values = self._strips[:, 0] + beyond
        order = [int(n) for n in np.argsort(-values, kind="stable") if values[n] > 0]
        found: list[tuple[int, Tree]] = []
        seen = set(self._trace_plate(self._plate_row))
        for number in order:
            if len(found) == most:
                break
            if number in seen:
                continue
            chosen = [number, *(self._trace_plate(int(rows[number])) if beyond[number] > 0 else [])]
            seen |= set(chosen)
            found.append((int(values[number]), self._plate([self.widths[n] for n in chosen])))
        return found

    def _plate(self, widths: Sequence[int]) -> Tree:
        """A plate of the best strips of some widths, widest first."""
        number = {width: n for n, width in enumerate(self.widths)}
        strips = [self.strip_at(number[width]) for width in sorted(widths, reverse=True)]
        return self._cut(self.length, self.width, "strips", strips)

    def strip_at(self, width: int) -> Tree:
        """The best strip of a width (by its number) at the last pricing."""
        row = int(self._strip_ends.row[0, width])
        stacks = traced(self._strip_rows, self._stacks, self._strip_best, row, width)
        inner = [self._stack(long, width) for long in sorted(stacks, reverse=True)]
        return self._cut(self.length, self.widths[width], "stacks", inner)

    def _stack(self, long: int, width: int) -> Tree:
        """The best stack of a length (by number) in a strip of a width (by number)."""
        length, extent = self.longs[long], self.widths[width]
        one = int(self._one[long, width])
        if self._stack_best is None or (one >= 0 and self._stacks[long, width] == self._worth[one]):
            return self._trimmed(self.ways[one], length, extent)
        row = int(self._stack_ends.row[width, long])
        numbers = traced(self._stack_rows, self._stack_values, self._stack_best, row, long)
        pieces = sorted((self.ways[n] for n in numbers), key=lambda way: (-way.wide, -way.long, way.item))
        inner = [self._trimmed(way, length, way.wide) for way in pieces]
        return self._cut(length, extent, "strips", inner)

    def _trimmed(self, way: Way, length: int, width: int) -> Tree:
        """A piece in a place that may be longer, or wider, than itself."""
        leaf = self._leaf(way)
        if way.long < length:
            return self._cut(length, width, "stacks", [leaf])
        return leaf if way.wide == width else self._cut(length, width, "strips", [leaf])

    def _leaf(self, way: Way) -> Tree:
        """A piece, turned back into the frame of the plate."""
        length, width = (way.long, way.wide) if self.first == "along" else (way.wide, way.long)
        return Tree(length, width, way.item, way.turned)

    def _cut(self, length: int, width: int, parts: str, children: Sequence[Tree]) -> Tree:
        """A rectangle parted into strips or stacks, turned back into the frame of the plate."""
        along = self.first == "along"
        cut: Direction = "along" if (parts == "strips") == along else "across"
        return cut_from(*((length, width) if along else (width, length)), cut, children, self.kerf)
