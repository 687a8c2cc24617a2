"""The same siblings in the same order by better options: which end, which edge on the fence, which end stop."""

from __future__ import annotations

from itertools import product

import pytest

from stripplan.model.pattern import Node
from stripplan.sequence.bench import Bench
from stripplan.sequence.cut_options import BenchPiece, ChosenCut, CutOption
from stripplan.sequence.cut_order import simulate
from stripplan.sequence.search.reassign import reassigned
from tests.sequence.plates import FLAT, on_flat, strips


def total(bench: Bench, cuts: list[ChosenCut]) -> float:
    """Seconds, dry runs counted."""
    found = simulate(bench, cuts)
    return found.seconds + found.extra


def siblings_off(cuts: list[ChosenCut]) -> list[Node]:
    """What comes off at each cut but the last, of which either may be said to come off the other."""
    return [cut.option.separation.child for cut in cuts][:-1]


def cut_up(root: BenchPiece, choose: list[int]) -> list[ChosenCut] | None:
    """Cuts of a plate of strips, at each the option of that number; None where there are fewer."""
    cuts, piece = list[ChosenCut](), root
    for number in choose:
        if number >= len(piece.options):
            return None
        option: CutOption = piece.options[number]
        cuts.append(ChosenCut(0, piece, option, option.least_stops))
        rest = [each for each in (option.right, option.left) if each is not None and not each.workpiece.done]
        if not rest:
            return cuts
        piece = rest[0]
    return cuts


ROOT = on_flat(strips([50.0, 70.0], 80), equal=False)


def test_it_finds_the_best_options_for_the_same_siblings() -> None:
    """All ways to cut a plate of two strips and scrap, in groups by what comes off first: the best of each is found from the worst."""
    bench = Bench(FLAT, [ROOT], {})
    each_way = [cuts for choose in product(range(12), repeat=2) if (cuts := cut_up(ROOT, list(choose))) is not None]
    groups: dict[Node, list[list[ChosenCut]]] = {}
    for cuts in each_way:
        groups.setdefault(siblings_off(cuts)[0], []).append(cuts)
    assert len(groups) > 1
    for same in groups.values():
        best, worst = min(total(bench, each) for each in same), max(same, key=lambda each: total(bench, each))
        found = reassigned(bench, [ROOT], worst, width=100)
        assert total(bench, found) == pytest.approx(best)
        assert total(bench, worst) > best + 1


def test_siblings_stay_in_their_order() -> None:
    """What came off first still does."""
    given = cut_up(ROOT, [0, 0])
    assert given is not None
    assert siblings_off(reassigned(Bench(FLAT, [ROOT], {}), [ROOT], given, width=100)) == siblings_off(given)


def test_it_is_never_worse_than_what_it_was_given_however_narrow() -> None:
    """The given cuts are carried along beside the best of each step, with one state kept too."""
    bench = Bench(FLAT, [ROOT], {})
    ways = [cuts for choose in product(range(12), repeat=2) if (cuts := cut_up(ROOT, list(choose))) is not None]
    assert len(ways) > 10
    for given in ways:
        assert total(bench, reassigned(bench, [ROOT], given, width=1)) <= total(bench, given) + 1e-6
