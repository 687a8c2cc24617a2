"""The search layer by layer: exact while nothing is dropped, honest about what it dropped, and an order is what it says
it is.
"""

from __future__ import annotations

import pytest

from stripplan.sequence.bench import TICKS, Bench
from stripplan.sequence.bounds.completion import CompletionBound
from stripplan.sequence.cut_options import BenchPiece
from stripplan.sequence.cut_order import simulate
from stripplan.sequence.search.beam import BeamResult, beam_search
from stripplan.sequence.search.best_order import steps_of
from tests.sequence.every_order import least_seconds
from tests.sequence.plates import FLAT, on_flat, strips

WIDE = 100_000
"""States that no layer of these plates reaches: nothing is dropped."""


def pieces(*widths: list[float]) -> list[BenchPiece]:
    """Plates of strips with something left over, where only seconds count."""
    return [on_flat(strips(each, 80), equal=False) for each in widths]


def searched(roots: list[BenchPiece], width: int = WIDE, **options: float) -> tuple[Bench, BeamResult]:
    """The bench, and what the search says."""
    bench = Bench(FLAT, roots, {})
    return bench, beam_search(bench, CompletionBound(bench), width=width, **options)  # type: ignore[arg-type]


@pytest.mark.parametrize("widths", [([50.0, 50.0],), ([50.0, 60.0, 50.0],), ([50.0, 60.0], [60.0, 40.0])])
def test_with_nothing_dropped_it_finds_the_least_of_all_orders(widths: tuple[list[float], ...]) -> None:
    """Found and bound are the cost that trying everything gives."""
    roots = pieces(*widths)
    _, found = searched(roots)
    truth = round(least_seconds(FLAT, roots, {}) * TICKS)
    assert found.path is not None
    assert (found.path.cost, found.least) == (pytest.approx(truth, abs=100), pytest.approx(truth, abs=100))


@pytest.mark.parametrize("likely_share", [None, 0.0, 1.0])
@pytest.mark.parametrize("width", [1, 5])
def test_the_cost_of_a_path_is_what_the_bench_takes(width: int, likely_share: float | None) -> None:
    """Summed once more cut by cut with the real pieces, wide or narrow."""
    roots = pieces([50.0, 60.0, 50.0], [60.0, 40.0])
    bench, found = searched(roots, width, likely_share=likely_share)  # type: ignore[arg-type]
    assert found.path is not None
    assert simulate(bench, steps_of(bench, roots, found.path)).seconds == pytest.approx(
        found.path.cost / TICKS, abs=1e-3
    )


def test_a_narrow_beam_is_an_order_and_no_proof() -> None:
    """Of width 1: no cheaper than the least, and its bound stays at or below the least."""
    roots = pieces([50.0, 60.0, 50.0], [60.0, 40.0])
    truth = least_seconds(FLAT, roots, {}) * TICKS
    _, found = searched(roots, 1)
    assert found.path is not None
    assert found.least <= truth + 100
    assert found.path.cost >= truth - 100


def test_a_search_of_promising_moves_bounds_nothing() -> None:
    """It looks at a few moves only: 0."""
    assert searched(pieces([50.0, 60.0]), likely_share=1.0)[1].least == 0


def test_nothing_is_found_below_the_least_and_that_is_the_proof() -> None:
    """Asked for an order cheaper than the best there is: none, and no order costs less than that."""
    roots = pieces([50.0, 60.0, 50.0])
    best = searched(roots)[1].path
    assert best is not None
    _, found = searched(roots, known=best.cost)
    assert found.path is None
    assert found.least == best.cost


def test_stopped_early_it_still_says_what_no_order_goes_below() -> None:
    """After one state: no order, and a bound that holds, though a weaker one than at the start."""
    roots = pieces([50.0, 60.0, 50.0])
    _, found = searched(roots, most=1)
    assert found.path is None
    assert 0 < found.least <= least_seconds(FLAT, roots, {}) * TICKS + 100


def test_nothing_to_cut_is_an_order_without_cuts() -> None:
    """No plate at all costs nothing."""
    _, found = searched([])
    assert found.path is not None
    assert (found.path.cost, found.path.taken) == (0, ())
