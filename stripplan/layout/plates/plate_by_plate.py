"""Plates one by one, each the best of its kind for what is left, at values that follow the waste they meet.

Sequential value correction (G. Belov, G. Scheithauer, European J. Operational Research 171 (2006) 85-106), here for
rectangles. Heuristic. Cost: a pricing for every plate of every layout.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Sequence
from fractions import Fraction

from stripplan.layout.plates.column_pool import ColumnPool, Uses, cost_of
from stripplan.layout.stop_rule import OutOfTimeError

IN_VAIN = 3
"""Layouts that gain nothing one after the other before no further is made, where no effort is asked for. Chosen, not
tuned."""
IN_TURN = 12
"""Layouts made plate by plate for each step of effort: each is another chance, and prices anew for every
plate. Set by trial, not studied.
"""

MOST_IN_TURN = 200
"""Pieces up to which whole layouts are also made plate by plate; beyond, the time goes to the dive. Set by
trial, not studied.
"""


def plate_by_plate(pool: ColumnPool, enough: Fraction) -> Uses | None:
    """The cheapest of several layouts of the whole job; None where no layout was whole.

    Where the pieces of a plate leave much waste, they are worth more in later layouts, and so are placed while there is
    still choice. Values go on from layout to layout. At a cost of `enough` no further layout is made.
    """
    chance = random.Random(pool.seed)
    area = [max((x * y for ways in i.sizes for x, y, _ in ways), default=0) for i in pool.problem.items]
    # A little more than area: large pieces first, as small ones still find room at the end. Set by
    # trial, not studied.
    values = [float(each) ** 1.03 for each in area]
    best: tuple[Fraction, Uses] | None = None
    in_vain = 0
    for _ in range(IN_TURN * (1 + pool.steps)):
        if pool.out_of_time() or (best is not None and best[0] <= enough):
            break
        if in_vain >= IN_VAIN and not pool.steps:
            break
        made = _one_turn(pool, values, area, chance)
        in_vain += 1
        if made is not None and (best is None or cost_of(pool.problem, made) < best[0]):
            best, in_vain = (cost_of(pool.problem, made), made), 0
    return best[1] if best is not None else None


def _one_turn(pool: ColumnPool, values: list[float], area: Sequence[int], chance: random.Random) -> Uses | None:
    """One layout of the whole job; `values` are corrected in place. None where pieces find no plate, or
    time is over.
    """
    left, limits = list(pool.demands), list(pool.limits)
    uses: Uses = Counter()
    while any(left):
        try:
            column = pool.pricing.best_for(values, left, limits, chance)
        except OutOfTimeError:
            return None
        if column is None:
            return None
        pool.master.add(column)
        uses[column] += 1
        used = sum(area[item] * copies for item, copies in column.counts)
        stock = pool.problem.stocks[column.stock]
        for item, copies in column.counts:
            # How far the old value gives way to the new: more where the plate holds more of what was
            # still wanted. Chance keeps layouts from repeating. 0.6, 0.4, and 3 as the most that waste
            # counts: set by trial, not studied.
            pull = copies / (left[item] + copies) * (0.6 + 0.4 * chance.random())
            waste = stock.length * stock.width / max(1, used)
            values[item] = (1 - pull) * values[item] + pull * float(area[item]) ** 1.03 * min(3.0, waste)
            left[item] -= copies
        limit = limits[column.stock]
        if limit is not None:
            limits[column.stock] = limit - 1
    return uses
