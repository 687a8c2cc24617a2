"""The sequential-ordering core: every order of few jobs, published instances, the compiled twins."""

from __future__ import annotations

import random
from itertools import permutations

import pytest

from stripplan import kernel
from stripplan.sequence.ordering import Ordering, solve
from stripplan.sequence.ordering.bound import Walks, bound, improved
from stripplan.sequence.ordering.exact import close_gap
from stripplan.sequence.ordering.problem import whole
from stripplan.sequence.ordering.search import Compiled, Search
from stripplan.sequence.ordering.solve import nearest_next
from tests.benchmarks.sequential_ordering import parse

ESC07 = """EDGE_WEIGHT_SECTION
9
    0    0    0    0    0    0    0    0 1000000
   -1    0  100  200   75    0  300  100    0
   -1  400    0  500  325  400  600    0    0
   -1  700  800    0  550  700  900  800    0
   -1   -1  250  225    0  275  525  250    0
   -1   -1  100  200   -1    0   -1   -1    0
   -1   -1 1100 1200 1075 1000    0 1100    0
   -1   -1    0  500  325  400  600    0    0
   -1   -1   -1   -1   -1   -1   -1   -1    0
EOF"""
"""L. F. Escudero's instance of nine nodes, as in TSPLIB95 (G. Reinelt, 1995); its optimum there is 2125."""


def drawn(chance: random.Random, n: int, least: int = -5) -> Ordering:
    """Costs and precedence at random."""
    costs = tuple(tuple(chance.randint(least, 30) for _ in range(n)) for _ in range(n))
    before = tuple(tuple(i for i in range(j) if chance.random() < 0.25) for j in range(n))
    return Ordering(n, costs, tuple(chance.randint(0, 20) for _ in range(n)), before)


@pytest.mark.parametrize("seed", range(200))
def test_the_least_of_all_orders_of_few_jobs(seed: int) -> None:
    """Up to six jobs, costs below 0 too: the cost is the least, proven, and the bound meets it."""
    chance = random.Random(seed)
    ordering = drawn(chance, chance.randint(1, 6))
    least = min(ordering.cost(row) for row in permutations(range(ordering.n)) if ordering.legal(row))
    found = solve(ordering, steps=2000, seed=seed)
    assert ordering.legal(found.row)
    assert (found.cost, found.bound, found.proven) == (least, least, True)


def test_costs_that_are_not_whole() -> None:
    """Decimals are kept: three jobs by hand, 0.1 + 0.2 + 0.3."""
    costs = ((0.0, 0.2, 5.0), (5.0, 0.0, 0.3), (5.0, 5.0, 0.0))
    found = solve(Ordering(3, costs, (0.1, 5.0, 5.0), ((), (), ())), steps=100)
    assert found.row == (0, 1, 2)
    assert found.cost == pytest.approx(0.6)
    assert found.bound == pytest.approx(0.6)


def test_a_published_instance_to_its_optimum() -> None:
    """ESC07: 2125."""
    found = solve(parse(ESC07))
    assert (found.cost, found.bound, found.proven) == (2125, 2125, True)


@pytest.mark.parametrize("seed", range(25))
def test_compiled_and_python_agree(seed: int) -> None:
    """The search step by step, the bound, and the exact method layer by layer."""
    chance = random.Random(seed)
    problem = whole(drawn(chance, chance.randint(3, 14)))
    library = kernel.library()
    assert library is not None, "no C compiler here: install one to compare the two"
    row = nearest_next(problem)
    pair = Search(problem, row, seed), Compiled(problem, row, seed, library)
    for steps in (1, 7, 500, 9000):
        for each in pair:
            each.run(steps)
        assert pair[0].found() == pair[1].found()
    pair[1].close()
    units = pair[0].found()[0]
    one = bound(problem, units)
    assert one == improved(Walks(problem, None), problem, units, lambda: False)
    assert close_gap(problem, units, one) == close_gap(problem, units, one, python=True)


def test_a_circle_is_written_out() -> None:
    """0 before 1 before 2 before 0 cannot be."""
    with pytest.raises(ValueError, match=r"no order keeps precedence: .* before .* before "):
        Ordering(3, ((0,) * 3,) * 3, (0,) * 3, ((2,), (0,), (1,)))


def test_a_cost_that_is_no_number_is_refused() -> None:
    """Not a number, or without end."""
    for strange in (float("nan"), float("inf")):
        with pytest.raises(ValueError, match="a cost is no number"):
            solve(Ordering(2, ((0, strange), (1, 0)), (0, 0), ((), ())))


def test_a_start_against_precedence_is_refused() -> None:
    """1 needs 0 before it."""
    with pytest.raises(ValueError, match=r"not an order of jobs 0 \.\. 1 that keeps precedence"):
        solve(Ordering(2, ((0, 1), (1, 0)), (0, 0), ((), (0,))), start=(1, 0))
