"""Patterns of two and three stages: against plain recursion, and legal one by one."""

from __future__ import annotations

from collections.abc import Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stripplan.layout.plates.reachable_totals import totals
from stripplan.layout.plates.shelves import Shelves
from stripplan.layout.plates.staged import Family, Staged
from stripplan.layout.problem import Problem
from stripplan.model.pattern import Direction
from tests.checking import examples
from tests.layout.problems import problem, rules

FAMILIES = [Family(2, False), Family(2, True), Family(3, False), Family(3, True)]

sizes = st.lists(st.tuples(st.integers(3, 14), st.integers(3, 14), st.integers(1, 5)), min_size=1, max_size=4)


def by_recursion(asked: Problem, values: Sequence[int], first: Direction, stages: int) -> int:
    """Best value of a plate cut in `stages` directions by turns, as often as one likes: every single cut tried."""
    kerf = asked.stocks[0].kerf
    known: dict[tuple[int, int, bool, int], int] = {}

    def best(length: int, width: int, along: bool, left: int) -> int:
        key = length, width, along, left
        if key not in known:
            known[key] = max(
                (v for item, v in zip(asked.items, values, strict=True) if (length, width, False) in item.sizes[0]),
                default=0,
            )
            if left:
                known[key] = max(known[key], best(length, width, not along, left - 1))
                whole = width if along else length
                for size in range(1, whole):
                    rest = max(0, whole - size - kerf)
                    one = best(length, size, not along, left - 1) if along else best(size, width, not along, left - 1)
                    other = best(length, rest, along, left) if along else best(rest, width, along, left)
                    known[key] = max(known[key], one + other)
        return known[key]

    return best(asked.stocks[0].length, asked.stocks[0].width, first == "along", stages)


@examples(40)
@given(items=sizes, kerf=st.integers(0, 2), first=st.sampled_from(["along", "across"]), stages=st.integers(2, 3))
def test_exact_stages_equal_recursion(
    items: list[tuple[int, int, int]], kerf: int, first: Direction, stages: int
) -> None:
    """Without limits of the rig the value is that of trying every cut, and the pattern holds that value."""
    asked = problem([(24, 19, None, 1.0)], items, rig=rules(kerf=kerf))
    values = [3 * x * y + 5 for x, y, _ in items]
    staged = Staged(asked, 0, Family(stages, False), first)
    if staged.usable:
        assert staged.price(values) == by_recursion(asked, values, first, stages)
        for value, tree in staged.patterns(5):
            assert value == sum(values[item] for item in tree.items())


@examples(60)
@given(
    items=sizes,
    kerf=st.integers(0, 2),
    narrowest=st.sampled_from([0, 2, 4]),
    stroke=st.sampled_from([16.0, 20.0, 100.0]),
    turned=st.booleans(),
    family=st.sampled_from(FAMILIES),
    first=st.sampled_from(["along", "across"]),
)
def test_every_pattern_is_legal(
    items: list[tuple[int, int, int]],
    kerf: int,
    narrowest: int,
    stroke: float,
    turned: bool,
    family: Family,
    first: Direction,
) -> None:
    """Patterns keep kerf, narrowest offcut, stroke and depth; those of `Shelves` the demands as well."""
    rig = rules(kerf=kerf, narrowest=narrowest, stroke=stroke)
    asked = problem([(30, 18, None, 1.0)], items, turned=turned, depth=family.stages + family.trimming, rig=rig)
    values = [x * y for x, y, _ in items]
    staged = Staged(asked, 0, family, first)
    if not staged.usable or staged.price(values) <= 0:
        return
    for _, tree in staged.patterns(4):
        assert asked.is_legal(0, tree)
    left = [item.demand for item in asked.items]
    for tree in Shelves(staged).patterns(values, left):
        assert asked.is_legal(0, tree) or narrowest or stroke < 30  # a copy taken out may leave too little
        made = list(tree.items())
        assert all(made.count(item) <= wanted for item, wanted in enumerate(left))


@pytest.mark.parametrize("wanted", range(1, 9))
def test_a_strip_takes_every_copy_that_is_wanted_and_fits(wanted: int) -> None:
    """Seven of 10 fit a strip of 76 with a kerf of 1; the plate has room for one strip."""
    asked = problem([(76, 9, None, 1.0)], [(10, 8, wanted)], rig=rules(kerf=1))
    staged = Staged(asked, 0, Family(2, False), "along")
    staged.price([80])
    for tree in Shelves(staged).patterns([80], [wanted]):
        assert list(tree.items()) == [0] * min(wanted, 7)


def test_richer_families_are_worth_no_less() -> None:
    """Two stages <= two with trimming <= three <= three with trimming, at the same values."""
    asked = problem([(97, 61, None, 1.0)], [(31, 17, 1), (29, 13, 1), (23, 19, 1), (17, 11, 1)], rig=rules(kerf=1))
    values = [31 * 17, 29 * 13, 23 * 19, 17 * 11]
    worth = [Staged(asked, 0, family, "along").price(values) for family in FAMILIES]
    assert worth == sorted(worth)
    assert worth[0] < worth[-1]


@pytest.mark.parametrize("limit", [1000, 6])
def test_totals_hold_every_sum_or_say_so(limit: int) -> None:
    """All sums of 7 and 11 up to 40; where they are thinned, the first and the last stay."""
    found = totals([7, 11], 40, limit)
    every = sorted({7 * a + 11 * b for a in range(6) for b in range(4) if 7 * a + 11 * b <= 40})
    assert found.complete == (limit == 1000)
    if found.complete:
        assert found.points.tolist() == every
    else:
        assert set(found.points.tolist()) <= set(every)
        assert found.points[0] == 0
        assert found.points[-1] == every[-1]
