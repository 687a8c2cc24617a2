"""Small problems for the tests of this room."""

from __future__ import annotations

import random
from itertools import permutations

from stripplan.sequence.sop.problem import Ordering


def drawn(chance: random.Random, n: int, *, density: float = 0.25) -> Ordering:
    """Costs and precedence at random."""
    costs = tuple(tuple(chance.randint(0, 30) for _ in range(n)) for _ in range(n))
    before = tuple(tuple(i for i in range(j) if chance.random() < density) for j in range(n))
    return Ordering(n, costs, tuple(chance.randint(0, 20) for _ in range(n)), before)


def least_cost(ordering: Ordering) -> float:
    """By trying every order."""
    return min(ordering.cost(row) for row in permutations(range(ordering.n)) if ordering.legal(row))


THREE = Ordering(3, ((0, 1, 9), (9, 0, 2), (9, 9, 0)), (3, 9, 9), ((), (), ()))
"""0, 1, 2 in that order costs 3 + 1 + 2 = 6, any other at least 9 + 9."""

CHAIN = Ordering(4, ((7,) * 4,) * 4, (5,) * 4, ((), (0,), (1,), (2,)))
"""One legal order alone: 5 + 3 x 7 = 26."""
