"""Quick plans for plates of one stock: first fit, and plate by plate the fullest set that goes with the widest strip.

Both work on counts, not copies: thousands of strips alike cost no more than one. Not exact. First fit
decreasing is D. S. Johnson's (1973); plate by plate is the minimum bin slack idea of J. N. D. Gupta, J. C. Ho,
Production Planning & Control 10 (1999) 598-603, with sums of subsets as bits of one whole number.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

MOST_BITS = 200_000_000
"""Work for sums of subsets, in bits touched: beyond it plate by plate is not tried. Set by trial, not studied."""


@dataclass(frozen=True)
class Bars:
    """Strips for plates of one stock: sizes (kerf included) falling, demands, capacity (one kerf included), units.

    What is left on a plate is nothing, or at least `zone` where that is not 0.
    """

    sizes: tuple[int, ...]
    demands: tuple[int, ...]
    capacity: int
    zone: int = 0


Plan = Counter[tuple[int, ...]]
"""Sets of strips (how many of each) and how often."""


def first_fit(bars: Bars) -> Plan:
    """First fit, widest first. Plates filled alike are kept as one, with how many there are."""
    plates: list[tuple[int, int, list[int]]] = []  # how many, room, counts
    for item, (size, left) in enumerate(zip(bars.sizes, bars.demands, strict=True)):
        after: list[tuple[int, int, list[int]]] = []
        for plate in plates:
            left -= _put(after, plate, item, size, left)
        empty = (-(-left // (bars.capacity // size)), bars.capacity, [0] * len(bars.sizes))
        if left:
            _put(after, empty, item, size, left)
        plates = after
    made: Plan = Counter()
    for times, _, counts in plates:
        made[tuple(counts)] += times
    return made


def _put(
    after: list[tuple[int, int, list[int]]], plate: tuple[int, int, list[int]], item: int, size: int, left: int
) -> int:
    """Put up to `left` strips on plates alike, full ones first; the plates go to `after`. How many were put."""
    times, room, counts = plate
    each = room // size
    if not each or not left:
        after.append(plate)
        return 0
    full = min(times, left // each)
    rest = min(left - full * each, each) if full < times else 0
    for number, extra in ((full, each), (1 if rest else 0, rest), (times - full - (1 if rest else 0), 0)):
        if number:
            after.append((number, room - extra * size, [*counts[:item], counts[item] + extra, *counts[item + 1 :]]))
    return full * each + rest


def plate_by_plate(bars: Bars) -> Plan | None:
    """Each plate in turn: the widest strip left, then the fullest set beside it; repeated while strips last.

    None where a strip would be left beside a sliver, or where it would be too much work.
    """
    steps = sum(min(d, bars.capacity // s).bit_length() for s, d in zip(bars.sizes, bars.demands, strict=True))
    if steps * steps * bars.capacity > MOST_BITS * 64:
        return None
    left = list(bars.demands)
    sums = _Sums(bars)
    made: Plan = Counter()
    widest = 0
    while True:
        while widest < len(left) and not left[widest]:
            widest += 1
        if widest == len(left):
            return made
        counts = sums.fullest(left, widest)
        if counts is None:
            return None
        times = min(left[i] // n for i, n in enumerate(counts) if n)
        made[counts] += times
        for item, count in enumerate(counts):
            left[item] -= count * times


class _Sums:
    """Which totals the narrower strips can make, as bits, from the narrowest up; kept while demands stay."""

    def __init__(self, bars: Bars) -> None:
        self.bars = bars
        self._mask = (1 << (bars.capacity + 1)) - 1
        self._bits = [1] * (len(bars.sizes) + 1)  # _bits[i]: totals of items i and after
        self._left = [0] * len(bars.sizes)

    def fullest(self, left: Sequence[int], widest: int) -> tuple[int, ...] | None:
        """The set with a strip `widest` of the greatest legal total, wide strips before narrow ones."""
        bars = self.bars
        self._renew(left, widest)
        reach = self._with(widest, left[widest] - 1)
        room = bars.capacity - bars.sizes[widest]
        total = room if reach >> room & 1 else (reach & ((1 << max(0, room - bars.zone + 1)) - 1)).bit_length() - 1
        if total < 0:
            return None
        counts = [0] * len(bars.sizes)
        counts[widest] = 1
        for item in range(widest, len(bars.sizes)):
            size, below = bars.sizes[item], self._bits[item + 1]
            most = min(left[item] - counts[item], total // size)
            while most and not below >> (total - most * size) & 1:
                most -= 1
            counts[item] += most
            total -= most * size
        return tuple(counts)

    def _renew(self, left: Sequence[int], widest: int) -> None:
        """Totals anew from the narrowest strip whose number has changed."""
        changed = max((i for i in range(len(left)) if left[i] != self._left[i]), default=-1)
        self._left = list(left)
        for item in range(changed, widest, -1):
            self._bits[item] = self._with(item, left[item])

    def _with(self, item: int, copies: int) -> int:
        """Totals with up to so many strips of an item beside the narrower ones."""
        bits, size, step = self._bits[item + 1], self.bars.sizes[item], 1
        copies = min(copies, self.bars.capacity // size)
        while copies > 0:
            bits |= bits << (size * min(step, copies)) & self._mask
            copies -= step
            step *= 2
        return bits
