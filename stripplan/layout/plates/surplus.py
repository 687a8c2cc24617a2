"""Surplus taken out of patterns: exactly what is wanted is made, or short."""

from __future__ import annotations

from collections import Counter

from stripplan.layout.plates.column_pool import Uses
from stripplan.layout.plates.covering_programme import PlateColumn, column_of, without
from stripplan.layout.problem import Problem


def exactly(problem: Problem, uses: Uses) -> tuple[Uses, list[int]]:
    """Surplus taken out, emptied plates dropped; also what is short.

    `uses` is changed in place. Emptiest plates first: of those the chance is best that a whole plate is
    saved.
    """
    demands = [item.demand for item in problem.items]
    surplus = Counter({item: -demand for item, demand in enumerate(demands)})
    for column, times in uses.items():
        for item, copies in column.counts:
            surplus[item] += copies * times
    short = [max(0, -surplus[item]) for item in range(len(demands))]
    # Only what is too much stays in the count.
    surplus = +surplus
    done: Uses = Counter()
    for column in sorted(uses, key=lambda c: (sum(n for _, n in c.counts), c.stock, c.counts)):
        for _ in range(uses[column]):
            if not any(surplus[item] for item, _ in column.counts):
                break
            smaller = _smaller(problem, column, surplus)
            uses[column] -= 1
            if smaller is not None:
                done[smaller] += 1
    return +(uses + done), short


def _smaller(problem: Problem, column: PlateColumn, surplus: Counter[int]) -> PlateColumn | None:
    """The pattern less what is too much (taken off `surplus`); None = nothing is left of it."""
    before = surplus.copy()
    tree = without(column.tree, surplus, problem.stocks[column.stock].limits)
    if tree.is_metal:
        return None
    if not problem.is_legal(column.stock, tree):
        # The rig cannot cut what would be left (another piece would then lie where the fence does not
        # reach, say): the pattern stays, and so does its surplus.
        surplus.clear()
        surplus.update(before)
        return column
    return column_of(column.stock, tree)
