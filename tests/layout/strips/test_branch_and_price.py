"""Strips on plates: textbook examples, brute force, bounds."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from fractions import Fraction
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stripplan.layout.grid import Grid
from stripplan.layout.problem import Item, Problem
from stripplan.layout.strips.branch_and_price import StripAnswer, cost_of, solve_strips
from stripplan.layout.strips.columns import StripWorld
from stripplan.layout.strips.diving import Node, to_fix
from stripplan.layout.strips.knapsack import Knapsack, Totals
from stripplan.layout.strips.master import Column, Solution
from stripplan.model.cut_rules import CutRules
from tests.checking import examples
from tests.layout.problems import stock

RULES = CutRules(
    kerf=0, longest_one_pass=1e9, longest_two_pass=1e9, narrowest_offcut=0, fence_min=0, fence_max=1e9, marked=True
)


def world(
    capacity: list[int], items: list[tuple[int, int]], *, kerf: int = 0, narrowest: int = 0,
    costs: list[float] | None = None,
    limits: list[int | None] | None = None, over: int = 0,
) -> StripWorld:  # fmt: skip
    """A strips-only problem from plate widths and (width, demand)."""
    rig = replace(RULES, kerf=float(kerf), narrowest_offcut=float(narrowest))
    stocks = tuple(
        stock(n, 1, width, cost=costs[n] if costs else 1.0, limit=limits[n] if limits else None, rig=rig)
        for n, width in enumerate(capacity)
    )
    wanted = tuple(
        Item(n, demand, tuple(((1, w, False),) if w <= each.width else () for each in stocks), over, True)
        for n, (w, demand) in enumerate(items)
    )
    return StripWorld(Problem(Grid(Fraction(1)), wanted, stocks, (0, 0), None))


def solved(problem: StripWorld) -> StripAnswer:
    """The answer, with what it makes checked against what is wanted and what a plate holds."""
    answer = solve_strips(problem, steps=None, out_of_time=lambda: False)
    made = [sum(column.counts[n] * times for column, times in answer.uses) for n in range(len(problem.demands))]
    assert [a + b for a, b in zip(made, answer.short, strict=True)] == problem.demands
    assert all(problem.legal(column.stock, column.counts) for column, _ in answer.uses)
    return answer


def plates(answer: StripAnswer) -> int:
    """How many plates an answer takes."""
    return sum(times for _, times in answer.uses)


@pytest.mark.parametrize("items", [[(70, 1), (20, 1)], [(20, 1), (70, 1)]])
def test_a_dive_fixes_the_column_without_narrow_strips_in_whatever_order_they_are_listed(
    items: list[tuple[int, int]],
) -> None:
    """Two columns used half: the one of the wide strip is fixed, the narrow strip is kept for the end."""
    asked = world([100], items)
    columns = [Column(0, (1, 0)), Column(0, (0, 1))]
    node = Node((1, 1), (None,), Counter(), Fraction(0), Solution(1.0, [0.5, 0.5], [1.0, 1.0], [0.0]), single=True)
    (fixed,) = to_fix(columns, node, asked)
    assert items[fixed.counts.index(1)][0] == 70


@pytest.mark.parametrize(
    ("width", "items", "least"),
    [
        # Encyclopaedia article "Cutting stock problem": 73 rolls of 5600.
        (5600,
         [(1380, 22), (1520, 25), (1560, 12), (1710, 14), (1820, 18), (1880, 18), (1930, 20), (2000, 10), (2050, 12),
                (2100, 14), (2140, 16), (2150, 18), (2200, 20)], 73),
        # V. Chvatal, Linear Programming (1983), chapter 13: 453 rolls of 100.
        (100, [(45, 97), (36, 610), (31, 395), (14, 211)], 453),
        # W. Winston, Operations Research (data from lecture notes, answer recomputed): 19 boards of 17.
        (17, [(9, 15), (5, 20), (3, 25)], 19),
    ],
)  # fmt: skip
def test_textbook_examples_are_proven(width: int, items: list[tuple[int, int]], least: int) -> None:
    """The known optimum is found and the bound proves it, without kerf and with a kerf by scaling."""
    answer = solved(world([width], items))
    assert plates(answer) == least == answer.bound
    kerf, scale = 3, 10  # size' = 10 size - 3 with a kerf of 3 is the same problem
    scaled = solved(world([width * scale - kerf], [(w * scale - kerf, n) for w, n in items], kerf=kerf))
    assert plates(scaled) == least == scaled.bound


# E. Falkenauer, Journal of Heuristics 2 (1996) 5-30, triplets t60_06: 60 strips for 20 plates of 1000 without waste.
TRIPLETS = [
    (498, 1), (485, 1), (471, 1), (464, 1), (451, 1), (450, 1), (449, 1), (427, 1), (424, 1), (405, 1), (403,
    1), (400, 1), (394, 1), (388, 1), (380, 1), (375, 1), (374, 2), (369, 1), (368, 1), (365, 1), (357, 1),
    (355, 1), (344, 1), (339, 1), (337, 1), (328, 1), (322, 2), (321, 1), (317, 1), (310, 1), (304, 1), (300,
    1), (297, 1), (292, 1), (287, 1), (284, 2), (281, 1), (279, 1), (278, 1), (276, 3), (275, 2), (274, 1),
    (273, 1), (269, 1), (265, 1), (262, 1), (261, 1), (259, 1), (253, 1), (252, 2), (250, 3),
]  # fmt: skip


def test_triplets_without_waste_are_proven() -> None:
    """Sixty strips that fill twenty plates to the last unit, three on each: found and proven."""
    answer = solved(world([1000], TRIPLETS))
    assert plates(answer) == 20 == answer.bound


def test_a_bound_above_the_rounded_linear_programme() -> None:
    """Strips of 6, 10 and 15 on plates of 30 (linear programme 2 in all): no plan with two plates, three are proven."""
    problem = world([30], [(15, 1), (10, 2), (6, 4)])
    assert brute_force(problem) == 3
    answer = solved(problem)
    assert plates(answer) == 3 == answer.bound


def test_thousands_alike_take_few_patterns() -> None:
    """A million strips of three widths are answered and proven in no more patterns than a few."""
    answer = solved(world([100], [(45, 300_000), (36, 300_000), (31, 400_000)]))
    assert plates(answer) == answer.bound
    assert len(answer.uses) <= 12


def test_same_problem_same_answer() -> None:
    """Two runs give the same plates in the same order."""
    items = [(45, 9), (36, 6), (31, 39), (14, 21)]
    assert solved(world([100], items)) == solved(world([100], items))


@examples(60)
@given(
    items=st.lists(st.tuples(st.integers(3, 14), st.integers(1, 3)), min_size=1, max_size=3, unique_by=lambda i: i[0]),
    kerf=st.integers(0, 2),
    narrowest=st.integers(0, 4),
    capacity=st.integers(14, 24),
)
def test_against_brute_force(items: list[tuple[int, int]], kerf: int, narrowest: int, capacity: int) -> None:
    """On tiny jobs the answer is never below, and the bound never above, the least by trying everything."""
    problem = world([capacity], items, kerf=kerf, narrowest=narrowest)
    least = brute_force(problem)
    answer = solved(problem)
    if least is None:
        assert any(answer.short)
        return
    if not any(answer.short):
        assert plates(answer) >= least
        assert plates(answer) == least or answer.bound < plates(answer)
    assert answer.bound <= least


def brute_force(problem: StripWorld) -> int | None:
    """Least plates by dynamic programming over all legal patterns and all demands; None = impossible."""
    patterns = [c for c in product(*(range(d + 1) for d in problem.demands)) if any(c) and problem.legal(0, c)]
    best: dict[tuple[int, ...], int] = {tuple(0 for _ in problem.demands): 0}
    todo = [tuple(0 for _ in problem.demands)]
    for have in todo:
        for pattern in patterns:
            new = tuple(a + b for a, b in zip(have, pattern, strict=True))
            if all(a <= d for a, d in zip(new, problem.demands, strict=True)) and new not in best:
                best[new] = best[have] + 1
                todo.append(new)
    return best.get(tuple(problem.demands))


def test_cheaper_plates_first_within_their_limit() -> None:
    """Two offcuts at a low price are used before full plates; the third plate is a full one."""
    answer = solved(world([100, 100], [(90, 3)], costs=[1.0, 10.0], limits=[2, None]))
    assert (
        cost_of(world([100, 100], [(90, 3)], costs=[1.0, 10.0], limits=[2, None]), dict_of(answer))
        == 12
        == answer.bound
    )


def dict_of(answer: StripAnswer):  # type: ignore[no-untyped-def]
    """Uses as a counter."""
    from collections import Counter

    return Counter(dict(answer.uses))


def test_stock_used_up_is_told() -> None:
    """One plate for two strips of nearly its width: one is short."""
    assert solved(world([100], [(90, 2)], limits=[1])).short == (1,)


def test_a_sliver_is_not_left() -> None:
    """48 + 48 of 100 would leave 4 beside a kerf of 1: below the narrowest offcut 5, so two plates."""
    assert plates(solved(world([100], [(48, 2)], kerf=1, narrowest=5))) == 2
    assert plates(solved(world([100], [(48, 2)], kerf=1, narrowest=5, over=4))) == 1


@examples(80)
@given(
    sizes=st.lists(st.integers(1, 30), min_size=1, max_size=5),
    most=st.lists(st.integers(0, 6), min_size=5, max_size=5),
    values=st.lists(st.integers(0, 50), min_size=5, max_size=5),
    capacity=st.integers(1, 70),
)
def test_dense_and_sparse_totals_agree(sizes: list[int], most: list[int], values: list[int], capacity: int) -> None:
    """Both ways of the knapsack give the least totals and values, and counts that add up to them."""
    import stripplan.layout.strips.knapsack as strips

    knapsack = Knapsack(tuple(sizes), tuple(most[: len(sizes)]), capacity)
    dense = Totals(knapsack, values)
    cells, strips.DENSE_CELLS = strips.DENSE_CELLS, 0
    try:
        sparse = Totals(knapsack, values)
    finally:
        strips.DENSE_CELLS = cells
    for exact in (True, False):
        one, other = dense.best(exact=exact, most=capacity), sparse.best(exact=exact, most=capacity)
        assert one == other
        for totals, best in ((dense, one), (sparse, other)):
            if best is not None:
                counts = totals.counts(best[1])
                assert sum(n * v for n, v in zip(counts, values, strict=False)) == best[0]
                assert sum(n * s for n, s in zip(counts, sizes, strict=True)) == best[1]
                assert all(n <= m for n, m in zip(counts, most, strict=False))
