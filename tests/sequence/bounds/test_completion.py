"""The completion bound: its pieces by hand, and never above the best of all orders."""

from __future__ import annotations

from itertools import product

import pytest

from stripplan.model.pattern import Blank, Leaf
from stripplan.model.workpiece import uncut
from stripplan.rig.machine.timing import dry_run_seconds
from stripplan.sequence.bench import TICKS, Bench
from stripplan.sequence.bounds.completion import CompletionBound
from stripplan.sequence.cut_options import BenchPiece
from stripplan.sequence.search.beam import bound_at_start
from tests.sequence.every_order import least_seconds
from tests.sequence.plates import FLAT, on_flat, strips


def bound_of(*pieces: BenchPiece) -> tuple[Bench, CompletionBound, tuple[int, ...]]:
    """Bench, bound, and all that waits at first."""
    bench = Bench(FLAT, pieces, {})
    return bench, CompletionBound(bench), tuple(sorted(bench.roots))


def grid(columns: int) -> BenchPiece:
    """A plate of two strips, each cut across into that many parts, and scrap: two rows within a row."""
    kerf = 1.5
    length = columns * 100.0 + (columns - 1) * kerf
    strip = Blank(length, 50.0, "across", (Leaf("part", 100.0, 50.0, 0),) * columns)
    root = Blank(length, 2 * 51.5 + 80, "along", (strip, strip), None, Leaf("scrap", length, 80.0))
    one = on_flat(strips([50.0], 80), equal=False)
    return BenchPiece(one.conditions, uncut(root, ("mill",) * 4), True, (False, False))


def test_equal_strips_take_one_setting_of_fence_and_stop_beside_their_handling() -> None:
    """Fence 40, stop 30, fetch 20, push 2 x 3, clear 3 x 5: 111 s before the last clearing is given back."""
    _, bound, waiting = bound_of(on_flat(strips([50] * 3, 80), equal=False))
    assert bound.least(waiting, None, None) == 111 * TICKS


def test_a_fence_that_stands_where_it_is_needed_spares_a_setting() -> None:
    """40 s less at a reading of the strips; no less at another."""
    piece = on_flat(strips([50] * 3, 80), equal=False)
    _, bound, waiting = bound_of(piece)
    reading = piece.conditions.setting(50.0).reading
    assert bound.least(waiting, None, None) - bound.least(waiting, reading, None) == 40 * TICKS
    assert bound.least(waiting, None, None) - bound.least(waiting, reading + 7777, None) == 0


def test_an_end_stop_that_serves_spares_a_setting() -> None:
    """30 s less where the stop stands at the least of the cuts; no less where it is too short."""
    piece = on_flat(strips([50] * 3, 80), equal=False)
    _, bound, waiting = bound_of(piece)
    least = piece.options[0].stops[0][1]
    assert bound.least(waiting, None, None) - bound.least(waiting, None, least) == 30 * TICKS
    assert bound.least(waiting, None, None) - bound.least(waiting, None, least - 50) == 0


def test_the_fewest_stops_that_serve_intervals() -> None:
    """100-200, 150-250 and 300-400 take two; one of them less where a stop stands in 160."""
    _, bound, _ = bound_of(on_flat(strips([50, 50], 80)))
    spans = frozenset({(100.0, 200.0), (150.0, 250.0), (300.0, 400.0)})
    assert bound._fewest_stops(spans, None) == 2
    assert bound._fewest_stops(spans, 160.0) == 1
    assert bound._fewest_stops(spans, 900.0) == 2


def test_two_processes_take_a_change() -> None:
    """60 s for the second; none more where the first already burns."""
    one, other = (on_flat(strips([50, 50], 80), equal=False) for _ in range(2))
    process = one.conditions.process
    bench = Bench(FLAT, [one, other], {})
    assert len(set(bench.roots)) == 2  # of conditions of their own, so not of one kind
    assert bench.kinds[bench.roots[0]].process == bench.kinds[bench.roots[1]].process
    assert process.name == other.conditions.process.name
    _, bound, waiting = bound_of(one, other)
    alone = bound.least(waiting, None, None)
    assert alone == bound.least(waiting, None, None, process=0)
    assert bound.least(waiting, None, None, process=7) == alone + 60 * TICKS


def test_the_fewest_fence_settings() -> None:
    """Equal strips take one setting. Three widths and scrap take two at the least:
    each cut leaves the rest, and only the last two may share.
    """
    for widths, settings in (([50, 50, 50], 1), ([50, 60], 2), ([50, 50, 60, 60], 2)):
        _, bound, waiting = bound_of(on_flat(strips([float(each) for each in widths], 80), equal=False))
        assert bound.fewest_settings(waiting) == settings


def test_dry_runs_that_every_order_needs() -> None:
    """All cuts of a plate have one length: one run at the least stop. Two plates: one each."""
    pieces = [on_flat(strips([50, 50], 80)) for _ in range(2)]
    bench, bound, _ = bound_of(*pieces)
    one_run = round(dry_run_seconds(FLAT, bench.least_stops[0]) * TICKS)
    assert bound.least_dry_runs == 2 * one_run


def test_what_a_piece_that_lies_there_spares_at_most() -> None:
    """Fetching 20 s against pushing 3 s."""
    bench, bound, _ = bound_of(on_flat(strips([50] * 3, 80), equal=False))
    assert max(bound.spared(bench.roots[0], pose) for pose in range(8)) == (20 - 3) * TICKS


@pytest.mark.parametrize(
    ("widths", "rest"), list(product([(50.0, 50.0), (50.0, 60.0), (40.0, 60.0, 40.0)], [0.0, 80.0]))
)
def test_never_above_the_best_of_all_orders_of_strips(widths: tuple[float, ...], rest: float) -> None:
    """Trying every order takes no less."""
    piece = on_flat(strips(list(widths), rest), equal=False)
    bench, bound, _ = bound_of(piece)
    assert bound_at_start(bench, bound) / TICKS <= least_seconds(FLAT, [piece], {}) + 1e-6


def test_never_above_the_best_of_all_orders_of_rows_within_rows() -> None:
    """Two strips of two parts each, four cuts in two directions."""
    piece = grid(2)
    bench, bound, _ = bound_of(piece)
    assert bound_at_start(bench, bound) / TICKS <= least_seconds(FLAT, [piece], {}) + 1e-6


def test_it_meets_the_best_of_all_orders_of_equal_strips() -> None:
    """For the simplest plate of all nothing is lost by the bound."""
    piece = on_flat(strips([50.0, 50.0], 80), equal=False)
    bench, bound, _ = bound_of(piece)
    assert bound_at_start(bench, bound) / TICKS == pytest.approx(least_seconds(FLAT, [piece], {}))
