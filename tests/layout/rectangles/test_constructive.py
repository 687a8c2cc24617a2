"""The quick plan before any search: legal, whole, and near the material bound on lists of many sizes."""

from __future__ import annotations

from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stripplan.layout.bounds.material import material_bound
from stripplan.layout.grid import exact
from stripplan.layout.problem import Item, Problem
from stripplan.layout.rectangles.constructive import Constructed, construct
from tests.benchmarks.awkward_lists import drawn_job, problem_of
from tests.checking import examples
from tests.layout.problems import problem, rules


def assert_sound(asked: Problem, made: Constructed) -> None:
    """Every plate legal, every item made as often as wanted or short, limits of stock kept."""
    used = Counter(each.stock for each in made.filled)
    pieces = Counter(item for each in made.filled for item in each.items) + Counter(made.short)
    assert all(asked.is_legal(each.stock, each.tree) for each in made.filled)
    assert [pieces[n] for n in range(len(asked.items))] == [item.demand for item in asked.items]
    assert all(stock.limit is None or used[n] <= stock.limit for n, stock in enumerate(asked.stocks))


@pytest.mark.parametrize(
    "seed", [2, 7, 10, pytest.param(8, marks=pytest.mark.slow), pytest.param(17, marks=pytest.mark.slow)]
)
def test_many_sizes_come_within_an_eighth_of_the_material_bound(seed: int) -> None:
    """Lists of some hundred sizes, one or two stocks: at most 15 % above the metal that they need."""
    asked = problem_of(drawn_job(seed))
    made = construct(asked)
    assert_sound(asked, made)
    assert not made.short
    cost = sum(exact(asked.stocks[each.stock].cost) for each in made.filled)
    assert material_bound(asked).cost <= cost <= material_bound(asked).cost * exact(1.15)


@examples(60)
@given(
    items=st.lists(st.tuples(st.integers(4, 20), st.integers(4, 20), st.integers(1, 6)), min_size=1, max_size=4),
    kerf=st.integers(0, 2),
    narrowest=st.sampled_from([0, 3]),
    stroke=st.sampled_from([18.0, 24.0, 1000.0]),
    turned=st.booleans(),
    depth=st.sampled_from([None, 1, 2, 3, 4]),
    limit=st.sampled_from([None, 2]),
    marked=st.booleans(),
    over=st.integers(0, 3),
)
def test_quick_plans_are_sound_whatever_the_rig_can_do(
    items: list[tuple[int, int, int]],
    kerf: int,
    narrowest: int,
    stroke: float,
    turned: bool,
    depth: int | None,
    limit: int | None,
    marked: bool,
    over: int,
) -> None:
    """Kerf, narrowest offcut, stroke, depth, fence, stock limits, parts that may stay over size: all kept."""
    rig = rules(kerf=kerf, narrowest=narrowest, stroke=stroke, marked=marked, fence_max=22.0)
    asked = problem(
        [(30, 22, limit, 5.0), (20, 16, None if limit else 1, 2.0)], items, turned=turned, depth=depth, rig=rig
    )
    asked = Problem(asked.grid, tuple(_over(item, over) for item in asked.items), asked.stocks, asked.keep, depth)
    assert_sound(asked, construct(asked))


def _over(item: Item, over: int) -> Item:
    return Item(item.part, item.demand, item.sizes, over, item.strip)


def test_scarce_stock_makes_what_it_holds_and_says_what_is_short() -> None:
    """Four quarters fill the one plate there is; the fifth copy is short."""
    asked = problem([(20, 10, 1, 1.0)], [(10, 5, 5)])
    made = construct(asked)
    assert_sound(asked, made)
    assert len(made.filled) == 1
    assert made.short == [0]


def test_plan_is_whole_when_time_is_over_from_the_start() -> None:
    """A clock that says stop at once: fewer rules are tried, no part is left out."""
    asked = problem([(30, 22, None, 1.0)], [(7, 5, 30), (11, 4, 20)], turned=True)
    made = construct(asked, out_of_time=lambda: True)
    assert_sound(asked, made)
    assert not made.short


def test_the_cheaper_metal_is_taken() -> None:
    """Two stocks of one size, the second at half the price: all plates are of the second."""
    asked = problem([(20, 10, None, 2.0), (20, 10, None, 1.0)], [(10, 10, 6)])
    assert [each.stock for each in construct(asked).filled] == [1, 1, 1]


def test_part_that_may_stay_over_size_takes_a_sliver() -> None:
    """3 beside a part of 17 cannot be cut off with a kerf of 2 and no offcut below 3; a part may stay 3 over size."""
    asked = problem([(20, 10, None, 1.0)], [(17, 10, 1)], rig=rules(kerf=2, narrowest=3))
    assert construct(asked).short == [0]
    loose = Problem(asked.grid, (_over(asked.items[0], 3),), asked.stocks, asked.keep, None)
    assert not construct(loose).short
