"""The bound on plate and hands together: by hand, met where nothing is lost, below everything that can be tried."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stripplan.layout.bounds.total import LeastHands, total_bound
from stripplan.layout.problem import Problem, Stock
from tests.checking import examples
from tests.layout import tiny

HANDS = LeastHands(cut=6.0, per_length=0.06)
"""At 1 for a minute a cut costs 0.1, and a millimetre of its length 0.001."""


def bound(asked: Problem, values: Sequence[float], *, minute: float = 1.0, share: float = 0.5) -> float:
    """The bound where every stock is cut alike."""
    return total_bound(asked, [HANDS] * len(values), values, minute=minute, share=share)


def test_one_plate_and_one_part() -> None:
    """Of a plate 100 x 60 for 12 half is lost but for the part's own 40 x 20: 6 + 0.8. Its cuts might be the plate's
    edges.
    """
    assert bound(tiny.problem([(100, 60)], [(40, 20, 1)]), [12.0]) == pytest.approx(6.8)


def test_six_parts_need_five_cuts_and_their_edges() -> None:
    """Six of 40 x 20: 6 + 6 x 0.8; five cuts, and 6 x 60 mm of edges less 160 of the plate's: 0.5 + 0.2."""
    assert bound(tiny.problem([(100, 60)], [(40, 20, 6)]), [12.0]) == pytest.approx(10.8 + 0.7)


def test_two_plates_have_the_edges_of_both() -> None:
    """Eight of 50 x 30 fill two plates: 12 + 8 x 1.5; six cuts, and 8 x 80 mm of edges less 320: 0.6 + 0.32."""
    assert bound(tiny.problem([(100, 60)], [(50, 30, 8)]), [12.0]) == pytest.approx(24 + 0.92)


def test_minutes_that_cost_nothing_leave_the_plates() -> None:
    """Without a price of minutes, and offcuts worth nothing: what plates cost at the least."""
    assert bound(tiny.problem([(100, 60)], [(50, 30, 5)]), [12.0], minute=0, share=0) == pytest.approx(24)


def test_offcuts_at_the_full_price_leave_the_metal_of_parts() -> None:
    """Where all that is left is worth its price, parts cost their own area."""
    assert bound(tiny.problem([(100, 60)], [(40, 20, 1)]), [12.0], minute=0, share=1) == pytest.approx(12 * 800 / 6000)


@pytest.mark.parametrize(("across", "along"), [(2, 2), (4, 3), (1, 5), (5, 1)])
def test_the_bound_is_met_where_nothing_is_lost(across: int, along: int) -> None:
    """A plate without kerf filled by equal parts, each row parted: strips first, then each strip."""
    length, width = 100 // across, 60 // along
    count = across * along
    cuts = (along - 1) * 100 + along * (across - 1) * (60 // along)
    total = 12 + 0.1 * (count - 1) + 0.001 * cuts
    asked = tiny.problem([(100, 60)], [(length, width, count)])
    assert bound(asked, [12.0]) == pytest.approx(total)


# --- beside all that can be cut from tiny plates --------------------------------------------------------------------


@dataclass(frozen=True)
class _Prices:
    """What is paid: for a cut, for its length, and back for each square unit left over."""

    cut: float
    length: float
    left: float


def least_total(asked: Problem, values: Sequence[float], minute: float, share: float) -> float | None:
    """Least of plates and cuts, less what is left at `share` of its price, by trying every guillotine layout; None
    where there is none.
    """
    pieces = [item for item in asked.items for _ in range(item.demand)]
    costs = []
    for n, (stock, value) in enumerate(zip(asked.stocks, values, strict=True)):
        left = share * value / (stock.length * stock.width)
        prices = _Prices(minute / 60 * HANDS.cut, minute / 60 * HANDS.per_length, left)
        costs.append({some: value + more for some, more in _cut_up(stock, [p.sizes[n] for p in pieces], prices)})
    return _cheapest(costs, (1 << len(pieces)) - 1, tuple(-1 if s.limit is None else s.limit for s in asked.stocks))


def _cheapest(costs: Sequence[dict[int, float]], full: int, room: tuple[int, ...]) -> float | None:
    """Least cost of plates that hold all pieces between them; of a stock with -1 left there are any number."""

    @cache
    def rest(left: int, room: tuple[int, ...]) -> float | None:
        if not left:
            return 0.0
        found = []
        for n, sets in enumerate(costs):
            after = tuple(r - 1 if m == n and r > 0 else r for m, r in enumerate(room))
            for some, cost in sets.items() if room[n] else ():
                if some & left & -left and some & left == some and (more := rest(left ^ some, after)) is not None:
                    found.append(cost + more)
        return min(found, default=None)

    return rest(full, room)


def _cut_up(
    stock: Stock, ways: Sequence[tuple[tuple[int, int, bool], ...]], prices: _Prices
) -> Iterator[tuple[int, float]]:
    """Each set of pieces (bits) that one plate holds, and its least cost of cuts, less what is left."""

    @cache
    def cost(some: int, length: int, width: int) -> float | None:
        if not some:
            return -prices.left * length * width
        if some & (some - 1) == 0 and any(way[:2] == (length, width) for way in ways[some.bit_length() - 1]):
            return 0.0
        found = []
        for travel, extent, along in ((width, length, False), (length, width, True)):
            cut = prices.cut + prices.length * travel
            for at in range(1, extent):
                beyond = max(0, extent - at - stock.kerf)
                for one in _subsets(some):
                    sides = (
                        (cost(one, length, at), cost(some ^ one, length, beyond))
                        if along
                        else (cost(one, at, width), cost(some ^ one, beyond, width))
                    )
                    if sides[0] is not None and sides[1] is not None:
                        found.append(cut + sides[0] + sides[1])
        return min(found, default=None)

    for some in range(1, 1 << len(ways)):
        least = cost(some, stock.length, stock.width)
        if least is not None:
            yield some, least


def _subsets(some: int) -> Iterator[int]:
    """Every set within a set, itself first; the empty one last."""
    one = some
    while one:
        yield one
        one = (one - 1) & some
    yield 0


@st.composite
def problems(draw: st.DrawFn) -> Problem:
    """Up to three pieces on one or two stocks, with and without turning, kerf and limits."""
    plates = draw(st.lists(st.tuples(st.integers(3, 6), st.integers(3, 6)), min_size=1, max_size=2))
    items = draw(st.lists(st.tuples(st.integers(1, 5), st.integers(1, 5), st.just(1)), min_size=1, max_size=3))
    return tiny.problem(
        plates,
        items,
        turn=draw(st.lists(st.booleans(), min_size=len(items), max_size=len(items))),
        kerf=draw(st.sampled_from([0, 0, 1])),
        limits=draw(st.lists(st.sampled_from([None, None, 1, 2]), min_size=len(plates), max_size=len(plates))),
    )


@examples(60, deadline=None)
@given(
    asked=problems(),
    values=st.lists(st.sampled_from([0.1, 1.0, 2.0, 12.0]), min_size=2, max_size=2),
    minute=st.sampled_from([0.0, 0.2, 1.0, 5.0]),
    share=st.sampled_from([0.0, 0.3, 0.5, 1.0]),
)
def test_no_layout_of_a_tiny_job_is_below_the_bound(
    asked: Problem, values: list[float], minute: float, share: float
) -> None:
    """All guillotine layouts are tried, with every cut at its least and every offcut at its most."""
    values = values[: len(asked.stocks)]
    least = least_total(asked, values, minute, share)
    if least is not None:
        assert bound(asked, values, minute=minute, share=share) <= least + 1e-9
