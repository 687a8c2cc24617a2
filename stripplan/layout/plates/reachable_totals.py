"""A knapsack on reachable totals, copies without limit, run for many capacities at once: the recurrence of all stages.

Values are whole numbers held in doubles, exact below 2^53.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from stripplan.layout.stop_rule import Clock, go_on, never

if TYPE_CHECKING:
    import numpy.typing as npt

    Array = npt.NDArray[np.float64]
    Whole = npt.NDArray[np.int64]

NONE = -np.inf
"""Worth of what cannot be cut. Minus infinity stays what it is whatever is added, so no sum needs a test."""
AT_ONCE = 5_000_000
"""Sums after which the clock is asked; some twentieth of a second. Fewer would spend time on asking, more
would come late.
"""


@dataclass(frozen=True)
class Totals:
    """Totals that can be reached by sizes with kerf; complete, or thinned where they are too many.

    `points` rise from 0. Where complete, a point is a total that some choice of sizes makes exactly. Where
    thinned, a point stands for all totals up to it: what is filled to a point takes no more than it,
    perhaps less.
    """

    points: Whole
    complete: bool

    def rows(self, sizes: Sequence[int]) -> Whole:
        """For each point and size the row of the point less the size; one past the last row = there is none.

        Shape (points, sizes). Thinned points are rounded down, which wastes a little room and never takes
        too much.

        >>> Totals(np.array([0, 3, 5, 6]), complete=True).rows([3, 5]).tolist()
        [[4, 4], [0, 4], [4, 0], [1, 4]]
        """
        less = self.points[:, None] - np.asarray(sizes, dtype=np.int64)[None, :]
        at = np.searchsorted(self.points, less, side="right") - 1
        missing = less < 0
        if self.complete:
            missing |= self.points[np.maximum(at, 0)] != less
        at[missing] = len(self.points)
        return at


def totals(sizes: Sequence[int], most: int, limit: int) -> Totals:
    """All sums of sizes up to `most`, any number of each; beyond `limit` sums evenly thinned.

    Sizes are positive units, with kerf where kerf counts. Sums are the one-bits of one large whole number,
    so that a size is added to all of them by a shift.

    >>> totals([3, 5], 10, limit=100).points.tolist()
    [0, 3, 5, 6, 8, 9, 10]
    >>> thin = totals([3, 5], 10, limit=3)
    >>> thin.points.tolist(), thin.complete
    ([0, 6, 10], False)
    """
    reach = 1
    mask = (1 << (most + 1)) - 1
    for size in sorted(set(sizes)):
        step = size
        # Shifts by 1, 2, 4, ... times the size add up to every number of copies, in as many shifts as that
        # number has bits.
        while step <= most:
            reach |= (reach << step) & mask
            step *= 2
    bits = np.frombuffer(reach.to_bytes(most // 8 + 1, "little"), dtype=np.uint8)
    points = np.flatnonzero(np.unpackbits(bits, bitorder="little")).astype(np.int64)
    if len(points) <= limit:
        return Totals(points, complete=True)
    # The largest total is kept whatever the thinning: it is the fullest that a side can be.
    chosen = np.unique(np.concatenate([points[np.linspace(0, len(points) - 1, limit).astype(np.int64)], points[-1:]]))
    return Totals(chosen, complete=False)


def filled(rows: Whole, values: Array, out_of_time: Clock = never) -> Array:
    """Best value for each total (row) and each column of `values` (sizes x columns): the recurrence of all stages.

    `rows` is what `Totals.rows` gives. The result has one row more than there are points, of NONE, for `rows` to
    lead to where a size does not fit. With complete totals a row is the best at that very total; a smaller total
    may be worth more (`staged` looks at all of them). Raises OutOfTimeError.

    >>> reached = totals([3, 5], 10, limit=100)
    >>> best = filled(reached.rows([3, 5]), np.array([[4.0], [7.0]]))
    >>> best[:-1, 0].tolist()
    [0.0, 4.0, 7.0, 8.0, 11.0, 12.0, 14.0]
    """
    count = len(rows)
    best = np.full((count + 1, values.shape[1]), NONE)
    best[0] = 0.0
    # Sizes that no column can use would only slow every row down.
    used = np.flatnonzero((values > NONE).any(axis=1))
    rows, values = rows[:, used], values[used]
    asked = max(1, AT_ONCE // max(1, values.size))
    for row in range(1, count):
        if row % asked == 0:
            go_on(out_of_time)
        inside = np.flatnonzero(rows[row] < count)
        if len(inside):
            best[row] = (best[rows[row, inside]] + values[inside]).max(axis=0)
    return best


def traced(rows: Whole, values: Array, best: Array, row: int, column: int) -> list[int]:
    """The sizes (by number) that make up the best value of a total.

    Nothing is noted while the table is filled: the choice is found again by the same sums, so there need be no
    second table. `row` must be one that can be reached.

    >>> reached = totals([3, 5], 10, limit=100)
    >>> rows, values = reached.rows([3, 5]), np.array([[4.0], [7.0]])
    >>> traced(rows, values, filled(rows, values), 5, 0)
    [0, 0, 0]
    """
    found = []
    while row > 0:
        candidates = best[rows[row], column] + values[:, column]
        size = int(candidates.argmax())
        found.append(size)
        row = int(rows[row, size])
    return found
