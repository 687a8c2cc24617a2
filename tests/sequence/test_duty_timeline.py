"""The clock of the work: rests that the ten minutes of the power source ask for, and end stops proved once."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stripplan.rig.machine.timing import dry_run_seconds
from stripplan.sequence.changeover import Changeover, RigState, changeover
from stripplan.sequence.duty_timeline import Timeline
from tests.sequence.plates import PROCESS, RIG, plate

HOT = replace(PROCESS, current=40, duty=((40, 50),))
"""Half of any ten minutes: 300 s of arc."""


def made(stop: float, set_up: float = 0.0) -> Changeover:
    """One pass to that end stop after so many seconds of setting up."""
    return Changeover(False, False, 0, False, False, False, (stop,), False, (set_up, *(0.0,) * 8))


def test_two_arcs_within_the_ten_minutes_need_no_rest() -> None:
    """1500 mm at 600 mm/min are 150 s of arc: two of them fill half of ten minutes and no more."""
    timeline = Timeline(RIG)
    assert [timeline.next_cut(0, HOT, made(1500)).rest for _ in range(2)] == [0, 0]


def test_the_third_arc_waits_until_the_first_is_ten_minutes_old() -> None:
    """The third may hold 150 s only once all of the first has left the ten minutes:
    it ends 600 s after the first's end, at the least.
    """
    timeline = Timeline(RIG)
    times = [timeline.next_cut(0, HOT, made(1500)) for _ in range(3)]
    first_start = times[0].rest + dry_run_seconds(RIG, 1500) + times[0].pre_flow
    between = sum(each.arc + each.post_flow + each.back for each in times[:2]) + times[1].pre_flow + times[2].pre_flow
    start_of_third = first_start + between + times[2].rest
    assert times[2].rest > 0
    assert start_of_third + 150 == pytest.approx(first_start + 150 + 600, abs=0.2)


def test_setting_up_counts_as_rest() -> None:
    """A thousand seconds of work by hand before the third arc: it may begin at once."""
    timeline = Timeline(RIG)
    for _ in range(2):
        timeline.next_cut(0, HOT, made(1500))
    assert timeline.next_cut(0, HOT, made(1500, set_up=1000)).rest == 0


def test_a_source_whose_duty_is_not_known_never_rests() -> None:
    """No current is named: ten arcs of 150 s, one after the other."""
    timeline = Timeline(RIG)
    assert sum(timeline.next_cut(0, PROCESS, made(1500)).rest for _ in range(10)) == 0


def test_an_end_stop_is_proved_once_for_each_plate() -> None:
    """Plate 0 at 500 twice, then at 700, then plate 1 at 500: three dry runs."""
    timeline = Timeline(RIG)
    times = [
        timeline.next_cut(plate_number, PROCESS, made(stop))
        for plate_number, stop in ((0, 500), (0, 500), (0, 700), (1, 500))
    ]
    assert [each.dry_run for each in times] == [
        pytest.approx(dry_run_seconds(RIG, 500)), 0, pytest.approx(dry_run_seconds(RIG, 700)),
        pytest.approx(dry_run_seconds(RIG, 500))
    ]  # fmt: skip


def test_the_arc_takes_the_way_to_the_end_stop() -> None:
    """600 mm/min: an end stop at 500 mm is 50 s of arc, whatever the cut needs at the least."""
    piece = plate([50, 50], length=300)
    option = piece.options[0]
    before = changeover(RIG, RigState(), 0, piece, option, (500.0,))
    assert Timeline(RIG).next_cut(0, PROCESS, before).arc == pytest.approx(50)
