"""Heights along the travel: figures, limits and what to do."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from stripplan.rig.notebook.rail_heights import STANDOFF_AIM, STANDOFF_USABLE, MeasuredHeights, Shim, check_heights
from stripplan.rig.notebook.rails_parallel import rail_distances
from stripplan.wording.show import Units, worded
from tests.checking import in_words

AT = (0.0, 500.0, 1000.0, 1500.0)
BOTH = MeasuredHeights(AT, (20.0, 19.9, 19.5, 19.2), (20.2, 20.1, 20.3, 20.4), rail_distance=600)
NAN = math.nan


def test_limits_of_the_trade() -> None:
    """Torch height ±0.25 mm aimed at, ±0.5 usable (memory, fair): common practice, no source."""
    assert (STANDOFF_AIM, STANDOFF_USABLE) == (0.25, 0.5)


def test_slope_is_that_of_least_squares() -> None:
    """Slope by scipy.stats.linregress; bow the greatest residual, with its sign and place."""
    report = check_heights(BOTH)
    for rail, heights in ((report.left, BOTH.left), (report.right, BOTH.right)):
        line = stats.linregress(AT, heights)
        residuals = np.array(heights) - line.intercept - line.slope * np.array(AT)
        assert rail.slope.value == pytest.approx(1000 * line.slope)
        assert rail.over_length == pytest.approx(1500 * line.slope)
        assert rail.bow == pytest.approx(residuals[np.abs(residuals).argmax()])
        assert rail.bow_at == AT[np.abs(residuals).argmax()]


@pytest.mark.long
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
