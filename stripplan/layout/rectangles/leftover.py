"""Same plates, same parts: gather what is left into one offcut that is worth more.

An offcut is asked for as if it were one more part: as long or as wide as the plate or one of its blanks, the other size
bisected between what is left now and what the free area allows. Each trial is a short search (see `ruin_recreate`) that
starts from the plates as they are and may not cost more. Not exact: a trial that fails proves nothing, and bisection
takes its failure for a proof.

Why a part and not a term in the search's score: the search drives one area to nothing, and an offcut as a part makes
"is there room for it?" that same question, with the rig's limits on its cuts and all. No source: the project's own.

Cost: at most `MOST_EXTENTS` x 2 families for each stock in use, about `TRIALS` trials each; the steps given are shared
among them all. Sizes are in units and carry one kerf, as in `ruin_recreate`; worth is asked in mm.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import closing
from dataclasses import dataclass, replace

from stripplan.layout.problem import Problem
from stripplan.layout.rectangles.compiled_search import Compiled, search_of
from stripplan.layout.rectangles.ruin_recreate import Search
from stripplan.layout.rectangles.search import task_of
from stripplan.layout.rectangles.search_task import Found, SearchItem, SearchStock, Task
from stripplan.layout.stop_rule import Clock
from stripplan.layout.tree import FilledStock, gathered

TRIALS = 7
"""Bisections of one width: down to a hundredth of the plate."""

MOST_EXTENTS = 3
"""Sizes across that are tried for each direction of each stock, largest first: more of them leave each trial fewer
steps. Set by trial, not studied."""

MOST_UNASKED = 50_000
"""Steps of a trial until the clock is asked again: well below a second."""

MOST_PLATES = 4
MOST_PARTS = 120
"""Of many plates only the emptiest are laid out anew: more of them have more metal to gather, and each trial gets
less done on each. Full plates have next to nothing to give. Set by trial, not studied."""

Value = Callable[[float, float], float]
"""What an offcut of length x width [mm] is worth; 0 = not worth keeping."""


@dataclass(frozen=True)
class Gathered:
    """Plates with their offcuts gathered, whether that is better than before, and search steps done.

    Where nothing is better they are the plates given, if in another order: `solver` then keeps the patterns it had.
    """

    filled: list[FilledStock]
    better: bool
    steps: int


def gather(
    problem: Problem, plates: Sequence[FilledStock], *, value: Value, seed: int, steps: int, out_of_time: Clock
) -> Gathered:
    """Plates of the same cost or less with the same parts, whose best offcut is worth as much or more.

    `steps` are shared among all trials; `value` is asked in mm and may not fall as an offcut grows. Where `out_of_time`
    says stop, what was gained so far is kept.

    `value` must not fall, as bisection looks for the least size that is worth more than the best so far; a value with a
    dip would only be searched badly, and never be paid for in plates or parts.
    """
    task = task_of(problem)
    loose, fixed = _loosest(task, plates)
    hunt = _Hunt(_for_these(task, fixed), float(problem.grid.unit), loose, value, seed, out_of_time)
    before = hunt.worth
    # Asked before the first trial: plates change with each success, the list may not.
    families = hunt.families()
    # An offcut of a plate that stays as it is sets the mark too: a lesser one elsewhere is no gain.
    hunt.worth = max([before, *hunt.worths(fixed)])
    for family in families:
        # The steps are shared evenly; fewer than 50 a trial would hardly move a part. Set by trial, not studied.
        hunt.widen(family, max(50, steps // (TRIALS * len(families))))
    return Gathered([*fixed, *hunt.plates], hunt.kept > 0, hunt.steps)


def _loosest(task: Task, plates: Sequence[FilledStock]) -> tuple[list[FilledStock], list[FilledStock]]:
    """The emptiest plates, which are laid out anew, and the others.

    A plate that would bring too many parts is passed over, and a fuller one with fewer parts may still come in.
    """
    order = sorted(range(len(plates)), key=lambda n: (-_free(task, plates[n]), n))
    loose: list[int] = []
    for number in order[:MOST_PLATES]:
        if sum(len(plates[n].items) for n in [*loose, number]) <= MOST_PARTS:
            loose.append(number)
    return [plates[n] for n in loose], [plate for n, plate in enumerate(plates) if n not in loose]


def _free(task: Task, plate: FilledStock) -> int:
    """Area of a plate that no part takes, in square units, one kerf added to every side."""
    x, y = task.stocks[plate.stock].size
    return x * y - sum(task.items[item].area for item in plate.items)


def _for_these(task: Task, fixed: Sequence[FilledStock]) -> Task:
    """The task less the plates that stay as they are: of a stock that runs out they are no longer there to be had."""
    used = [sum(plate.stock == n for plate in fixed) for n in range(len(task.stocks))]
    stocks = tuple(
        stock if stock.limit is None else replace(stock, limit=stock.limit - n)
        for stock, n in zip(task.stocks, used, strict=True)
    )
    return replace(task, stocks=stocks)


@dataclass(frozen=True)
class _Family:
    """Offcuts of one stock whose size along `axis` varies; `across`, one kerf added, is the other size.

    One size is held because both at once would need a search over pairs. Sizes that blanks have are the ones that cost
    no cut of their own.
    """

    stock: int
    axis: int
    across: int


class _Hunt:
    """The plates so far, what their best offcut is worth, and trials for a better one.

    The best alone counts, not a sum: two halves are worth less to a person than one whole, and a sum would not move
    when metal goes from one offcut to another.
    """

    def __init__(
        self, task: Task, unit: float, plates: list[FilledStock], value: Value, seed: int, out_of_time: Clock
    ) -> None:
        self.task, self.unit, self.plates, self.value, self.seed = task, unit, plates, value, seed
        self.out_of_time = out_of_time
        self.steps = self.kept = 0
        self.worth = max(self.worths(plates), default=0.0)

    def families(self) -> list[_Family]:
        """Families on the stocks in use, where more than one part leaves something to choose."""
        if sum(len(plate.items) for plate in self.plates) < 2:
            return []
        return [
            _Family(stock, axis, across)
            for stock in sorted({plate.stock for plate in self.plates})
            for axis in (1, 0)
            for across in self._extents(stock, 1 - axis)
        ]

    def _extents(self, stock: int, axis: int) -> list[int]:
        """The plate's size along an axis and the largest sizes of its blanks that the rig can cut.

        A cut as long as the offcut has to free it, so a size above the longest cut is not asked for at all.
        """
        kerf, longest = self.task.stocks[stock].kerf, self.task.stocks[stock].longest
        found = {self.task.stocks[stock].size[axis]}
        for plate in self.plates:
            if plate.stock == stock:
                found |= {(each.length, each.width)[axis] + kerf for each in plate.tree.rectangles(kerf)}
        return sorted((size for size in found if size - kerf <= longest), reverse=True)[:MOST_EXTENTS]

    def widen(self, family: _Family, turn: int) -> None:
        """Bisect the width of the offcut; each success is kept.

        Each trial starts from the plates of the last success, in which much of the offcut is gathered already.
        """
        stock = self.task.stocks[family.stock]
        low, high = self._range(stock, family)
        # A hundredth of the plate: finer is not worth a trial.
        least = max(1, stock.size[family.axis] // 100)
        while high - low >= least and not self.out_of_time():
            width = (low + high + 1) // 2
            found = self._tried(family, width, turn)
            if found is None:
                high = width - 1
            else:
                self._keep(found)
                # The mark has risen, so widths that are now worth no more need no trial.
                low = max(width, self._range(stock, family)[0])

    def _range(self, stock: SearchStock, family: _Family) -> tuple[int, int]:
        """Widths of the offcut: one that is worth no more than the best now, the most that the free area allows."""
        length = family.across - stock.kerf
        free = sum(_free(self.task, plate) for plate in self.plates)
        # All free area in one rectangle is the most there can be.
        high = min(stock.size[family.axis], free // family.across) - stock.kerf
        low, top = 0, max(high, 0)
        # Bisection asks that worth never falls as the offcut grows.
        while low < top:
            middle = (low + top + 1) // 2
            if self.value(length * self.unit, middle * self.unit) <= self.worth:
                low = middle
            else:
                top = middle - 1
        return low, high

    def _tried(self, family: _Family, width: int, turn: int) -> Found | None:
        """One trial: the plates with the offcut among them, by a search that may not cost more; None = no place.

        The offcut is an item like any other while the search runs, and metal again afterwards.
        """
        task, extra = self._with_offcut(family, width), len(self.task.items)
        with closing(search_of(task, self.seed + self.steps)) as search:
            # The offcut alone is left to place: `begin` tries it first, and steps then take plates apart for it.
            search.load(self.plates)
            # Same cost or less: what is won in an offcut may not be paid for in plates.
            search.lower_budget(task.enough)
            search.begin()
            self._run(search, turn)
            found = search.found()
        if found.out:
            return None
        filled = tuple(
            FilledStock(each.stock, pruned)
            for each in found.filled
            if (pruned := gathered(each.tree, task.stocks[each.stock].kerf, extra)) is not None
        )
        # Taking the offcut out moves metal to the end of its blank; where order is fixed a cut may be lost by it.
        sound = all(task.stocks[each.stock].located(each.tree) for each in filled)
        return replace(found, filled=filled) if sound else None

    def _run(self, search: Search | Compiled, turn: int) -> None:
        """A trial's steps; a long trial asks the clock on its way.

        Fewer done than asked means that the offcut has its place: the task's `enough` is the cost of the plates now.
        """
        while turn > 0:
            done = search.run(min(turn, MOST_UNASKED))
            self.steps += done
            turn -= MOST_UNASKED
            if done < MOST_UNASKED or (turn > 0 and self.out_of_time()):
                return

    def _with_offcut(self, family: _Family, width: int) -> Task:
        """The task with the offcut as one more item, which may lie in its family's stock alone, one way.

        Demands become what the plates hold, so that a part that had no place does not compete with the offcut.
        """
        size = [family.across, family.across]
        size[family.axis] = width + self.task.stocks[family.stock].kerf
        ways = tuple(((size[0], size[1], False),) if n == family.stock else () for n in range(len(self.task.stocks)))
        cost = sum(self.task.stocks[plate.stock].cost for plate in self.plates)
        offcut = SearchItem(1, 0, size[0] * size[1], ways)
        placed = [0] * len(self.task.items)
        for plate in self.plates:
            for item in plate.items:
                placed[item] += 1
        items = tuple(replace(item, demand=n) for item, n in zip(self.task.items, placed, strict=True))
        return replace(self.task, items=(*items, offcut), enough=cost)

    def _keep(self, found: Found) -> None:
        """Keep plates whose best offcut is worth more; a gathered one may be larger than was asked for."""
        worth = max(self.worths(found.filled), default=0.0)
        if worth > self.worth:
            self.plates, self.worth, self.kept = list(found.filled), worth, self.kept + 1

    def worths(self, plates: Sequence[FilledStock]) -> Iterator[float]:
        """What each free rectangle is worth, plate by plate; a trim still to come off is none of it."""
        for plate in plates:
            for free in plate.tree.free():
                yield self.value(free.length * self.unit, free.width * self.unit)
