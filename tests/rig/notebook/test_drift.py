"""Chance is told from a change of the rig, and the change is found that was made."""

from __future__ import annotations

import random

import pytest

from stripplan.rig.notebook.drift import drift, individuals_chart


def test_the_handbook_s_example() -> None:
    """Centre and limits as printed: NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2 (from memory, certain)."""
    chart = individuals_chart([49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1])
    assert (chart.centre, chart.low, chart.high) == pytest.approx((50.81, 45.8159, 55.8041), abs=1e-3)
    assert chart.beyond == ()


def test_chance_is_left_alone() -> None:
    """Of many days without any drift hardly one is corrected: three spreads and eight in a row by chance."""
    chance = random.Random(1)
    days = [[chance.gauss(0.0, 0.2) for _ in range(12)] for _ in range(400)]
    assert sum(drift(day).correction is not None for day in days) <= 0.06 * len(days)


def test_a_fence_that_moved_is_found() -> None:
    """By one side alone, and from the last eight where it moved within the day."""
    chance = random.Random(2)
    moved = [chance.gauss(0.0, 0.1) for _ in range(6)] + [chance.gauss(0.6, 0.1) for _ in range(8)]
    found = drift(moved)
    assert found.correction == pytest.approx(-0.6, abs=0.12)
    assert "drift_run" in {each.code for each in found.said}
    assert drift([], [-each for each in moved]).correction == pytest.approx(-0.6, abs=0.12)


def test_fence_and_kerf_are_told_apart_by_both_sides() -> None:
    """A fence 0.3 out and a kerf 0.4 wider: on the fence 0.3 - 0.2, beyond it -0.3 - 0.2."""
    chance = random.Random(3)
    on, off = ([chance.gauss(at, 0.02) for _ in range(10)] for at in (0.1, -0.5))
    found = drift(on, off)
    assert found.correction == pytest.approx(-0.3, abs=0.05)
    assert found.kerf == pytest.approx(0.4, abs=0.05)


def test_one_wild_piece_and_too_few() -> None:
    """A slip is named by its place; of a few sizes nothing is offered."""
    calm = [0.01, -0.02, 0.02, -0.01, 0.0, 0.02, -0.02, 0.01, -0.01, 0.02, 0.0, -0.01]
    found = drift([*calm, 3.0, *calm])
    assert found.chart is not None
    assert found.chart.beyond == (12,)
    assert drift([0.5, 0.5]).correction is None
