"""Order of work: against brute force on tiny jobs, precedence, bounds."""

from __future__ import annotations

from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stripplan.model.effort import Effort
from stripplan.model.pattern import Blank, Leaf
from stripplan.model.realise import start
from stripplan.model.rig import Rig
from stripplan.model.rules import CutRules
from stripplan.rig.setting import longest_one_pass, longest_two_pass
from stripplan.sequence.order import UNMEASURED_SECONDS, best_order, simulate
from stripplan.sequence.placing import Lay, Stock, travel_for
from stripplan.sequence.precedence import precedence_graph, waits_for
from stripplan.sequence.setups import Bed, after, change, weighed

RIG = Rig()
RULES = CutRules(
    kerf=1.5, longest_one_pass=longest_one_pass(RIG), longest_two_pass=longest_two_pass(RIG), narrowest_offcut=5,
    fence_min=RIG.fence_min, fence_max=RIG.fence_max, marked=True, areal_mass=6 * 7850e-9,
)  # fmt: skip


def plate(widths: list[float], length: float = 600.0, rest: float = 80.0) -> Lay:
    """A plate cut into strips of those widths, something left at the end."""
    width = sum(widths) + 1.5 * len(widths) + rest
    children = tuple(Leaf("part", length, each, n) for n, each in enumerate(widths))
    root = Blank(length, width, "along", children, None, Leaf("scrap", length, rest))
    sized = tuple((True, False) for _ in widths)
    return Lay(Stock(RIG, RULES, sized), start(root, ("mill",) * 4), True, (True, True))


def least(roots: list[Lay]) -> float:
    """Least set-up seconds by trying every order, every end, every datum edge."""

    def go(bed: Bed, waiting: tuple[tuple[int, Lay], ...]) -> float:
        if not waiting:
            return 0.0
        best = float("inf")
        for number, lay in waiting:
            for way in lay.ways:
                made = change(RIG, bed, number, lay, way)
                cost = weighed(made, {}) + UNMEASURED_SECONDS * way.unmeasured
                left = tuple(each for each in waiting if each != (number, lay))
                new = tuple((number, each) for each in (way.right, way.left) if each and not each.piece.done)
                best = min(best, cost + go(after(bed, number, way, made), left + new))
        return best

    return go(Bed(), tuple(enumerate(roots)))


@cache
def plates(*widths: tuple[float, ...]) -> tuple[Lay, ...]:
    """Several plates."""
    return tuple(plate(list(each)) for each in widths)


@settings(max_examples=25)
@given(
    widths=st.lists(
        st.lists(st.sampled_from([40.0, 60.0, 90.0]), min_size=1, max_size=2).map(tuple), min_size=1, max_size=2
    )
)
def test_never_below_and_near_the_least_of_all_orders(widths: list[tuple[float, ...]]) -> None:
    """On tiny jobs the order costs no less than brute force says, and at most a tenth more."""
    roots = list(plates(*widths))
    found = best_order(RIG, roots, effort=Effort(steps=60), weights={}).seconds
    truth = least(roots)
    assert truth - 1e-6 <= found <= 1.1 * truth


def test_what_is_reported_is_what_is_simulated() -> None:
    """Replaying the steps on the bench gives the same seconds."""
    order = best_order(RIG, [plate([40, 60, 40, 90])], effort=Effort(), weights={})
    assert simulate(RIG, order.steps, {}).seconds == pytest.approx(order.seconds)


def test_every_cut_waits_for_the_cut_that_makes_its_piece() -> None:
    """Precedence is a forest with one root a plate, and the order keeps it."""
    order = best_order(RIG, [plate([40, 60]), plate([90, 40])], effort=Effort(), weights={})
    waits = waits_for(precedence_graph(order.steps))
    assert waits.count(-1) == 2
    assert all(waits[number] < number for number in range(len(waits)))


def test_dear_fence_settings_are_spared() -> None:
    """Weighing the fence ten times over gives no more settings than weighing it once."""
    root = plate([50, 50, 50, 50, 50], length=1500)
    plain = best_order(RIG, [root], effort=Effort(), weights={})
    spared = best_order(RIG, [root], effort=Effort(), weights={"fence": 10.0})
    assert sum(c.fence for c in spared.changes) <= sum(c.fence for c in plain.changes)
    assert sum(c.fence for c in spared.changes) <= 2


def test_the_fence_is_on_the_right_of_the_travel() -> None:
    """Right of east is south; face down it is the other way round (plane geometry)."""
    east, north, west, south = range(4)
    assert [travel_for(True, "low", True), travel_for(True, "high", True)] == [east, west]
    assert [travel_for(False, "low", True), travel_for(False, "high", True)] == [south, north]
    assert travel_for(True, "low", False) == west
