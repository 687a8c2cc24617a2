"""Rectangles by column generation: for parts in many copies, plates of several sizes, limited depth.

Problem: make so many of each item from plates of several sizes and prices, some of them limited in number,
at least cost.

Method. Patterns of whole plates are generated at the values of a linear programme (P. C. Gilmore, R. E.
Gomory, Operations Research 13 (1965) 94-120) until none is found that is worth more than its plate (`column_pool`);
whole plates come from a dive that fixes whole parts and prices again (`diving`), then branch and bound over the best of
all patterns seen (`whole_numbers`); the last plates are laid out by construction as well, and the cheaper way is
taken. Small jobs are also made plate by plate (`plate_by_plate`). Surplus is taken out again: exactly what is wanted
is made, or short (`surplus`).

Heuristic; the bound is exact (see `covering_programme.dual_bound`) and the greatest of: the material bound,
that over all patterns of any depth, that of the family where the job limits depth to it.

Cost: rounds times a pricing (see `staged`, `any_depth`), and linear programmes with a row for each item and
stock. That does not grow with the copies; what is done piece by piece (construction, plate by plate) has
limits on pieces of its own.

The same job, seed and steps give the same plan unless time runs out: chance is seeded, and nodes and rounds
end each search.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from stripplan.layout.plates.column_pool import HEAVY, ColumnPool, Uses, cost_of
from stripplan.layout.plates.covering_programme import PlateColumn, column_of
from stripplan.layout.plates.diving import dive
from stripplan.layout.plates.plate_by_plate import MOST_IN_TURN, plate_by_plate
from stripplan.layout.plates.pricing import family_of
from stripplan.layout.plates.staged import Family
from stripplan.layout.plates.surplus import exactly
from stripplan.layout.plates.whole_numbers import branched
from stripplan.layout.problem import Problem
from stripplan.layout.stop_rule import Clock, never
from stripplan.layout.tree import FilledStock
from stripplan.wording.message import Message

ROOT_ROUNDS = 600
"""Rounds of pricing before the dive: a stop against cycling. Set by trial, not studied."""

NODES = 200
"""Nodes of branch and bound for each step of effort. Set by trial, not studied."""


@dataclass(frozen=True)
class PlatesAnswer:
    """Patterns and how often; copies of each item that found no plate; what the cost cannot be below, and why.

    `bound` holds for every legal plan, in the unit of the stocks' costs; `how` says in words which bound it
    is. `family_bound` holds for patterns of `family` alone; None = it would have taken too long. `steps` is
    2 where branch and bound was asked, else 1.
    """

    patterns: tuple[tuple[PlateColumn, int], ...]
    short: tuple[int, ...]
    bound: Fraction
    how: Message
    steps: int
    family: Family
    family_bound: Fraction | None = None

    def cost(self, problem: Problem) -> Fraction:
        """Cost of all plates used."""
        return cost_of(problem, Counter(dict(self.patterns)))


def solve_plates(
    problem: Problem,
    *,
    steps: int | None = None,
    seed: int = 1,
    out_of_time: Clock = never,
    start: Sequence[FilledStock] | None = None,
    family: Family | None = None,
) -> PlatesAnswer:
    """Least cost, or near, from patterns of one family (by default the richest within the problem's depth).

    `steps` (3 where not given) sets how many nodes branch and bound may take and how long construction
    searches; 0 = no branch and bound. `seed` is for chance in construction and in layouts plate by plate.
    `start` are filled plates, whose patterns are used as columns; where they make exactly what is wanted
    the answer costs no more than they do. Sizes and plates are the problem's, in units of its grid.

    When `out_of_time` says stop, what there is so far is still made an answer, perhaps a short one.
    ArithmeticError where the linear programme ends without an optimum.
    """
    chosen = family or family_of(problem.depth)
    pool = ColumnPool(problem, chosen, seed=seed, steps=3 if steps is None else steps, out_of_time=out_of_time)
    return _answer(pool, start or ())


def _answer(pool: ColumnPool, start: Sequence[FilledStock]) -> PlatesAnswer:
    """Root, dive, branch and bound, clean."""
    problem = pool.problem
    bound, how, in_family, use, whole = _root(pool, start)
    # A plan of this cost is best, and every later search stops there. Where only one family is asked
    # for, its own bound says more.
    lowest = bound if pool.any_pattern else max(bound, in_family or Fraction(0))
    in_turn = plate_by_plate(pool, lowest) if sum(pool.demands) <= MOST_IN_TURN else None
    whole = min((u for u in (whole, in_turn) if u is not None), key=lambda u: cost_of(problem, u), default=None)
    # No dive where the programme was for the bound alone, or where a whole plan costs no more than the bound.
    if whole is not None and (pool.few or cost_of(problem, whole) <= lowest):
        uses, short = whole, [0] * len(pool.demands)
    else:
        uses, short = dive(pool, use, lowest)
    # A whole plan before one that is short, whatever the costs; else the cheaper one.
    if whole is not None and (any(short) or cost_of(problem, whole) < cost_of(problem, uses)):
        uses, short = whole, [0] * len(short)
    done = 1
    gap = not any(short) and cost_of(problem, uses) > lowest
    if pool.steps > 0 and pool.pricing.work <= HEAVY and gap and not pool.out_of_time():
        done += 1
        uses = branched(pool, uses, use, nodes=NODES * pool.steps, lowest=float(lowest)) or uses
    uses, short = exactly(problem, uses)
    patterns = tuple(sorted(uses.items(), key=lambda each: (each[0].stock, each[0].counts)))
    return PlatesAnswer(patterns, tuple(short), bound, how, done, pool.family, in_family)


def _root(
    pool: ColumnPool, start: Sequence[FilledStock]
) -> tuple[Fraction, Message, Fraction | None, list[float], Uses | None]:
    """The programme solved: bound, its name, the family's bound, the use of each column; and a whole plan by
    construction where one was found, or the start where that is complete.
    """
    given = [column_of(each.stock, each.tree) for each in start]
    for column in given:
        pool.take(column)
    # A plan that was given and is complete spares a construction of the same.
    whole = Counter(given) if pool.complete(given) else pool.all_by_hand()
    pool.take_first()
    use, worth, limit_worth = pool.generate(pool.demands, ROOT_ROUNDS, surplus=pool.few)
    use, worth, limit_worth = pool.go_deeper(use, worth, limit_worth)
    # Bounds from the values of the root, before the dive changes what is asked of the programme.
    bound, how, in_family = pool.bounds(worth, limit_worth)
    return bound, how, in_family, use, whole


def filled_of(answer: PlatesAnswer) -> list[FilledStock]:
    """The answer as filled plates, one for each plate; plates of the same pattern share a tree."""
    return [FilledStock(column.stock, column.tree) for column, n in answer.patterns for _ in range(n)]
