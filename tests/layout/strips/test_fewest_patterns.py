"""Fewest patterns: the same plates and strips, never more patterns, side rules kept, same answer each time."""

from __future__ import annotations

import random
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stripplan import kernel
from stripplan.layout.strips.branch_and_price import solve_strips
from stripplan.layout.strips.columns import StripWorld
from stripplan.layout.strips.fewest_patterns import PatternRules, fewest_patterns
from stripplan.layout.strips.master import Column
from stripplan.layout.strips.pattern_reduction import Compiled, Pattern, Search, Task
from tests.benchmarks.pattern_bound import least_patterns
from tests.checking import examples, few
from tests.layout.strips.test_branch_and_price import world

PAPER = [
    (1380, 22), (1520, 25), (1560, 12), (1710, 14), (1820, 18), (1880, 18), (1930, 20), (2000, 10), (2050, 12),
    (2100, 14), (2140, 16), (2150, 18), (2200, 20),
]  # fmt: skip
"""Encyclopaedia article "Cutting stock problem": 73 rolls of 5600, at least 10 patterns."""

Uses = tuple[tuple[Column, int], ...]


def made(uses: Uses, count: int) -> list[int]:
    """How many of each strip."""
    return [sum(column.counts[n] * times for column, times in uses) for n in range(count)]


@examples(30)
@given(
    items=st.lists(st.tuples(st.integers(5, 30), st.integers(1, 12)), min_size=2, max_size=6, unique_by=lambda i: i[0]),
    kerf=st.integers(0, 2),
    narrowest=st.integers(0, 3),
)
def test_same_plates_and_strips_in_no_more_patterns(items: list[tuple[int, int]], kerf: int, narrowest: int) -> None:
    """Plates, strips and legality stay; the number of patterns does not grow; a second call gives the same."""
    problem = world([60], items, kerf=kerf, narrowest=narrowest)
    uses = solve_strips(problem, steps=None, out_of_time=lambda: False).uses
    fewer = fewest_patterns(problem, uses, tries=60)
    assert made(fewer, len(items)) == made(uses, len(items))
    assert sum(times for _, times in fewer) == sum(times for _, times in uses)
    assert all(problem.legal(column.stock, column.counts) for column, _ in fewer)
    assert len(fewer) <= len({column for column, _ in uses})
    assert fewest_patterns(problem, uses, tries=60) == fewer


def test_two_patterns_become_one() -> None:
    """Two plates of 50 + 50 and two of 25 + 25 + 25 + 25 are four plates of 50 + 25 + 25."""
    uses = ((Column(0, (2, 0)), 2), (Column(0, (0, 4)), 2))
    assert fewest_patterns(world([100], [(50, 4), (25, 8)]), uses) == ((Column(0, (1, 2)), 4),)


def test_paper_rolls_reach_the_least() -> None:
    """73 rolls in 10 patterns, the published least."""
    problem = world([5600], PAPER)
    uses = solve_strips(problem, steps=None, out_of_time=lambda: False).uses
    fewer = fewest_patterns(problem, uses, tries=1500)
    assert sum(times for _, times in fewer) == 73
    assert made(fewer, len(PAPER)) == [n for _, n in PAPER]
    assert len(fewer) == 10


def test_side_rules_are_kept() -> None:
    """Patterns made anew hold no more pieces or different widths than the rules allow."""
    problem = world([5600], PAPER)
    uses = solve_strips(problem, steps=None, out_of_time=lambda: False).uses
    rules = PatternRules(max_pieces=4, max_distinct=3, min_width=5000)
    before = {column for column, _ in uses}
    for column, _ in fewest_patterns(problem, uses, tries=300, rules=rules):
        if column not in before:
            assert sum(column.counts) <= 4
            assert sum(1 for n in column.counts if n) <= 3
            assert problem.total(0, column.counts) >= 5000


def random_plan(chance: random.Random) -> tuple[Task, list[tuple[Pattern, int]]]:
    """Widths, side rules, and patterns that fit, with runs."""
    widths = tuple(chance.randint(3, 40) for _ in range(chance.randint(2, 8)))
    capacity = chance.randint(60, 150)
    runs: dict[Pattern, int] = {}
    for _ in range(chance.randint(2, 14)):
        left, counts = capacity, dict.fromkeys(range(len(widths)), 0)
        for item in chance.choices(range(len(widths)), k=20):
            if widths[item] <= left:
                counts[item] += 1
                left -= widths[item]
        runs[tuple((item, n) for item, n in counts.items() if n)] = chance.randint(1, 9)
    task = Task(
        widths, tuple(chance.choice([0, 0, 3]) for _ in widths), capacity, chance.choice([0, 0, capacity // 2]),
        chance.choice([1, 5]), chance.choice([0, 0, 1]), chance.choice([0, 0, 6]), chance.choice([10**9, 9]),
        chance.choice([10**9, 4]), chance.choice([1, 1, 2]),
    )  # fmt: skip
    return task, list(runs.items())


@pytest.mark.parametrize("seed", few(6, range(16)))
def test_compiled_and_python_find_the_same(seed: int) -> None:
    """The compiled search and the one in Python give the same patterns, in the same order."""
    assert kernel.available(), "no C compiler here: install one to compare the two"
    task, patterns = random_plan(random.Random(seed))
    ours, twin = Search(task, patterns, seed), Compiled(task, patterns, seed)
    for steps in (50, 350):
        assert ours.run(steps) == twin.run(steps)
        assert ours.found() == twin.found()
    twin.close()


def least_by_trying(world: StripWorld, plates: int) -> int | None:
    """The fewest patterns by trying all sets of patterns and runs; None if the plates do not do."""
    ways = [range(world.capacity(0) // width + 1) for width in world.widths(0)]
    fits = [each for each in product(*ways) if any(each) and world.total(0, each) <= world.capacity(0)]

    def fewest(wanted: tuple[int, ...], left: int, first: int) -> int | None:
        if left == 0:
            return None if any(wanted) else 0
        found = []
        for n in range(first, len(fits)):
            for times in range(1, left + 1):
                rest = tuple(w - times * k for w, k in zip(wanted, fits[n], strict=True))
                if min(rest) < 0:
                    break
                found.append(fewest(rest, left - times, n + 1))
        return min((1 + each for each in found if each is not None), default=None)

    return fewest(tuple(world.demands), plates, 0)


@examples(60)
@given(st.lists(st.tuples(st.integers(3, 9), st.integers(1, 4)), min_size=1, max_size=3, unique_by=lambda i: i[0]))
def test_bound_is_never_above_the_least(items: list[tuple[int, int]]) -> None:
    """The bound is at most the least number of patterns found by trying all; the search finds no fewer."""
    problem = world([12], items)
    uses = solve_strips(problem, steps=None, out_of_time=lambda: False).uses
    plates = sum(times for _, times in uses)
    least = least_by_trying(problem, plates)
    assert least is not None
    assert 1 <= least_patterns(problem, plates) <= least <= len(fewest_patterns(problem, uses))


def test_bound_on_known_plans() -> None:
    """Paper rolls: at least 5 by counting, of 10 in truth. Two plates that share no strips: 2. Too few plates:
    refused.
    """
    assert least_patterns(world([5600], PAPER), 73) == 5
    assert least_patterns(world([100], [(100, 3), (50, 8)]), 7) == 2
    with pytest.raises(ValueError, match="wider than 6 plates"):
        least_patterns(world([100], [(100, 3), (50, 8)]), 6)
