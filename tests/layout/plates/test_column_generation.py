"""Column generation over plate patterns: legal, exactly what is wanted, and bounds that hold."""

from __future__ import annotations

from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stripplan.layout.grid import exact
from stripplan.layout.plates.column_generation import PlatesAnswer, filled_of, solve_plates
from stripplan.layout.plates.staged import Family
from stripplan.layout.problem import Problem
from tests.checking import examples, few
from tests.layout.problems import problem, rules

C_3 = [
    (31, 43, 4), (30, 41, 2), (29, 39, 4), (28, 38, 4), (27, 37, 3), (26, 36, 4), (25, 35, 3), (24, 34, 4), (33, 23, 4),
    (22, 32, 3), (31, 21, 3), (29, 18, 3), (17, 27, 2), (15, 24, 3), (16, 25, 4), (23, 14, 4), (21, 12, 3), (19, 11, 4),
    (9, 17, 1),
]  # fmt: skip
"""Plate 40 x 70. N. Christofides, C. Whitlock, Operations Research 25 (1977) 30-44, third problem, as a cutting-stock
problem in E. Silva, F. Alvelos, J. M. Valerio de Carvalho, EJOR 205 (2010) 699-708. Fewest plates by two stages with
trimming, worked out by an arc-flow programme: 23 with first cuts along the length, 24 across."""

A_1 = C_3
"""The same pieces on 50 x 60 (M. Hifi 1997, A1; same source): 23 plates in either direction."""


def assert_sound(asked: Problem, answer: PlatesAnswer) -> None:
    """Every pattern legal; every item made as often as wanted, or short; limits kept; bound not above cost."""
    made: Counter[int] = Counter()
    used: Counter[int] = Counter()
    for column, times in answer.patterns:
        assert asked.is_legal(column.stock, column.tree)
        assert Counter(column.tree.items()) == dict(column.counts)
        used[column.stock] += times
        for item, copies in column.counts:
            made[item] += copies * times
    for number, item in enumerate(asked.items):
        assert made[number] + answer.short[number] == item.demand
    for number, stock in enumerate(asked.stocks):
        assert stock.limit is None or used[number] <= stock.limit
    assert any(answer.short) or answer.bound <= answer.cost(asked)


@examples(5)
@given(
    items=st.lists(st.tuples(st.integers(4, 20), st.integers(4, 20), st.integers(1, 6)), min_size=1, max_size=4),
    kerf=st.integers(0, 2),
    narrowest=st.sampled_from([0, 3]),
    stroke=st.sampled_from([24.0, 1000.0]),
    turned=st.booleans(),
    depth=st.sampled_from([None, 1, 2, 3, 4]),
    limit=st.sampled_from([None, 2]),
    marked=st.booleans(),
)
def test_answers_are_sound(
    items: list[tuple[int, int, int]],
    kerf: int,
    narrowest: int,
    stroke: float,
    turned: bool,
    depth: int | None,
    limit: int | None,
    marked: bool,
) -> None:
    """Two plate sizes, any depth, limits of rig and stock: what is made and short adds up, and every plate is legal."""
    rig = rules(kerf=kerf, narrowest=narrowest, stroke=stroke, marked=marked, fence_min=0.0 if marked else 5.0)
    plates = [(40, 24, limit, 9.0), (22, 20, limit, 5.0)]
    asked = problem(plates, items, turned=turned, depth=depth, rig=rig)
    assert_sound(asked, solve_plates(asked, steps=1))


def fits_one(pieces: tuple[tuple[int, int], ...], length: int, width: int, kerf: int) -> bool:
    """Whether all pieces can be cut from one rectangle by cuts from edge to edge: every split of the pieces tried."""
    if len(pieces) <= 1:
        return not pieces or (pieces[0][0] <= length and pieces[0][1] <= width)
    if sum(x * y for x, y in pieces) > length * width:
        return False
    for mask in range(1, 2 ** (len(pieces) - 1)):
        one = tuple(p for n, p in enumerate(pieces) if mask >> n & 1)
        other = tuple(p for n, p in enumerate(pieces) if not mask >> n & 1)
        for at in range(1, length):
            if fits_one(one, at, width, kerf) and fits_one(other, length - at - kerf, width, kerf):
                return True
        for at in range(1, width):
            if fits_one(one, length, at, kerf) and fits_one(other, length, width - at - kerf, kerf):
                return True
    return False


def fewest(pieces: tuple[tuple[int, int], ...], length: int, width: int, kerf: int) -> int:
    """The least number of plates, every set of pieces tried for the first plate."""
    if not pieces:
        return 0
    counts = []
    for mask in range(1, 2 ** len(pieces), 2):  # the first piece lies on the first plate
        if fits_one(tuple(p for n, p in enumerate(pieces) if mask >> n & 1), length, width, kerf):
            rest = tuple(p for n, p in enumerate(pieces) if not mask >> n & 1)
            counts.append(1 + fewest(rest, length, width, kerf))
    return min(counts)


@examples(25)
@given(
    items=st.lists(st.tuples(st.integers(3, 9), st.integers(3, 9), st.integers(1, 2)), min_size=1, max_size=2),
    kerf=st.integers(0, 1),
)
def test_bound_is_never_above_the_fewest(items: list[tuple[int, int, int]], kerf: int) -> None:
    """Up to four pieces on plates of 11 x 9: bound <= fewest by trying everything <= found."""
    asked = problem([(11, 9, None, 1.0)], items, rig=rules(kerf=kerf))
    answer = solve_plates(asked, steps=1)
    pieces = tuple((x, y) for x, y, copies in items for _ in range(copies))
    assert answer.bound <= fewest(pieces, 11, 9, kerf) <= answer.cost(asked)


@pytest.mark.slow  # along is seen with a kerf, below
@pytest.mark.parametrize("family", [("along", 23), ("across", 24)])
def test_known_optimum_of_two_stages_with_trimming(family: tuple[str, int]) -> None:
    """C_3 within its family: equal to the published figure, and proven within the family."""
    first, plates = family
    asked = problem([(40, 70, None, 1.0)], C_3)
    answer = solve_plates(asked, family=Family(2, True, (first,)))  # type: ignore[arg-type]
    assert_sound(asked, answer)
    assert sum(n for _, n in answer.patterns) == plates == answer.family_bound


def test_second_known_optimum() -> None:
    """C_A1, first cuts along: 23 plates, proven within the family."""
    asked = problem([(50, 60, None, 1.0)], A_1)
    answer = solve_plates(asked, family=Family(2, True, ("along",)))
    assert sum(n for _, n in answer.patterns) == 23 == answer.family_bound


def test_kerf_that_changes_nothing() -> None:
    """Sizes times ten less a kerf of 3: the same plates as without kerf."""
    with_kerf = [(10 * x - 3, 10 * y - 3, n) for x, y, n in C_3]
    asked = problem([(397, 697, None, 1.0)], with_kerf, rig=rules(kerf=3))
    answer = solve_plates(asked, family=Family(2, True, ("along",)))
    assert_sound(asked, answer)
    assert sum(n for _, n in answer.patterns) == 23 == answer.family_bound


@pytest.mark.parametrize("copies", few(1, (4000, 20)))
def test_planted_layout_is_found_whatever_the_copies(copies: int) -> None:
    """Plates that hold 2 + 3 + 4 pieces without waste, in many copies: found and proven, the work does not grow."""
    items = [(50, 40, 2 * copies), (25, 30, 4 * copies), (100, 30, copies)]  # 100 x 100, kerf 0
    asked = problem([(100, 100, None, 1.0)], items)
    answer = solve_plates(asked, steps=1)
    assert_sound(asked, answer)
    assert answer.cost(asked) == copies == answer.bound


@pytest.mark.slow
def test_cheaper_plate_size_is_taken() -> None:
    """40 squares of 50: four fit 100 x 100 at 10.0, one fits 50 x 50 at 2.6; limits decide the rest."""
    asked = problem([(100, 100, None, 10.0), (50, 50, None, 2.6)], [(50, 50, 41)])
    answer = solve_plates(asked)
    assert answer.cost(asked) == exact(102.6) == answer.bound
    limited = problem([(100, 100, 5, 10.0), (50, 50, 19, 2.6)], [(50, 50, 40)])
    answer = solve_plates(limited)
    assert_sound(limited, answer)
    assert sum(answer.short) == 1


@pytest.mark.slow
def test_same_job_same_answer() -> None:
    """Two runs give the same patterns in the same order, as filled plates too."""
    asked = problem([(60, 60, None, 1.0)], C_3, turned=True, rig=rules(kerf=1))
    one, other = solve_plates(asked, seed=4), solve_plates(asked, seed=4)
    assert one == other
    assert [column.tree for column, _ in one.patterns] == [column.tree for column, _ in other.patterns]
    made = Counter(item for each in filled_of(one) for item in each.items)
    assert all(made[number] == item.demand for number, item in enumerate(asked.items))
