"""What a cut takes by hand: pushing up, clearing away, scraping, changes of process, dry runs. Sums by hand from the
rig's own seconds.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest

from stripplan.model.effort import Effort
from stripplan.model.rig import Rig, Seconds
from stripplan.rig.machine.timing import dry_run_seconds
from stripplan.sequence import CutOrder, best_order
from stripplan.sequence.changeover import CAUSES
from stripplan.sequence.cut_options import BenchPiece
from tests.sequence.plates import PROCESS, RIG, plate

PUSH, CLEAR, PROCESS_CHANGE = (CAUSES.index(each) for each in ("push", "clear", "process"))


def ordered(*roots: BenchPiece) -> CutOrder:
    """The order of some plates."""
    return best_order(RIG, list(roots), effort=Effort(), weights={})


def rigged(piece: BenchPiece, rig: Rig) -> BenchPiece:
    """The same plate on another rig."""
    return replace(piece, conditions=replace(piece.conditions, rig=rig))


def test_a_return_speed_left_out_is_as_fast_as_the_drive() -> None:
    """The carriage was planned to run home at 4000 mm/min on a drive that does 760."""
    assert Rig().return_speed == Rig().travel_max
    assert Rig(travel_max=500).return_speed == 500
    assert Rig(return_speed=900).return_speed == 900


def test_a_piece_that_stays_is_pushed_up_also_where_the_fence_moves_to_it() -> None:
    """Keeping the mill edge on the fence was free of pushing, which decided the order wrongly."""
    order = ordered(plate([40, 60, 90]))
    assert [made.push for made in order.changes] == [False, True, True]


def test_pushing_up_grows_with_the_mass() -> None:
    """12 s and 0.6 s a kilogram (the rig's own figures) for what is left of the plate:
    600 x (its width) x 6 mm of steel.
    """
    order = ordered(plate([40, 60, 90]))
    for cut, made in zip(order.cuts[1:], order.changes[1:], strict=True):
        mass = 600 * cut.piece.workpiece.width * 6 * 7850e-9
        assert made.seconds[PUSH] == pytest.approx(12 + 0.6 * mass)


def test_clearing_away_grows_with_the_mass_of_all_that_is_cleared() -> None:
    """10 s and 0.6 s a kilogram of the strip that has just come off."""
    order = ordered(plate([40, 60, 90]))
    fallen = [cut.option.right for cut in order.cuts]
    for made, workpiece in zip(order.changes[1:], fallen, strict=False):
        assert workpiece is not None
        mass = 600 * workpiece.workpiece.width * 6 * 7850e-9
        assert made.seconds[CLEAR] == pytest.approx(10 + 0.6 * mass)


def test_scraping_an_edge_has_a_fixed_part() -> None:
    """4 s and 10 s a metre: an edge of 600 mm takes 10 s."""
    order = ordered(plate([40, 60, 90]))
    assert [cut.option.dress_seconds for cut in order.cuts] == [0, pytest.approx(10), pytest.approx(10)]


def test_the_process_is_kept_as_long_as_it_can_be() -> None:
    """Plates of two thicknesses went 10, 6, 10, 6 mm and swapped the tip each time to save a minute."""
    other = replace(PROCESS, name="q", thickness=10)
    roots = [plate([50, 50], process=each) for each in (PROCESS, other, PROCESS, other)]
    order = ordered(*roots)
    names = [cut.piece.conditions.process.name for cut in order.cuts]
    assert sum(one != two for one, two in pairwise(names)) == 1
    assert sum(made.seconds[PROCESS_CHANGE] for made in order.changes) == Seconds().process


def test_a_new_end_stop_of_a_plate_is_proved_by_a_run_with_the_arc_off() -> None:
    """Once for each plate and end stop: both plates are cut at one stop, so two runs there and home."""
    order = ordered(plate([50, 50]), plate([50, 50, 60]))
    stops = {stop for cut in order.cuts for stop in cut.stops}
    assert len(stops) == 1
    assert order.extra == pytest.approx(2 * dry_run_seconds(RIG, stops.pop()))


def test_dry_runs_that_every_order_needs_are_in_the_bound() -> None:
    """With nothing else to pay for by hand, the bound is the dry run and the way of the carriage beyond it."""
    free = replace(
        RIG,
        seconds=Seconds(
            fence=0, fence_per_mm=0, end_stop=0, end_stop_per_mm=0, quarter_turn=0, turn_over=0, fetch=0, push=0,
            clear=0,
            scrape_each=0, scrape_per_m=0, per_kg=0, process=0,
        ),
    )  # fmt: skip
    order = best_order(free, [rigged(plate([50, 50]), free)], effort=Effort(), weights={})
    assert order.extra > 60
    assert order.least == pytest.approx(order.seconds + order.extra)
    assert order.proven
