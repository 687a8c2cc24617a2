"""What the person wants of the order whatever it costs: parts first."""

from __future__ import annotations

import pytest

from stripplan.model.effort import Effort
from stripplan.sequence import best_order
from stripplan.sequence.bench import Bench
from stripplan.sequence.constraints import OrderConstraints
from stripplan.sequence.cut_options import ChosenCut
from tests.sequence.plates import RIG, plate


def order_of(first: int | None, seed: int = 1) -> tuple[ChosenCut, ...]:
    """The order for three plates of strips, numbered on each plate from 0 and 40, 60, 90 wide;
    one strip is made first.
    """
    roots = [plate([40, 60, 90]), plate([40, 60], length=500), plate([60, 40, 40], length=700)]
    constraints = OrderConstraints(first=frozenset() if first is None else frozenset({first}))
    return tuple(best_order(RIG, roots, effort=Effort(seed=seed), weights={}, constraints=constraints).cuts)


@pytest.mark.parametrize("part", [0, 1, 2])
def test_a_part_that_is_wanted_first_waits_for_no_cut_that_it_does_not_need(part: int) -> None:
    """Until the last of it is made, every cut is of a piece that still holds one."""
    cuts, constraints = order_of(part), OrderConstraints(first=frozenset({part}))
    held = [constraints.holds_first(cut.piece) for cut in cuts]
    assert held == sorted(held, reverse=True)
    assert True in held
    assert False in held


def test_cuts_of_parts_that_are_wanted_first_stay_before_all_others() -> None:
    """Each of the first cuts before each of the others, the last of them too,
    and nothing is said where no part is wanted first.
    """
    cuts, constraints = order_of(2), OrderConstraints(first=frozenset({2}))
    count = sum(constraints.holds_first(cut.piece) for cut in cuts)
    assert 0 < count < len(cuts)
    assert set(constraints.precedences(cuts)) == {
        (one, other) for one in range(count) for other in range(count, len(cuts))
    }
    assert OrderConstraints().precedences(cuts) == []


def test_a_piece_holds_a_part_until_it_is_the_part() -> None:
    """Strips 0, 1 and 2 lie in the plate, 3 does not; a bench lets cut what holds the part before all else."""
    root, other = plate([40, 60, 90]), plate([40, 60])
    assert [OrderConstraints(first=frozenset({n})).holds_first(root) for n in range(4)] == [True, True, True, False]
    assert not OrderConstraints().holds_first(root)
    bench = Bench(RIG, [root, other], {}, constraints=OrderConstraints(first=frozenset({2})))
    assert bench.allowed(tuple(bench.roots)) == {bench.roots[0]}
