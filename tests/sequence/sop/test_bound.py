"""The bound of walks in windows: hand-sized cases, and never above the least of all orders."""

from __future__ import annotations

import random

import pytest

from stripplan.sequence.sop.bound import bound
from stripplan.sequence.sop.problem import in_integers
from stripplan.sequence.sop.solve import nearest_next
from tests.sequence.sop.drawn import CHAIN, THREE, drawn, least_cost


def test_where_one_order_is_legal_the_walk_is_that_order() -> None:
    """26, and not a unit less."""
    assert bound(in_integers(CHAIN), 26).units == 26


def test_three_jobs_by_hand() -> None:
    """6 is met, given an order of 6; given a dearer one it is no more than 6 either."""
    assert bound(in_integers(THREE), 6).units == 6
    assert bound(in_integers(THREE), 20).units <= 6


@pytest.mark.parametrize("seed", range(12))
def test_never_above_the_least_of_all_orders(seed: int) -> None:
    """Six jobs, given the cost of an order that is not the best."""
    ordering = drawn(random.Random(seed), 6)
    problem = in_integers(ordering)
    assert bound(problem, problem.total(nearest_next(problem)) + 10).units <= least_cost(ordering)


def test_stopped_at_once_it_still_holds() -> None:
    """One walk was made."""
    ordering = drawn(random.Random(3), 6)
    problem = in_integers(ordering)
    found = bound(problem, problem.total(nearest_next(problem)), out_of_time=lambda: True)
    assert 0 < found.units <= least_cost(ordering)
