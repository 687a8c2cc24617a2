"""Why a cut stands where it does: what it finds ready, what it waits for, and what its next best place would cost."""

from __future__ import annotations

import pytest

from stripplan.sequence import OrderConstraints, place_reasons
from stripplan.sequence.bench import Bench
from stripplan.sequence.cut_options import BenchPiece, ChosenCut
from stripplan.sequence.cut_order import simulate
from tests.sequence.plates import FLAT, on_flat, strips


def strip_by_strip(*roots: BenchPiece) -> list[ChosenCut]:
    """Plate by plate, each cut by its first option."""
    cuts = []
    for plate, root in enumerate(roots):
        piece: BenchPiece | None = root
        while piece is not None:
            option = piece.options[0]
            cuts.append(ChosenCut(plate, piece, option, option.least_stops))
            piece = next(
                (each for each in (option.left, option.right) if each is not None and not each.workpiece.done), None
            )
    return cuts


ROOTS = [on_flat(strips([50.0, 50.0], 80)) for _ in range(2)]
CUTS = strip_by_strip(*ROOTS)
NUMBERS = range(len(CUTS))


def test_a_cut_of_what_lies_there_finds_piece_reading_and_stop_ready() -> None:
    """The second cut of a plate of equal strips: all three. The first cut of the second plate: reading and stop."""
    found = place_reasons(FLAT, ROOTS, CUTS, NUMBERS, weights={}, constraints=OrderConstraints())
    assert [(each.ready, each.same_reading, each.same_stop) for each in found] == [
        (False, False, False), (True, True, True), (False, True, True), (True, True, True)
    ]  # fmt: skip


def test_a_cut_waits_for_what_makes_its_piece_and_is_waited_for() -> None:
    """0 makes the piece of 1, 2 that of 3."""
    found = place_reasons(FLAT, ROOTS, CUTS, NUMBERS, weights={}, constraints=OrderConstraints())
    assert [each.waits_for for each in found] == [None, 0, None, 2]
    assert [each.waited_for for each in found] == [(1,), (), (3,), ()]


def test_what_the_next_best_place_costs_is_what_the_bench_says() -> None:
    """Cut 1 straight after cut 3, the others as they are: simulated once more."""
    found = place_reasons(FLAT, ROOTS, CUTS, [1], weights={}, constraints=OrderConstraints())[0]
    bench = Bench(FLAT, ROOTS, {})
    others = [0, 2, 3]
    totals = {}
    for place in range(1, 4):
        order = [*others[:place], 1, *others[place:]]
        if order != [0, 1, 2, 3]:
            totals[others[place - 1]] = simulate(bench, [CUTS[n] for n in order]).seconds
    assert found.elsewhere is not None
    assert totals[found.elsewhere] == min(totals.values())
    assert found.longer == pytest.approx(min(totals.values()) - simulate(bench, CUTS).seconds)


def test_a_cut_between_its_maker_and_its_taker_has_no_other_place() -> None:
    """One plate, three cuts in a chain: the middle one is where it must be."""
    root = on_flat(strips([50.0, 50.0, 50.0], 80))
    found = place_reasons(FLAT, [root], strip_by_strip(root), [1], weights={}, constraints=OrderConstraints())[0]
    assert (found.elsewhere, found.waits_for, found.waited_for) == (None, 0, (2,))


def test_places_that_the_person_ruled_out_are_none() -> None:
    """Plate 0 before plate 1: its last cut may not go after one of plate 1."""
    constraints = OrderConstraints(before=((0, 1),))
    found = place_reasons(FLAT, ROOTS, CUTS, [1], weights={}, constraints=constraints)[0]
    assert found.elsewhere is None
