"""A search with time to spend ends by itself once it has gained nothing for long, and counts that in steps."""

from __future__ import annotations

import random

import pytest

from stripplan.layout import portfolio
from stripplan.layout.rectangles.search import default_steps
from stripplan.layout.solver import lay_out
from stripplan.model.effort import Effort
from stripplan.model.part import Part, Rectangle
from tests.benchmarks.open_data import problem_of

CHANCE = random.Random(23)
PARTS: list[Part] = [
    Rectangle(name=f"p{n}", length=CHANCE.randint(30, 70), width=CHANCE.randint(20, 45), rotate=False)
    for n in range(16)
]
"""Parts for which a gap stays open: six plates found, five not excluded."""


@pytest.mark.parametrize("patience", [1, 2])
def test_search_without_gain_ends_after_so_many_steps(monkeypatch: pytest.MonkeyPatch, patience: int) -> None:
    """A gap that nothing closes and a clock that never says stop: the steps end it, the same number each time."""
    monkeypatch.setattr(portfolio, "PATIENCE", patience)
    problem = problem_of([(100.0, 60.0, None, 1.0)], PARTS)
    made = lay_out(problem, PARTS, effort=Effort(seconds=1e9), out_of_time=lambda: False)
    assert not made.short
    assert made.bound.cost < sum(pattern.count * problem.stocks[pattern.plate].cost for pattern in made.patterns)
    assert (1 + patience) * default_steps(problem) <= made.steps < (3 + patience) * default_steps(problem)
