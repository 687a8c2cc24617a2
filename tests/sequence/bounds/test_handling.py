"""The handling bound: sums by hand on rows of strips, and never above what the best of all orders takes."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stripplan.model.pattern import Blank, Leaf
from stripplan.model.workpiece import uncut
from stripplan.sequence.bench import FETCHED, TICKS, UNMEASURED_SECONDS, Bench
from stripplan.sequence.bounds.handling import MOST_SIBLINGS, HandlingBound
from stripplan.sequence.cut_options import BenchPiece
from tests.sequence.every_order import least_seconds
from tests.sequence.plates import FLAT, on_flat, on_rig, plate, strips

BY_HAND = replace(FLAT, seconds=replace(FLAT.seconds, fence=0, fence_per_mm=0, end_stop=0, end_stop_per_mm=0))
"""Nothing to set: what is left is handling alone."""


def seconds_of(
    piece: BenchPiece, pose: int = FETCHED, most_siblings: int = MOST_SIBLINGS, *, measured: bool = False
) -> list[float]:
    """The bound of a piece's row in seconds, by the number of cuts with the rest on the fence."""
    bench = Bench(piece.conditions.rig, [piece], {})
    return [each / TICKS for each in HandlingBound(bench, most_siblings).least(piece, pose, measured=measured)]


def test_a_row_is_fetched_once_then_pushed_up_and_cleared_at_each_cut() -> None:
    """Three strips and scrap take three cuts: 20 s to fetch, twice 3 s to push, three times 5 s to clear."""
    assert min(seconds_of(on_flat(strips([50, 50, 50], 80)))) == 20 + 2 * 3 + 3 * 5


def test_each_entry_is_for_one_more_cut_with_the_rest_on_the_fence() -> None:
    """Of three cuts the last leaves one piece, which is no rest: entries for none, one and two."""
    assert len(seconds_of(on_flat(strips([50, 50, 50], 80)))) == 3


def test_what_lies_on_the_fence_is_pushed_instead_of_fetched() -> None:
    """The piece lies as the cut before has left it: 3 s in place of 20 s."""
    piece = on_flat(strips([50, 50, 50], 80))
    fetched, lying = min(seconds_of(piece)), min(min(seconds_of(piece, pose)) for pose in range(FETCHED))
    assert fetched - lying == 20 - 3


def test_a_longer_row_is_bounded_by_clearing_away_alone() -> None:
    """Where the programme would be too long, each of three cuts counts its 5 s and nothing else."""
    assert seconds_of(on_flat(strips([50, 50, 50], 80)), most_siblings=3) == [15, 15, 15]


def test_a_size_that_no_cut_mends_is_in_the_bound_unless_it_is_asked_to_be_left_out() -> None:
    """Both sizes of the plate are not measured: the row's own cuts measure the widths,
    but the lengths rest on the plate.
    """
    piece = on_flat(strips([50, 50], 80))
    sized = replace(piece.conditions, sized=((True, True),), _settings={})
    piece = BenchPiece(sized, piece.workpiece, True, (True, True))
    plain = min(seconds_of(piece, measured=True))
    assert min(seconds_of(piece)) == plain + 2 * UNMEASURED_SECONDS


def test_a_short_stroke_turns_each_piece_over_between_two_passes() -> None:
    """Two passes a cut: 9 s more for each of two cuts, beside fetching 20, clearing 2 x 5 and pushing 3."""
    short = replace(FLAT, stroke=400.0)
    assert min(seconds_of(on_rig(strips([50, 50], 80), short))) >= 20 + 10 + 3 + 2 * 9


@pytest.mark.parametrize("widths", [[50.0, 50.0], [50.0, 60.0], [40.0, 60.0, 40.0], [40.0, 50.0, 60.0]])
@pytest.mark.parametrize("rest", [0.0, 80.0])
def test_never_above_the_best_of_all_orders(widths: list[float], rest: float) -> None:
    """With nothing to set the least over all orders is handling; after the last cut nothing is cleared."""
    piece = on_rig(strips(widths, rest), BY_HAND, equal=False)
    assert min(seconds_of(piece)) - BY_HAND.seconds.clear <= least_seconds(BY_HAND, [piece], {}) + 1e-9


def test_it_meets_the_best_of_all_orders_of_equal_strips() -> None:
    """Nothing better is hidden: three equal strips and scrap."""
    piece = on_rig(strips([50.0] * 3, 80), BY_HAND, equal=False)
    assert min(seconds_of(piece)) - BY_HAND.seconds.clear == pytest.approx(least_seconds(BY_HAND, [piece], {}))


def test_a_blank_is_bounded_however_it_lies() -> None:
    """Cut at once it need not be fetched: the bound of a blank of two parts is 20 s - 3 s below that
    of the same plate fetched.
    """
    blank = Blank(200.0, 101.5, "along", (Leaf("part", 200.0, 50.0, 0), Leaf("part", 200.0, 50.0, 0)))
    piece = on_flat(plate([50, 50]))
    fetched = BenchPiece(piece.conditions, uncut(blank, ("dressed",) * 4), True, (False, False))
    bound = HandlingBound(Bench(FLAT, [fetched], {}), MOST_SIBLINGS)
    assert min(bound.least(fetched, FETCHED)) - min(bound.blank(piece.conditions, blank)) == (20 - 3) * TICKS
