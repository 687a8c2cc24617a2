"""What is legal, by figures worked out by hand."""

from __future__ import annotations

from typing import Any

import pytest

from stripplan.model.cut_rules import CutRules
from stripplan.model.feasible import (
    beside_is_legal,
    reaches,
    rest_is_legal,
)
from tests.legal_cuts import cut_is_legal, lies_on_rig, split_is_legal


def rules(**limits: Any) -> CutRules:
    """A kerf of 3, a fence from 20 to 100 without marking, 60 beside the torch,
    cuts of 500 in one pass and 900 in two.
    """
    given: dict[str, Any] = {
        "kerf": 3.0, "longest_one_pass": 500.0, "longest_two_pass": 900.0, "narrowest_offcut": 5.0, "fence_min": 20.0,
        "fence_max": 100.0, "marked": False, "far_max": 60.0, **limits,
    }  # fmt: skip
    return CutRules(**given)


@pytest.mark.parametrize(
    ("width", "legal"), [(18.4, False), (18.5, True), (98.5, True), (98.6, False), (20.0, True), (100.0, False)]
)
def test_the_fence_offset_is_the_width_and_half_a_kerf(width: float, legal: bool) -> None:
    """From fence face to torch centreline: 18.5 + 1.5 = 20 is the least, 98.5 + 1.5 = 100 the most."""
    assert reaches(rules(), width) is legal


@pytest.mark.parametrize(
    ("one", "other", "legal"),
    [
        (98.5, 60, True), (60, 98.5, True), (98.6, 60, False), (98.5, 60.1, False), (18.4, 60, True),
        (18.4, 98.6, False),
        (18.5, 60, True), (60, 18.4, True), (10, 12, False), (200, 30, False),
    ],
)  # fmt: skip
def test_a_cut_needs_one_side_in_reach_and_the_other_beside_the_torch(one: float, other: float, legal: bool) -> None:
    """Either side may lie on the fence."""
    assert split_is_legal(rules(), one, other) is legal
    assert split_is_legal(rules(), other, one) is legal


def test_a_marked_cut_needs_but_one_side_narrow_enough_beside_the_torch() -> None:
    """60 beside the torch, and any width on the other side; no limit at all without one beside the torch."""
    assert split_is_legal(rules(marked=True), 60, 5000)
    assert split_is_legal(rules(marked=True), 5000, 60)
    assert not split_is_legal(rules(marked=True), 60.1, 60.1)
    assert split_is_legal(rules(marked=True, far_max=None), 5000, 5000)


def test_limits_of_one_piece() -> None:
    """The longest cut is that of two passes; mass is area times mass per area; the bed binds along the travel."""
    assert cut_is_legal(rules(), 900)
    assert not cut_is_legal(rules(), 900.1)
    assert beside_is_legal(rules(), 60)
    assert not beside_is_legal(rules(), 60.1)
    heavy = rules(piece_mass_max=2.0, areal_mass=1e-4, bed_length=300.0)
    assert lies_on_rig(heavy, 200, 100)
    assert not lies_on_rig(heavy, 200, 101)
    assert lies_on_rig(heavy, 300, 10)
    assert not lies_on_rig(heavy, 301, 10)


@pytest.mark.parametrize(("slack", "legal"), [(0, True), (1, False), (7, False), (8, True), (-1, False)])
def test_beyond_a_piece_lies_nothing_or_kerf_and_the_narrowest_offcut(slack: int, legal: bool) -> None:
    """3 + 5 = 8; with no narrowest offcut the kerf may run off the edge."""
    assert rest_is_legal(slack, 3, 5) is legal
    assert rest_is_legal(slack, 3, 0) is (slack >= 0)
