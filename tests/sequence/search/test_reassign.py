"""The same siblings in the same order by better options: which end, which edge on the fence, which end stop."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import pytest

from stripplan.model.pattern import Blank, Leaf, Node
from stripplan.model.workpiece import uncut
from stripplan.sequence.bench import Bench
from stripplan.sequence.cut_options import BenchPiece, ChosenCut, CutOption
from stripplan.sequence.cut_order import simulate
from stripplan.sequence.search.reassign import Reassigning
from tests.sequence.plates import FLAT, on_flat, on_rig, strips


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
    """All ways to cut a plate of two strips and scrap, in groups by what comes off first:
    the best of each is found from the worst.
    """
    bench = Bench(FLAT, [ROOT], {})
    each_way = [cuts for choose in product(range(12), repeat=2) if (cuts := cut_up(ROOT, list(choose))) is not None]
    groups: dict[Node, list[list[ChosenCut]]] = {}
    for cuts in each_way:
        groups.setdefault(siblings_off(cuts)[0], []).append(cuts)
    assert len(groups) > 1
    for same in groups.values():
        best, worst = min(total(bench, each) for each in same), max(same, key=lambda each: total(bench, each))
        found = Reassigning(bench, [ROOT]).better(worst, width=100)
        assert total(bench, found) == pytest.approx(best)
        assert total(bench, worst) > best + 1


def test_siblings_stay_in_their_order() -> None:
    """What came off first still does."""
    given = cut_up(ROOT, [0, 0])
    assert given is not None
    assert siblings_off(Reassigning(Bench(FLAT, [ROOT], {}), [ROOT]).better(given, width=100)) == siblings_off(given)


def test_it_is_never_worse_than_what_it_was_given_however_narrow() -> None:
    """The given cuts are carried along beside the best of each step, with one state kept too."""
    bench = Bench(FLAT, [ROOT], {})
    ways = [cuts for choose in product(range(12), repeat=2) if (cuts := cut_up(ROOT, list(choose))) is not None]
    assert len(ways) > 10
    for given in ways:
        assert total(bench, Reassigning(bench, [ROOT]).better(given, width=1)) <= total(bench, given) + 1e-6


def test_a_stop_that_is_proved_is_kept_where_a_dry_run_would_take_longer() -> None:
    """Cuts of 500 and 300 mm on a rig where moving the stop costs nothing. At the longer stop the short cut takes 200
    mm more of arc and return, 36 s; a run to prove the shorter stop takes over 600 mm of both ways, 47 s. Where no
    order of searches is told of dry runs, the shorter stop looks free.
    """
    rig = replace(FLAT, overrun_max=400.0, seconds=replace(FLAT.seconds, end_stop=0.0, end_stop_per_mm=0.0))
    inner = Blank(500.0, 300.0, "along", (Leaf("part", 500.0, 100.0, 0),), None, Leaf("scrap", 500.0, 198.5))
    root = Blank(600.0, 300.0, "across", (inner,), None, Leaf("scrap", 98.5, 300.0))
    piece = BenchPiece(on_rig(ROOT, rig, equal=False).conditions, uncut(root, ("mill",) * 4), True, (False, False))
    bench, given = Bench(rig, [piece], {}), cut_up(piece, [0, 0])
    assert given is not None
    assert len({cut.stops for cut in given}) == 2
    found = Reassigning(bench, [piece]).better(given, width=100)
    assert len({cut.stops for cut in found}) == 1
    assert total(bench, found) < total(bench, given) - 5
