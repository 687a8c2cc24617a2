"""Duty cycle: the square law and the rolling ten-minute window."""

from __future__ import annotations

import pytest

from stripplan.rig.machine.duty import DutyClock, duty_at


@pytest.mark.parametrize(
    ("rated", "percent", "current", "share"),
    [(40, 35, 30, 62.22), (40, 35, 20, 100), (45, 50, 40, 63.28), (60, 50, 45, 88.89)],
)
def test_square_law(rated: float, percent: float, current: float, share: float) -> None:
    """X2 = X1 (I1/I2)^2, capped at 100 %: common engineering practice; IEC 60974-1 from memory."""
    assert 100 * (duty_at([(rated, percent)], current) or 0) == pytest.approx(share, abs=0.01)


def test_above_the_rating_is_not_allowed() -> None:
    """50 A rated, 60 A asked: nothing is extrapolated upwards."""
    assert duty_at([(50, 60)], 60) is None


def test_between_points_never_more_than_the_lower_point() -> None:
    """The next rated current above counts, capped by the next point below."""
    assert duty_at([(27, 100), (30, 80), (40, 50)], 29) == pytest.approx(min(0.8 * (30 / 29) ** 2, 1.0))


def waits(cuts: int, *, seconds: float, apart: float, share: float) -> list[float]:
    """How long each of some equal cuts waits [s], with so many seconds between two of them, at a duty cycle."""
    clock, now, found = DutyClock(), 0.0, []
    for _ in range(cuts):
        start = clock.start(now, seconds, share)
        found.append(start - now)
        clock.add(start, seconds)
        now = start + seconds + apart
    return found


def test_wait_before_the_third_metre() -> None:
    """Three 78.74 s cuts 60 s apart at 35 %: the third waits 270.0 s, the fourth not at all (worked by hand)."""
    assert waits(4, seconds=78.74, apart=60, share=0.35) == pytest.approx([0, 0, 270.0, 0], abs=0.05)


def test_first_wait_of_minute_cuts() -> None:
    """60 s cuts with 30 s between at 60 %: six fill the 360 s, the seventh waits 60 s (worked by hand)."""
    assert waits(7, seconds=60, apart=30, share=0.6) == pytest.approx([0] * 6 + [60])


def test_long_run_stays_within_the_share() -> None:
    """Over a hundred cuts no window of ten minutes holds more arc than allowed, each window tried."""
    clock, now, arcs = DutyClock(), 0.0, []
    for number in range(100):
        arc = 20 + 7 * (number % 9)
        start = clock.start(now, arc, 0.35)
        clock.add(start, arc)
        arcs.append((start, start + arc))
        now = start + arc + 15
    for _, end in arcs:
        assert sum(max(0.0, b - max(a, end - 600)) for a, b in arcs if a < end) <= 210 + 1e-6


def test_arc_longer_than_the_window_allows_is_refused() -> None:
    """130 s of arc at 20 % (120 s): no wait would help."""
    with pytest.raises(ValueError, match="130 s is longer than the 120 s"):
        DutyClock().start(0, 130, 0.2)


def test_arcs_of_other_processes_count() -> None:
    """300 s at a current without limit, then an arc at 50 %:
    the window is full, it waits for the first to slide out.
    """
    clock = DutyClock()
    assert clock.start(0, 300, 1.0) == 0
    clock.add(0, 300)
    assert clock.start(300, 60, 0.5) == pytest.approx(600)
