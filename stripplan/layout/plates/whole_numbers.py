"""Whole numbers over all patterns that were generated: branch and bound on the covering programme.

Of a large job most whole parts of the programme's answer are fixed before; a choice of the columns takes part.
"""

from __future__ import annotations

import math
from collections import Counter

from stripplan.layout.plates.column_pool import ColumnPool, Uses, cost_of
from stripplan.layout.plates.covering_programme import PlateColumn, cheapest_cover

MOST_BRANCHED = 60
"""Plates up to which branch and bound takes the whole problem; of more, most whole plates are fixed before.
Set by trial, not studied.
"""

MOST_COLUMNS = 800
"""Columns that branch and bound may choose from: those of least reduced cost. With more it sees more plans,
and gets less far within its nodes. Set by trial, not studied.
"""


def branched(pool: ColumnPool, uses: Uses, use: list[float], *, nodes: int, lowest: float) -> Uses | None:
    """Branch and bound over all columns, most of the whole parts of the programme's answer fixed before.

    None where nothing cheaper than `uses` was found within `nodes`. `use` is the answer of the root;
    `lowest` a cost no plan is below.
    """
    fixed: Uses = Counter()
    if sum(use) > MOST_BRANCHED:
        columns = pool.master.columns[: len(use)]
        # One plate less than the whole part is fixed, so that there is something left to exchange.
        fixed += Counter({c: math.floor(n) - 1 for c, n in zip(columns, use, strict=True) if n >= 2})
    left, limits = list(pool.demands), list(pool.limits)
    for column, times in fixed.items():
        for item, copies in column.counts:
            # A fixed pattern may make too much; what was wanted is then not wanted any more.
            left[item] = max(0, left[item] - copies * times)
        limit = limits[column.stock]
        if limit is not None:
            limits[column.stock] = limit - times
    before = float(cost_of(pool.problem, fixed))
    below = float(cost_of(pool.problem, uses)) - before
    columns = _promising(pool, uses)
    whole = cheapest_cover(left, pool.costs, limits, columns, nodes=nodes, below=below, at_least=lowest - before)
    if whole is None:
        return None
    return fixed + Counter({c: n for c, n in zip(columns, whole, strict=True) if n > 0})


def _promising(pool: ColumnPool, uses: Uses) -> list[PlateColumn]:
    """The columns of the answer and those of least reduced cost, in the order in which they were found.

    The columns of the answer must be among them: so that there is at least that one plan to improve on.
    """
    _, worth, limit_worth = pool.master.solve()
    lost = [
        pool.costs[c.stock] - limit_worth[c.stock] - sum(worth[item] * copies for item, copies in c.counts)
        for c in pool.master.columns
    ]
    # Rounded, so that what is equal but for the last digits is taken in the order found, on every machine.
    order = sorted(range(len(lost)), key=lambda n: (round(lost[n], 9), n))[:MOST_COLUMNS]
    chosen = {*order, *(n for n, column in enumerate(pool.master.columns) if column in uses)}
    return [pool.master.columns[n] for n in sorted(chosen)]
