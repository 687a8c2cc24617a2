"""Patterns that keep the demands: a plate filled strip by strip, each strip by a bounded knapsack.

Problem: as in `staged`, but no item may be made more often than is still wanted. Patterns that make too
much are of no use at the end of a job, where little is left to be made.

Method: strips are chosen one after the other and stay. The strip chosen next is the one worth most
together with what the staged programme, which knows no demands, hopes for from the rest of the plate; or
the one worth most for its width. Both are tried, as neither is always the better. Within a strip copies
come in steps of 1, 1, 2, 4, ... and what then still fits, each taken or not (a knapsack of single
things); copies of one item may be stacked where stacks are allowed. Where that is too much work, the
staged programme's own strips are taken while they are wanted, and it is asked again without the items
that are used up.

Not exact, in two ways: strips are chosen greedily, and a stack holds copies of one item alone. What is not made
here is left to the next strip or plate.

Cost of a strip: (totals along) x (widths) x (ways) x (steps, the logarithm of the copies). Source: none;
built for this project on the staged programme of P. C. Gilmore and R. E. Gomory (see `staged`).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from stripplan.layout.plates.covering_programme import without
from stripplan.layout.plates.reachable_totals import NONE
from stripplan.layout.plates.staged import Staged, Way
from stripplan.layout.tree import Tree

if TYPE_CHECKING:
    import numpy.typing as npt

    Array = npt.NDArray[np.float64]

MOST_CELLS = 1_500_000
"""Totals x widths x ways above which a plate is filled by pricing again: some loss of worth against the time
of a bounded knapsack for every strip. Set by trial, not studied.
"""

MOST_PRICINGS = 4
"""Pricings spent on one plate. With more the last strips are chosen with more care; each is as long as a round
of column generation. Set by trial, not studied.
"""


@dataclass(frozen=True)
class _Step:
    """`copies` stacks of a way side by side, taken or not, in one pass over the table of a strip.

    `values` are for each width looked at: what the step adds, NONE where the way cannot lie there or would
    be made too often. `taken` (totals x widths) is where the step made a total better, for tracing back.
    """

    way: int
    copies: int
    values: Array
    taken: npt.NDArray[np.bool_]


class Shelves:
    """Bounded patterns beside a `Staged`, which must have been priced with the same values.

    What the rest of a plate is hoped to give is read from that last pricing: with other values strips would
    be chosen by the wrong hopes. The patterns would still keep the demands.
    """

    def __init__(self, staged: Staged) -> None:
        self.staged = staged
        self._high = self._stack_heights()
        self._shift: dict[int, npt.NDArray[np.int64]] = {}

    def _stack_heights(self) -> npt.NDArray[np.int64]:
        """How many copies of a way a stack across a strip holds (ways x widths); 0 = it cannot lie there."""
        s = self.staged
        high = s.fits_strip.astype(np.int64)
        if s.family.stages == 3:
            for number, way in enumerate(s.ways):
                for at, width in enumerate(s.widths):
                    high[number, at] = s.copies_across(way, width)
        return high

    def patterns(self, values: Sequence[int], left: Sequence[int]) -> list[Tree]:
        """Patterns that make at most `left` of each item: two, or one where tables are large; none where nothing fits.

        They may still be illegal where the fence or the order of cuts matters. May raise OutOfTimeError
        where it prices again.
        """
        s = self.staged
        if len(s.widths) * len(s.along.points) * len(s.ways) > MOST_CELLS:
            return [tree for tree in [self._priced_again(values, left)] if tree is not None]
        both = [self._shelf_by_shelf(values, left, dense=dense) for dense in (True, False)]
        return [tree for tree in both if tree is not None]

    def _priced_again(self, values: Sequence[int], left: Sequence[int]) -> Tree | None:
        """Strips of the staged programme, priced anew without the items that are used up."""
        s, room, rest = self.staged, list(left), self.staged.width
        strips: list[Tree] = []
        for _ in range(MOST_PRICINGS):
            s.price([value if n > 0 else 0 for value, n in zip(values, room, strict=True)])
            worth, row = s.best_beyond([rest])
            before = len(strips)
            for number in sorted(s.widths_of(int(row[0])), reverse=True) if worth[0] > 0 else ():
                strip = self._within(values, number, room)
                if strip is None:
                    continue
                strips.append(strip)
                for item in strip.items():
                    room[item] -= 1
                rest -= s.widths[number] + s.kerf
            # Nothing was added: another pricing would say the same.
            if len(strips) == before:
                break
        return s.plate_of(strips) if strips else None

    def _within(self, values: Sequence[int], number: int, room: Sequence[int]) -> Tree | None:
        """The staged programme's strip of a width where all of it is wanted, else the best that is."""
        strip = self.staged.strip_at(number)
        if all(n <= room[item] for item, n in Counter(strip.items()).items()):
            return strip
        found = self._best_strip(values, room, [number], lambda worth: worth)
        return self._clipped(found[0], room) if found is not None else None

    def _clipped(self, strip: Tree, room: Sequence[int]) -> Tree:
        """The strip less what is not wanted: an item that may be turned is taken up to its demand each way."""
        made = Counter(strip.items())
        surplus = Counter({item: n - room[item] for item, n in made.items() if n > room[item]})
        return without(strip, surplus, self.staged.limits)

    def _shelf_by_shelf(self, values: Sequence[int], left: Sequence[int], *, dense: bool) -> Tree | None:
        """Strip after strip until none is worth anything. `dense`: by worth for width, not by what may follow."""
        s, room, rest = self.staged, list(left), self.staged.width
        strips: list[Tree] = []
        while True:
            chosen = self._next(values, room, rest, dense=dense)
            if chosen is None:
                return s.plate_of(strips) if strips else None
            # Clipped, as ways of one item are counted each by itself in `_bounded`.
            strip, width = self._clipped(chosen[0], room), chosen[1]
            strips.append(strip)
            for item in strip.items():
                room[item] -= 1
            rest -= width + s.kerf

    def _next(self, values: Sequence[int], left: Sequence[int], rest: int, *, dense: bool) -> tuple[Tree, int] | None:
        """The next strip and its width, among widths that leave a legal rest of `rest` units; None = none is
        worth anything.
        """
        s = self.staged
        fits = [n for n, width in enumerate(s.widths) if s.leaves_legal(rest, width)]
        widths = np.array([s.widths[n] for n in fits])
        if dense:
            return self._best_strip(values, left, fits, lambda worth: worth / (widths + s.kerf))
        beyond = s.best_beyond([rest - s.widths[n] - s.kerf for n in fits])[0] if fits else 0.0
        return self._best_strip(values, left, fits, lambda worth: worth + beyond)

    def _best_strip(
        self, values: Sequence[int], left: Sequence[int], fits: Sequence[int], score: Callable[[Array], Array]
    ) -> tuple[Tree, int] | None:
        """The strip of greatest score among some widths, and its width; None where none is worth anything.

        `score` is given the worth of the best strip for each width of `fits` (numbers of widths), and
        returns as many figures.
        """
        s = self.staged
        if not fits:
            return None
        ways = [n for n, way in enumerate(s.ways) if left[way.item] > 0 and values[way.item] > 0]
        best, steps = self._bounded(values, left, ways, fits)
        worth, rows = s.strip_ends(best)
        scores = np.where(worth > 0, score(worth), NONE)
        at = int(scores.argmax())
        if scores[at] == NONE:
            return None
        width = s.widths[fits[at]]
        stacks = self._traced(steps, int(rows[at]), at)
        stacked = [s.stack_of(s.ways[way], int(self._high[way, fits[at]]), width) for way in stacks]
        return s.strip_of(stacked, width), width

    def _bounded(
        self, values: Sequence[int], left: Sequence[int], ways: Sequence[int], fits: Sequence[int]
    ) -> tuple[Array, list[_Step]]:
        """Best worth at each total along a strip (totals and one row of NONE, x widths), and the steps that made it."""
        s = self.staged
        best = np.full((len(s.along.points) + 1, len(fits)), NONE)
        best[0] = 0.0
        steps = []
        for number in ways:
            way, high = s.ways[number], self._high[number, fits]
            # Stacks of this way that a strip of each width may hold: as long as it is, and no more than are wanted.
            most = np.minimum((s.length + s.kerf) // (way.long + s.kerf), left[way.item] // np.maximum(high, 1))
            most[high == 0] = 0
            for copies, allowed in _parts(most):
                gain = np.where(allowed, float(values[way.item]) * copies * high, NONE)
                # All offers are made from the table before this step: so a step is used once at most.
                offer = best[self._rows(copies * (way.long + s.kerf))] + gain
                taken = offer > best[:-1]
                best[:-1][taken] = offer[taken]
                steps.append(_Step(number, copies, gain, taken))
        return best, steps

    def _rows(self, size: int) -> npt.NDArray[np.int64]:
        """For each total the row of the total less a size; noted, as the same sizes come again for every strip."""
        if size not in self._shift:
            self._shift[size] = self.staged.along.rows([size])[:, 0]
        return self._shift[size]

    def _traced(self, steps: Sequence[_Step], row: int, column: int) -> list[int]:
        """Ways (by number, one entry for each stack) that make up a total; longest first."""
        found = []
        # Backwards: the last step that made a total better is part of it; what is less is asked of the steps before.
        for step in reversed(steps):
            if row > 0 and step.taken[row, column]:
                found += [step.way] * step.copies
                row = int(self._rows(step.copies * (self._way(step).long + self.staged.kerf))[row])
        return sorted(found, key=lambda n: (-self.staged.ways[n].long, n))

    def _way(self, step: _Step) -> Way:
        """The way that a step lays down."""
        return self.staged.ways[step.way]


def _parts(most: npt.NDArray[np.int64]) -> Iterator[tuple[int, npt.NDArray[np.bool_]]]:
    """Steps of 1, 1, 2, 4, ... up to each of some numbers, the last of a number what it still lacks, and for which.

    Some steps of a number together make every whole number up to it, in as few passes as it has binary digits:

    >>> [(copies, where.tolist()) for copies, where in _parts(np.array([3, 6]))]
    [(1, [True, True]), (1, [True, True]), (1, [True, False]), (2, [False, True]), (2, [False, True])]
    """
    used = 0
    while (most > used).any():
        step = np.minimum(max(1, used), most - used)
        yield from ((int(copies), step == copies) for copies in np.unique(step[step > 0]))
        used += max(1, used)
