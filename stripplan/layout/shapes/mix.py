"""A mix: the blocks that a job's shapes come out of."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from stripplan.model.shapes.block import Block

Cost = Callable[[Block], float]
"""What a block costs by itself, in any currency: mixes are ranked by it."""


FEW_SHAPES = 8
"""Up to so many shapes lie on one or two plates: whether some block goes in beside others counts for more than what it
takes by itself, and more blocks are tried."""


@dataclass(frozen=True)
class Mix:
    """Blocks that hold all shapes of a job, and how many of each."""

    blocks: tuple[tuple[Block, int], ...]

    def cost(self, of_block: Cost) -> float:
        """What they cost all together."""
        return sum(count * of_block(each) for each, count in self.blocks)


def mix_of(some: Iterable[tuple[Block, int]]) -> Mix:
    """A mix, blocks alike counted together."""
    counted: Counter[Block] = Counter()
    for each, count in some:
        counted[each] += count
    return Mix(tuple((each, count) for each, count in counted.items() if count))


def joined(some: Iterable[Mix]) -> Mix:
    """Several as one."""
    return mix_of(each for mix in some for each in mix.blocks)
