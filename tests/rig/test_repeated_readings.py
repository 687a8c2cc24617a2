"""Repeated readings: scatter against reading, uncertainties joined, outliers."""

from __future__ import annotations

import math

import numpy as np
import pytest

from stripplan.rig.repeated_readings import grubbs, studentized_limit
from stripplan.rig.uncertainty import combined, coverage_factor, joined
from tests.rig.process.test_kerf import URANIUM


@pytest.mark.parametrize(("dof", "ratio"), [(1, 0.3), (1, 1.0), (2, 0.3), (2, 3.0), (4, 1.0), (10, 0.3)])
def test_joined_intervals_hold_what_they_say(dof: int, ratio: float) -> None:
    """An unknown scatter of `dof` degrees of freedom beside a known part: by quadrature of the intervals 95 % or
    more hold, seldom above 99 %."""
    rng = np.random.default_rng(2)
    s = np.sqrt(rng.chisquare(dof, 1000) / dof)
    wrong = np.abs(rng.normal(0, 1, 1000) + rng.normal(0, ratio, 1000))
    joint, guide = [
        np.array([coverage_factor(d) * u for u, d in (rule([(float(each), dof), (ratio, math.inf)]) for each in s)])
        for rule in (joined, combined)
    ]
    assert 0.935 <= np.mean(wrong < joint) <= 0.995
    if (dof, ratio) == (1, 0.3):
        assert np.mean(wrong < guide) < 0.9
    if dof == 10:
        assert joint == pytest.approx(guide, rel=0.05)


def test_joined_of_parts_that_say_nothing() -> None:
    """No part: nothing to state. A part without degrees of freedom: nothing can be stated. Known parts alone:
    Student's t is not needed."""
    assert joined([(0.0, 3)]) == (0.0, math.inf)
    assert joined([(0.1, 0), (0.2, math.inf)])[1] == 0
    assert joined([(3, math.inf), (4, math.inf)]) == (5, math.inf)


def test_grubbs_on_the_published_example() -> None:
    """G = 2.4687 against 2.032, one-sided at 5 %: NIST/SEMATECH e-Handbook 1.3.5.17.1."""
    found = grubbs(URANIUM, side="greatest")
    assert found.statistic == pytest.approx(2.4687, abs=1e-4)
    assert found.critical == pytest.approx(2.032, abs=5e-4)
    assert URANIUM[found.index] == 245.57
    assert found.stands_out
    assert not grubbs(URANIUM, side="least").stands_out


@pytest.mark.parametrize(
    ("n", "critical"),
    [(3, 1.153), (4, 1.463), (5, 1.672), (6, 1.822), (7, 1.938), (8, 2.032), (9, 2.110), (10, 2.176), (20, 2.557)],
)
def test_grubbs_critical_values(n: int, critical: float) -> None:
    """One-sided 5 % points: Grubbs, Technometrics 11 (1969) table 1 (from memory, certain)."""
    assert grubbs(list(range(n)), side="greatest").critical == pytest.approx(critical, abs=0.0011)


def test_grubbs_calls_five_in_a_hundred() -> None:
    """2,000 samples of eight normal values: one in twenty holds a false outlier, as alpha says."""
    samples = np.random.default_rng(11).normal(size=(2000, 8))
    assert 0.035 < np.mean([grubbs(list(map(float, each))).stands_out for each in samples]) < 0.065


def test_grubbs_with_weights_against_weighted_least_squares() -> None:
    """Unequal weights: the greatest studentized residual of a weighted mean, as statsmodels finds it."""
    from statsmodels.api import OLS

    values, weights = [1.50, 1.55, 1.43, 2.10, 1.52, 1.49], [1, 5, 2, 1, 3, 1]
    root = np.sqrt(weights)
    influence = OLS(np.array(values) * root, root).fit().get_influence()
    found = grubbs(values, weights=weights)
    assert found.statistic == pytest.approx(np.abs(influence.resid_studentized_internal).max() * math.sqrt(5 / 6))
    assert found.index == 3


def test_studentized_limit_is_the_bonferroni_one() -> None:
    """At the limit the externally studentized residual has a two-sided probability of alpha / n, by scipy.stats."""
    from scipy import stats

    for n, fitted in [(8, 1), (8, 2), (12, 2)]:
        r, dof = studentized_limit(n, fitted), n - fitted - 1
        external = r * math.sqrt(dof / (dof + 1 - r * r))
        assert 2 * stats.t.sf(external, dof) * n == pytest.approx(0.05)
