"""Gathering what is left into an offcut can be stopped on its way."""

from __future__ import annotations

from typing import Any, cast

import pytest

from stripplan.layout.rectangles.leftover import MOST_UNASKED, _Hunt


class Searching:
    """A search that does all steps it is asked for, and writes them down."""

    def __init__(self, most: int) -> None:
        self.asked: list[int] = []
        self.most = most

    def run(self, steps: int) -> int:
        """Steps done."""
        self.asked.append(steps)
        return steps if len(self.asked) < self.most else steps - 1


def hunt(out_of_time: Any) -> _Hunt:
    """A hunt of which only the clock matters."""
    made = object.__new__(_Hunt)
    made.out_of_time, made.steps = out_of_time, 0
    return made


def test_a_search_asked_for_a_thousand_million_steps_stops_when_it_is_told() -> None:
    """Once, such a trial went on for minutes after Ctrl-C: the clock is asked every few steps."""
    answers = iter([False, False, True])
    search, trial = Searching(1000), hunt(lambda: next(answers))
    trial._run(cast(Any, search), 10**9)
    assert search.asked == [MOST_UNASKED] * 3
    assert trial.steps == 3 * MOST_UNASKED


@pytest.mark.parametrize(
    ("turn", "asked"), [(50, [50]), (MOST_UNASKED, [MOST_UNASKED]), (MOST_UNASKED + 7, [MOST_UNASKED, 7])]
)
def test_all_steps_are_done_where_nobody_stops(turn: int, asked: list[int]) -> None:
    """Short trials ask no clock, so that a plan stopped after so many steps is the same as ever."""

    def never() -> bool:
        assert turn > MOST_UNASKED
        return False

    search, trial = Searching(1000), hunt(never)
    trial._run(cast(Any, search), turn)
    assert search.asked == asked
    assert trial.steps == turn


def test_a_search_that_has_found_what_it_wants_ends() -> None:
    """Fewer steps done than asked for: it has ended of itself."""
    search, trial = Searching(2), hunt(lambda: False)
    trial._run(cast(Any, search), 10**9)
    assert search.asked == [MOST_UNASKED] * 2
