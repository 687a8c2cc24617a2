"""The problem in whole units: what follows from precedence, and how costs are rounded."""

from __future__ import annotations

from fractions import Fraction

import pytest

from stripplan.sequence.sop.problem import Ordering, in_integers
from tests.sequence.sop.drawn import CHAIN, THREE


def test_what_follows_from_precedence_is_worked_out() -> None:
    """0 before 1 before 2 before 3: 3 has all others before it, though only 2 was named,
    and only 1 may come straight after 0.
    """
    problem = in_integers(CHAIN)
    assert problem.before == (0b0000, 0b0001, 0b0011, 0b0111)
    assert problem.after == (0b1110, 0b1100, 0b1000, 0b0000)
    assert problem.next[:4] == (0b0010, 0b0100, 0b1000, 0b0000)
    assert problem.next[4] == 0b0001  # what may be first
    assert problem.above == ((), (0,), (1,), (2,))


def test_whole_costs_stay_as_they_are() -> None:
    """One unit is one, and nothing was rounded."""
    problem = in_integers(THREE)
    assert (problem.scale, problem.exact) == (Fraction(1), True)
    assert problem.total((0, 1, 2)) == 6


def test_decimals_are_kept_by_a_finer_unit() -> None:
    """A quarter takes hundredths."""
    problem = in_integers(Ordering(2, ((0, 0.25), (1.5, 0)), (1.0, 2.0), ((), ())))
    assert problem.scale == 100
    assert problem.exact
    assert problem.total((0, 1)) == 125


def test_a_cost_that_no_unit_holds_makes_bounds_careful() -> None:
    """A third is rounded: each of two costs may have been half a unit less."""
    problem = in_integers(Ordering(2, ((0, 1 / 3), (1 / 3, 0)), (1 / 3, 1 / 3), ((), ())))
    assert not problem.exact
    assert problem.least(problem.total((0, 1))) <= 2 / 3


def test_an_order_is_legal_where_each_job_is_done_once_after_what_precedes_it() -> None:
    """Turned round, doubled, cut short."""
    assert CHAIN.legal((0, 1, 2, 3))
    assert not any(map(CHAIN.legal, [(3, 2, 1, 0), (0, 1, 2, 2), (0, 1, 2)]))


def test_sizes_that_do_not_fit_are_refused() -> None:
    """Two rows for three jobs; a job that is none."""
    with pytest.raises(ValueError, match="3 jobs need 3 rows"):
        Ordering(3, ((0, 0, 0),) * 2, (0, 0, 0), ((), (), ()))
    with pytest.raises(ValueError, match="not 7"):
        Ordering(2, ((0, 0),) * 2, (0, 0), ((), (7,)))
