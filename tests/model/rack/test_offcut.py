"""What an offcut is worth."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stripplan.model.job import Options
from stripplan.model.rack.offcut import offcut_value

KEEP = (300.0, 100.0)
sizes = st.integers(1, 3000).map(float)


@given(length=sizes, width=sizes)
def test_value_without_weights_is_the_area_from_keep_on(length: float, width: float) -> None:
    """0 where `keep` does not fit, either way round; else the area."""
    fits = min(length, width) >= 100 and max(length, width) >= 300
    assert offcut_value(length, width, KEEP, {}) == (length * width if fits else 0)
    assert offcut_value(width, length, KEEP[::-1], {}) == offcut_value(length, width, KEEP, {})


@given(length=sizes, width=sizes, large=st.integers(0, 5), long=st.integers(0, 5))
def test_a_larger_offcut_is_never_worth_less(length: float, width: float, large: int, long: int) -> None:
    """Metal added on one side adds value, whatever the weights."""
    weights = {"large": float(large), "long": float(long)}
    assert offcut_value(length + 1, width, KEEP, weights) >= offcut_value(length, width, KEEP, weights)


def test_weights_prefer_what_they_name() -> None:
    """By hand: 1 m2 with large = 1 is worth 2, two halves of it 1.5 together; of one area the longer is worth more."""
    assert offcut_value(1000, 1000, KEEP, {"large": 1.0}) == pytest.approx(2e6)
    assert 2 * offcut_value(1000, 500, KEEP, {"large": 1.0}) == pytest.approx(1.5e6)
    assert offcut_value(2000, 500, KEEP, {"long": 0.5}) == pytest.approx(2e6)
    assert offcut_value(1000, 1000, KEEP, {"long": 0.5}) == pytest.approx(1.5e6)


def test_unknown_weights_are_refused() -> None:
    """A weight that is none is named, with those there are."""
    with pytest.raises(ValueError, match="offcut_weights has no key 'big'; the keys are large, long"):
        Options(offcut_weights={"big": 1.0})
    with pytest.raises(ValueError, match="offcut_weights, large -1"):
        Options(offcut_weights={"large": -1.0})
