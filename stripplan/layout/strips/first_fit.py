"""Quick plans for plates of one stock: first fit, and plate by plate the fullest set that goes with the widest
strip.

Problem: strips of several sizes on as few plates of one stock as may be. These two give a plan at once; where
it meets a bound nothing else is needed, and else it is the plan that the search has to beat.

Both work on counts, not copies: thousands of strips alike cost no more than one. Not exact. First fit
decreasing is D. S. Johnson's (1973); it needs at most 11/9 of the least number and 6/9 of a plate more (G. Dosa
2007; from memory). Plate by plate is the minimum bin slack idea of J. N. D. Gupta, J. C. Ho, Production
Planning & Control 10 (1999) 598-603, with sums of subsets as bits of one whole number.

Cost: first fit, sizes x different fillings; plate by plate, for each different plate at most sizes x log copies
shifts of a number of as many bits as the plate has units.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

MOST_BITS = 200_000_000
"""Work for sums of subsets, in words of 64 bits: beyond it plate by plate is not tried. A better first plan
against the time it takes. Set by trial, not studied."""


@dataclass(frozen=True)
class Bars:
    """Strips for plates of one stock: sizes (kerf included) falling, demands, capacity (one kerf included), units.

    What is left on a plate is nothing, or at least `zone` where that is not 0. No size is above the capacity.
    """

    sizes: tuple[int, ...]
    demands: tuple[int, ...]
    capacity: int
    zone: int = 0


Plan = Counter[tuple[int, ...]]
"""Sets of strips (how many of each) and how often."""


def first_fit(bars: Bars) -> Plan:
    """First fit, widest first. Plates filled alike are kept as one, with how many there are.

    `zone` is not looked at: who bars slivers must look the plan over.

    >>> first_fit(Bars((6, 4), (2, 2), 10))
    Counter({(1, 1): 2})
    """
    plates: list[tuple[int, int, list[int]]] = []  # how many, room, counts
    for item, (size, left) in enumerate(zip(bars.sizes, bars.demands, strict=True)):
        # Plates in the order in which they were begun: the strip goes to the first with room, as the method
        # says.
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
    # Of plates alike some are filled, one may be filled in part, and the others stay as they were: at most
    # three groups.
    full = min(times, left // each)
    rest = min(left - full * each, each) if full < times else 0
    for number, extra in ((full, each), (1 if rest else 0, rest), (times - full - (1 if rest else 0), 0)):
        if number:
            after.append((number, room - extra * size, [*counts[:item], counts[item] + extra, *counts[item + 1 :]]))
    return full * each + rest


def plate_by_plate(bars: Bars) -> Plan | None:
    """Each plate in turn: the widest strip left, then the fullest set beside it; repeated while strips last.

    None where a strip would be left beside a sliver, or where it would be too much work.

    >>> plate_by_plate(Bars((6, 5, 4), (1, 2, 1), 10))
    Counter({(1, 0, 1): 1, (0, 2, 0): 1})
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
        # The same plate again while all its strips last: the next search would find it again.
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
        # Filled exactly, else the greatest total that leaves the zone: the highest bit at or below room - zone.
        total = room if reach >> room & 1 else (reach & ((1 << max(0, room - bars.zone + 1)) - 1)).bit_length() - 1
        if total < 0:
            return None
        counts = [0] * len(bars.sizes)
        counts[widest] = 1
        for item in range(widest, len(bars.sizes)):
            size, below = bars.sizes[item], self._bits[item + 1]
            most = min(left[item] - counts[item], total // size)
            # As many of the wide ones as the narrower ones can make up to the total: narrow strips are kept for
            # later plates.
            while most and not below >> (total - most * size) & 1:
                most -= 1
            counts[item] += most
            total -= most * size
        return tuple(counts)

    def _renew(self, left: Sequence[int], widest: int) -> None:
        """Totals anew from the narrowest strip whose number has changed."""
        changed = max((i for i in range(len(left)) if left[i] != self._left[i]), default=-1)
        self._left = list(left)
        # The totals of an item rest on those of all narrower ones only, so wider ones than the last change are
        # made anew.
        for item in range(changed, widest, -1):
            self._bits[item] = self._with(item, left[item])

    def _with(self, item: int, copies: int) -> int:
        """Totals with up to so many strips of an item beside the narrower ones."""
        bits, size, step = self._bits[item + 1], self.bars.sizes[item], 1
        copies = min(copies, self.bars.capacity // size)
        while copies > 0:
            # In powers of two, so that any number of copies up to the most is covered and none above.
            bits |= bits << (size * min(step, copies)) & self._mask
            copies -= step
            step *= 2
        return bits
