"""Arc flow: a plan where there is one, "none" only where there is none."""

from __future__ import annotations

from functools import cache
from itertools import product

from hypothesis import given
from hypothesis import strategies as st

from stripplan.layout.strips.arc_flow import plan_with, worthwhile
from stripplan.layout.strips.first_fit import Bars
from tests.checking import examples


def least(bars: Bars) -> int:
    """Fewest plates by trying everything."""
    sets = [
        c
        for c in product(*(range(d + 1) for d in bars.demands))
        if any(c) and sum(n * s for n, s in zip(c, bars.sizes, strict=True)) <= bars.capacity
    ]

    @cache
    def rest(left: tuple[int, ...]) -> int:
        if not any(left):
            return 0
        first = next(n for n, each in enumerate(left) if each)
        taken = [c for c in sets if c[first] and all(a <= b for a, b in zip(c, left, strict=True))]
        return 1 + min(rest(tuple(b - a for a, b in zip(c, left, strict=True))) for c in taken)

    return rest(bars.demands)


WANTED = st.lists(st.tuples(st.integers(3, 20), st.integers(1, 3)), min_size=1, max_size=4, unique_by=lambda i: i[0])


@examples(60)
@given(wanted=WANTED, capacity=st.integers(20, 40), values=st.lists(st.integers(0, 50), min_size=4, max_size=4))
def test_verdict_against_trying_everything(wanted: list[tuple[int, int]], capacity: int, values: list[int]) -> None:
    """With any values of the strips: one plate less than the least has no plan, and the least has one."""
    wanted = sorted(wanted, reverse=True)
    bars = Bars(tuple(w for w, _ in wanted), tuple(n for _, n in wanted), capacity)
    fewest = least(bars)
    for plates, there_is in ((fewest - 1, False), (fewest, True)):
        verdict = plan_with(
            bars, values[: len(wanted)], plates, nodes=1000, most_arcs=10_000, out_of_time=lambda: False
        )
        assert not (there_is and verdict.none)
        if verdict.plan is not None:
            assert there_is
            assert verdict.plan.total() <= plates
            made = [sum(c[n] * times for c, times in verdict.plan.items()) for n in range(len(wanted))]
            assert tuple(made) == bars.demands
        else:
            assert verdict.none == (not there_is)


def test_values_thin_the_arcs() -> None:
    """With plates that must come out full, only arcs of full sets stay: 60 + 40, not 60 alone or 40 + 40."""
    arcs = worthwhile(Bars((60, 40), (5, 5), 100), [60, 40], 5)
    assert arcs is not None
    assert sorted(zip(arcs.item.tolist(), arcs.start.tolist(), strict=True)) == [(0, 0), (1, 60)]
    assert worthwhile(Bars((60, 40), (5, 6), 100), [60, 40], 5) is None
