"""The search for a good order: few jobs to the least, precedence kept at every step, the same seed the same path."""

from __future__ import annotations

import random

import pytest

from stripplan.sequence.sop.problem import in_integers
from stripplan.sequence.sop.search import search
from stripplan.sequence.sop.solve import nearest_next
from tests.sequence.sop.drawn import CHAIN, drawn, least_cost


@pytest.mark.parametrize("seed", range(12))
def test_few_jobs_are_ordered_at_the_least_cost(seed: int) -> None:
    """Seven jobs, 5000 steps."""
    ordering = drawn(random.Random(seed), 7)
    problem = in_integers(ordering)
    found = search(problem, nearest_next(problem), seed)
    found.run(5000)
    cost, row = found.found()
    found.close()
    assert ordering.legal(row)
    assert cost == ordering.cost(row) == least_cost(ordering)


def test_what_is_found_never_gets_worse() -> None:
    """Looked at every hundred steps."""
    problem = in_integers(drawn(random.Random(2), 30, density=0.05))
    found = search(problem, nearest_next(problem), 1)
    costs = []
    for _ in range(30):
        found.run(100)
        costs.append(found.found()[0])
    found.close()
    assert costs == sorted(costs, reverse=True)


def test_where_one_order_is_legal_it_stays() -> None:
    """Nothing may be exchanged."""
    found = search(in_integers(CHAIN), (0, 1, 2, 3), 0)
    found.run(1000)
    assert found.found() == (26, [0, 1, 2, 3])
    found.close()
