"""Sets one by one: all that a plan may use are listed, a plan where there is one, "none" only where there is none."""

from __future__ import annotations

from itertools import product

from hypothesis import given
from hypothesis import strategies as st

import stripplan.layout.strips.set_enumeration as few_sets
from stripplan.layout.strips.arc_flow import best_ahead, is_plan, may_lose
from stripplan.layout.strips.first_fit import Bars
from stripplan.layout.strips.set_enumeration import all_sets, counts_of, settled_by_sets
from tests.checking import examples
from tests.layout.strips.test_arc_flow import WANTED, least

VALUES = st.lists(st.integers(0, 50), min_size=4, max_size=4)


def bars_of(wanted: list[tuple[int, int]], capacity: int, zone: int = 0) -> Bars:
    """Strips widest first."""
    wanted = sorted(wanted, reverse=True)
    return Bars(tuple(w for w, _ in wanted), tuple(n for _, n in wanted), capacity, zone)


@examples(60)
@given(wanted=WANTED, capacity=st.integers(20, 40), values=VALUES, zone=st.integers(0, 5), plates=st.integers(1, 6))
def test_all_sets_are_listed(
    wanted: list[tuple[int, int]], capacity: int, values: list[int], zone: int, plates: int
) -> None:
    """The list is exactly the sets that lose and waste no more than all plates may, found by trying everything."""
    bars, values = bars_of(wanted, capacity, zone), values[: len(wanted)]
    ahead = best_ahead(bars, values)
    spare = may_lose(bars, values, plates, ahead)
    if spare < 0:
        return
    found = all_sets(bars, values, plates, ahead, spare, 10_000)
    assert found is not None
    waste = plates * capacity - sum(d * s for d, s in zip(bars.demands, bars.sizes, strict=True))
    best = int(ahead[0][0])
    expected = set()
    for counts in product(*(range(d + 1) for d in bars.demands)):
        left = capacity - sum(n * s for n, s in zip(counts, bars.sizes, strict=True))
        loss = best - sum(n * v for n, v in zip(counts, values, strict=True))
        if any(counts) and 0 <= left <= waste and loss <= spare and (left == 0 or left >= zone):
            expected.add((counts, loss, left))
    listed = [
        (counts_of(chosen, len(bars.sizes)), loss, left)
        for chosen, loss, left in zip(found.sets, found.losses, found.wastes, strict=True)
    ]
    assert len(listed) == len(set(listed))
    assert set(listed) == expected


@examples(80)
@given(wanted=WANTED, capacity=st.integers(20, 40), values=VALUES, tries=st.sampled_from([0, 3, 20_000]))
def test_verdict_against_trying_everything(
    wanted: list[tuple[int, int]], capacity: int, values: list[int], tries: int
) -> None:
    """One plate less than the least has no plan and the least has one, by the exact search and by the solver."""
    bars = bars_of(wanted, capacity)
    fewest = least(bars)
    kept, few_sets.MOST_TRIES = few_sets.MOST_TRIES, tries
    try:
        for plates, there_is in ((fewest - 1, False), (fewest, True)):
            verdict = settled_by_sets(
                bars, values[: len(wanted)], plates, part=False, nodes=1000, out_of_time=lambda: False
            )
            assert verdict.none == (not there_is)
            assert (verdict.plan is not None) == there_is
            assert verdict.plan is None or is_plan(bars, verdict.plan, plates)
    finally:
        few_sets.MOST_TRIES = kept


def test_a_part_of_the_sets_proves_nothing() -> None:
    """With no more than two sets listed, a plan may be missed, but "none" is not said where there is one."""
    bars = bars_of([(50, 2), (30, 2), (20, 2), (45, 2), (55, 2)], 100)
    kept, few_sets.MOST_SETS = few_sets.MOST_SETS, 2
    try:
        verdict = settled_by_sets(bars, [0] * 5, 4, part=True, nodes=1000, out_of_time=lambda: False)
    finally:
        few_sets.MOST_SETS = kept
    assert least(bars) == 4
    assert not verdict.none
