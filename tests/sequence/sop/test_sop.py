"""The sequential-ordering core: every order of few jobs, published instances, the compiled twins."""

from __future__ import annotations

import random
from itertools import pairwise, permutations

import pytest

from stripplan import kernel
from stripplan.sequence.sop import Ordering, solve
from stripplan.sequence.sop.bound import Walks, bound, improved
from stripplan.sequence.sop.exact import close_gap
from stripplan.sequence.sop.problem import in_integers
from stripplan.sequence.sop.search import Compiled, Search, search, turns
from stripplan.sequence.sop.solve import nearest_next
from tests.benchmarks.sequential_ordering import parse
from tests.checking import few

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

NO_COMPILER = "no C compiler here: install one to compare the two"


def drawn(chance: random.Random, n: int, *, both_ways: bool = False, density: float = 0.25) -> Ordering:
    """Costs and precedence at random; costs the same both ways where asked for."""
    costs = [[chance.randint(-5, 30) for _ in range(n)] for _ in range(n)]
    if both_ways:
        costs = [[costs[max(i, j)][min(i, j)] for j in range(n)] for i in range(n)]
    before = tuple(tuple(i for i in range(j) if chance.random() < density) for j in range(n))
    return Ordering(n, tuple(map(tuple, costs)), tuple(chance.randint(0, 20) for _ in range(n)), before)


@pytest.mark.parametrize("seed", few(60, range(200)))
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


@pytest.mark.parametrize("seed", few(8, range(24)))
def test_compiled_and_python_agree(seed: int) -> None:
    """The bound, and the exact method layer by layer."""
    chance = random.Random(seed)
    problem = in_integers(drawn(chance, chance.randint(3, 14)))
    assert kernel.available(), NO_COMPILER
    units = problem.total(nearest_next(problem))
    one = bound(problem, units)
    assert one == improved(Walks(problem, compiled=False), problem, units, lambda: False)
    assert close_gap(problem, units, one) == close_gap(problem, units, one, python=True)


@pytest.mark.parametrize("seed", few(8, range(24)))
def test_the_two_searches_agree(seed: int) -> None:
    """Step by step, with few jobs and with many, with costs the same both ways and not,
    with much precedence and little.
    """
    chance = random.Random(seed)
    ordering = drawn(chance, chance.choice((2, 5, 14, 60)), both_ways=seed % 2 == 0, density=chance.choice((0.01, 0.1)))
    assert kernel.available(), NO_COMPILER
    problem = in_integers(ordering)
    row = nearest_next(problem)
    pair = Search(problem, row, seed), Compiled(problem, row, seed)
    for steps in (1, 7, 500, 9000):
        for each in pair:
            each.run(steps)
        assert pair[0].found() == pair[1].found()
    pair[1].close()
    assert ordering.legal(pair[0].found()[1])
    assert ordering.cost(pair[0].found()[1]) == pair[0].found()[0]


def test_costs_the_same_both_ways_are_noticed() -> None:
    """Blocks are turned round where most pairs cost the same both ways, and only there."""
    chance = random.Random(1)
    assert turns(in_integers(drawn(chance, 12, both_ways=True)))
    assert not turns(in_integers(drawn(chance, 12)))


@pytest.mark.parametrize("both_ways", [False, True])
def test_a_long_hidden_order_is_found(both_ways: bool) -> None:
    """150 jobs, dear arcs at random but for those of a hidden order: found whole, at the cost of its arcs."""
    chance, n = random.Random(3), 150
    hidden = chance.sample(range(n), n)
    costs = [[chance.randint(50, 1000) for _ in range(n)] for _ in range(n)]
    if both_ways:
        costs = [[costs[max(i, j)][min(i, j)] for j in range(n)] for i in range(n)]
    for one, other in pairwise(hidden):
        costs[one][other] = 1
        costs[other][one] = 1 if both_ways else costs[other][one]
    after = dict(zip(hidden[:-30:10], hidden[25::10], strict=False))
    before = tuple(tuple(one for one, other in after.items() if other == job) for job in range(n))
    problem = in_integers(Ordering(n, tuple(map(tuple, costs)), (1,) * n, before))
    found = search(problem, nearest_next(problem), 0)
    found.run(300_000)
    assert found.found() == (n, hidden)
    found.close()


def test_a_search_in_parts_does_as_one_run_at_once() -> None:
    """20 000 steps, and 200 times 100."""
    problem = in_integers(drawn(random.Random(5), 40, density=0.02))
    row = nearest_next(problem)
    once, parts = search(problem, row, 7), search(problem, row, 7)
    once.run(20_000)
    for _ in range(200):
        parts.run(100)
    assert once.found() == parts.found()
    once.close()
    parts.close()


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
