"""Fence and rectangle: figures, limits and what to do."""

from __future__ import annotations

import math

import numpy as np
import pytest

from stripplan.rig.accuracy.tolerance import width_error
from stripplan.rig.notebook.squareness import fence_parallel, square_check
from stripplan.rig.uncertainty import resolution_u
from tests.checking import in_words

NAN = math.nan


def test_width_error_from_an_angle() -> None:
    """0.1 degrees over 600 mm: 1.047 mm; L tan(angle), plane geometry."""
    assert width_error(0.1, 600) == pytest.approx(1.047, abs=0.001)


@pytest.mark.parametrize("angle", [-1.5, -0.3, 0.2, 2.0])
def test_the_advised_turn_makes_strips_parallel(angle: float) -> None:
    """Fence at an angle, torch line along x: widths from coordinates; turned as advised, both ends measure the same."""
    near = np.array([0.0, -80.0])
    far = near + 1000 * np.array([math.cos(math.radians(angle)), -math.sin(math.radians(angle))])

    def width(place: float) -> float:
        """Distance from a point of the fence to the torch line, less half the kerf."""
        return -float(near[1] + (far[1] - near[1]) * (place - near[0]) / (far[0] - near[0])) - 0.75

    found = fence_parallel(width(100), width(700), 600, resolution=0.001, fence_length=float(far[0]))
    assert found.angle.value == pytest.approx(angle)
    assert found.width_error(1200).value == pytest.approx(width_error(angle, 1200))
    # + turns the fence, on the right of the travel, anticlockwise as seen from above: its far end goes to greater y.
    assert found.turn == ("anticlockwise" if angle > 0 else "clockwise")
    far = far + np.array([0.0, found.far_end.value])
    assert width(100) == pytest.approx(width(700))


def test_fence_as_good_as_can_be_told() -> None:
    """A step of the calliper is no angle: the fence stays."""
    found = fence_parallel(50.0, 50.03, 600)
    assert (found.differs, found.turn) == (False, "none")
    assert "leave the fence as it is" in in_words(found.advice)[0]
    assert found.taper.u == pytest.approx(math.sqrt(2) * resolution_u(0.05))


def test_fence_advice_in_words() -> None:
    """0.4 mm wider at the far end over 600 mm, fence 1,200 mm long: 0.038 degrees, far end 0.8 mm towards the torch."""
    found = fence_parallel(50, 50.4, 600, fence_length=1200)
    assert (
        "0.4 mm wider at the far end over 600 mm: the fence is 0.038 ±0.004 degrees off the travel"
        in in_words(found.advice)[0]
    )
    assert (
        "turn it anticlockwise seen from above: its far end, 1200 mm on, goes 0.8 mm towards the torch line"
        in in_words(found.advice)[1]
    )
    assert (
        "clockwise seen from above: its far end, 600 mm on, goes 0.4 mm away from"
        in in_words(fence_parallel(50.4, 50, 600).advice)[1]
    )


def test_three_four_five() -> None:
    """Legs 300 and 400 mm, diagonals 500: square; plane geometry."""
    report = square_check(300, 400, 500, 500)
    assert (report.angle.value, report.corner) == (0, 90)
    assert report.closure == pytest.approx(0, abs=0.0005)
    assert not report.differs
    assert "Square as far as this rule can tell" in in_words(report.advice)[0]


@pytest.mark.parametrize("lean", [-4.0, -0.5, 0.1, 3.0])
def test_out_of_square_from_coordinates(lean: float) -> None:
    """Corners of a parallelogram laid out by angle: the formula gives the angle back, and the corner where the first
    diagonal starts."""
    corner = math.radians(90 - lean)
    width, length = 350.0, 620.0
    up = np.array([math.cos(corner), math.sin(corner)]) * width
    along = np.array([length, 0.0])
    report = square_check(width, length, float(np.linalg.norm(up + along)), float(np.linalg.norm(along - up)))
    assert report.angle.value == pytest.approx(lean)
    assert report.corner == pytest.approx(90 - lean)
    assert report.closure == pytest.approx(0, abs=1e-9)
    assert report.over_width.value == pytest.approx(up[0])


def test_square_of_a_leaning_sheet_agrees_with_its_diagonals() -> None:
    """The two formulas meet: a lean of 12.5 mm over 1,250 mm height comes back from sides and diagonals."""
    side = math.hypot(1250, 12.5)
    report = square_check(side, 2500, math.hypot(2512.5, 1250), math.hypot(2487.5, 1250))
    assert report.over_width.value == pytest.approx(12.5)
    assert report.angle.value == pytest.approx(math.degrees(math.atan(0.01)))


def test_square_uncertainty_by_differences() -> None:
    """The angle's u is the root of the sum of squares of what each of the four figures does, by numerical
    differentiation."""
    figures = [60.0, 400.0, 406.8, 402.2]
    parts = []
    for index in range(4):
        ends = []
        for sign in (1, -1):
            moved = [each + sign * 1e-4 * (at == index) for at, each in enumerate(figures)]
            ends.append(square_check(*moved).angle.value)
        parts.append((ends[0] - ends[1]) / 2e-4 * resolution_u(0.5))
    report = square_check(*figures)
    assert abs(report.angle.value) > 2
    assert report.angle.u == pytest.approx(math.hypot(*parts), rel=1e-6)
    assert abs(parts[0]) > 0.005


def test_square_interval_holds_the_truth() -> None:
    """1,000 rectangles at random read with a rule of 0.5 mm: the 95 % interval holds the true angle in 93 to 97.5 %."""
    rng = np.random.default_rng(9)
    held = 0
    for _ in range(1000):
        w, length, lean = rng.uniform(200, 400), rng.uniform(300, 900), math.radians(rng.uniform(-1, 1))
        first, second = (math.sqrt(w * w + length**2 + sign * 2 * w * length * math.sin(lean)) for sign in (1, -1))
        read = [round(float(each) * 2) / 2 for each in (w, length, first, second)]
        low, high = square_check(*read).angle.interval()
        held += low <= math.degrees(lean) <= high
    assert 930 <= held <= 975


def test_taper_interval_holds_the_truth() -> None:
    """1,000 strips read to 0.05 mm at both ends: the angle's 95 % interval holds in 93 to 97.5 %."""
    rng = np.random.default_rng(10)
    held = 0
    for _ in range(1000):
        home, angle = rng.uniform(40, 60), rng.uniform(-0.2, 0.2)
        far = home + 600 * math.tan(math.radians(angle))
        low, high = fence_parallel(*(round(float(each) * 20) / 20 for each in (home, far)), 600).angle.interval()
        held += low <= angle <= high
    assert 930 <= held <= 975


def test_out_of_square_in_words() -> None:
    """Longer first diagonal: its corners are the sharp ones; diagonals that do not fit the sides are named."""
    report = square_check(300, 400, 501, 499)
    assert (
        "Out of square by 0.24 ±0.05 degrees: 1.25 mm over the width, 1.667 mm over the length"
        in in_words(report.advice)[0]
    )
    assert "where the first diagonal starts and ends are the sharp ones" in in_words(report.advice)[0]
    assert "where the second diagonal" in in_words(square_check(300, 400, 499, 501).advice)[0]
    assert "do not fit the sides by 3 mm" in in_words(square_check(300, 400, 503.5, 502.5).advice)[0]


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: fence_parallel(0, 50, 600), "width at home 0: must be a number above 0 mm"),
        (lambda: fence_parallel(50, NAN, -1), "width at the far end nan.*length -1"),
        (lambda: fence_parallel(50, 1.97, 600), r"widths 50 and 1\.97: one of them looks like inches"),
        (lambda: fence_parallel(50, 150, 600), r"make 9\.5 degrees: more than 5 is no fence out of parallel"),
        (lambda: fence_parallel(50, 50, 600, resolution=0), "resolution 0"),
        (
            lambda: square_check(300, 400, 800, 500),
            "first diagonal 800 mm cannot join corners of 300 x 400 mm: it must lie between 100 and 700 mm",
        ),
        (lambda: square_check(300, 400, 500, 100), "second diagonal 100 mm cannot join"),
        (lambda: square_check(300, 400, 540, 450), "out of square by more than 5 degrees: check the four figures"),
        (lambda: square_check(0, 400, 500, 500), "width 0: must be a number above 0 mm"),
    ],
)
def test_faults_of_fence_and_square(call: object, words: str) -> None:
    """Figures that no fence or rectangle could show are refused by name, figure and limit."""
    with pytest.raises(ValueError, match=words):
        call()  # type: ignore[operator]
