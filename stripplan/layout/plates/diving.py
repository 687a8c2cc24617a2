"""Whole plates by a dive: whole parts of the programme's answer are fixed, what is left is priced again.

Heuristic: a dive takes back nothing that it fixed. Its end, and the whole of a small job, may be cheaper by
construction, which is asked as well.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from fractions import Fraction

from stripplan.layout.plates.column_pool import HEAVY, MOST_BY_HAND, ColumnPool, Uses, cost_of
from stripplan.layout.plates.covering_programme import PlateColumn

DIVE_ROUNDS = 6
"""Rounds after each fixing: better patterns for what is left against time, as a dive fixes many times. Set by
trial, not studied.
"""


def dive(pool: ColumnPool, use: list[float], lowest: Fraction) -> tuple[Uses, list[int]]:
    """Whole plates by fixing and pricing again; the end by construction where that is cheaper.

    Returns plates and what is short of each item. A dive takes back nothing that it fixed. What is left
    gets fewer, and patterns that make too much of it are put aside (`Covering.ask`), so pricing fits
    new ones to what is left. The programme is asked for the whole job again at the end.
    """
    left, limits = list(pool.demands), list(pool.limits)
    uses: Uses = Counter()
    best: tuple[Fraction, Uses] | None = None
    # Construction has laid out the whole of a small job before the dive, so it is asked again from half of it on.
    asked = math.inf if sum(left) > MOST_BY_HAND else sum(left)
    while any(left):
        # Each time what is left has halved: the end of a plan may be cheaper by construction from early
        # on, or only late.
        if pool.any_pattern and sum(left) <= min(MOST_BY_HAND, asked / 2):
            asked = sum(left)
            by_hand = pool.by_hand(left, limits, lowest - cost_of(pool.problem, uses))
            cost = cost_of(pool.problem, uses + by_hand) if by_hand is not None else Fraction(0)
            if by_hand is not None and (best is None or cost < best[0]):
                best = cost, uses + by_hand
            if best is not None and (best[0] <= lowest or pool.pricing.work > HEAVY):
                break  # a heavy pricing does no better at the end than construction
        fixed = _to_fix(pool.master.columns, use, left, limits)
        if not fixed:
            break
        for column, times in fixed.items():
            uses[column] += times
            for item, copies in column.counts:
                left[item] -= copies * times
            limit = limits[column.stock]
            if limit is not None:
                limits[column.stock] = limit - times
        if any(left):
            pool.master.ask(left, limits)
            use, _, _ = pool.generate(left, DIVE_ROUNDS)
    pool.master.ask(pool.demands, pool.limits)
    if best is not None and (any(left) or best[0] < cost_of(pool.problem, uses)):
        return best[1], [0] * len(left)
    return uses, left


def _to_fix(
    columns: Sequence[PlateColumn], use: Sequence[float], left: Sequence[int], limits: Sequence[int | None]
) -> dict[PlateColumn, int]:
    """All whole parts of the answer, else the largest fraction (of equals the fullest column).

    No more than is left of any item, and of any stock. Empty where nothing can be fixed, which ends the
    dive. 1e-6 is what the solver's figures may be off.
    """
    room, limit = list(left), list(limits)
    fixed: dict[PlateColumn, int] = {}
    for number in sorted(range(len(use)), key=lambda n: (-use[n], -sum(c for _, c in columns[n].counts), n)):
        if use[number] < 1e-6:
            break
        column, times = columns[number], math.floor(use[number] + 1e-6)
        if times == 0:
            # From here on there are fractions only: with whole parts fixed, values are asked anew before
            # one is rounded up.
            if fixed:
                break
            times = 1
        times = min([times, *(room[item] // copies for item, copies in column.counts)])
        stock_limit = limit[column.stock]
        if stock_limit is not None:
            times = min(times, stock_limit)
            limit[column.stock] = stock_limit - max(0, times)
        if times > 0:
            fixed[column] = times
            for item, copies in column.counts:
                room[item] -= times * copies
    return fixed
