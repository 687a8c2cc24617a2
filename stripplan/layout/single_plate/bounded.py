"""The most valuable pattern of one plate with at most so many of each shape: best-first building, exact where it ends.

Method: rectangles are built up by laying two beside or above each other, most promising first (P. Y. Wang,
Operations Research 31 (1983) 573-586; K. V. Viswanathan, A. Bagchi, ibid. 41 (1993) 768-776; V.-D. Cung, M.
Hifi, B. Le Cun, ITOR 7 (2000) 185-210). What can still come round one is bounded from above by tables of
the unbounded problem; in some of them each item costs a price, so that more of it than is wanted does not
pay (see `lagrange`). Of two builds of the same items one that fits wherever the other does stands for both.

Best-first: the build of greatest bound is joined next, with all that were joined before. Once that bound is
no more than the best pattern's value, none left can be better, and the search has ended. Cost: exponential
at worst; steps, builds and time are limited, and the greatest bound still open is then what is not
excluded.

Sizes. A build is along x either w, or any size from m on: see `unbounded`. Beside each other sizes add,
above each other they must agree. Limits on the length of a cut and on stages are kept as far as least sizes
tell; a build that beats the best pattern is then laid out in full (`to_tree`), and where that fails its
value stays in the bound.
"""

from __future__ import annotations

import heapq
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from stripplan.layout.problem import Problem
from stripplan.layout.single_plate.build_arrays import Counting, States, extents_added, extents_shared
from stripplan.layout.single_plate.lagrange import Priced, priced_tables
from stripplan.layout.single_plate.no_waste import whole_plate
from stripplan.layout.single_plate.plate import Best, ItemView, StockView, plate_of, widened_ways
from stripplan.layout.single_plate.to_tree import Build, realised
from stripplan.layout.single_plate.unbounded import PlateTooFineError, grounds, table
from stripplan.layout.stop_rule import Clock, never
from stripplan.layout.tree import FilledStock, Tree

if TYPE_CHECKING:
    from stripplan.layout.single_plate.build_arrays import Whole, Words

    Row = tuple[Whole, Words]

MOST_STATES = 2_000_000
"""Builds kept at most: memory against plates that could still be decided. Set by trial, not studied."""

DEFAULT_STEPS = 50_000
"""Builds expanded where nobody says: time against a proof. Set by trial, not studied."""

FEW_CELLS = 1_000_000
"""Entries of the table that is filled for a bound within limits, when the search is over: it should take
little beside that. Set by trial, not studied.
"""


def best_bounded(
    plate: StockView,
    shapes: Sequence[ItemView],
    *,
    steps: int = DEFAULT_STEPS,
    floor: int = 0,
    out_of_time: Clock = never,
) -> Best:
    """The best pattern found within `steps`, each shape at most `most` times; only worth more than `floor` counts.

    The bound holds for every legal pattern; it is `floor` where no pattern is worth more, even if the best
    one found is worth less. Where nothing worth more was found the answer is an empty plate of value 0.
    PlateTooFineError (a ValueError) where tables would be too large.

    >>> best = best_bounded(StockView(10, 10), [ItemView(((3, 10, False),), 2, 1), ItemView(((4, 10, False),), 3, 1)])
    >>> best.value, sorted(best.pattern.items()), best.proven
    (5, [0, 1], True)
    """
    return _Search(plate, shapes, floor, out_of_time).run(steps, out_of_time)


@dataclass(frozen=True)
class Fit:
    """A pattern with all items on one plate; or None, for good where `decided`. `decided` is True beside a pattern."""

    pattern: Tree | None
    decided: bool


def fit_all(
    plate: StockView,
    shapes: Sequence[ItemView],
    *,
    steps: int = DEFAULT_STEPS,
    out_of_time: Clock = never,
) -> Fit:
    """Whether all items (each `most` times, values left aside) come from one plate, and how.

    Quick proofs first: an item that does not fit, areas that are more than the plate's. Areas count one
    kerf for each piece, and for the plate. Then `no_waste` where nothing may be left over; else each item
    is worth its area, and only the worth of all of them counts. PlateTooFineError where tables would be too
    large.
    """
    areas = [
        min((x + plate.kerf) * (y + plate.kerf) for x, y, _ in shape.ways) if shape.ways else 0 for shape in shapes
    ]
    wanted = [shape.most or 0 for shape in shapes]
    total = sum(area * most for area, most in zip(areas, wanted, strict=True))
    if not all(widened_ways(plate, shape) for shape, most in zip(shapes, wanted, strict=True) if most):
        return Fit(None, True)
    if total > plate.sides[0] * plate.sides[1]:
        return Fit(None, True)
    if total == plate.sides[0] * plate.sides[1] and plate.depth is None and plate.reach >= max(plate.sides):
        return Fit(*whole_plate(plate, shapes, steps=steps, out_of_time=out_of_time))
    valued = [ItemView(s.ways, area, most) for s, area, most in zip(shapes, areas, wanted, strict=True)]
    # With a floor of one less than all, every build that wastes more than there is to waste is dropped.
    best = best_bounded(plate, valued, steps=steps, floor=total - 1, out_of_time=out_of_time)
    return Fit(best.pattern, True) if best.value == total else Fit(None, best.bound < total)


@dataclass(frozen=True)
class OnePlateFit:
    """A plate that holds all items, or None; `excluded` = proven that no legal plan has them on one plate."""

    filled: FilledStock | None
    excluded: bool


def on_one_plate(problem: Problem, *, steps: int, out_of_time: Clock = never) -> OnePlateFit:
    """Whether all items of a problem come from one plate of its only stock.

    The pattern obeys every limit. The proof is taken without narrowest offcut, longest cut and spacers, as bounds are.
    """
    try:
        return _on_one_plate(problem, steps, out_of_time)
    except PlateTooFineError:
        return OnePlateFit(None, False)


def _on_one_plate(problem: Problem, steps: int, out_of_time: Clock) -> OnePlateFit:
    stock = problem.stocks[0]
    plate = plate_of(stock, problem.depth)
    shapes = [ItemView(item.sizes[0], 1, item.demand) for item in problem.items]
    found = fit_all(plate, shapes, steps=steps, out_of_time=out_of_time)
    # Mass, and what the fence reaches, the search does not know. Where those forbid the pattern nothing is
    # proven: another may be legal.
    if found.pattern is not None:
        legal = problem.is_legal(0, found.pattern)
        return OnePlateFit(FilledStock(0, found.pattern) if legal else None, False)
    free = StockView(stock.length, stock.width, stock.kerf, depth=problem.depth)
    bare = [ItemView(item.bound_sizes[0], 1, item.demand) for item in problem.items]
    # What was decided within limits is not taken as proof: it is asked again at the sizes, and with the
    # freedom, that bounds are taken with.
    if (free, bare) != (plate, shapes):
        found = fit_all(free, bare, steps=steps, out_of_time=out_of_time)
    return OnePlateFit(None, found.pattern is None and found.decided)


class _Search:
    """One run: open builds by falling bound, closed ones in arrays, and the best pattern so far.

    `failed` is the greatest value of a build on the whole plate that could not be laid out; `known` has for
    each count of items the builds of it that none other stands for.
    """

    def __init__(self, plate: StockView, shapes: Sequence[ItemView], floor: int, out_of_time: Clock) -> None:
        self.plate = plate
        self.shapes = shapes
        self.most = [_most(plate, shape) for shape in shapes]
        self.priced: Priced = priced_tables(plate, shapes, self.most, floor, out_of_time)
        self.best_value, self.best_pattern = floor, Tree(plate.length, plate.width)
        self.found = False
        if self.priced.value > floor:
            self.best_value, self.best_pattern, self.found = self.priced.value, self.priced.pattern, True
        self.failed = 0
        self.counting = Counting(self.most)
        self.closed = States(self.counting.words, len(self.priced.outsides))
        self.builds: list[Build] = []
        self.open: list[tuple[int, int, int]] = []
        self.rows: list[Row | None] = []
        self.known: dict[bytes, list[int]] = {}

    def run(self, steps: int, out_of_time: Clock) -> Best:
        """Join builds until none open can be better, or a limit is reached."""
        self._items()
        done = 0
        while self.open and -self.open[0][0] > self.best_value:
            if done >= steps or len(self.builds) > MOST_STATES or out_of_time():
                break
            done += 1
            number = heapq.heappop(self.open)[2]
            row = self.rows[number]
            # None: another build came to stand for it while it was waiting.
            if row is not None:
                self._expand(number, row)
        # No pattern is worth more than the best found, the greatest bound still open, or what could not be
        # laid out; nor more than the prices say.
        left = -self.open[0][0] if self.open else 0
        bound = min(max(self.best_value, left, self.failed), max(self.priced.bound, self.best_value))
        if self.failed > self.best_value and bound > self.best_value:
            bound = min(bound, max(self.best_value, _bound_within_limits(self.plate, self.shapes, self.most)))
        return Best(self.best_value if self.found else 0, self.best_pattern, bound, done)

    def _items(self) -> None:
        """Start with every item by itself, each way it fits."""
        gap = self.plate.gap if self.plate.gap > 1 else 0
        for item, shape in enumerate(self.shapes):
            if self.most[item] <= 0 or shape.value <= 0:
                continue
            for x, y, turned in widened_ways(self.plate, shape):
                ints = np.array([x, x + gap, y, y + gap, shape.value, 0, 0, *self.priced.worths(item)], dtype=np.int64)
                # Its own size, or any size that leaves waste beside it of at least the gap.
                build = Build(item=item, turned=turned, x=(x, x + gap), y=(y, y + gap))
                self._offer(build, ints, self.counting.one(item))

    def _expand(self, number: int, row: Row) -> None:
        """Join a build with every one joined before, and with itself."""
        self.closed.add(number, *row)
        for across in (True, False):
            partners, ints, counts = self._joined(row, across=across)
            for partner, made, count in zip(partners.tolist(), ints, counts, strict=True):
                build = Build(
                    cut="across" if across else "along",
                    first=number,
                    rest=partner,
                    x=(int(made[0]), int(made[1])),
                    y=(int(made[2]), int(made[3])),
                )
                self._offer(build, made, count)

    def _joined(self, row: Row, *, across: bool) -> tuple[Whole, Whole, Words]:
        """Partners in the closed list, and the rows of the builds made with them that may still beat the best."""
        plate, closed = self.plate, self.closed
        mine, my_counts = row
        numbers, ints, counts = closed.arrays()
        low = 0 if across else 2
        other = 2 - low
        size, partner = plate.sides[low // 2], ints[low]
        kind = 1 if across else 2
        fits = partner + mine[low] <= size
        if plate.depth is None and mine[5] == kind:
            fits &= ints[5] != kind
        at = np.flatnonzero(fits)
        at = at[self.counting.within(counts[:, at], my_counts)]
        theirs = ints[:, at]
        made = theirs + mine[:, None]
        made[low], made[low + 1] = extents_added(theirs[low], theirs[low + 1], mine[low], mine[low + 1])
        made[other], made[other + 1] = extents_shared(theirs[other], theirs[other + 1], mine[other], mine[other + 1])
        made[5] = kind
        made[6] = _stages(theirs, mine, made[other], other, kind)
        good = (made[other] <= plate.sides[other // 2]) & (made[other] <= plate.reach)
        if plate.depth is not None:
            good &= made[6] <= plate.depth
        good &= self.priced.bounds(made) > self.best_value
        chosen = np.flatnonzero(good)
        return numbers[at[chosen]], made[:, chosen].T, (counts[:, at[chosen]] + my_counts[:, None]).T

    def _offer(self, build: Build, ints: Whole, counts: Words) -> None:
        """Keep a build unless another of the same items stands for it."""
        bound = int(self.priced.bounds(ints[:, None])[0])
        if bound <= self.best_value:
            return
        key = counts.tobytes()
        alike = self.known.setdefault(key, [])
        number = len(self.builds)
        mine = ints[:7].tolist()
        # The new one is dropped if an old one stands for it; else the old ones that it stands for are.
        for each in alike:
            if _stands_for(self._row(each), mine, staged=self.plate.depth is not None):
                return
        alike[:] = [each for each in alike if not self._dropped(each, mine)]
        alike.append(number)
        self.builds.append(build)
        self.rows.append((ints, counts))
        # Of equal bounds the build of greater value: it is nearer to a whole pattern. Then the older one,
        # for the same plan every time.
        heapq.heappush(self.open, (-bound, -mine[4], number))
        if mine[4] > self.best_value:
            self._complete(number, mine)

    def _row(self, number: int) -> list[int]:
        """The first seven whole numbers of a build that is still kept (see `build_arrays.States`)."""
        row = self.rows[number]
        assert row is not None
        numbers: list[int] = row[0][:7].tolist()
        return numbers

    def _dropped(self, number: int, mine: list[int]) -> bool:
        """Whether a new build stands for an old one, which is then taken out everywhere."""
        if not _stands_for(mine, self._row(number), staged=self.plate.depth is not None):
            return False
        self.rows[number] = None
        self.closed.drop(number)
        return True

    def _complete(self, number: int, mine: list[int]) -> None:
        """A build on the whole plate: the best so far, if it can be cut in full."""
        length, width = self.plate.sides
        fits = (mine[0] == length or mine[1] <= length) and (mine[2] == width or mine[3] <= width)
        if not fits:
            return
        pattern = realised(self.plate, self.builds, number)
        if pattern is None:
            self.failed = max(self.failed, mine[4])
            return
        self.best_value, self.best_pattern, self.found = mine[4], pattern, True


def _most(plate: StockView, shape: ItemView) -> int:
    """Copies that the plate's area holds, at most as many as wanted."""
    areas = [x * y for x, y, _ in widened_ways(plate, shape)]
    if not areas:
        return 0
    held = plate.sides[0] * plate.sides[1] // min(areas)
    return held if shape.most is None else min(held, shape.most)


def _bound_within_limits(plate: StockView, shapes: Sequence[ItemView], most: Sequence[int]) -> int:
    """What no legal pattern is worth more than, each shape as often as one likes; a very large number where
    that would take too large a table.
    """
    wanted = [shape for shape, n in zip(shapes, most, strict=True) if n > 0 and shape.value > 0]
    try:
        return table(grounds(plate, wanted, most_cells=FEW_CELLS), [shape.value for shape in wanted]).value
    except PlateTooFineError:
        return 1 << 60


def _stages(theirs: Whole, mine: Whole, shared: Whole, other: int, kind: int) -> Whole:
    """Least number of stages of joined builds; each is one more where it is cut the other way or to be trimmed."""

    def inside(stage: Whole, cut: Whole, size: Whole) -> Whole:
        deep = np.where(cut == kind, stage - 1, stage)
        return np.maximum(deep, (size < shared).astype(np.int64))

    return 1 + np.maximum(inside(theirs[6], theirs[5], theirs[other]), inside(mine[6], mine[5], mine[other]))


def _stands_for(one: list[int], other: list[int], *, staged: bool) -> bool:
    """Whether a build fits wherever another of the same items does.

    Along each axis every size that the other may have, it may have, too. With stages it must also be no
    deeper, and one stage less deep where its own cut runs the other way, as what it is joined to may go on
    in the direction of the other's cut.
    """
    along_x = one[1] <= other[1] and (one[0] == other[0] or one[1] <= other[0])
    along_y = one[3] <= other[3] and (one[2] == other[2] or one[3] <= other[2])
    if not (along_x and along_y):
        return False
    return not staged or one[6] + (one[5] != other[5]) <= other[6]
