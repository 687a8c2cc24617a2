"""Slices of one direction against trying every cut."""

from __future__ import annotations

from collections import deque
from dataclasses import replace
from random import Random

from stripplan.layout.feasible import ANY, Limits
from stripplan.layout.unplaced.one_direction import Task, slices
from stripplan.model.cut_rules import CutRules
from stripplan.model.feasible import rest_is_legal
from tests.legal_cuts import split_is_legal


def drawn(chance: Random) -> tuple[CutRules, Limits]:
    """The same limits as rules and in units of 1 mm."""
    kerf, fence_min = chance.choice([2, 4]), chance.randint(0, 12)
    fence_max, far = fence_min + chance.randint(0, 30), chance.choice([None, *range(12)])
    marked, narrowest, trim = chance.random() < 0.3, chance.choice([0, 1, 3, 5]), chance.choice([0, 0, 6])
    rules = CutRules(
        kerf=kerf, longest_one_pass=1e6, longest_two_pass=1e6, narrowest_offcut=narrowest, fence_min=fence_min,
        fence_max=fence_max, marked=marked, far_max=far, trim=trim,
    )  # fmt: skip
    reach = fence_min - kerf // 2, fence_max - kerf // 2
    return rules, Limits(
        kerf=kerf, reach=reach, far_max=far, marked=marked, narrowest=narrowest, trim=trim, square_side="equal"
    )  # fmt: skip


def fewest(rules: CutRules, whole: int, wanted: int) -> int | None:
    """Fewest cuts from a piece with two mill edges, cut by cut with the words of `model.feasible`;
    None = it cannot be done.
    """
    todo, seen = deque([(whole, 2, 0)]), {(whole, 2)}
    while todo:
        size, mill, cuts = todo.popleft()
        if size == wanted and (mill == 0 or not rules.trim):
            return cuts
        for kept in range(wanted, size):
            off = size - kept
            for off_mill in (True, False):
                if (off_mill and not mill) or (not off_mill and mill == 2):
                    continue
                wide = rest_is_legal(off, rules.kerf, rules.narrowest_offcut)
                trimmed = not off_mill or not rules.trim or off - rules.kerf >= rules.trim
                after = kept, mill - off_mill
                if wide and trimmed and split_is_legal(rules, kept, off - rules.kerf) and after not in seen:
                    seen.add(after)
                    todo.append((*after, cuts + 1))
    return None


def test_the_fewest_slices_are_found_and_none_only_where_there_are_none() -> None:
    """600 pieces of up to 70 mm: as many cuts as by trying every cut, which add up, each legal."""
    found = 0
    for seed in range(600):
        chance = Random(seed)
        rules, limits = drawn(chance)
        whole = chance.randint(10, 70)
        wanted = chance.randint(1, whole)
        answer = slices(Task(whole, wanted, 0, ("mill", "mill"), False, limits))
        assert (None if answer is None else len(answer)) == fewest(rules, whole, wanted), seed
        size = whole
        for each in answer or ():
            size -= each.off
            assert split_is_legal(rules, size, each.off - rules.kerf), seed
        found += answer is not None and len(answer) > 1
        assert answer is None or size == wanted
    assert found > 50


def test_the_wanted_size_goes_before_one_over_it() -> None:
    """20 of 27 with 9 beside the torch: a slice of 5 gives 20 exactly;
    where less than 5 must not come off, 26 is within 6 over.
    """
    limits = Limits(kerf=2, reach=(-ANY, ANY), far_max=9, narrowest=1, square_side="equal")
    (one,) = slices(Task(27, 20, 6, ("cut", "cut"), False, limits)) or ()
    assert one.off == 7
    wide = replace(limits, narrowest=6)
    assert slices(Task(27, 20, 7, ("cut", "cut"), False, wide)) == ()
