"""What the rig can cut, in whole units: figures by hand, and agreement with the rules in millimetres."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stripplan.layout.feasible import ANY, Limits, limits_of
from stripplan.layout.tree import Tree, cut_from, of_pieces
from stripplan.model import feasible as model
from stripplan.model.cut_rules import CutRules
from tests import legal_cuts

RULES = CutRules(
    kerf=2, longest_one_pass=100, longest_two_pass=150, narrowest_offcut=5, fence_min=10, fence_max=80, marked=False,
    piece_mass_max=10, areal_mass=0.001, bed_length=140, far_max=60, turn_over_mass_max=6,
)  # fmt: skip


def test_limits_in_half_millimetres() -> None:
    """Twice each length; the bed ends cuts at 140; 10 kg at 0.001 kg/mm2 are 10 000 mm2, four units each;
    fence less half a kerf.
    """
    limits = limits_of(Fraction(1, 2), RULES)
    assert limits == Limits(
        kerf=4, narrowest=10, longest=280, one_pass=200, piece_max=40_000, turnable=24_000, reach=(18, 158),
        far_max=120,
        marked=False,
    )  # fmt: skip
    assert (limits.gap, limits.spacer, limits.order_fixed) == (14, 10, True)


def test_what_does_not_bind_is_no_limit() -> None:
    """Without narrowest offcut the kerf may run off the edge; an endless stroke is any length."""
    free = limits_of(Fraction(1), replace(RULES, narrowest_offcut=0, longest_two_pass=float("inf"), bed_length=None,
                                          far_max=None, marked=True))  # fmt: skip
    assert (free.gap, free.longest, free.order_fixed) == (1, ANY, False)
    assert [slack for slack in range(-1, 4) if free.rest_ok(slack)] == [0, 1, 2, 3]


def test_a_kerf_off_the_grid_is_refused() -> None:
    """Kerf, narrowest offcut and trim must be whole."""
    with pytest.raises(ValueError, match="whole number"):
        limits_of(Fraction(1), replace(RULES, kerf=1.5))


@given(st.integers(1, 160), st.integers(1, 160), st.integers(-3, 90), st.booleans(), st.sampled_from([None, 20, 60]))
def test_units_and_millimetres_agree(travel: int, across: int, one: int, marked: bool, far: int | None) -> None:
    """The same cut is legal by `Limits` and by the functions of the model."""
    rules = replace(RULES, marked=marked, far_max=far)
    limits, other = limits_of(Fraction(1), rules), across - one - 2
    cut = legal_cuts.cut_is_legal(rules, travel) and legal_cuts.lies_on_rig(rules, travel, across)
    assert limits.travel_ok(travel, across) == cut
    assert limits.split_ok(one, other) == legal_cuts.split_is_legal(rules, one, other)
    assert limits.cut_ok(travel, across, one) == (cut and legal_cuts.split_is_legal(rules, one, other))
    assert limits.reaches(one) == model.reaches(rules, one)
    assert limits.rest_ok(one) == model.rest_is_legal(one, 2, 5)


def test_a_tree_is_legal_cut_by_cut() -> None:
    """50 x 40 cut across into 20 and what is left, 28: no sliver, in reach;
    too long, too deep or a sliver of 2 is refused.
    """
    limits = Limits(kerf=2, narrowest=5, longest=40)
    tree = cut_from(50, 40, "across", [Tree(20, 40, item=0)], 2)
    assert limits.tree_ok(tree, None)
    assert not replace(limits, longest=39).tree_ok(tree, None)
    assert not limits.tree_ok(cut_from(50, 40, "across", [Tree(46, 40, item=0)], 2), None)
    deep = of_pieces(50, 40, "across", [cut_from(20, 40, "along", [Tree(20, 10, item=0)], 2), Tree(28, 40)])
    assert limits.tree_ok(deep, 2)
    assert not limits.tree_ok(deep, 1)


def test_a_cut_that_no_fence_reaches_is_not_located() -> None:
    """20 lies on the fence; a reach of 21 to 25 takes neither it nor the 28 beside it."""
    tree = cut_from(50, 40, "across", [Tree(20, 40, item=0)], 2)
    assert Limits(kerf=2, reach=(20, 25), marked=False).located(tree)
    assert not Limits(kerf=2, reach=(21, 25), marked=False).located(tree)
    assert Limits(kerf=2, reach=(21, 25), marked=True).located(tree)
