"""Fewest patterns: the same plates and strips, never more patterns, side rules kept, same answer each time."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from stripplan.layout.fewest_patterns import PatternRules, fewest_patterns
from stripplan.layout.master import Column
from stripplan.layout.whole import solve_strips

from .test_strips import world

PAPER = [
    (1380, 22), (1520, 25), (1560, 12), (1710, 14), (1820, 18), (1880, 18), (1930, 20), (2000, 10), (2050, 12),
    (2100, 14), (2140, 16), (2150, 18), (2200, 20),
]  # fmt: skip
"""Encyclopaedia article "Cutting stock problem": 73 rolls of 5600, at least 10 patterns."""

Uses = tuple[tuple[Column, int], ...]


def made(uses: Uses, count: int) -> list[int]:
    """How many of each strip."""
    return [sum(column.counts[n] * times for column, times in uses) for n in range(count)]


@settings(max_examples=30, deadline=None)
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


def test_paper_rolls_come_near_the_least() -> None:
    """73 rolls in at most 12 patterns; 10 is the published least."""
    problem = world([5600], PAPER)
    uses = solve_strips(problem, steps=None, out_of_time=lambda: False).uses
    fewer = fewest_patterns(problem, uses, tries=1500)
    assert sum(times for _, times in fewer) == 73
    assert made(fewer, len(PAPER)) == [n for _, n in PAPER]
    assert 10 <= len(fewer) <= 12


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
