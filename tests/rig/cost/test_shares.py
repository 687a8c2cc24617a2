"""Shares in whole cents, and how the parts of a plan share what it costs."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from stripplan.rig.cost.shares import rounded_shares


def test_largest_remainder() -> None:
    """The usual worked example of the method, 100 000 votes for 10 seats (from memory; worked again by hand):
    4.7 is 4, and 1 more.
    """
    votes = [47_000, 16_000, 15_900, 12_000, 6_000, 3_100]
    assert rounded_shares([vote / 10_000 for vote in votes], 10) == [5, 2, 1, 1, 1, 0]


def test_shares_that_do_not_add_up_are_refused() -> None:
    """Three tenths of a cent short is no rounding noise."""
    with pytest.raises(ValueError, match=r"shares of 99\.7 do not add up to 100"):
        rounded_shares([50.0, 49.7], 100)


@given(
    st.lists(st.floats(-1e3, 1e3), min_size=1, max_size=12).filter(lambda each: abs(math.fsum(each)) > 1e-3),
    st.integers(-(10**6), 10**6),
)
def test_shares_add_up(weights: list[float], total: int) -> None:
    """Whatever the weights, whole shares add up to the total and lie within 1 of the exact ones."""
    exact = [weight / math.fsum(weights) * total for weight in weights]
    assume(max(map(abs, exact)) <= 1e8)
    shares = rounded_shares(exact, total)
    assert sum(shares) == total
    assert all(abs(share - each) < 1 + 1e-6 for share, each in zip(shares, exact, strict=True))
