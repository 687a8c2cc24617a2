"""Plates made better a few at a time."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest

from stripplan.layout.problem import Problem
from stripplan.layout.rectangles import few_plates
from stripplan.layout.rectangles.compiled_search import search_of
from stripplan.layout.rectangles.few_plates import better_by_few_plates
from stripplan.layout.rectangles.search import task_of
from stripplan.layout.rectangles.total_search import search_by_total
from stripplan.layout.stop_rule import never
from stripplan.layout.tree import FilledStock
from stripplan.model.effort import Effort
from tests.layout.rectangles.test_total_search import objective, shelf


def many(copies: int) -> Problem:
    """The shelf with every part so many times as often."""
    one = shelf()
    return replace(one, items=tuple(replace(each, demand=each.demand * copies) for each in one.items))


def begun(asked: Problem) -> tuple[FilledStock, ...]:
    """Plates with all parts as they are first placed."""
    search = search_of(task_of(asked), 1)
    search.begin()
    found = search.found()
    search.close()
    assert not found.out
    return found.filled


@pytest.mark.parametrize("rounds", [1, 6])
def test_parts_and_limits_are_kept_and_the_total_falls(monkeypatch: pytest.MonkeyPatch, rounds: int) -> None:
    """The same parts on legal plates, no more offcuts than there are, and less to pay; more rounds, no more to pay."""
    monkeypatch.setattr(few_plates, "TOGETHER", 20)
    monkeypatch.setattr(few_plates, "STEPS", 150)
    asked = many(3)
    ticks, start = objective(asked), begun(asked)
    found = better_by_few_plates(asked, ticks, start, rounds=rounds, seed=1, out_of_time=never)
    assert Counter(n for each in found for n in each.items) == Counter(n for each in start for n in each.items)
    assert all(asked.is_legal(each.stock, each.tree) for each in found)
    assert sum(each.stock == 2 for each in found) <= 1
    fewer = better_by_few_plates(asked, ticks, start, rounds=rounds - 1, seed=1, out_of_time=never)
    assert ticks.total(found) <= ticks.total(fewer)
    assert ticks.total(found) < ticks.total(start)


def test_a_very_long_list_is_made_better_too(monkeypatch: pytest.MonkeyPatch) -> None:
    """Beyond the parts that are searched together there is one layout, for less than it began with."""
    monkeypatch.setattr(few_plates, "STEPS", 60)
    asked = many(26)
    assert sum(each.demand for each in asked.items) > 600
    ticks, start = objective(asked), begun(asked)
    (found,), _ = search_by_total(asked, ticks, start, effort=Effort(seed=1), out_of_time=never)
    assert ticks.total(found.filled) == found.total < ticks.total(start)
