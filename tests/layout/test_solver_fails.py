"""A solver of linear programmes that ends oddly costs the plan nothing but what that engine would have added."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from typing import Any

import pytest
from highspy import Highs, HighsModelStatus

from stripplan.layout.plates.covering_programme import Covering
from stripplan.layout.solver import Layout, lay_out
from stripplan.layout.strips.master import Master
from stripplan.model.effort import Effort
from stripplan.model.part import Part, Rectangle, Strip
from stripplan.model.pattern import leaves
from tests.benchmarks.open_data import problem_of

Failing = Callable[[HighsModelStatus], list[str]]

ODD = [HighsModelStatus.kNotset, HighsModelStatus.kTimeLimit, HighsModelStatus.kSolveError]


@pytest.fixture
def failing(monkeypatch: pytest.MonkeyPatch) -> Failing:
    """Makes every linear programme end with a status; the list then fills with the engines that gave up by it."""

    def fails(status: HighsModelStatus) -> list[str]:
        given_up: list[str] = []
        monkeypatch.setattr(Highs, "getModelStatus", lambda _: status)
        for engine in (Covering, Master):
            monkeypatch.setattr(engine, "solve", _noting(engine.solve, engine.__name__, given_up))
        return given_up

    return fails


def _noting(solve: Callable[[Any], Any], name: str, given_up: list[str]) -> Callable[[Any], Any]:
    def noted(self: Any) -> Any:
        try:
            return solve(self)
        except ArithmeticError:
            given_up.append(name)
            raise

    return noted


def laid_out(parts: list[Part], plates: list[tuple[float, float, None, float]]) -> Layout:
    """A layout of parts on plates, a few steps."""
    return lay_out(problem_of(plates, parts), parts, effort=Effort(steps=20), out_of_time=lambda: False)


def assert_whole(made: Layout, parts: list[Part], cost: dict[int, float]) -> None:
    """All parts are made, and the bound is not above the cost."""
    pieces: Counter[int] = Counter()
    for pattern in made.patterns:
        pieces.update(leaf.part for leaf in leaves(pattern.root) if leaf.part is not None for _ in range(pattern.count))
    assert not made.short
    assert [pieces[n] for n in range(len(parts))] == [part.quantity for part in parts]
    assert made.bound.cost <= sum(pattern.count * cost[pattern.plate] for pattern in made.patterns)


@pytest.mark.parametrize("status", ODD)
@pytest.mark.parametrize("copies", [17, 800])
def test_rectangles_are_laid_out_without_column_generation(
    failing: Failing, status: HighsModelStatus, copies: int
) -> None:
    """Parts in many copies, more and fewer than the search takes first: the rest of the engines make the plan."""
    given_up = failing(status)
    parts: list[Part] = [
        Rectangle(name="a", length=37, width=23, quantity=copies),
        Rectangle(name="b", length=53, width=31, quantity=copies),
    ]
    made = laid_out(parts, [(100.0, 60.0, None, 3.0), (80.0, 60.0, None, 2.5)])
    assert set(given_up) == {"Covering"}  # by the job, and as if there were fewer kinds of plate
    assert_whole(made, parts, {0: 3.0, 1: 2.5})


@pytest.mark.parametrize("status", ODD)
def test_strips_are_laid_out_as_rectangles(failing: Failing, status: HighsModelStatus) -> None:
    """Strips from two sizes of plate, for which there is no plan but by linear programme: made all the same."""
    given_up = failing(status)
    parts: list[Part] = [Strip(name=f"s{n}", width=11 + 6 * n, quantity=7) for n in range(4)]
    made = laid_out(parts, [(100.0, 60.0, None, 3.0), (100.0, 75.0, None, 3.5)])
    assert given_up[0] == "Master"
    assert_whole(made, parts, {0: 3.0, 1: 3.5})
