"""Zero and scale of the fence from measured strips."""

from __future__ import annotations

import math

import numpy as np
import pytest

from stripplan.rig.machine.setting import fence_offset
from stripplan.rig.notebook.fence_scale import FenceCheck, fit_fence, straight_line
from stripplan.rig.uncertainty import resolution_u
from tests.checking import in_words

NORRIS = [
    (0.1, 0.2), (338.8, 337.4), (118.1, 118.2), (888.0, 884.6), (9.2, 10.1), (228.1, 226.5),
    (668.5, 666.3), (998.5, 996.3), (449.1, 448.6), (778.9, 777.0), (559.2, 558.2), (0.3, 0.4),
    (0.1, 0.6), (778.1, 775.5), (668.8, 666.9), (339.3, 338.0), (448.9, 447.5), (10.8, 11.6),
    (557.7, 556.0), (228.3, 228.1), (998.0, 995.8), (888.8, 887.6), (119.6, 120.2), (0.3, 0.3),
    (0.6, 0.3), (557.6, 556.8), (339.3, 339.1), (888.0, 887.2), (998.5, 999.0), (778.9, 779.0),
    (10.2, 11.1), (117.6, 118.3), (228.9, 229.2), (668.4, 669.1), (449.2, 448.9), (0.2, 0.5),
]  # fmt: skip
"""(y, x) of data set Norris, NIST Statistical Reference Datasets, linear regression (from memory; all certified
digits below agree)."""

THERMOMETER = (
    [1.521, 2.012, 2.512, 3.003, 3.507, 3.999, 4.513, 5.002, 5.503, 6.010, 6.511],
    [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160],
)
"""Readings less 20 deg C and corrections: JCGM 100:2008, table H.6 (from memory; its printed results below agree)."""


def checks(
    readings: list[float], *, zero: float = -0.12, scale: float = 1.0, kerf: float = 1.5, off: list[float] | None = None
) -> list[FenceCheck]:
    """Strips as a fence with that zero and scale cuts them."""
    wrong = off or [0.0] * len(readings)
    return [FenceCheck(r, zero + scale * r - kerf / 2 + e) for r, e in zip(readings, wrong, strict=True)]


def test_straight_line_certified() -> None:
    """Norris: slope, intercept, their standard deviations and the residual one, certified by NIST to 15 digits."""
    line = straight_line([x for _, x in NORRIS], [y for y, _ in NORRIS])
    assert line.intercept == pytest.approx(-0.262323073774029, rel=1e-11)
    assert line.slope == pytest.approx(1.00211681802045, rel=1e-13)
    assert line.sd == pytest.approx(0.884796396144373, rel=1e-12)
    assert line.sd * math.sqrt(line.inverse[0][0]) == pytest.approx(0.232818234301152, rel=1e-12)
    assert line.sd * math.sqrt(line.inverse[1][1]) == pytest.approx(0.429796848199937e-03, rel=1e-12)


def test_fit_certified() -> None:
    """The same through the fence, 1,000 mm farther off so that widths are widths: the scale differs from 1, by 4.9
    standard deviations."""
    fit = fit_fence([FenceCheck(x, 1000 + y, 0.002) for y, x in NORRIS], kerf=1.5, kerf_u=0.0, resolution=0.1)
    assert fit.zero.value == pytest.approx(1000 - 0.262323073774029 + 0.001, abs=1e-9)
    assert fit.zero.u == pytest.approx(0.232818234301152, rel=1e-9)
    assert fit.scale.value == pytest.approx(1.00211681802045, rel=1e-12)
    assert fit.scale.u == pytest.approx(0.429796848199937e-03, rel=1e-9)
    assert (fit.repeatability, fit.scale.dof) == (pytest.approx(0.884796396144373), 34)
    assert fit.scale_differs


def test_calibration_line_of_the_guide() -> None:
    """Intercept -0.1712 (u 0.0029), slope 0.00218 (u 0.00067), s 0.0035, r -0.930; at 30 deg C -0.1494 (u 0.0041):
    JCGM 100:2008, H.3."""
    rows = [FenceCheck(t, 100 + b, 2e-9) for t, b in zip(*THERMOMETER, strict=True)]
    fit = fit_fence(rows, kerf=2e-9, kerf_u=0.0, resolution=0.001)
    assert fit.zero.value - 100 == pytest.approx(-0.1712, abs=5e-5)
    assert fit.zero.u == pytest.approx(0.0029, abs=5e-5)
    assert fit.scale.value == pytest.approx(0.00218, abs=5e-6)
    assert fit.scale.u == pytest.approx(0.00067, abs=5e-6)
    assert fit.repeatability == pytest.approx(0.0035, abs=5e-5)
    assert fit.cov[0][1] / (fit.zero.u * fit.scale.u) == pytest.approx(-0.930, abs=5e-4)
    at = fit.offset_at(10)
    assert at.value - 100 == pytest.approx(-0.1494, abs=5e-5)
    assert at.u == pytest.approx(0.0041, abs=5e-5)


def test_against_two_libraries() -> None:
    """Line, standard errors, covariance, leverage, mean and prediction intervals: scipy.stats.linregress and
    statsmodels OLS say the same."""
    import statsmodels.api as sm
    from scipy import stats

    rng = np.random.default_rng(8)
    readings = [40.0, 80.0, 80.0, 150.0, 220.0, 300.0, 410.0]
    rows = checks(readings, off=list(map(float, rng.normal(0, 0.2, 7))))
    fit = fit_fence(rows, kerf=1.5, kerf_u=0.0, resolution=0.05)
    offsets = [row.width + 0.75 for row in rows]
    plain = stats.linregress(readings, offsets)
    assert (fit.zero.value, fit.scale.value) == pytest.approx((plain.intercept, plain.slope))
    assert (fit.zero.u, fit.scale.u) == pytest.approx((plain.intercept_stderr, plain.stderr))
    ols = sm.OLS(offsets, sm.add_constant(readings)).fit()
    assert np.array(fit.cov) == pytest.approx(ols.cov_params())
    assert fit.residuals == pytest.approx(ols.resid)
    assert straight_line(readings, offsets).leverage == pytest.approx(ols.get_influence().hat_matrix_diag)
    frame = ols.get_prediction([[1.0, 260.0]]).summary_frame(alpha=0.05)
    assert fit.offset_at(260).interval() == pytest.approx((frame.mean_ci_lower[0], frame.mean_ci_upper[0]))
    width = fit.width_at(260)
    assert width.interval() == pytest.approx((frame.obs_ci_lower[0] - 0.75, frame.obs_ci_upper[0] - 0.75))


def test_zero_from_one_cut() -> None:
    """80.10 mm at reading 81.0 with kerf 1.55: zero -0.125 mm; u from the calliper and half the kerf's: worked by
    hand."""
    fit = fit_fence([FenceCheck(81.0, 80.10)], kerf=1.55, kerf_u=0.0866, resolution=0.05)
    assert fit.zero.value == pytest.approx(-0.125, abs=0.001)
    assert fit.zero.u == pytest.approx(math.hypot(resolution_u(0.05), 0.0433), abs=1e-5)
    assert fit.repeatability is None
    assert any("How well a setting repeats is not known" in note for note in in_words(fit.notes))
    assert "not measured" in in_words(fit.notes)[0]


@pytest.mark.parametrize(("width", "kerf", "offset"), [(50, 1.5, 50.75), (40, 1.6, 40.8), (100, 2.0, 101)])
def test_true_scale_gives_the_offset_back(width: float, kerf: float, offset: float) -> None:
    """A fence whose marks are right: F = w + k/2, no published source, as the setting of a cut has it."""
    fit = fit_fence(checks([30, 60, 90], zero=0, kerf=kerf), kerf=kerf, kerf_u=0.01, resolution=0.05)
    assert fence_offset(width, kerf) == offset
    assert fit.offset_at(offset).value == pytest.approx(offset, abs=1e-4)
    assert fit.width_at(offset).value == pytest.approx(width)


def test_repeats_at_one_reading() -> None:
    """Four strips at one reading: mean zero, type A with 3 degrees of freedom, repeatability as scipy has it."""
    from scipy import stats

    widths = [79.9, 80.2, 80.05, 80.15]
    fit = fit_fence([FenceCheck(81, w) for w in widths], kerf=1.6, kerf_u=0.0, resolution=0.05)
    assert fit.zero.value == pytest.approx(np.mean(widths) + 0.8 - 81)
    assert fit.zero.u == pytest.approx(stats.sem(widths))
    assert fit.repeatability == pytest.approx(np.std(widths, ddof=1))
    assert fit.scale.u == 0
    assert fit.scale_differs is None


def test_two_readings_have_no_residuals() -> None:
    """Two points: exact line, covariance by propagation of the two readings (numerically differentiated), and the
    note says what is missing."""
    rows = checks([50, 250], scale=1.002)
    fit = fit_fence(rows, kerf=1.5, kerf_u=0.0, resolution=0.05)
    assert (fit.zero.value, fit.scale.value) == pytest.approx((-0.12, 1.002))
    assert fit.residuals == (0.0, 0.0)
    assert fit.repeatability is None
    assert fit.scale_differs is None
    step, jacobian = 1e-3, np.zeros((2, 2))
    for index in range(2):
        moved = checks([50, 250], scale=1.002, off=[step * (index == at) for at in range(2)])
        again = fit_fence(moved, kerf=1.5, kerf_u=0.0, resolution=0.05)
        jacobian[:, index] = (again.zero.value - fit.zero.value) / step, (again.scale.value - fit.scale.value) / step
    assert np.array(fit.cov) == pytest.approx(jacobian @ jacobian.T * resolution_u(0.05) ** 2, rel=1e-6)
    assert any("instrument and the kerf alone" in note for note in in_words(fit.notes))
    known = fit_fence(rows, kerf=1.5, kerf_u=0.0, resolution=0.05, setting_u=0.2)
    assert known.scale.u == pytest.approx(fit.scale.u * math.hypot(0.2, resolution_u(0.05)) / resolution_u(0.05))


def test_common_kerf_goes_into_the_zero() -> None:
    """A kerf 0.2 mm greater moves the zero by 0.1 mm and the scale not at all; so does its uncertainty."""
    rows = checks([50, 120, 200, 310], off=[0.1, -0.1, 0.05, -0.05])
    low, high = (fit_fence(rows, kerf=k, kerf_u=0.0, resolution=0.05) for k in (1.5, 1.7))
    assert high.zero.value - low.zero.value == pytest.approx(0.1)
    assert high.scale.value == pytest.approx(low.scale.value)
    unsure = fit_fence(rows, kerf=1.5, kerf_u=0.4, resolution=0.05)
    assert unsure.zero.u == pytest.approx(math.hypot(low.zero.u, 0.2))
    assert unsure.scale.u == pytest.approx(low.scale.u)
    assert unsure.cov[0][1] == pytest.approx(low.cov[0][1])


def test_own_kerf_cancels_in_a_width() -> None:
    """Strips cut with the fit's kerf: its error is in the zero already. Another kerf brings its own uncertainty on
    top."""
    rows = checks([50, 120, 200, 310], off=[0.1, -0.1, 0.05, -0.05])
    sure, unsure = (fit_fence(rows, kerf=1.5, kerf_u=u, resolution=0.05) for u in (0.0, 0.4))
    assert unsure.width_at(150).u == pytest.approx(sure.width_at(150).u)
    assert unsure.width_at(150, 1.5, 0.4).u == pytest.approx(sure.width_at(150).u)
    other = unsure.width_at(150, 2.0, 0.3)
    assert other.value == pytest.approx(unsure.width_at(150).value - 0.25)
    assert other.u == pytest.approx(math.hypot(sure.width_at(150).u, 0.2, 0.15))
    assert sure.width_at(150, one_setting=False).u == pytest.approx(sure.offset_at(150).u)
    with pytest.raises(ValueError, match="both figures"):
        unsure.width_at(150, 2.0)


def test_kerf_of_each_strip() -> None:
    """Strips of two thicknesses, each with its kerf: the line is that of their own offsets, and the common kerf
    plays no part."""
    rows = [FenceCheck(50, 50 - 0.5, 1.0), FenceCheck(100, 100 - 1.0, 2.0), FenceCheck(200, 200 - 0.5, 1.0)]
    fit = fit_fence(rows, kerf=5, kerf_u=0.05, resolution=0.05)
    assert (fit.zero.value, fit.scale.value) == pytest.approx((0, 1))
    assert fit.per_kerf == pytest.approx((0, 0))


def test_simpler_model_is_offered() -> None:
    """A true scale of 1 under scatter: not significantly different, and the note has the zero of the simpler model."""
    fit = fit_fence(checks([50, 120, 200, 310], off=[0.1, -0.1, 0.05, -0.05]), kerf=1.5, kerf_u=0.0, resolution=0.05)
    assert fit.scale_differs is False
    assert fit.zero_only.value == pytest.approx(-0.12)
    assert fit.zero_only.u < fit.zero.u
    assert any(
        "does not differ from 1 as far as 4 checks can tell" in note and "zero -0.12" in note
        for note in in_words(fit.notes)
    )
    held = fit_fence(
        checks([50, 120, 200, 310], off=[0.1, -0.1, 0.05, -0.05]),
        kerf=1.5,
        kerf_u=0.0,
        resolution=0.05,
        fit_scale=False,
    )
    assert held.zero.value == pytest.approx(fit.zero_only.value)
    assert held.zero.u == pytest.approx(fit.zero_only.u)
    assert (held.scale.value, held.scale.u) == (1.0, 0.0)


def test_wrong_scale_is_found() -> None:
    """One per cent too long over 260 mm is 2.6 mm: far more than the scatter."""
    fit = fit_fence(
        checks([50, 120, 200, 310], scale=1.01, off=[0.1, -0.1, 0.05, -0.05]), kerf=1.5, kerf_u=0.0, resolution=0.05
    )
    assert fit.scale_differs
    assert any("differs from 1" in note for note in in_words(fit.notes))


def test_perfect_checks_leave_the_resolution() -> None:
    """Residuals of nothing do not mean that everything is known: the instrument's resolution stays, and the note
    says so."""
    fit = fit_fence(checks([50, 120, 200, 310]), kerf=1.5, kerf_u=0.0, resolution=0.5)
    assert fit.repeatability == pytest.approx(0, abs=1e-9)
    assert fit.spread == pytest.approx(resolution_u(0.5))
    assert any("resolution limits" in note for note in in_words(fit.notes))


def test_inch_scale_is_noted() -> None:
    """Readings in inches, widths in mm: one mark is 25.4 mm, and that is said."""
    rows = [FenceCheck(r / 25.4, r - 0.75) for r in (50, 100, 200)]
    fit = fit_fence(rows, kerf=1.5, kerf_u=0.0, resolution=0.05)
    assert fit.scale.value == pytest.approx(25.4)
    assert any("the readings are in inches" in note for note in in_words(fit.notes))


def test_an_outlier_is_named_and_kept() -> None:
    """The strip 1 mm off stands out as statsmodels' Bonferroni test has it; it is kept in the fit."""
    import statsmodels.api as sm

    off = [0.02, -0.03, 0.01, 1.0, -0.02, 0.03, 0.0, -0.01]
    readings = [40.0, 80, 120, 160, 200, 240, 280, 320]
    rows = checks(readings, off=off)
    fit = fit_fence(rows, kerf=1.5, kerf_u=0.0, resolution=0.05)
    assert fit.outliers == (4,)
    assert any("Row 4 stands out" in note and "wider than the fit says" in note for note in in_words(fit.notes))
    ols = sm.OLS([row.width for row in rows], sm.add_constant(readings)).fit()
    assert ols.outlier_test()[:, 2].argmin() == 3
    assert ols.outlier_test()[3, 2] < 0.05
    quiet = fit_fence(
        checks(readings, off=[0.02, -0.03, 0.01, 0.03, -0.02, 0.03, 0.0, -0.01]), kerf=1.5, kerf_u=0.0, resolution=0.05
    )
    assert quiet.outliers == ()


def test_one_step_of_the_calliper_is_no_outlier() -> None:
    """Perfect strips but for one step of 0.05 mm: studentized it stands far out, but the resolution explains it."""
    off = [0.0, 0.0, 0.0, 0.05, 0.0, 0.0, 0.0, 0.0]
    readings = [40.0, 80, 120, 160, 200, 240, 280, 320]
    fine = fit_fence(checks(readings, off=off), kerf=1.5, kerf_u=0.0, resolution=0.001)
    coarse = fit_fence(checks(readings, off=off), kerf=1.5, kerf_u=0.0, resolution=0.1)
    assert (fine.outliers, coarse.outliers) == ((4,), ())


def test_outlier_at_one_reading() -> None:
    """Repeats at one reading: the odd one is named as well."""
    widths = [80.0, 80.1, 79.95, 80.05, 80.0, 81.2]
    fit = fit_fence([FenceCheck(81, w) for w in widths], kerf=1.6, kerf_u=0.0, resolution=0.05)
    assert fit.outliers == (6,)


@pytest.mark.parametrize(
    "readings", [(60.0, 140.0, 300.0), (50.0, 100.0, 150.0, 200.0, 250.0, 300.0)], ids=["three", "six"]
)
def test_intervals_hold_the_truth(readings: tuple[float, ...]) -> None:
    """1,000 rigs, zero -0.3, scale 1.003, settings that scatter by 0.15 mm, a kerf known to 0.05 mm: each 95 %
    interval holds in 93 to 97.5 %."""
    rng = np.random.default_rng(31)
    held = dict.fromkeys(("zero", "scale", "offset", "width"), 0)
    for _ in range(1000):
        believed = 1.5 + rng.normal(0, 0.05)
        true = [-0.3 + 1.003 * r - 0.75 + rng.normal(0, 0.15) for r in readings]
        rows = [FenceCheck(r, round(float(w) / 0.05) * 0.05) for r, w in zip(readings, true, strict=True)]
        fit = fit_fence(rows, kerf=believed, kerf_u=0.05, resolution=0.05)
        next_strip = -0.3 + 1.003 * 180 - 0.75 + rng.normal(0, 0.15)
        for name, found, truth in [
            ("zero", fit.zero, -0.3),
            ("scale", fit.scale, 1.003),
            ("offset", fit.offset_at(180), -0.3 + 1.003 * 180),
            ("width", fit.width_at(180), next_strip),
        ]:
            low, high = found.interval()
            held[name] += low <= truth <= high
    assert {name: count for name, count in held.items() if not 930 <= count <= 975} == {}


def test_zero_of_repeats_holds_the_truth() -> None:
    """1,000 times five strips at one reading: the zero's 95 % interval holds in 93 to 97.5 %, kerf error shared by
    all included."""
    rng = np.random.default_rng(7)
    held = 0
    for _ in range(1000):
        believed = 1.5 + rng.normal(0, 0.06)
        rows = [FenceCheck(100, float(100 - 0.3 - 0.75 + rng.normal(0, 0.12))) for _ in range(5)]
        low, high = fit_fence(rows, kerf=believed, kerf_u=0.06, resolution=0.01).zero.interval()
        held += low <= -0.3 <= high
    assert 930 <= held <= 975


def test_false_alarms_about_the_scale() -> None:
    """With a true scale of 1 it is called different in one fit of twenty, as 5 % says."""
    rng = np.random.default_rng(12)
    rows = [checks([50, 120, 200, 310], off=list(map(float, rng.normal(0, 0.2, 4)))) for _ in range(1000)]
    assert 30 <= sum(bool(fit_fence(each, kerf=1.5, kerf_u=0.0, resolution=0.01).scale_differs) for each in rows) <= 70


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ([], "no check is given: at least 1 is needed for the zero, 2 readings for the scale"),
        (
            [FenceCheck(81, 80), FenceCheck(81, 85)],
            r"rows 1 and 2 are both at reading 81, but their widths 80 and 85 mm lie 5 mm apart",
        ),
        (
            [FenceCheck(50, 200), FenceCheck(100, 150), FenceCheck(150, 100)],
            r"the scale runs the other way: slope -1 from reading 50 to 150",
        ),
        (
            [FenceCheck(50, 49.2), FenceCheck(1, 0.5)],
            r"row 2: width 0\.5 mm is smaller than half the kerf \(0\.75 mm\)",
        ),
        ([FenceCheck(50, 49.2), FenceCheck(1, -3)], r"row 2: width -3: must be a number above 0 mm"),
        (
            [FenceCheck(math.nan, 49.2), FenceCheck(60, math.inf)],
            r"row 1: reading nan is not a number; row 2: width inf",
        ),
        ([FenceCheck(50, 49.2, -1)], r"row 1: kerf -1: must be above 0 mm"),
        (
            [FenceCheck(50, 49.2), FenceCheck(100, 99.3), FenceCheck(150, 5.87)],
            r"row 3 looks like inches: width 5\.87 at reading 150",
        ),
        ([FenceCheck(50, 1.94), FenceCheck(100, 3.91)], r"row 1 looks like inches.*row 2 looks like inches"),
    ],
)
def test_faults_by_their_words(rows: list[FenceCheck], words: str) -> None:
    """What cannot be is refused with rows, figures and limit."""
    with pytest.raises(ValueError, match=words):
        fit_fence(rows, kerf=1.5, kerf_u=0.03, resolution=0.05)


def test_scale_needs_two_readings() -> None:
    """All at one reading, and the scale is asked for: two different readings are the least."""
    with pytest.raises(
        ValueError,
        match="all 2 checks are at reading 81: two different readings are the least that is needed for the scale",
    ):
        fit_fence([FenceCheck(81, 80), FenceCheck(81, 80.1)], kerf=1.5, kerf_u=0.03, resolution=0.05, fit_scale=True)


def test_faults_of_the_call() -> None:
    """Kerf, resolution, scale and uncertainties that cannot be, all at once."""
    with pytest.raises(ValueError, match=r"kerf 0.*resolution -1.*scale inf.*kerf_u -0\.1.*setting_u nan"):
        fit_fence([FenceCheck(81, 80)], kerf=0, kerf_u=-0.1, resolution=-1, scale=math.inf, setting_u=math.nan)


def test_far_zero_is_not_taken_for_inches() -> None:
    """A fence whose scale starts 480 mm off makes ratios of about 25, but its checks agree as they are."""
    fit = fit_fence(
        [FenceCheck(500, 19.25), FenceCheck(502, 21.25), FenceCheck(504, 23.25)], kerf=1.5, kerf_u=0, resolution=0.05
    )
    assert fit.zero.value == pytest.approx(-480)
