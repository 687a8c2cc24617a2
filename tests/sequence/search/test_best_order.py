"""Order of work: precedence, weights, what is reported."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

import pytest

from stripplan.model.effort import Effort
from stripplan.rig.machine.timing import dry_run_seconds
from stripplan.sequence import CutOrder, best_order
from stripplan.sequence.bench import Bench
from stripplan.sequence.cut_options import BenchPiece, travel_for
from stripplan.sequence.cut_order import simulate
from tests.sequence.plates import PROCESS, RIG, plate


def test_what_is_reported_is_what_is_simulated() -> None:
    """Replaying the steps on the bench gives the same seconds."""
    roots = [plate([40, 60, 40, 90])]
    order = best_order(RIG, roots, effort=Effort(), weights={})
    assert simulate(Bench(RIG, roots, {}), order.cuts).seconds == pytest.approx(order.seconds)


def test_every_cut_waits_for_the_cut_that_makes_its_piece() -> None:
    """A piece is a plate as it was at first, or was made by an earlier cut of the same plate."""
    roots = [plate([40, 60]), plate([90, 40])]
    order = best_order(RIG, roots, effort=Effort(), weights={})
    there = {(number, id(piece)) for number, piece in enumerate(roots)}
    for cut in order.cuts:
        there.remove((cut.plate, id(cut.piece)))
        there |= {(cut.plate, id(each)) for each in (cut.option.right, cut.option.left)}
    assert len(order.cuts) == 4


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


def test_rests_are_the_least_waits_that_the_ten_minutes_allow() -> None:
    """Each arc begins at the first tenth of a second from which no ten minutes hold more than 150 s of arc."""
    process = replace(PROCESS, current=40, duty=((40, 25),))
    order = best_order(RIG, [plate([40, 60, 40, 90], process=process)], effort=Effort(), weights={})
    arcs: list[tuple[float, float]] = []
    now = waited = proving = 0.0
    for made in order.changes:
        arc, back = sum(made.stops) / 600 * 60, sum(made.stops) / RIG.return_speed * 60
        dry = dry_run_seconds(RIG, made.stops[0]) if not arcs else 0.0  # one end stop serves all
        proving += dry
        ready = start = now + sum(made.seconds) + dry + RIG.pre_flow
        while sum(max(0.0, end - max(begun, start + arc - 600)) for begun, end in arcs) + arc > 150:
            start += 0.1
        arcs.append((start, start + arc))
        waited += start - ready
        now = start + arc + RIG.post_flow + back
    assert waited > 60
    assert len({made.stops for made in order.changes}) == 1
    assert order.extra == pytest.approx(waited + proving, abs=0.1 * len(order.changes))
    assert not order.proven


def test_the_order_says_how_far_it_has_come() -> None:
    """Each better order is told with its seconds, never below the bound."""
    told: list[tuple[float, float]] = []
    order = best_order(
        RIG, [plate([40, 60, 40, 90])], effort=Effort(), weights={}, tell=lambda *each: told.append(each)
    )
    assert told[-1][0] == pytest.approx(order.seconds + order.extra)
    assert all(least <= best + 1e-6 for best, least in told)


def test_pieces_apart_by_the_last_digit_of_a_float_are_handled_alike() -> None:
    """96.7 and 96.70000000000005 mm are one kind, so each move of the one must be a move of the other:
    no tick is rounded apart.
    """
    for tenths in range(600, 1600):
        one, other = (plate([53.5], length=1250.0, rest=tenths / 10 - 55, more=more) for more in (0.0, 6e-14))
        bench = Bench(RIG, [one, replace(other, conditions=one.conditions)], {})
        if one.workpiece.width != other.workpiece.width:
            assert bench.roots[0] == bench.roots[1]
            priced_cuts = [
                bench.priced_cuts_of(piece, number, turned=False) for number, piece in enumerate((one, other))
            ]
            assert priced_cuts[0] == priced_cuts[1]


def test_a_longer_search_is_never_slower_than_a_lighter_one() -> None:
    """It begins as the lighter one does: without effort, light, thorough, and with a clock that gives it more."""
    for widths in ([40, 60, 40, 90], [35, 80, 35, 120, 80, 50], [30] * 4 + [75, 140]):
        roots = [plate(list(map(float, widths)), length=900), plate([60.0, 110.0], length=1500)]

        def seconds(effort: Effort, stops_after: int = 0, of: list[BenchPiece] = roots) -> float:
            asked = iter(range(stops_after))
            found = best_order(RIG, of, effort=effort, weights={}, out_of_time=lambda: next(asked, None) is None)
            return found.seconds + found.extra

        many = 10**6
        none, light, usual = (seconds(Effort(steps=steps), many) for steps in (0, 1, None))
        timed = seconds(Effort(seconds=60), 100)
        assert timed <= usual + 1e-6
        assert usual <= light + 1e-6
        assert light <= none + 1e-6


def test_an_order_that_is_known_needs_no_rounds() -> None:
    """An order searched without bounds, handed in again, comes to what a search with bounds comes to at once."""
    roots = [plate([40, 60, 40, 90, 75]), plate([90, 40, 60, 70, 40])]
    order = partial(best_order, RIG, roots, effort=Effort(), weights={})
    at_once, known = order(), order(bounds=False)
    again = order(known=known)
    assert [(cut.plate, cut.option.setting) for cut in again.cuts] == [
        (cut.plate, cut.option.setting) for cut in at_once.cuts
    ]
    assert (again.seconds, again.least, again.least_setup) == (at_once.seconds, at_once.least, at_once.least_setup)
    assert known.least_setup == 0 < again.least_setup


def test_an_order_that_does_not_promise_is_searched_no_further() -> None:
    """It is asked after each round, and hears of the best order so far."""
    roots = [plate([40, 60, 40, 90, 75]), plate([90, 40, 60, 70, 40])]
    asked: list[float] = []

    def never(best: CutOrder) -> bool:
        asked.append(best.seconds)
        return False

    found = best_order(RIG, roots, effort=Effort(), weights={}, bounds=False, promising=never)
    light = best_order(RIG, roots, effort=Effort(steps=1), weights={}, bounds=False)
    assert asked == [found.seconds]
    assert found.seconds <= light.seconds
