"""Dual feasible functions: each tried against all sets of sizes that fit."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stripplan.layout.bounds.dual_functions import FAMILIES, functions
from tests.checking import examples

Pieces = list[tuple[tuple[int, ...], int]]


def most_by_rows(values: dict[int, int], capacity: int, pieces: Pieces) -> int:
    """The greatest value of a row of pieces that fits, by dynamic programming over single pieces."""
    best = [0] * (capacity + 1)
    for shown, count in pieces:
        for _ in range(count):
            now = best[:]
            for size in shown:
                for total in range(size, capacity + 1):
                    now[total] = max(now[total], best[total - size] + values[size])
            best = now
    return best[capacity]


@pytest.mark.parametrize("family", FAMILIES, ids=lambda family: family.__name__)
@pytest.mark.parametrize("capacity", [1, 2, 3, 7, 12, 17, 30])
def test_no_row_that_fits_is_worth_more_than_the_plate(family, capacity: int) -> None:  # type: ignore[no-untyped-def]
    """Each function of each family, all sizes from 1 to the capacity, any number of each."""
    import numpy as np

    found = family(np.arange(1, capacity + 1), capacity)
    for row, top in zip(found.values.tolist(), found.tops.tolist(), strict=True):
        values = dict(enumerate(row, 1))
        assert most_by_rows(values, capacity, [((size,), capacity // size) for size in values]) <= top
        assert top > 0
        assert min(row) >= 0


@examples(150)
@given(
    capacity=st.integers(2, 24),
    shown=st.lists(st.tuples(st.integers(1, 24), st.integers(1, 24), st.integers(1, 4)), min_size=1, max_size=6),
)
def test_rows_of_real_pieces_hold_in_all_functions(capacity: int, shown: list[tuple[int, int, int]]) -> None:
    """Pieces that may show either of two sizes: no row of them that fits is worth more than the plate."""
    pieces = [(tuple({min(a, capacity), min(b, capacity)}), n) for a, b, n in shown]
    sizes = sorted({size for both, _ in pieces for size in both})
    found = functions(sizes, capacity, pieces)
    for row, top in zip(found.values.tolist(), found.tops.tolist(), strict=True):
        assert most_by_rows(dict(zip(sizes, row, strict=True)), capacity, pieces) <= top


def test_values_by_hand() -> None:
    """Plate 10, sizes 3 and 6: U(5) makes 6 the whole plate; u(2) gives 3 nothing but 6 half;
    counted, 6 crowds out 2 of 3.
    """
    found = functions([3, 6], 10, [((3,), 9), ((6,), 9)])
    shares = {tuple(row) for row in found.shares().tolist()}
    assert {(0.0, 1.0), (0.3, 0.6), (0.0, 0.5), (1 / 3, 2 / 3)} <= shares


@examples(50)
@given(sizes=st.sets(st.integers(1, 40), min_size=1, max_size=6), scale=st.integers(2, 50))
def test_the_unit_makes_no_difference(sizes: set[int], scale: int) -> None:
    """Sizes in a finer unit have the same values as shares of the plate's."""
    one = functions(sorted(sizes), 40, [((size,), 2) for size in sorted(sizes)])
    other = functions([s * scale for s in sorted(sizes)], 40 * scale, [((s * scale,), 2) for s in sorted(sizes)])
    assert one.shares().tolist() == other.shares().tolist()
