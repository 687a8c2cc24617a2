"""Lengths to whole units."""

from __future__ import annotations

from fractions import Fraction

from stripplan.layout.grid import common_grid, rounded_down, rounded_up


def test_inches_and_millimetre_kerf_share_a_grid() -> None:
    """3/8 in (9.525 mm), 8 ft and a kerf of 1.5 mm are all whole in one unit."""
    grid = common_grid([9.525, 2438.4], [1.5], 2438.4)
    assert grid is not None
    assert grid.mm(grid.units(9.525)) == 9.525
    assert (Fraction(75, 100) / grid.unit).denominator == 1


def test_grid_too_fine_is_refused() -> None:
    """Sizes without a common unit above 10^-7 of the plate have no grid: the fallback must round."""
    assert common_grid([1000.0000001, 333.3333333], [1.5], 1000) is None


def test_rounding_goes_the_safe_way() -> None:
    """Parts up, plates down, to hundredths."""
    assert (rounded_up(10.001), rounded_down(10.009)) == (10.01, 10.0)
