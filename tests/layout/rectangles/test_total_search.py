"""The search for the least total from several beginnings."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache

import pytest

from stripplan.layout.objective import HandTimes, Objective, objective_of
from stripplan.layout.problem import Problem
from stripplan.layout.rectangles.beginnings import Candidate, simpler_forms
from stripplan.layout.rectangles.compiled_search import search_of
from stripplan.layout.rectangles.search import task_of
from stripplan.layout.rectangles.total_search import search_by_total
from stripplan.layout.stop_rule import never
from stripplan.layout.tree import FilledStock
from stripplan.model.effort import Effort
from tests.checking import few
from tests.layout import tiny

TIMES = HandTimes(
    cut=40, per_length=0.2, aside=25, push=8, over=30, per_area=0.0001, heavy=300_000, two_person=2, setting=45,
    stop=30, stop_per_length=0.05, stop_span=4, uneven=6, unmeasured=240, mark=1, zero=0.5,
)  # fmt: skip
PARTS = ((90, 20, 7), (40, 20, 5), (65, 35, 4), (30, 35, 6), (55, 12, 3))
LARGE, SMALL, OFFCUT = (250, 125), (200, 100), (87, 41)


def shelf(*, offcut: bool = True, depth: int | None = None) -> Problem:
    """Five parts on two kinds of sheet and an offcut of which there is one."""
    sizes, costs, limits = (LARGE, SMALL, OFFCUT), (195.0, 128.0, 14.0), (None, None, 1)
    asked = tiny.problem(sizes, PARTS, turn=True, kerf=2, costs=costs, limits=limits)
    large, small, rest = asked.stocks
    stocks = (large, small, replace(rest, plate=replace(rest.plate, offcut=offcut)))
    return replace(asked, stocks=stocks, keep=(10, 30), depth=depth)


def objective(asked: Problem) -> Objective:
    """What plates and hands of a problem cost, a minute at three quarters of the currency."""
    values = [stock.cost for stock in asked.stocks]
    return objective_of(asked, [TIMES] * len(values), values, minute=0.75, share=0.5, share_of_others=0.25)


@cache
def fewest_plates() -> tuple[FilledStock, ...]:
    """The shelf's plates with all parts, found for their cost alone."""
    search = search_of(task_of(shelf()), 1)
    search.begin()
    search.run(200)
    found = search.found()
    search.close()
    assert not found.out
    return found.filled


def searched(steps: int | None, stop: Callable[[], bool] = never, seed: int = 1) -> tuple[list[Candidate], int]:
    """Layouts of the shelf."""
    return search_by_total(
        shelf(), objective(shelf()), fewest_plates(), effort=Effort(seed=seed, steps=steps), out_of_time=stop
    )


@pytest.mark.parametrize("seed", few(1, range(1, 9)))
def test_more_steps_are_never_worse_and_none_is_above_its_start(seed: int) -> None:
    """By the estimate: one epoch is not above the start, two not above one, three not above two; something is gained,
    the cheapest comes first and each total is that of its plates.
    """
    ticks = objective(shelf())
    least = [ticks.total(fewest_plates())]
    for steps in (750, 2250, 5250)[: 2 if seed == 1 else 3]:
        found, done = searched(steps, seed=seed)
        assert done >= steps
        assert [each.total for each in found] == sorted(each.total for each in found)
        assert all(ticks.total(each.filled) == each.total for each in found)
        assert len(set(found)) == len(found)
        least.append(found[0].total)
    assert least == sorted(least, reverse=True)
    assert least[-1] < least[0]


def test_candidates_hold_every_part_and_are_legal() -> None:
    """Whatever form found it: each part once, cuts that the problem allows, the one offcut once at most."""
    found, _ = searched(750)
    wanted = sorted(n for n, (_, _, demand) in enumerate(PARTS) for _ in range(demand))
    for each in found:
        assert sorted(item for plate in each.filled for item in plate.items) == wanted
        assert all(shelf().is_legal(plate.stock, plate.tree) for plate in each.filled)
        assert sum(plate.stock == 2 for plate in each.filled) <= 1


def test_steps_between_epochs_are_rounded_down() -> None:
    """2249 steps are one epoch as 750 are: the same layouts."""
    assert searched(2249) == searched(750)
    assert searched(749) == ([], 0)


@pytest.mark.parametrize("steps", [0, 1])
def test_no_steps_give_nothing(steps: int) -> None:
    """Where the person asks for no search the plates found first stand."""
    assert searched(steps) == ([], 0)


def test_nothing_to_begin_with_gives_nothing() -> None:
    """Without plates that hold all parts there is no total to better."""
    assert search_by_total(shelf(), objective(shelf()), (), effort=Effort(steps=750), out_of_time=never) == ([], 0)


def after(questions: int, then: Callable[[], bool]) -> Callable[[], bool]:
    """A clock that lets so many questions pass before it says what `then` does."""
    left = iter(range(questions))
    return lambda: next(left, None) is None and then()


@pytest.mark.long
@pytest.mark.parametrize("asked", few(2, (1, 3, 0, 2)))
def test_a_search_stopped_at_once_ended_the_process(asked: int) -> None:
    """Out of time at the first question or a later one: plates that are no dearer than the start, as often as tried."""
    start = objective(shelf()).total(fewest_plates())
    for seed in range(2):
        found, _ = searched(None, after(asked, lambda: True), seed)
        assert found[0].total <= start


@pytest.mark.long
@pytest.mark.parametrize("asked", [0, 1, 3, 4])
def test_an_interrupt_while_the_pool_is_at_work_ends_the_search_alone(asked: int) -> None:
    """What is raised by the clock comes out, in the first round and among the best gone on with."""

    def interrupted() -> bool:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        searched(5250, after(asked, interrupted))


def forms_of(asked: Problem) -> set[tuple[frozenset[int], int | None]]:
    """Simpler forms as (stocks that may be used, depth); each is met once."""
    forms = [(frozenset(form.stocks), form.task.depth) for form in simpler_forms(asked, objective(asked))]
    assert len(set(forms)) == len(forms)
    return set(forms)


def test_simpler_forms_are_stages_sheets_alone_and_no_offcuts() -> None:
    """All stocks, sheets alone, each kind of sheet with and without the offcut: of any depth, two stages and three; but
    not the problem itself.
    """
    every, sheets = frozenset({0, 1, 2}), frozenset({0, 1})
    alone = [frozenset({0}), frozenset({1}), frozenset({0, 2}), frozenset({1, 2})]
    wanted = {(some, depth) for some in (every, sheets, *alone) for depth in (None, 2, 3)} - {(every, None)}
    assert forms_of(shelf()) == wanted


def test_simpler_forms_are_no_deeper_than_the_problem() -> None:
    """A job of three stages is held back to two, one of two only in its plates."""
    assert {depth for _, depth in forms_of(shelf(depth=3))} == {2, 3}
    assert {depth for _, depth in forms_of(shelf(depth=2))} == {2}
    assert (frozenset({0, 1, 2}), 2) not in forms_of(shelf(depth=2))


def test_one_kind_of_sheet_has_its_stages_alone() -> None:
    """With a single plate kind there is nothing to leave out."""
    assert forms_of(tiny.problem([(100, 50)], [(40, 20, 3)])) == {(frozenset({0}), 2), (frozenset({0}), 3)}
