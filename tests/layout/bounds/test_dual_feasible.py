"""Dual feasible functions: what fits still fits when turned, and the bound is never above the least."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stripplan.layout.bounds.dual_feasible import least_plates, turned_sizes
from tests.checking import examples

SIZES = st.lists(st.integers(1, 30), min_size=1, max_size=4, unique=True)


@pytest.mark.long
@examples(150)
@given(sizes=SIZES, capacity=st.integers(30, 60))
def test_what_fits_still_fits(sizes: list[int], capacity: int) -> None:
    """No set of strips that fits a plate is wider than the turned plate, for each function of each family."""
    ranges = [range(capacity // size + 1) for size in sizes]
    fitting = [c for c in product(*ranges) if sum(n * s for n, s in zip(c, sizes, strict=True)) <= capacity][:4000]
    for turned, plate in turned_sizes(np.array(sizes), capacity):
        assert (turned @ np.array(fitting).T <= plate[:, None]).all()


def test_strips_over_half_a_plate_count_one_each() -> None:
    """Four strips of 51 and one of 50 on plates of 100 need five: material alone says three."""
    assert least_plates([51, 50], [4, 1], 100) == 5


def test_thirds_are_seen() -> None:
    """Strips of 34 go two on a plate of 100: seven need four, where material says three."""
    assert least_plates([34], [7], 100) == 4
