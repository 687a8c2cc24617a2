"""Fewer different patterns for the same plates and strips: fewer fence settings to learn, the same metal.

The search is `pattern_reduction`; this is the way into it, stock by stock. The same plan gives the same answer,
unless time ends the search. Not exact: it does not show that fewer patterns are impossible.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from stripplan.layout.strips.columns import StripWorld
from stripplan.layout.strips.master import Column
from stripplan.layout.strips.pattern_reduction import Pattern, Task, search

DEFAULT_TRIES = 1000
"""Steps for each stock where nobody says: a second or so on the published instances where compiled. More steps may find
fewer patterns, and take longer. Set by trial, not studied."""
TRIES_AT_ONCE = 100
"""Steps until the clock is asked again: well below a second. More would overrun a time limit by more."""
USUAL_UNITS = 4096
"""A plate of more units than these costs more time: so many times fewer tries. Set by trial, not studied."""


@dataclass(frozen=True)
class PatternRules:
    """Side rules that a pattern must keep besides fitting; the built-in values do not bind.

    Most pieces of a pattern, most different items in it, least total width [units, kerf after each piece
    included], least number of plates that are cut by it.
    """

    max_pieces: int = 10**9
    max_distinct: int = 10**9
    min_width: int = 0
    min_runs: int = 1


def fewest_patterns(
    world: StripWorld,
    uses: Sequence[tuple[Column, int]],
    *,
    tries: int = DEFAULT_TRIES,
    out_of_time: Callable[[], bool] = lambda: False,
    rules: PatternRules = PatternRules(),
) -> tuple[tuple[Column, int], ...]:
    """The same plates of each stock and the same strips in at most as many different patterns.

    `tries` counts rebuildings for each stock. The answer is the uses themselves where nothing better was found.
    It stops when `out_of_time` says so, with the best so far, which is a whole plan at any time.
    """
    found: list[tuple[Column, int]] = []
    for stock in range(len(world.costs)):
        mine = [(column, times) for column, times in uses if column.stock == stock and times]
        runs: dict[Pattern, int] = {}
        for column, times in mine:
            # Uses that are the same pattern count as one, with the sum of their runs.
            pattern = tuple((i, n) for i, n in enumerate(column.counts) if n)
            runs[pattern] = runs.get(pattern, 0) + times
        better = _fewer(world, stock, runs, tries, out_of_time, rules)
        count = len(world.demands)
        found += mine if len(better) >= len(mine) else [(Column(stock, _dense(p, count)), n) for p, n in better]
    return tuple(found)


def _dense(pattern: Pattern, count: int) -> tuple[int, ...]:
    """How many of each of `count` items.

    >>> _dense(((1, 3),), 3)
    (0, 3, 0)
    """
    counts = [0] * count
    for item, n in pattern:
        counts[item] = n
    return tuple(counts)


def _fewer(
    world: StripWorld,
    stock: int,
    runs: dict[Pattern, int],
    tries: int,
    out_of_time: Callable[[], bool],
    rules: PatternRules,
) -> list[tuple[Pattern, int]]:
    """The fewest patterns met for one stock."""
    if len(runs) < 2:
        return list(runs.items())
    task = _task(world, stock, rules)
    # Always the same seed: the same plan gives the same answer.
    at_work = search(task, list(runs.items()), seed=1)
    left = tries * USUAL_UNITS // max(USUAL_UNITS, task.capacity)
    while left > 0 and not out_of_time():
        some = min(left, TRIES_AT_ONCE)
        if at_work.run(some) < some:
            break
        left -= some
    found = at_work.found()
    at_work.close()
    return found


def _task(world: StripWorld, stock: int, rules: PatternRules) -> Task:
    """One stock in units that all widths are multiples of, which makes the tables of reachable widths as small as
    may be.

    `rest` keeps what the capacity has beyond whole units, as slivers are told by the true width.
    """
    widths, capacity = world.widths(stock), world.capacity(stock)
    unit = math.gcd(*widths)
    return Task(
        widths=tuple(width // unit for width in widths),
        over=tuple(item.over for item in world.problem.items),
        capacity=capacity // unit,
        least=-(-rules.min_width // unit),
        unit=unit,
        rest=capacity % unit,
        zone=world.zone(stock),
        max_pieces=rules.max_pieces,
        max_distinct=rules.max_distinct,
        min_runs=max(rules.min_runs, 1),
    )
