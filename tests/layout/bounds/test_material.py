"""Lower bounds: never above the least by trying everything, never above a planted layout, published values met."""

from __future__ import annotations

import math
import random
from fractions import Fraction
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stripplan.layout.bounds.dual_pairs import kinds_of
from stripplan.layout.bounds.material import (
    FUNCTIONS,
    MATERIAL,
    layout_bound,
    material_bound,
    next_total,
    plates_missing,
    tightened,
)
from tests.checking import examples, few
from tests.layout.tiny import least, problem

SIZES = st.tuples(st.integers(1, 7), st.integers(1, 7), st.just(1))


@st.composite
def tiny(draw: st.DrawFn):  # type: ignore[no-untyped-def]
    """At most five pieces on one or two stocks, with and without turning, kerf, costs and limits."""
    plates = draw(st.lists(st.tuples(st.integers(3, 7), st.integers(3, 7)), min_size=1, max_size=2))
    items = draw(st.lists(SIZES, min_size=1, max_size=5))
    return problem(
        plates,
        items,
        turn=draw(st.lists(st.booleans(), min_size=len(items), max_size=len(items))),
        kerf=draw(st.sampled_from([0, 0, 1])),
        costs=draw(st.lists(st.sampled_from([0.0, 1.0, 2.0, 3.5]), min_size=len(plates), max_size=len(plates))),
        limits=draw(st.lists(st.sampled_from([None, None, 1, 2]), min_size=len(plates), max_size=len(plates))),
    )


@examples(100)
@given(asked=tiny())
def test_no_bound_is_above_the_least_by_trying_everything(asked) -> None:  # type: ignore[no-untyped-def]
    """All guillotine layouts of tiny jobs: bounds on plates and on cost hold."""
    plates, cost = least(asked)
    if plates is None or cost is None:
        return
    bound = layout_bound(asked)
    assert bound.plates <= plates
    assert bound.cost <= cost


@pytest.mark.parametrize("turn", [False, True])
@pytest.mark.parametrize("seed", range(12))
def test_bound_of_planted_layouts_is_the_number_of_plates(seed: int, turn: bool) -> None:
    """Plates cut up at random without waste: the bound is their number, by the material alone."""
    chance = random.Random(seed)
    count, kerf = chance.randint(1, 6), chance.choice([0, 3])
    items = [piece for _ in range(count) for piece in cut_up(chance, 240, 150, kerf, depth=3)]
    bound = layout_bound(problem([(240, 150)], items, turn=turn, kerf=kerf))
    assert (bound.plates, bound.plates_how) == (count, MATERIAL)


def cut_up(chance: random.Random, length: int, width: int, kerf: int, depth: int) -> list[tuple[int, int, int]]:
    """(length, width, 1) of the pieces of a plate."""
    long, across = max(length, width), min(length, width)
    if depth == 0 or long < 20 + kerf:
        return [(length, width, 1)]
    at = chance.randint(5, long - kerf - 5)
    sides = [(at, across), (long - at - kerf, across)]
    turned = [(a, b) if length >= width else (b, a) for a, b in sides]
    return [piece for a, b in turned for piece in cut_up(chance, a, b, kerf, depth - 1)]


def test_large_parts_need_a_plate_each() -> None:
    """Four parts of 51 x 51 take 1.04 plates of metal, and four plates."""
    asked = problem([(100, 100)], [(51, 51, 4)], turn=True)
    assert material_bound(asked).plates == 2
    bound = layout_bound(asked)
    assert (bound.plates, bound.plates_how) == (4, FUNCTIONS)
    assert (bound.cost, bound.cost_how) == (4.0, FUNCTIONS)


def test_parts_that_may_turn_are_bounded_too() -> None:
    """70 x 40 on 100 x 100, either way: two lie on a plate, so six need three; on 100 x 109 likewise."""
    for width in (100, 109):
        bound = layout_bound(problem([(100, width)], [(70, 40, 6)], turn=True))
        assert (bound.plates, bound.plates_how) == (3, FUNCTIONS)


def test_several_stocks_are_bounded_together() -> None:
    """Six parts of 60 x 60: one to a plate of 100 x 100 at 10, or one to 60 x 60 at 5, of which there are two."""
    asked = problem([(100, 100), (60, 60)], [(60, 60, 6)], costs=[10.0, 5.0], limits=[None, 2])
    bound = layout_bound(asked)
    assert (bound.plates, bound.cost) == (6, 50.0)
    assert material_bound(asked).plates == 3


@examples(40)
@given(
    items=st.lists(st.tuples(st.integers(5, 60), st.integers(5, 40), st.integers(1, 9)), min_size=1, max_size=8),
    turn=st.booleans(),
    kerf=st.integers(1, 9),
)
def test_kerf_by_scaling_leaves_the_bounds_alone(items: list[tuple[int, int, int]], turn: bool, kerf: int) -> None:
    """Sizes 10 s - k on plates 10 S - k with a kerf of k are the same problem as s on S without one."""
    plain = layout_bound(problem([(60, 60)], items, turn=turn))
    scaled = [(10 * a - kerf, 10 * b - kerf, n) for a, b, n in items]
    assert layout_bound(problem([(600 - kerf, 600 - kerf)], scaled, turn=turn, kerf=kerf)) == plain


@examples(60)
@given(items=st.lists(SIZES, min_size=1, max_size=5), turn=st.booleans(), limit=st.integers(0, 3))
def test_missing_plates_are_never_overstated(items: list[tuple[int, int, int]], turn: bool, limit: int) -> None:
    """On one stock: at most what trying everything takes beyond the stock."""
    plates, _ = least(problem([(7, 7)], items, turn=turn))
    assert plates is not None
    assert plates_missing(problem([(7, 7)], items, turn=turn, limits=[limit])) <= max(0, plates - limit)


def test_missing_plates_count_only_parts_without_another_source() -> None:
    """Five of 60 x 60, two plates of 100 x 100: three more. A stock of 70 x 70 without limit would serve them."""
    items = [(60, 60, 5), (10, 10, 3)]
    assert plates_missing(problem([(100, 100)], items, limits=[2])) == 3
    assert plates_missing(problem([(100, 100), (50, 50)], items, limits=[2, None])) == 3
    assert plates_missing(problem([(100, 100), (70, 70)], items, limits=[2, None])) == 0
    assert plates_missing(problem([(100, 100), (70, 70)], items, limits=[1, 1])) == 3


def test_large_demands_make_the_problem_no_larger() -> None:
    """A million of each part are still two kinds, and need a million times the plates of one of each,
    or one less in all.
    """
    one, many = ([(51, 51, n), (40, 60, n)] for n in (1, 10**6))
    assert len(kinds_of(problem([(100, 100)], many))) == 2
    assert layout_bound(problem([(100, 100)], many)).plates >= 10**6 * (
        layout_bound(problem([(100, 100)], one)).plates - 1
    )
    assert layout_bound(problem([(100, 100)], [(51, 51, 10**6)])).plates == 10**6


@examples(100)
@given(
    bound=st.fractions(0, 60, max_denominator=4),
    costs=st.lists(st.sampled_from([0.0, 2.0, 3.5, 5.0, 7.0]), min_size=1, max_size=3),
    limits=st.lists(st.sampled_from([None, 1, 3]), min_size=3, max_size=3),
)
def test_costs_are_raised_to_the_next_sum(bound: Fraction, costs: list[float], limits: list[int | None]) -> None:
    """Every sum of plate costs that reaches the bound reaches the raised bound too; without limits that is a sum."""
    raised = next_total(bound, costs, limits[: len(costs)])
    totals = {Fraction(0)}
    for cost, limit in zip(costs, limits, strict=False):
        totals = {
            total + n * Fraction(cost) for total in totals for n in range((limit if limit is not None else 32) + 1)
        }
    above = [total for total in totals if total >= bound]
    assert raised >= bound
    if above:
        assert raised <= min(above)
        if any(costs):
            assert raised == min(above)


# J. O. Berkey, P. Y. Wang, J. Operational Research Society 38 (1987) 423-429 (classes 1-6: plate, largest size);
# S. Martello, D. Vigo, Management Science 44 (1998) 388-399 (classes 7-10: share of each kind of piece).
SQUARES = {1: (10, 10), 2: (30, 10), 3: (40, 35), 4: (100, 35), 5: (100, 100), 6: (300, 100)}
SHARES = {7: (0.7, 0.1, 0.1), 8: (0.1, 0.7, 0.1), 9: (0.1, 0.1, 0.7), 10: (0.1, 0.1, 0.1)}
KINDS = [((66, 100), (1, 50)), ((1, 50), (66, 100)), ((50, 100), (50, 100)), ((1, 50), (1, 50))]

# Sums of the dual feasible bounds over the 50 instances of each class, oriented and with turning:
# dual feasible functions (U, u, phi); values computed for this data set.
COMPUTED = {
    1: (991, 972), 2: (124, 124), 3: (682, 666), 4: (119, 119), 5: (872, 849),
    6: (108, 108), 7: (811, 723), 8: (823, 727), 9: (2120, 2119), 10: (485, 479),
}  # fmt: skip


def published(number: int, count: int, instance: int) -> tuple[int, list[tuple[int, int, int]]]:
    """(Plate side, pieces) of an instance by the authors' routine."""
    state = 0

    def draw() -> float:
        nonlocal state
        state = (7141 * state + 54773) % 259200
        return state / 259200

    def size(low: int, high: int) -> int:
        return int((high - low + 1) * draw()) + low

    for _ in range(math.floor(31.47 * count * instance + 2000) + 1):
        draw()
    pieces = []
    for _ in range(count):
        wide, high = ((1, SQUARES[number][1]),) * 2 if number <= 6 else _kind(SHARES[number], draw())
        height = size(*high)
        pieces.append((size(*wide), height, 1))
    return SQUARES[number][0] if number <= 6 else 100, pieces


def _kind(shares: tuple[float, float, float], r: float) -> tuple[tuple[int, int], tuple[int, int]]:
    edges = [sum(shares[: n + 1]) for n in range(3)]
    return KINDS[next((n for n, edge in enumerate(edges) if r < edge), 3)]


@pytest.mark.parametrize("number", few(2, (1, 2, 8, 3, 4, 5, 6, 7, 9, 10)))
def test_published_classes_reach_the_computed_bounds(number: int) -> None:
    """The sums over a class are at least those of three families of functions alone."""
    sums = [0, 0]
    for count, instance in product((20, 40, 60, 80, 100), range(1, 11)):
        side, pieces = published(number, count, instance)
        for turn in (False, True):
            sums[turn] += layout_bound(problem([(side, side)], pieces, turn=turn)).plates
    assert all(ours >= computed for ours, computed in zip(sums, COMPUTED[number], strict=True)), sums


def test_cost_bound_is_exact_where_a_float_would_pass_the_truth() -> None:
    """Four plates at 14.3 each: the bound is 57.2 to the last digit, and asks for no fifth plate when sharpened."""
    asked = problem([(100, 60)], [(100, 60, 4)], costs=[14.3])
    bound = material_bound(asked)
    assert bound.cost == 4 * Fraction("14.3")
    assert tightened(bound, asked, bound.cost, "again").plates == 4
