"""Builds side by side in arrays: counts packed into words, sizes, values.

`bounded` joins each build with all before it, thousands at once. What is asked of each pair is then asked
of whole arrays: whether counts are within limits, how large the two are together, what they are worth. A
build is a column; so each row lies in one piece of memory.

Sizes: a build is along an axis of one size w, or any size from m on (see `unbounded`): the pair (w, m), w
the least.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    import numpy.typing as npt

    Whole = npt.NDArray[np.int64]
    Words = npt.NDArray[np.uint64]


class Counting:
    """How many of each item, packed in 64-bit words so that one sum and one mask check all limits.

    A count of at most `most` has one bit to spare; with what is missing to the next power of two added,
    that bit shows whether the sum of two counts is too large. Both counts must be within the limits
    themselves. A count does not cross from one word to the next.

    >>> counting = Counting([3, 1])
    >>> one, other = counting.one(0), counting.one(1)
    >>> pair = np.array([one + one, one + one + other]).T
    >>> counting.within(pair, one).tolist(), counting.within(pair, other).tolist()
    ([True, True], [True, False])
    """

    def __init__(self, most: Sequence[int]) -> None:
        places: list[tuple[int, int]] = []
        word, bit = 0, 0
        for each in most:
            bits = max(each, 1).bit_length() + 1
            if bit + bits > 64:
                word, bit = word + 1, 0
            places.append((word, bit))
            bit += bits
        self.words = word + 1
        self._places = places
        self._spare = np.zeros(self.words, dtype=np.uint64)
        self._mask = np.zeros(self.words, dtype=np.uint64)
        for (word, bit), each in zip(places, most, strict=True):
            # For 3 of an item two bits and the spare one: nothing is missing to 3. For 5, three bits, and 7
            # - 5 = 2 are added, so that 6 comes to 8 and sets the spare bit.
            bits = max(each, 1).bit_length()
            self._spare[word] += np.uint64(((1 << bits) - 1 - max(each, 0)) << bit)
            self._mask[word] += np.uint64(1 << (bit + bits))

    def one(self, item: int) -> Words:
        """Counts of one item alone; one word for each 64 bits."""
        counts = np.zeros(self.words, dtype=np.uint64)
        word, bit = self._places[item]
        counts[word] = np.uint64(1 << bit)
        return counts

    def within(self, counts: Words, more: Words) -> npt.NDArray[np.bool_]:
        """For each column of counts whether it and `more` together are within the limits.

        `counts` is (words, builds), `more` (words); the result has one entry for each build.
        """
        good = np.ones(counts.shape[1], dtype=bool)
        for word in range(self.words):
            good &= (counts[word] + (more[word] + self._spare[word])) & self._mask[word] == 0
        return good


class States:
    """A growing list of builds: one column each.

    Rows of the whole numbers: least size and from where any size may be taken, along x, then along y;
    value; cut (1 across, 2 along, 0 an item); stages; then the value less prices by each table of prices.
    Order is not kept: see `drop`.
    """

    def __init__(self, words: int, tables: int) -> None:
        self._count = 0
        self._numbers = np.zeros(64, dtype=np.int64)
        self._ints = np.zeros((7 + tables, 64), dtype=np.int64)
        self._counts = np.zeros((words, 64), dtype=np.uint64)
        self._places: dict[int, int] = {}

    def add(self, number: int, ints: Whole, counts: Words) -> None:
        """Append a build: its number, its whole numbers (7 + tables) and its packed counts."""
        # Doubled when full, so that adding costs the same on average however many there are.
        if self._count == self._ints.shape[1]:
            self._numbers = np.concatenate([self._numbers, np.zeros_like(self._numbers)])
            self._ints = np.concatenate([self._ints, np.zeros_like(self._ints)], axis=1)
            self._counts = np.concatenate([self._counts, np.zeros_like(self._counts)], axis=1)
        self._place(self._count, number, ints, counts)
        self._count += 1

    def drop(self, number: int) -> None:
        """Take a build out, if it is there; the last one takes its place."""
        at = self._places.pop(number, None)
        if at is None:
            return
        self._count -= 1
        last = self._count
        if at != last:
            self._place(at, int(self._numbers[last]), self._ints[:, last], self._counts[:, last])

    def _place(self, at: int, number: int, ints: Whole, counts: Words) -> None:
        """Write a build into a column, and note where it is."""
        self._places[number] = at
        self._numbers[at], self._ints[:, at], self._counts[:, at] = number, ints, counts

    def arrays(self) -> tuple[Whole, Whole, Words]:
        """Numbers, whole numbers, counts; a column each. Views: they change with the next `add` or `drop`."""
        n = self._count
        return self._numbers[:n], self._ints[:, :n], self._counts[:, :n]


def extents_added(one: Whole, one_from: Whole, other: Whole, other_from: Whole) -> tuple[Whole, Whole]:
    """Sizes of two builds beside each other: least, and from where on any size may be taken.

    One of the two takes up what there is beyond the sum of the least: the one for which that sets in
    sooner.

    >>> [int(each) for each in extents_added(np.int64(3), np.int64(5), np.int64(4), np.int64(9))]
    [7, 9]
    """
    return one + other, np.minimum(one + other_from, one_from + other)


def extents_shared(one: Whole, one_from: Whole, other: Whole, other_from: Whole) -> tuple[Whole, Whole]:
    """Sizes that both of two builds may take: the least, and from where on any.

    The least is that of one where the other may take it, too; else both must go to where any size may be
    taken.

    >>> [int(each) for each in extents_shared(np.int64(3), np.int64(5), np.int64(4), np.int64(9))]
    [9, 9]
    >>> [int(each) for each in extents_shared(np.int64(3), np.int64(5), np.int64(6), np.int64(9))]
    [6, 9]
    """
    start = np.maximum(one_from, other_from)
    mine = (one == other) | (one >= other_from)
    least = np.where(mine, one, np.where(other >= one_from, other, start))
    return least, start
