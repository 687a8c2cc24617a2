"""Readings that a row of siblings takes: its own, those with the rest on the fence, and which rows may share them."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

import pytest

from stripplan.rig.machine.setting import fence_setting
from stripplan.sequence.bench import Bench
from stripplan.sequence.bounds import fence_readings
from stripplan.sequence.bounds.fence_readings import Row, Rows, families
from stripplan.sequence.cut_options import BenchPiece
from tests.sequence.plates import RIG, on_rig, strips


def row_of(piece: BenchPiece) -> Row:
    """The row that a plate is cut into."""
    return Rows(Bench(piece.conditions.rig, [piece], {})).of_piece(piece)


def reading(width: float) -> float:
    """What the scale shows for a piece of that width on the fence."""
    return fence_setting(RIG, width, 1.5).reading


def test_each_width_has_one_reading_counted_by_its_strips() -> None:
    """Twice 50, once 70, and 80 that is left: three readings."""
    own = dict(row_of(strips([50, 50, 70], 80)).own)
    assert own == {reading(50): 2, reading(70): 1, reading(80): 1}


def test_the_rest_may_read_every_sum_of_siblings() -> None:
    """50, 70 and 80 with a kerf of 1.5 between them: seven sums."""
    sums = [50, 70, 80, 121.5, 131.5, 151.5, 203]
    assert row_of(strips([50, 70], 80)).rest == {reading(each) for each in sums}


def test_readings_with_the_rest_on_the_fence_fall_by_the_narrowest_strips_at_least() -> None:
    """From the first to the second such cut by 50 + 1.5 mm less a step of the scale,
    then by 50 + 70 + 3 mm less a step.
    """
    step = RIG.fence_step
    assert row_of(strips([50, 70], 80)).falls == pytest.approx((0, 51.5 - step, 123 - step))


def test_where_sums_are_too_many_any_reading_is_thought_possible(monkeypatch: pytest.MonkeyPatch) -> None:
    """More than the most: None, which meets all others."""
    monkeypatch.setattr(fence_readings, "MOST_SUMS", 3)
    row = row_of(strips([50, 70], 80))
    assert row.rest is None
    assert row.may_read(12345.0)
    assert row.meets(Row((), lambda: frozenset({1.0})))


def test_pieces_narrower_than_a_step_of_the_scale_have_no_reading_of_their_own() -> None:
    """A coarse scale may show one reading for two cuts, so nothing is counted."""
    coarse = replace(RIG, fence_step=60.0)
    row = row_of(on_rig(strips([50, 70], 80), coarse))
    assert row.fine
    assert row.own == ()


def test_rows_that_may_share_a_reading_are_one_family_also_by_way_of_a_third() -> None:
    """1-2 and 3-4 have nothing in common until 2-3 comes."""
    one, other, third, far = (Row((), partial(frozenset, each)) for each in ({1.0, 2.0}, {3.0, 4.0}, {2.0, 3.0}, {9.0}))
    assert sorted(map(len, families([one, other, far]))) == [1, 1, 1]
    assert sorted(map(len, families([one, other, third, far]))) == [1, 3]


def test_alike_rows_are_one_object() -> None:
    """Two plates cut alike share what is known of their rows."""
    one = strips([50, 70], 80)
    other = BenchPiece(one.conditions, one.workpiece, True, (False, False))
    rows = Rows(Bench(RIG, [one, other], {}))
    assert rows.of_piece(one) is rows.of_piece(other)
