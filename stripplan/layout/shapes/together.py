"""Blocks made larger, so that they fill a plate together with others.

Problem. Blocks that lie beside each other on a plate may leave less of it than a torch can cut off; then they do not
lie there. But what is over may fall beside a slanted edge of one of them.

Method. Any few blocks of a mix are added up along either side of each plate, each as it lies and turned. Where too
little is left, one of them takes it, if its shapes can still be freed. Not exact: nothing is done for a part that is a
rectangle, nor for more blocks. Cost: some thousand sums for a mix of few shapes.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator
from itertools import combinations_with_replacement, product

from stripplan.layout.shapes.blocks import UNIT
from stripplan.layout.shapes.fits import Fits
from stripplan.layout.shapes.mix import Mix, mix_of
from stripplan.model.shapes.block import Block

MOST_TOGETHER = 3
"""So many blocks are added up at the most. Chosen, not tuned."""

_Lying = tuple[Block, bool]
"""A block, and whether it lies turned."""


def filling(mix: Mix, fits: Fits, kerf: float) -> Iterator[Mix]:
    """The mix with a block, or all that are like it, as much larger as is left beside it and others on some plate."""
    counts = dict(mix.blocks)
    lying = [(each, turned) for each in counts for turned in ((False, True) if each.turns else (False,))]
    for many in range(2, MOST_TOGETHER + 1):
        for some in combinations_with_replacement(lying, many):
            if any(number > counts[each] for each, number in Counter(each for each, _ in some).items()):
                continue
            for room, axis in product(dict.fromkeys(fits.plates), (0, 1)):
                left = room[axis] - sum(_size(each, axis) for each in some) - (many - 1) * kerf
                units = math.floor(round(left * UNIT, 3))
                if units > 0 and left < fits.margin:
                    yield from _with_larger(mix, some, axis, units / UNIT, fits)


def _with_larger(mix: Mix, some: tuple[_Lying, ...], axis: int, left: float, fits: Fits) -> Iterator[Mix]:
    for each, turned in dict.fromkeys(some):
        along = (axis == 1) == turned
        larger = fits.grown(each, each.length + left * along, each.width + left * (not along))
        if larger is None:
            continue
        count = dict(mix.blocks)[each]
        for number in dict.fromkeys((1, count)):
            rest = ((other, count - number if other == each else its) for other, its in mix.blocks)
            yield mix_of([*rest, (larger, number)])


def _size(lying: _Lying, axis: int) -> float:
    """How much of a plate's length (0) or width (1) a block takes."""
    block, turned = lying
    return block.length if (axis == 1) == turned else block.width
