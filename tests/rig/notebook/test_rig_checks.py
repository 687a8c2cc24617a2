"""Heights along the travel, rails, fence and rectangle: figures, limits and what to do."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from stripplan.rig.accuracy.tolerance import width_error
from stripplan.rig.notebook.rig_checks import (
    PARALLEL,
    STANDOFF_AIM,
    STANDOFF_USABLE,
    MeasuredHeights,
    Shim,
    check_heights,
    fence_parallel,
    rail_distances,
    square_check,
)
from stripplan.rig.uncertainty import resolution_u
from stripplan.wording.show import Units, worded
from tests.checking import in_words

AT = (0.0, 500.0, 1000.0, 1500.0)
BOTH = MeasuredHeights(AT, (20.0, 19.9, 19.5, 19.2), (20.2, 20.1, 20.3, 20.4), rail_distance=600)


def test_limits_of_the_trade() -> None:
    """Torch height ±0.25 mm aimed at, ±0.5 usable (memory, fair); rails within 0.2 mm: common practice, no source."""
    assert (STANDOFF_AIM, STANDOFF_USABLE, PARALLEL) == (0.25, 0.5, 0.2)


def test_slope_is_that_of_least_squares() -> None:
    """Slope by scipy.stats.linregress; bow the greatest residual, with its sign and place."""
    from scipy import stats

    report = check_heights(BOTH)
    for rail, heights in ((report.left, BOTH.left), (report.right, BOTH.right)):
        line = stats.linregress(AT, heights)
        residuals = np.array(heights) - line.intercept - line.slope * np.array(AT)
        assert rail.slope.value == pytest.approx(1000 * line.slope)
        assert rail.over_length == pytest.approx(1500 * line.slope)
        assert rail.bow == pytest.approx(residuals[np.abs(residuals).argmax()])
        assert rail.bow_at == AT[np.abs(residuals).argmax()]


def test_slope_uncertainty_is_the_gauges() -> None:
    """Heights rounded to 0.05 mm, 1,000 times: the slope scatters as its stated uncertainty says, for both kinds of
    line."""
    rng = np.random.default_rng(3)
    at = np.linspace(0, 2000, 9)
    for kind in ("least squares", "end to end"):
        slopes, u = [], 0.0
        for _ in range(1000):
            true = 20 + rng.uniform(0, 1) + 0.0003 * at + rng.normal(0, 0.2, 9)
            read = np.round(true / 0.05) * 0.05
            for sign, heights in ((1, read), (-1, true)):
                report = check_heights(MeasuredHeights(tuple(map(float, at)), tuple(map(float, heights))), line=kind)
                slopes.append(sign * report.left.slope.value)
                u = report.left.slope.u
        errors = np.array(slopes[::2]) + np.array(slopes[1::2])
        assert errors.std() == pytest.approx(u, rel=0.1)


def test_end_to_end_line() -> None:
    """A sag of 1 mm in the middle of a level rail: 1 mm from the line from end to end, 2/3 mm from the least-squares
    line (by hand)."""
    sag = MeasuredHeights((0, 500, 1000), (20, 19, 20))
    ends, squares = check_heights(sag, line="end to end"), check_heights(sag)
    assert (ends.left.bow, ends.left.bow_at) == (-1, 500)
    assert squares.left.bow == pytest.approx(-2 / 3)
    assert "line from end to end" in in_words(ends.advice)[1]
    assert "least-squares line" in in_words(squares.advice)[1]


def test_twist_and_tilt() -> None:
    """Cross level 0.2 mm at home, 1.2 mm at the far end, rails 600 mm apart: twist 1.0 mm, 0.0955 degrees; worked by
    hand."""
    report = check_heights(BOTH)
    assert (report.cross_home, report.cross_far, report.twist) == pytest.approx((0.2, 1.2, 1.0))
    assert report.twist_degrees == pytest.approx(math.degrees(math.atan(1.2 / 600) - math.atan(0.2 / 600)))
    assert report.tilt_degrees == pytest.approx(math.degrees(math.atan(1.2 / 600)))
    assert check_heights(replace(BOTH, rail_distance=None)).twist_degrees is None
    leaning = check_heights(MeasuredHeights((0, 1000), (20, 20), (28, 28), rail_distance=400))
    assert any(
        "off by up to 1.1 degrees: a torch held square to the rails leans" in each for each in in_words(leaning.advice)
    )


@pytest.mark.parametrize(("torch", "change"), [(0.0, 0.8), (1.0, 0.3), (0.5, 0.3)])
def test_standoff_at_the_torch(torch: float, change: float) -> None:
    """Over the left rail its heights count, over the right one the other's, half way the mean: by hand."""
    report = check_heights(replace(BOTH, torch=torch))
    assert report.change == pytest.approx(change)
    assert report.plus_minus == pytest.approx(change / 2)
    heights = replace(BOTH, torch=torch).at_torch
    middle = float(np.interp(report.set_at, AT, heights))
    assert max(abs(each - middle) for each in heights) == pytest.approx(change / 2)


@pytest.mark.parametrize(
    ("rise", "verdict", "words"),
    [
        (0.5, "within the aim", "within the aim of ±0.25 mm"),
        (0.51, "usable", "usable (±0.5 mm), but not within the aim"),
        (1.0, "usable", "usable"),
        (1.01, "too much", "too much: more than ±0.5 mm"),
    ],
)
def test_verdict(rise: float, verdict: str, words: str) -> None:
    """The change over the stroke is spread to both sides: 0.5 mm is ±0.25 mm."""
    report = check_heights(MeasuredHeights((0, 1000), (20, 20 + rise)))
    assert report.verdict == verdict
    assert words in in_words(report.advice)[0]


def test_shims_in_words() -> None:
    """The far end is 0.62 mm low: a shim of 0.6 mm there, and 0.02 mm is left; worked by hand."""
    report = check_heights(MeasuredHeights((0, 1000), (20, 19.38)))
    assert report.shims == (Shim("", "far", 0.6),)
    assert report.change_after == pytest.approx(0.02)
    assert "Shim the far end by 0.6 mm: then the change is 0.02 mm (predicted)." in in_words(report.advice)
    both = check_heights(BOTH, line="end to end")
    assert both.shims == (Shim("left", "home", 0.4), Shim("left", "far", 1.2), Shim("right", "home", 0.2))
    assert "the far end of the left rail by 1.2 mm" in " ".join(in_words(both.advice))
    own = check_heights(BOTH, line="end to end", level_across=False)
    assert own.shims == (Shim("left", "far", 0.8), Shim("right", "home", 0.2))


def test_shims_level_any_two_straight_rails() -> None:
    """300 pairs of straight rails at random: put in, the shims leave no more than their step over the stroke, at
    every rail and torch place."""
    rng = np.random.default_rng(6)
    at = np.array([0, 300, 900, 1400.0])
    for _ in range(300):
        left, right = (20 + rng.uniform(0, 2) + rng.uniform(-0.002, 0.002) * at for _ in range(2))
        check = MeasuredHeights(
            tuple(map(float, at)), tuple(map(float, left)), tuple(map(float, right)), torch=float(rng.uniform(0, 1))
        )
        report = check_heights(check, supports=(100, 1300))
        lifted = {"left": left.copy(), "right": right.copy()}
        for shim in report.shims:
            share = (at - 100) / 1200
            lifted[shim.rail] += shim.thickness * (share if shim.end == "far" else 1 - share)
        torch = (1 - check.torch) * lifted["left"] + check.torch * lifted["right"]
        if report.shims:
            assert report.change_after == pytest.approx(torch.max() - torch.min())
            assert np.ptp(np.concatenate([lifted["left"], lifted["right"]])) <= 0.05 * 1400 / 1200 + 1e-9
        # Within the aim the shims serve the twist; else they must make the stand-off steadier.
        assert report.verdict == "within the aim" or report.change_after < report.change


def test_bow_is_not_for_shims() -> None:
    """A sag asks for a support lifted by as much, a hump for one let down; shims at level ends are not called for."""
    sag = check_heights(MeasuredHeights((0, 500, 1000), (20, 19, 20)))
    assert sag.shims == ()
    assert "No shim is called for." in in_words(sag.advice)
    assert "What is left is a sag: a support at 500 mm, lifted by 1 mm, takes it out." in in_words(sag.advice)
    hump = check_heights(MeasuredHeights((0, 500, 1000), (20, 21.5, 20)))
    assert any("a hump: 1.5 mm high at 500 mm" in each for each in in_words(hump.advice))


def test_shims_that_gain_nothing_are_not_advised() -> None:
    """A hump near home: the least-squares line falls, but shims along it would make the change greater."""
    one_way = check_heights(MeasuredHeights((0, 100, 1000), (20.0, 21.2, 20.0)))
    assert one_way.shims == ()
    assert one_way.change_after == one_way.change
    assert any("what is there is bow" in each for each in in_words(one_way.advice))


def test_thick_shims_are_packers() -> None:
    """3 mm is no shim: first see what has moved."""
    report = check_heights(MeasuredHeights((0, 1000), (20, 17)))
    assert any("no shim but a packer" in each for each in in_words(report.advice))


def test_within_the_aim_needs_no_shim() -> None:
    """0.2 mm over the stroke: nothing need be done, and what would level it is said."""
    report = check_heights(MeasuredHeights((0, 500, 1000), (20, 20.1, 20.2)))
    assert (
        "No shim is needed for the stand-off. To level it all the same, shim the home end by 0.2 mm"
        in in_words(report.advice)[-1]
    )
    tiny = check_heights(MeasuredHeights((0, 1000), (20, 20.03)))
    assert any("no more than the gauge's steps" in each for each in in_words(tiny.advice))


def test_rails_parallel() -> None:
    """Spread, taper and place; within 0.2 mm is parallel (common practice, no source); slope by
    scipy.stats.linregress."""
    from scipy import stats

    at, wide = (0.0, 700.0, 1500.0), (600.0, 600.25, 600.4)
    report = rail_distances(at, wide)
    assert (report.spread, report.narrowest_at, report.widest_at) == (pytest.approx(0.4), 0, 1500)
    assert report.taper.value == pytest.approx(1000 * stats.linregress(at, wide).slope)
    assert report.parallel is False
    assert (
        "They open by 0.397 mm towards the far end: move one rail in by that much there" in in_words(report.advice)[1]
    )
    assert in_words(rail_distances(at, (600.4, 600.15, 600.0)).advice)[1].startswith("They close by 0.397 mm")
    assert rail_distances(at, (600.0, 600.05, 600.1)).parallel is True


def test_rails_bent() -> None:
    """Level ends and a wide middle: no taper, but one rail is bent there."""
    report = rail_distances((0, 500, 1000), (600, 600.6, 600))
    assert report.over_length == pytest.approx(0)
    assert len(in_words(report.advice)) == 2
    assert "0.4 mm too wide at 500 mm: one rail is bent there" in in_words(report.advice)[1]


def test_too_near_the_limit_to_tell() -> None:
    """0.25 mm with a rule of 0.5 mm: neither parallel nor not."""
    report = rail_distances((0, 1000), (600, 600.25), resolution=0.5)
    assert report.parallel is None
    assert "measure with a finer one" in in_words(report.advice)[0]


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


NAN = math.nan


@pytest.mark.parametrize(
    ("check", "words"),
    [
        (((0,), (20,)), "1 position: at least 2 are needed"),
        (((0, 500), (20,)), "1 left heights for 2 positions"),
        (((0, 500), (20, NAN)), "row 2: left heights nan: not a number"),
        (((0, 500), (20, 20), (20, NAN)), "row 2: right heights nan"),
        (((0, 500, 500), (20, 20, 20)), "row 3: position 500 must lie beyond the 500 of row 2"),
        (((0, NAN), (20, 20)), "row 2: position nan must lie beyond"),
        (((0, 500), (20, 20), (20, 20), 0), "rail distance 0: must be above 0 mm"),
        (((0, 500), (20, 20), (20, 20), 600, 5), "torch at 5 of the rail distance"),
        (((0, 500), (20, 20), None, None, 0.5, 0), "resolution 0: must be above 0 mm"),
        (((0, 500, 900), (20, 20.1, 0.79)), r"row 3 looks like inches: left height 0\.79 among heights of about 20"),
    ],
)
def test_height_faults(check: tuple[object, ...], words: str) -> None:
    """Readings that cannot be are refused with row, figure and limit."""
    with pytest.raises(ValueError, match=words):
        MeasuredHeights(*check)  # type: ignore[arg-type]


def test_gauge_near_zero_is_not_taken_for_inches() -> None:
    """A dial gauge set to zero at home shows any ratio: 0.01 beside 0.25 is no inch."""
    assert check_heights(MeasuredHeights((0, 500, 900), (0.0, 0.01, 0.25))).change == pytest.approx(0.25)


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"aim": 0.6}, r"aim 0\.6 and usable 0\.5"),
        ({"shim_step": 0.0}, r"shim step 0\.0"),
        ({"supports": (900.0, 100.0)}, r"supports 900\.0 and 100\.0: the second must lie beyond the first"),
    ],
)
def test_option_faults(options: dict[str, object], words: str) -> None:
    """Limits and supports that contradict each other are refused."""
    with pytest.raises(ValueError, match=words):
        check_heights(BOTH, **options)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("at", "wide", "limit", "words"),
    [
        ((0, 500), (600, -1), 0.2, "row 2: distance -1: must be above 0 mm"),
        ((0, 500, 900), (600, 600.1, 23.63), 0.2, r"row 3 looks like inches: 23\.63 beside 600 in row 1"),
        ((0, 500), (600, 600), 0, "limit 0: must be above 0 mm"),
        ((0,), (600,), 0.2, "1 position: at least 2"),
    ],
)
def test_distance_faults(at: tuple[float, ...], wide: tuple[float, ...], limit: float, words: str) -> None:
    """Distances that cannot be are refused with their row."""
    with pytest.raises(ValueError, match=words):
        rail_distances(at, wide, limit=limit)


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


def test_an_owner_in_inches_reads_inches() -> None:
    """What the gauge says is data: the same advice in inches; by hand, 1 in = 25.4 mm."""
    inches = Units("in")
    found = check_heights(MeasuredHeights((0, 1016), (20, 19.365)))
    said = [worded(each, inches).text for each in found.advice]
    assert said[0].startswith('The stand-off changes by 0.025" over the stroke: ±0.013" if the torch is set at 20"')
    assert any(each.startswith('Shim the far end by 0.026"') for each in said)
    (apart, *_) = (worded(each, inches).text for each in rail_distances((0, 508), (609.6, 609.6)).advice)
    assert apart.startswith('The rails are 24" apart at')
    assert " mm" not in apart
