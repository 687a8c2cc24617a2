"""Pushes to come, the widest sibling off first, against what they take by hand."""

from __future__ import annotations

import pytest

from stripplan.sequence.bench import TICKS, Bench
from stripplan.sequence.bounds.pushes import Pushes
from tests.sequence.plates import RIG, plate


def test_what_is_left_is_pushed_before_each_cut_but_the_first() -> None:
    """A row of 50, 60 and 90 with what is left beyond them: four pieces, three cuts. Before the second cut all but the
    widest is pushed, before the third the two narrowest.
    """
    root = plate([50.0, 60.0, 90.0])
    workpiece, rules, seconds = root.workpiece, root.conditions.rules, RIG.seconds
    kerf, left = rules.kerf, workpiece.width - 200 - 3 * root.conditions.rules.kerf
    sizes = sorted([50.0, 60.0, 90.0, left])
    by_hand = 0.0
    for rest in (sizes[:3], sizes[:2]):
        mass = (sum(rest) + kerf * (len(rest) - 1)) * workpiece.length * rules.areal_mass
        by_hand += seconds.push + seconds.per_kg * mass
    assert Pushes(Bench(RIG, [root], {})).of_piece(root) / TICKS == pytest.approx(by_hand, abs=0.01)
    assert Pushes(Bench(RIG, [root], {"push": 0.0})).of_piece(root) == 0
