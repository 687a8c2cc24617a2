"""Fence offset and end stop: the plane geometry of the rig, worked by hand."""

from __future__ import annotations

import math

import pytest

from stripplan.model.rig import Rig
from stripplan.rig.machine.setting import end_stops, fence_offset, fence_setting, longest_one_pass, longest_two_pass


@pytest.mark.parametrize(("width", "kerf", "offset"), [(50, 1.5, 50.75), (40, 1.6, 40.8), (100, 2.0, 101.0)])
def test_offset_is_width_and_half_the_kerf(width: float, kerf: float, offset: float) -> None:
    """F = w + k/2: values computed by hand."""
    assert fence_offset(width, kerf) == pytest.approx(offset, abs=1e-4)


def test_strips_in_a_metre() -> None:
    """19 strips of 50 mm fit in 1000 mm at a kerf of 1.5 mm and 21.5 mm are left: computed by hand."""
    count = math.floor((1000 + 1.5) / (50 + 1.5))
    assert (count, 1000 - count * 51.5) == (19, 21.5)


def test_end_stop_from_home() -> None:
    """Lead-in 30, cut 600 and overrun 10 put the stop at 640 mm: computed by hand."""
    rig = Rig(lead_in=30, overrun=10, end_stop_min=50, end_stop_step=5)
    assert end_stops(rig, 600) == ((600, 640.0),)


def test_end_stop_is_rounded_up() -> None:
    """A stop that cannot be set exactly goes to the next mark beyond."""
    assert end_stops(Rig(lead_in=30, overrun=11, end_stop_min=50, end_stop_step=5), 600)[0][1] == 645.0


def test_reading_is_the_nearest_mark() -> None:
    """No reading is further off than half a step times the scale."""
    rig = Rig(fence_zero=3.1, fence_scale=0.998, fence_step=0.5)
    for tenth in range(200, 9000, 37):
        setting = fence_setting(rig, tenth / 10, 1.6)
        assert abs(setting.error) <= 0.25 * 0.998 + 1e-9
        assert rig.fence_zero + rig.fence_scale * setting.reading == pytest.approx(setting.offset + setting.error)


def test_two_passes_reach_nearly_twice_as_far() -> None:
    """Longest cuts: S - lead_in - overrun, and 2 (S - lead_in) - overlap."""
    rig = Rig(stroke=1000, lead_in=10, overrun=8, end_stop_min=0, end_stop_step=10, two_pass_overlap=20)
    assert (longest_one_pass(rig), longest_two_pass(rig)) == (982, 1960)
    (one, stop), (two, other) = end_stops(rig, 1960)
    assert (one, two, stop, other) == (990, 990, 1000, 1000)
