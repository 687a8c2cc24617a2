"""The exact method: the least of all orders, a proof where nothing is cheaper, a bound where it had no room."""

from __future__ import annotations

import random

import pytest

from stripplan.sequence.sop.bound import bound
from stripplan.sequence.sop.exact import close_gap
from stripplan.sequence.sop.problem import in_integers
from stripplan.sequence.sop.solve import nearest_next
from tests.sequence.sop.drawn import THREE, drawn, least_cost


@pytest.mark.parametrize("seed", range(12))
def test_given_a_dearer_order_it_finds_the_least(seed: int) -> None:
    """Six jobs: the cost is the least of all orders, and the order has it."""
    ordering = drawn(random.Random(seed), 6)
    problem, least = in_integers(ordering), least_cost(ordering)
    given = problem.total(nearest_next(problem)) + 5
    closed = close_gap(problem, given, bound(problem, given))
    assert closed.units == least
    assert closed.row is not None
    assert ordering.cost(closed.row) == least


@pytest.mark.parametrize("seed", range(6))
def test_given_the_least_it_proves_that_nothing_is_cheaper(seed: int) -> None:
    """No order comes back, and the cost is proven."""
    ordering = drawn(random.Random(seed), 6)
    problem, least = in_integers(ordering), round(least_cost(ordering))
    closed = close_gap(problem, least, bound(problem, least))
    assert (closed.units, closed.row) == (least, None)


def test_without_room_it_keeps_what_was_known() -> None:
    """Two states are too few for three jobs: the bound stays, and no order is claimed."""
    problem = in_integers(THREE)
    known = bound(problem, 20)
    closed = close_gap(problem, 20, known, most=2)
    assert closed.row is None
    assert known.units <= closed.units <= 6


def test_out_of_time_at_once_it_keeps_what_was_known() -> None:
    """No layer is made."""
    problem = in_integers(THREE)
    known = bound(problem, 20)
    assert close_gap(problem, 20, known, out_of_time=lambda: True).units == known.units
