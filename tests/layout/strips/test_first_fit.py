"""Quick plans: what is wanted is made, everything fits, counts cost no more than copies."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from stripplan.layout.strips.first_fit import Bars, Plan, first_fit, plate_by_plate

WANTED = st.lists(st.tuples(st.integers(1, 40), st.integers(1, 9)), min_size=1, max_size=6, unique_by=lambda i: i[0])


def bars(wanted: list[tuple[int, int]], capacity: int, zone: int = 0) -> Bars:
    """Strips widest first."""
    wanted = sorted(wanted, reverse=True)
    return Bars(tuple(w for w, _ in wanted), tuple(n for _, n in wanted), capacity, zone)


def check(plan: Plan, strips: Bars) -> None:
    """What is made is what is wanted, and every plate holds its strips."""
    made = [sum(counts[n] * times for counts, times in plan.items()) for n in range(len(strips.sizes))]
    assert tuple(made) == strips.demands
    for counts in plan:
        assert sum(n * size for n, size in zip(counts, strips.sizes, strict=True)) <= strips.capacity


def first_fit_by_copies(strips: Bars) -> list[int]:
    """First fit decreasing, strip by strip: what is left of each plate."""
    room: list[int] = []
    for size, demand in zip(strips.sizes, strips.demands, strict=True):
        for _ in range(demand):
            at = next((n for n, left in enumerate(room) if left >= size), None)
            if at is None:
                room.append(strips.capacity - size)
            else:
                room[at] -= size
    return room


@given(wanted=WANTED, capacity=st.integers(40, 90))
def test_first_fit_on_counts_is_first_fit_on_copies(wanted: list[tuple[int, int]], capacity: int) -> None:
    """The same plates come out as when strips are placed one by one."""
    strips = bars(wanted, capacity)
    plan = first_fit(strips)
    check(plan, strips)
    left = [
        strips.capacity - sum(n * size for n, size in zip(counts, strips.sizes, strict=True))
        for counts, times in plan.items()
        for _ in range(times)
    ]
    assert sorted(left) == sorted(first_fit_by_copies(strips))


@given(wanted=WANTED, capacity=st.integers(40, 90), zone=st.integers(0, 8))
def test_plate_by_plate_fits_and_leaves_no_sliver(wanted: list[tuple[int, int]], capacity: int, zone: int) -> None:
    """What is left on each plate is nothing or at least the zone."""
    strips = bars(wanted, capacity, zone)
    plan = plate_by_plate(strips)
    if plan is None:
        return
    check(plan, strips)
    for counts in plan:
        left = capacity - sum(n * size for n, size in zip(counts, strips.sizes, strict=True))
        assert left == 0 or left >= zone


def test_a_million_strips_are_a_few_patterns() -> None:
    """Two widths, a million strips: 500,000 plates as two patterns at most."""
    strips = Bars((60, 40), (500_000, 500_000), 100)
    plan = plate_by_plate(strips)
    assert plan is not None
    assert plan.total() == 500_000
    assert len(plan) <= 2
    assert first_fit(strips).total() == 500_000
