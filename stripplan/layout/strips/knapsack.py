"""The best set of strips from one plate, given what each strip is worth: a bounded knapsack, exact.

Problem: each strip has a size, a value and a number of copies still wanted; choose copies of greatest value
that fit one plate. It is the pricing step of column generation (`columns`), asked once for each stock in each
round.

Method: dynamic programming over the totals that can be reached (R. Bellman, 1957), copies split in powers of
two. Values are whole numbers, so that bounds built on the result carry no rounding. One run answers for every
total at once, since column generation asks for the best set of at most so much, of exactly so much, and for the
next best.

Dense over the grid where that is small, else over reachable totals only; if those grow too many, totals
dominated by a narrower set of at least the same value are dropped, which keeps the value but may miss an exact
fit. So a bound stays a bound; only a column may be missed.

Cost: (strips x log copies) x totals, in time; dense, one byte for each is kept for the way back.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    import numpy.typing as npt

    Array = npt.NDArray[np.int64]

DENSE_UNITS = 200_000
"""Capacities [units] up to which every total has an entry of its own; beyond it only totals that are reached
are kept. Dense is a plain pass over memory, but pays for totals that nothing reaches. Set by trial, not
studied."""
DENSE_CELLS = 100_000_000
"""Entries of all its stages together at most, one byte each: memory against the slower sparse way. Set by
trial, not studied."""
MOST_STATES = 150_000
"""Totals listed one by one; beyond it those are dropped than which a smaller total is worth as much: speed and
memory against exact fits that may then be missed. Set by trial, not studied."""
_NONE = np.int64(-(1 << 62))
"""Value of a total that no set reaches: so far below 0 that no value added on the way lifts it to 0."""

Counts = tuple[int, ...]
"""How many of each item, in the order of the items."""


@dataclass(frozen=True)
class Knapsack:
    """Sizes (kerf included), most copies and capacity (one kerf included), in units; one size and one most for
    each item.

    A kerf goes with every strip, and the capacity has one more: k strips have k - 1 kerfs between them, so "k
    (width + kerf) <= plate + kerf" says that they fit.
    """

    sizes: tuple[int, ...]
    most: tuple[int, ...]
    capacity: int

    def pieces(self, values: Sequence[int]) -> list[tuple[int, int]]:
        """(item, copies) by powers of two, for items that are worth something and fit.

        Any number of copies up to the most is a sum of some of the pieces, and no sum exceeds it: so taking
        each piece once or not at all covers all numbers with log copies steps. Items worth nothing are left
        out; they could only take room.

        >>> Knapsack((3, 5), (5, 1), 20).pieces([1, 1])
        [(0, 1), (0, 2), (0, 2), (1, 1)]
        """
        found = []
        for item, (size, most) in enumerate(zip(self.sizes, self.most, strict=True)):
            left = min(most, self.capacity // size) if most and values[item] > 0 else 0
            step = 1
            while left > 0:
                found.append((item, min(step, left)))
                left -= step
                step *= 2
        return found


class Totals:
    """The best value for each total width that can be reached, with the way back.

    `values` are whole numbers, one for each item. `totals` (rising) and `best_values` are arrays of equal
    length; dense, a best value below 0 marks a total that cannot be reached.

    >>> at = Totals(Knapsack((3, 5), (5, 1), 10), [3, 6])
    >>> at.best(exact=False, most=10)  # 3 + 5; three of 3 are worth as much, but wider
    (9, 8)
    >>> at.counts(8)
    (1, 1)
    >>> at.best(exact=True, most=10) is None
    True
    """

    def __init__(self, knapsack: Knapsack, values: Sequence[int]) -> None:
        self.knapsack = knapsack
        self.values = values
        self.steps = knapsack.pieces(values)
        cells = (knapsack.capacity + 1) * len(self.steps)
        self._dense = knapsack.capacity <= DENSE_UNITS and cells <= DENSE_CELLS
        self._stages: list[tuple[Array, Array]] = []
        if self._dense:
            self._fill_dense()
        else:
            self._fill_sparse()

    def best(self, *, exact: bool, most: int) -> tuple[int, int] | None:
        """(value, total) of the best set of total at most `most`, or exactly `most`; None = there is none.

        `most` is in units and at most the capacity. Of sets of equal value the narrowest is given.
        """
        if most < 0:
            return None
        if exact:
            at = int(np.searchsorted(self.totals, most))
            found = at < len(self.totals) and self.totals[at] == most and self.best_values[at] >= 0
        else:
            inside = int(np.searchsorted(self.totals, most, side="right"))
            at, found = int(self.best_values[:inside].argmax()), True
        return (int(self.best_values[at]), int(self.totals[at])) if found else None

    def near_best(self, *, most: int, number: int) -> list[tuple[int, int]]:
        """(value, total) of the best sets of so many different totals of at most `most`, best first.

        Fewer where there are not so many totals; dense, the last may be values below 0, of totals that cannot
        be reached.
        """
        inside = self.best_values[: int(np.searchsorted(self.totals, most, side="right"))]
        kth = max(0, len(inside) - number)
        some = np.argpartition(inside, kth)[kth:] if kth else np.arange(len(inside))
        some = some[np.lexsort((some, -inside[some]))]
        return [(int(inside[at]), int(self.totals[at])) for at in some]

    def counts(self, total: int) -> Counts:
        """How many of each item make up the best set of that total; the total must be one that can be reached."""
        return self._back_dense(total) if self._dense else self._back_sparse(total)

    def _fill_dense(self) -> None:
        """One entry for each total from 0 to the capacity; each piece is taken once or not at all."""
        best = np.full(self.knapsack.capacity + 1, _NONE, dtype=np.int64)
        best[0] = 0
        self._taken = np.zeros((len(self.steps), len(best)), dtype=np.bool_)
        for (item, copies), taken in zip(self.steps, self._taken, strict=True):
            size, value = self.knapsack.sizes[item] * copies, self.values[item] * copies
            # A copy, made before `best` changes: added in place, a piece could be taken twice.
            shifted = best[:-size] + value
            np.greater(shifted, best[size:], out=taken[size:])
            np.maximum(shifted, best[size:], out=best[size:])
        # Every total has its place, so a search for one in `totals` finds its own index.
        self.totals = np.arange(len(best), dtype=np.int64)
        self.best_values = best  # below 0 = cannot be reached

    def _back_dense(self, total: int) -> Counts:
        """The last piece that bettered this total was taken; before it came what is left of the total, and so back
        to 0.
        """
        counts = [0] * len(self.knapsack.sizes)
        number = len(self.steps)
        while total and number:
            taken = self._taken[:number, total]
            number -= 1 + int(taken[::-1].argmax())
            if self._taken[number, total]:
                item, copies = self.steps[number]
                counts[item] += copies
                total -= self.knapsack.sizes[item] * copies
        return tuple(counts)

    def _fill_sparse(self) -> None:
        """Only totals that some set reaches, rising, each with its best value; the lists before each piece are
        kept.
        """
        totals, best = np.zeros(1, dtype=np.int64), np.zeros(1, dtype=np.int64)
        for item, copies in self.steps:
            self._stages.append((totals, best))
            size, value = self.knapsack.sizes[item] * copies, self.values[item] * copies
            fits = totals + size <= self.knapsack.capacity
            both = np.concatenate([totals, totals[fits] + size])
            worth = np.concatenate([best, best[fits] + value])
            # By total, and within a total the greatest value first: then the first of each total is the one to
            # keep.
            order = np.lexsort((-worth, both))
            both, worth = both[order], worth[order]
            first = np.concatenate([[True], both[1:] != both[:-1]])
            totals, best = both[first], worth[first]
            if len(totals) > MOST_STATES:
                # For the greatest value, a wider set is of use only if it is worth more than every narrower one.
                better = np.concatenate([[True], best[1:] > np.maximum.accumulate(best)[:-1]])
                totals, best = totals[better], best[better]
        self.totals, self.best_values = totals, best

    def _back_sparse(self, total: int) -> Counts:
        """A piece was taken unless the list before it has the same total at the same value already."""
        counts = [0] * len(self.knapsack.sizes)
        value = int(self.best_values[np.searchsorted(self.totals, total)])
        for (item, copies), (totals, best) in zip(reversed(self.steps), reversed(self._stages), strict=True):
            at = int(np.searchsorted(totals, total))
            if at < len(totals) and totals[at] == total and best[at] == value:
                continue
            counts[item] += copies
            total -= self.knapsack.sizes[item] * copies
            value -= self.values[item] * copies
        return tuple(counts)
