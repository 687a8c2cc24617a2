"""The same cuts in a better order: every legal order of a few cuts is tried beside it."""

from __future__ import annotations

from itertools import permutations

import pytest

from stripplan.sequence.bench import Bench
from stripplan.sequence.constraints import OrderConstraints
from stripplan.sequence.cut_options import BenchPiece, ChosenCut
from stripplan.sequence.cut_order import simulate
from stripplan.sequence.search.reorder import reordered
from tests.sequence.plates import FLAT, on_flat, strips


def cuts_in_turn(roots: list[BenchPiece]) -> list[ChosenCut]:
    """One cut of each plate by turns, each by its first option: as bad an order as can be."""
    waiting, cuts = list(enumerate(roots)), list[ChosenCut]()
    while waiting:
        plate, piece = waiting.pop(0)
        option = piece.options[0]
        cuts.append(ChosenCut(plate, piece, option, option.least_stops))
        waiting += [
            (plate, each) for each in (option.right, option.left) if each is not None and not each.workpiece.done
        ]
    return cuts


def legal(cuts: tuple[ChosenCut, ...]) -> bool:
    """Whether each cut comes after the one that makes its piece."""
    made = {(cut.plate, id(each)): n for n, cut in enumerate(cuts) for each in (cut.option.right, cut.option.left)}
    return all(made.get((cut.plate, id(cut.piece)), -1) < n for n, cut in enumerate(cuts))


ROOTS = [on_flat(strips(widths, 80)) for widths in ([50.0, 60.0], [60.0, 50.0], [50.0, 50.0])]


def test_it_is_the_best_of_all_orders_of_the_same_cuts() -> None:
    """Six cuts of three plates by turns: no permutation that keeps precedence is quicker."""
    bench, given = Bench(FLAT, ROOTS, {}), cuts_in_turn(ROOTS)
    found = reordered(bench, given, seed=1, tries=5000)
    least = min(simulate(bench, list(order)).seconds for order in permutations(given) if legal(order))
    assert simulate(bench, found).seconds == pytest.approx(least)
    assert least < simulate(bench, given).seconds - 60


def test_no_cut_is_lost_added_or_made_otherwise() -> None:
    """The same objects, each once, each after the cut that makes its piece."""
    given = cuts_in_turn(ROOTS)
    found = reordered(Bench(FLAT, ROOTS, {}), given, seed=1, tries=5000)
    assert sorted(map(id, found)) == sorted(map(id, given))
    assert legal(tuple(found))


def test_constraints_that_the_order_keeps_are_kept() -> None:
    """Two plates cut alike, first at one reading, then at another: quickest is to take both at each reading, but one
    plate is to be done before the other.
    """
    roots = [on_flat(strips([50.0, 60.0], 80)) for _ in range(2)]
    given = sorted(cuts_in_turn(roots), key=lambda cut: cut.plate)
    free = reordered(Bench(FLAT, roots, {}), given, seed=1, tries=5000)
    held = reordered(Bench(FLAT, roots, {}, constraints=OrderConstraints(before=((0, 1),))), given, seed=1, tries=5000)
    assert [cut.plate for cut in free] not in ([0, 0, 1, 1], [1, 1, 0, 0])
    assert [cut.plate for cut in held] == [0, 0, 1, 1]


def test_two_cuts_are_left_as_they_are() -> None:
    """Nothing can be won that the choice of options does not find."""
    given = cuts_in_turn(ROOTS[:1])
    assert len(given) == 2
    assert reordered(Bench(FLAT, ROOTS[:1], {}), given, seed=1, tries=5000) == given
