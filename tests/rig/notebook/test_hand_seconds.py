"""Figures that are off are found from minutes of several cuts together, and only those."""

from __future__ import annotations

import random

import numpy as np
import pytest

from stripplan.model.rig import Seconds
from stripplan.rig.notebook.hand_seconds import (
    AS_MANY,
    LAPSES,
    PRIOR,
    TimedCuts,
    hand_factors,
    learnt_seconds,
)

TRUE = {"fence": 1.5, "fetch": 0.7, "push": 1.0, "dress": 1.2}


def drawn_days(chance: random.Random, count: int, lapses: float) -> list[TimedCuts]:
    """Ticks of a few cuts each, by figures that are off as in `TRUE`; `lapses` [min for the root of a minute]."""
    found = []
    for _ in range(count):
        by_cause = {"fence": 0.7, "fetch": 0.8, "push": 0.3, "dress": 0.4}
        by_cause = {cause: each * chance.randint(0, 6) for cause, each in by_cause.items()}
        planned = 3.0 + sum(by_cause.values())
        more = sum((TRUE[cause] - 1) * each for cause, each in by_cause.items())
        taken = planned + more + chance.gauss(0.0, lapses * planned**0.5)
        found.append(TimedCuts(taken=taken, planned=planned, by_cause=by_cause))
    return found


def test_what_is_off_is_found_within_its_spread() -> None:
    """Of many drawn weeks the true factor lies within two spreads in nine out of ten, as two spreads promise."""
    chance, within, met = random.Random(4), 0, 0
    for number in range(90):
        for each in hand_factors(drawn_days(chance, (8, 15, 30)[number % 3], 0.2)):
            within += abs(each.factor - TRUE[each.cause]) <= 2 * each.spread
            met += 1
    assert 0.9 <= within / met <= 0.99
    exact = {each.cause: each for each in hand_factors(drawn_days(chance, 40, 0.0))}
    assert {cause: each.factor for cause, each in exact.items()} == pytest.approx(TRUE, abs=0.03)
    assert all(each.learnt for each in exact.values())


def test_it_is_a_weighted_regression_with_the_prior_as_observations() -> None:
    """Factors and spreads are those of statsmodels' WLS with a row for each prior, at the variance that was found."""
    days = drawn_days(random.Random(5), 12, 0.3)
    found = hand_factors(days)
    causes = [each.cause for each in found]
    rows = np.array([[day.by_cause[cause] for cause in causes] for day in days])
    more = np.array([day.taken - day.planned for day in days])
    weights = np.array([1 / day.planned for day in days])
    gaps = more - rows @ np.array([each.factor - 1 for each in found])
    roots = rows * np.sqrt(weights)[:, None]

    def freedom(variance: float) -> float:
        hat = roots @ np.linalg.inv(roots.T @ roots / variance + np.eye(len(causes)) / PRIOR**2) @ roots.T / variance
        return len(days) - float(np.trace(hat))

    squares = float(np.sum(weights * gaps**2)) + AS_MANY * LAPSES**2
    variance = squares / len(days)
    for _ in range(50):
        variance = squares / (freedom(variance) + AS_MANY)
    import statsmodels.api as sm  # two seconds: only where it is asked

    fit = sm.WLS(
        np.concatenate([more, np.zeros(len(causes))]),
        np.vstack([rows, np.eye(len(causes))]),
        weights=np.concatenate([weights / variance, np.full(len(causes), 1 / PRIOR**2)]),
    ).fit(cov_type="fixed scale")
    assert [each.factor - 1 for each in found] == pytest.approx(list(fit.params), abs=2e-3)
    assert [each.spread for each in found] == pytest.approx(list(fit.bse), rel=0.02)


def test_a_cause_that_was_hardly_met_keeps_its_figure() -> None:
    """Once in all, and a little: it is as it was, and not called learnt."""
    days = [*drawn_days(random.Random(6), 30, 0.2), TimedCuts(taken=5.4, planned=5.0, by_cause={"turn_over": 0.1})]
    over = next(each for each in hand_factors(days) if each.cause == "turn_over")
    assert over.factor == pytest.approx(1.0, abs=0.2)
    assert not over.learnt
    assert learnt_seconds(Seconds(), [over]) == Seconds()


def test_too_little_and_nothing() -> None:
    """Three ticks say nothing, nor do ticks without a set-up."""
    assert hand_factors(drawn_days(random.Random(7), 3, 0.1)) == ()
    assert hand_factors([TimedCuts(taken=3.0, planned=2.0, by_cause={})] * 9) == ()


def test_what_a_kilogram_adds_goes_with_what_is_lifted() -> None:
    """By the minutes of each cause: 0.7 of fetching and 1.0 of pushing; the fence's way goes with the fence."""
    days = drawn_days(random.Random(8), 60, 0.0)
    seconds = learnt_seconds(Seconds(), hand_factors(days))
    assert seconds.fence == pytest.approx(60.0, abs=1.0)
    assert seconds.fence_per_mm == pytest.approx(0.03, abs=0.001)
    assert 0.7 * 0.6 < seconds.per_kg < 0.6
    assert seconds.turn_over == Seconds().turn_over
