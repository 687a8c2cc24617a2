"""What a block costs in plate and hands together, as mixes are ranked by before any of them is laid out.

An estimate: its plate at the lowest price by area of those it may come from; two cuts that free it, one of them shared
with what lies beside it in a strip; fetching it once; then the cuts inside it, one after another. Settings are left
out, as blocks alike share them. No bound and no figure that is told rests on it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

from stripplan.layout import HandTimes
from stripplan.model.polygon import chord
from stripplan.model.shapes.block import Block, Freed, Parted
from stripplan.planner.hand_times import cause_weights, hand_times
from stripplan.planner.job_layout import price_of_minute
from stripplan.planner.settled import Group, Settled

SHARED = 0.3
"""Share of the cut along a block that is its own: a strip mostly holds several. Set by trial, not studied."""


def block_cost(
    settled: Settled, group: Group, kerf: float, tree_of: Callable[[Block], Freed | None]
) -> Callable[[Block], float]:
    """A function that gives the cost of a block in the job's currency; `tree_of` gives the cuts inside one."""
    area = min(settled.worth.plates[each.index] / (each.plate.length * each.plate.width) for each in group.plates)
    hands = block_hands(settled, group, tree_of)

    def cost(block: Block) -> float:
        return area * (block.length + kerf) * (block.width + kerf) + hands(block)

    return cost


def block_hands(settled: Settled, group: Group, tree_of: Callable[[Block], Freed | None]) -> Callable[[Block], float]:
    """A function that gives what the hands on a block cost in the job's currency."""
    first = group.plates[0]
    times = hand_times(settled.rig, first.process, first.rules.areal_mass, cause_weights(settled.job.options))
    second = price_of_minute(settled) / 60
    return lambda block: second * _seconds(block, times, tree_of(block))


def _seconds(block: Block, times: HandTimes, tree: Freed | None) -> float:
    short, long = sorted((block.length, block.width))
    lengths = list(_lengths(tree))
    freeing = (1 + SHARED) * times.cut + times.per_length * (short + SHARED * long)
    inside = sum(times.cut + times.push + times.per_length * each for each in lengths)
    return freeing + (times.aside if lengths else 0.0) + inside


def _lengths(tree: Freed | None) -> Iterator[float]:
    """Lengths of the cuts inside a block [mm]."""
    if isinstance(tree, Parted):
        found = chord(tree.outline, tree.line)
        if found is not None:
            yield math.dist(*found[0])
        yield from _lengths(tree.right)
        yield from _lengths(tree.left)
