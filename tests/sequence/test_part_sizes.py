"""Equal parts come out equal: one setting for a width, nothing by turns, nothing wrong that need not be."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from stripplan.model.effort import Effort
from stripplan.model.pattern import Blank, Leaf
from stripplan.model.rig import Rig
from stripplan.model.workpiece import uncut
from stripplan.rig.machine.setting import fence_setting
from stripplan.sequence import best_order
from stripplan.sequence.conditions import CutConditions
from stripplan.sequence.cut_options import BenchPiece
from stripplan.sequence.part_sizes import UNEQUAL_SECONDS, WRONG_SECONDS
from tests.sequence.plates import PROCESS, RIG, RULES, plate, strips


def over(root: BenchPiece) -> dict[int, list[float]]:
    """By part what its pieces come out over, in the order found."""
    order = best_order(RIG, [root], effort=Effort(), weights={})
    found: dict[int, list[float]] = {}
    for cut in order.cuts:
        for piece in (cut.option.right, cut.option.left):
            node = piece.workpiece.node if piece is not None else None
            if piece is not None and isinstance(node, Leaf) and node.part is not None:
                found.setdefault(node.part, []).append(piece.errors[1])
    return found


def test_halfway_between_two_marks_the_upper_is_taken_always() -> None:
    """Ten equal strips came out 49.5 and 50.5 by turns, for half was rounded to even."""
    rig = Rig(fence_step=0.5)
    assert {fence_setting(rig, width, 1.5).error for width in range(20, 200)} == {0.25}
    assert fence_setting(rig, 0.1 + 0.2 + 49.7, 1.5).error == pytest.approx(0.25)


def test_ten_equal_strips_take_one_setting_and_come_out_equal() -> None:
    """They took ten settings."""
    root = plate([50.0] * 10, rest=60)
    order = best_order(RIG, [root], effort=Effort(), weights={})
    assert sum(made.fence for made in order.changes) == 1
    found = over(strips([50.0] * 10, 60))
    assert found == {0: [0.25] * 10}


def test_what_is_left_over_takes_what_the_marks_are_off_by() -> None:
    """The offcut was cut off first, so that the last of twenty strips took 4.2 mm that the others had lost."""
    order = best_order(RIG, [strips([60.0] * 3 + [40.0] * 3, 120)], effort=Effort(), weights={})
    last = order.cuts[-1].option
    assert {type(piece.workpiece.node).__name__ for piece in (last.right, last.left) if piece} == {"Leaf"}
    assert any(piece is not None and piece.workpiece.node.kind == "scrap" for piece in (last.right, last.left))  # type: ignore[union-attr]


def test_a_row_without_slack_is_read_from_one_edge_rather_than_let_one_part_be_wrong() -> None:
    """Eight parts that fill their blank: with each cut off the fence the last would be 2 mm short."""
    found = over(strips([50.0] * 8, 0.0, limit=0.8))
    assert max(map(abs, found[0])) <= 0.8
    assert max(found[0]) - min(found[0]) <= 0.5


def test_losses_go_with_the_square_and_reading_from_one_edge_is_the_way_out() -> None:
    """Two parts that fill their blank: the last is a step other than its own setting makes it, 240 s;
    a setting more and little off is 40 + 15 s.
    """
    root = strips([50.0, 50.0], 0.0)
    assert root.last_piece_loss == pytest.approx(RIG.seconds.fence + UNEQUAL_SECONDS / 16)
    dear = replace(RIG, seconds=replace(RIG.seconds, fence=1000.0))
    conditions = replace(root.conditions, rig=dear, _settings={})
    assert replace(root, conditions=conditions).last_piece_loss == pytest.approx(UNEQUAL_SECONDS)
    assert replace(root, conditions=conditions, errors=(0.0, 0.25)).last_piece_loss == pytest.approx(
        UNEQUAL_SECONDS / 4
    )
    assert WRONG_SECONDS > 10 * UNEQUAL_SECONDS


def test_without_the_wish_only_seconds_count() -> None:
    """The order that is there to be compared with may make parts unequal; it is never slower."""
    root = strips([50.0] * 6, 60)
    free = replace(root, conditions=replace(root.conditions, equal=False))
    one, other = (best_order(RIG, [each], effort=Effort(), weights={}) for each in (root, free))
    assert other.seconds <= one.seconds + 1e-6


def test_fine_strips_come_before_the_rest_bows() -> None:
    """Cut edges bow as the rest gets narrow: strips that may be off by little are cut off a wide rest,
    the others later.
    """
    parts = tuple(Leaf("part", 1200, width, n) for n, width in ((0, 30.0), (1, 40.0)) for _ in range(3))
    root = Blank(1200, 3 * 31.5 + 3 * 41.5 + 150, "along", parts, None, Leaf("scrap", 1200, 150))
    for fine in (0, 1):
        limits = tuple((0.4, math.inf) if part == fine else (3.0, math.inf) for part in (0, 1))
        conditions = CutConditions(RIG, RULES, PROCESS, ((True, False),) * 2, (), limits, bow_constant=0.006)
        piece = BenchPiece(conditions, uncut(root, ("mill",) * 4), True, (False, False))
        order = best_order(RIG, [piece], effort=Effort(), weights={})
        loss = sum(cut.option.bowed_seconds for cut in order.cuts)
        last = [cut.option.datum_bow for cut in order.cuts][-1]
        assert last > 0.2  # more than a fine strip is let lose unheeded
        assert loss < 15


def test_a_mill_edge_on_the_fence_is_straight() -> None:
    """So is a piece whose both edges were cut; one cut edge bows by C (length / width)²."""
    root = strips([50.0] * 4, 90)
    conditions = replace(root.conditions, bow_constant=0.006, _settings={})
    for edges, bow in ((("mill",) * 4, 0.0), (("dressed",) * 4, 0.0), (("dressed", "mill", "mill", "mill"), 0.006)):
        piece = BenchPiece(conditions, uncut(root.workpiece.node, edges), True, (False, False))  # type: ignore[arg-type]
        found = [option.datum_bow for option in piece.options if option.datum == "low"]
        assert found
        assert found == pytest.approx([bow * (600 / piece.workpiece.width) ** 2] * len(found))
