"""The kerf from test cuts: value, uncertainty, outliers, what an error in it does."""

from __future__ import annotations

import math

import numpy as np
import pytest

from stripplan.rig.inches import inch_rows
from stripplan.rig.process.kerf import KerfWidths, kerf_u, measured_kerf, strip_error
from stripplan.rig.repeated_readings import grubbs, scatter_or_reading
from stripplan.rig.uncertainty import resolution_u
from tests.checking import in_words

URANIUM = [199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57]
"""Mass spectrometer readings of U-235: NIST/SEMATECH e-Handbook 1.3.5.17.1."""

TEMPERATURES = [
    96.90, 98.18, 98.25, 98.61, 99.03, 99.49, 99.56, 99.74, 99.89, 100.07,
    100.33, 100.42, 100.68, 100.95, 101.11, 101.20, 101.57, 101.84, 102.36, 102.72,
]  # fmt: skip
"""Twenty readings of a temperature: JCGM 100:2008, table 1 (from memory; its printed mean and deviation agree)."""


@pytest.mark.parametrize(
    ("test", "kerf", "tolerance"),
    [
        (KerfWidths(150.00, (80.10, 68.35)), 1.55, 0.005),
        (KerfWidths(300.0, (50.0, 50.0, 50.0, 50.0, 50.0, 42.2)), 1.56, 0.001),
        (KerfWidths(300.0, (292.2,), cuts=5), 1.56, 0.001),
    ],
)
def test_one_piece(test: KerfWidths, kerf: float, tolerance: float) -> None:
    """k = (before - sum of after) / cuts: arithmetic, worked by hand; the last one with its six strips measured in
    one width."""
    assert test.kerf == pytest.approx(kerf, abs=tolerance)
    assert measured_kerf([test]).value == pytest.approx(kerf, abs=tolerance)


@pytest.mark.parametrize(
    ("readings", "cuts", "u"), [(3, 1, 0.0866), (15, 5, 0.0387)], ids=["one cut", "five cuts averaged"]
)
def test_type_b_of_calliper_readings(readings: int, cuts: int, u: float) -> None:
    """Three readings of 0.05 mm give 0.0866 mm, five such kerfs averaged 0.0387 mm: JCGM 100:2008, root of the sum
    of squares."""
    assert kerf_u(readings, 0.05, cuts) == pytest.approx(u, abs=0.0005)


def test_one_test_has_the_uncertainty_of_its_reading() -> None:
    """sqrt(m) u / n for m readings and n cuts, no degrees of freedom lost, and it is said that the scatter is not
    known."""
    one, five = measured_kerf([KerfWidths(150, (80.1, 68.35))]), measured_kerf([KerfWidths(300, (48.7,) * 6)])
    assert one.u == pytest.approx(math.sqrt(3) * 0.05 / math.sqrt(12))
    assert five.u == pytest.approx(math.sqrt(7) * 0.05 / math.sqrt(12) / 5)
    assert one.dof == math.inf
    assert "scatters is not known" in in_words(one.notes)[0]
    assert measured_kerf([KerfWidths(150, (80.1, 68.35))], reading_u=0.05).u == pytest.approx(0.0866, abs=0.0005)
    assert measured_kerf([KerfWidths(150, (80.1, 68.35))], resolution=0.5).u == pytest.approx(0.25)


def test_type_a_of_a_published_example() -> None:
    """Mean 100.14, u 0.33 with 19 degrees of freedom: JCGM 100:2008, 4.4.3."""
    found, how = scatter_or_reading(TEMPERATURES, [1.0] * 20, [0.003] * 20)
    assert found.value == pytest.approx(100.14, abs=0.006)
    assert found.u == pytest.approx(0.33, abs=0.005)
    assert (found.dof, how) == (19, "scatter")


def test_interval_is_that_of_students_t() -> None:
    """Equal tests: mean and 95 % interval are those of scipy.stats on the plain kerfs."""
    from scipy import stats

    tests = [KerfWidths(150, (80, 70 - k)) for k in (1.40, 1.62, 1.55, 1.71, 1.48)]
    found = measured_kerf(tests)
    kerfs = [test.kerf for test in tests]
    low, high = stats.t.interval(0.95, 4, np.mean(kerfs), stats.sem(kerfs))
    assert found.interval() == pytest.approx((low, high))
    assert found.each == pytest.approx(kerfs)


def test_a_test_of_many_cuts_weighs_more() -> None:
    """Each cut counts once: one cut of 1.9 mm and four of 1.5 mm in one piece are 1.58 mm in the mean."""
    found = measured_kerf([KerfWidths(100, (50, 48.1)), KerfWidths(200, (40, 40, 40, 40, 34))])
    assert found.value == pytest.approx((1.9 + 4 * 1.5) / 5)
    assert found.cuts == 5


def test_reading_is_the_least_not_added() -> None:
    """Where the scatter is great it is u alone; where it is smaller than the reading explains, the reading is u, and
    never less."""
    from scipy import stats

    wide = measured_kerf([KerfWidths(150, (80, 70 - k)) for k in (1.2, 1.5, 1.8)], resolution=0.5)
    assert wide.u == pytest.approx(stats.sem([1.2, 1.5, 1.8]))
    near = measured_kerf([KerfWidths(150, (80, 70 - k)) for k in (1.48, 1.50, 1.52)] * 4, resolution=0.05)
    assert near.u == pytest.approx(math.sqrt(36) * resolution_u(0.05) / 12)
    assert near.how == "reading"


def test_tests_that_agree_too_well_share_their_rounding() -> None:
    """Five equal kerfs read with a rule of 0.5 mm are known no better than one: JCGM 100:2008, F.2.2.1; and the note
    says so."""
    found = measured_kerf([KerfWidths(150, (80, 68.5))] * 5, resolution=0.5)
    assert found.u == pytest.approx(0.25)
    assert any("finer instrument" in note for note in in_words(found.notes))


def test_the_instruments_zero_comes_through_in_full() -> None:
    """A zero off by 0.1 mm puts every kerf off by 0.1 mm, however many cuts; its uncertainty is added by root of the
    sum of squares."""
    for cuts in (1, 5):
        true = KerfWidths(300, ((300 - 1.5 * cuts) / (cuts + 1),) * (cuts + 1))
        read = KerfWidths(true.before + 0.1, tuple(each + 0.1 for each in true.after))
        assert read.kerf - true.kerf == pytest.approx(-0.1)
    tests = [KerfWidths(150, (80, 70 - k)) for k in (1.4, 1.6, 1.5)]
    plain, zero = measured_kerf(tests), measured_kerf(tests, zero_u=0.03)
    assert zero.u == pytest.approx(math.hypot(plain.u, 0.03))
    assert zero.dof > plain.dof


def test_an_outlier_is_named_and_kept() -> None:
    """Row 3 of five stands out: it stays in the mean, and the note has its figures and those without it."""
    tests = [KerfWidths(150, (80, 70 - k)) for k in (1.55, 1.50, 3.0, 1.55, 1.55)]
    found = measured_kerf(tests)
    assert found.outliers == (3,)
    assert found.value == pytest.approx(1.83)
    rest = measured_kerf(tests, without=(3,))
    assert rest.rows == (1, 2, 4, 5)
    assert rest.value == pytest.approx(1.5375)
    assert (
        "Row 3 stands out: kerf 3 mm (G = 1.79, above 1.72, Grubbs). It is kept. Measure it again; if there was a "
        f"cause, say ignore = true in that row: the kerf would be 1.538 ±{rest.half_width():.2f} mm."
    ) in in_words(found.notes)
    assert any("6 tests or fewer" in note for note in in_words(found.notes))


def test_two_outliers_among_many() -> None:
    """With more than six tests left the test goes on without the worst, and names both."""
    rng = np.random.default_rng(4)
    kerfs = [*rng.normal(1.5, 0.05, 12), 4.0, 2.6]
    assert measured_kerf([KerfWidths(150, (80, 70 - float(k))) for k in kerfs]).outliers == (13, 14)


def test_one_step_of_the_calliper_is_no_outlier() -> None:
    """Three equal kerfs and one a step off: G exceeds its limit by rounding alone, which the resolution explains."""
    tests = [KerfWidths(150, (80, 70 - k)) for k in (1.50, 1.50, 1.50, 1.50, 1.55)]
    assert grubbs([test.kerf for test in tests]).stands_out
    assert measured_kerf(tests).outliers == ()


@pytest.mark.parametrize(
    ("way", "n", "error"),
    [
        ("on_fence", 1, -0.05),
        ("between_settings", 1, -0.1),
        ("left_fixed_edge", 10, -0.05),
        ("left_moving_edge", 10, -0.5),
        ("left_corrected", 10, -1.0),
    ],
)
def test_what_a_kerf_error_does(way: str, n: int, error: float) -> None:
    """Kerf reckoned 0.1 mm too small: stepped through cut by cut on a plate of 1,000 mm, strips of 50 mm."""
    used, true, plate, width = 1.4, 1.5, 1000.0, 50.0
    if way == "on_fence":
        stepped = width + used / 2 - true / 2 - width
    elif way == "between_settings":
        near, far = 200 + used / 2, 200 + used / 2 + width + used
        stepped = (far - true / 2) - (near + true / 2) - width
    elif way == "left_fixed_edge":
        left = plate
        for number in range(1, n + 1):
            left = plate - number * (width + used) + used / 2 - true / 2
        stepped = left - (plate - n * (width + used))
    else:
        offset = width + used / 2 if way == "left_moving_edge" else width + true / 2
        left = plate
        for _ in range(n):
            left -= offset + true / 2
        stepped = left - (plate - n * (width + used))
    assert stepped == pytest.approx(error)
    assert strip_error(true - used, way, n) == pytest.approx(error, abs=1e-4)  # type: ignore[arg-type]


def test_effects_in_words() -> None:
    """Known to ±0.05 mm: 0.025 mm in a strip, 0.05 mm between two settings, 0.25 mm after ten."""
    found = measured_kerf([KerfWidths(150, (80.1, 68.4))])
    half = found.half_width()
    assert half == pytest.approx(0.049, abs=0.0005)
    assert in_words(found.effects(10)) == [
        f"The kerf is known to ±{half:.3f} mm (95 %).",
        f"A strip on the fence is off by up to {half / 2:.3f} mm for that, a strip between two settings by up to "
        f"{half:.3f} mm.",
        f"After 10 strips from a moving edge, what is left is off by up to {5 * half:.3f} mm.",
    ]


def simulated(rng: np.random.Generator, scatter: float, step: float, cuts: tuple[int, ...]) -> list[KerfWidths]:
    """Test cuts of a true kerf of 1.5 mm: each cut scatters, each width is read to the step."""
    tests = []
    for n in cuts:
        kerfs = rng.normal(1.5, scatter, n)
        before = rng.uniform(250, 300)
        widths = rng.uniform(20, 30, n)
        true = [before, *widths, before - widths.sum() - kerfs.sum()]
        read = [round(float(each) / step) * step for each in true]
        tests.append(KerfWidths(read[0], tuple(read[1:]), step))
    return tests


@pytest.mark.parametrize("cuts", [(1, 1, 1), (1, 1, 1, 1, 1, 1), (1, 4, 2, 6)], ids=str)
def test_the_interval_holds_the_true_kerf(cuts: tuple[int, ...]) -> None:
    """1,000 rigs whose kerf scatters by 0.12 mm from cut to cut: the 95 % interval holds the true kerf in 93 to 97.5
    %."""
    rng = np.random.default_rng(20)
    held = 0
    for _ in range(1000):
        low, high = measured_kerf(simulated(rng, 0.12, 0.05, cuts)).interval()
        held += low <= 1.5 <= high
    assert 930 <= held <= 975


@pytest.mark.parametrize("scatter", [0.0, 0.05, 0.3])
def test_a_coarse_rule_never_promises_too_much(scatter: float) -> None:
    """Read with a rule of 0.5 mm the interval holds the true kerf at least as often as it says, however little the
    kerf scatters."""
    rng = np.random.default_rng(5)
    held = 0
    for _ in range(1000):
        low, high = measured_kerf(simulated(rng, scatter, 0.5, (1, 1, 1, 1))).interval()
        held += low <= 1.5 <= high
    assert held >= 940


GOOD = KerfWidths(150, (80.1, 68.35))


@pytest.mark.parametrize(
    ("bad", "words"),
    [
        (
            KerfWidths(150, (80.1, 72.0)),
            r"row 2: the widths after add to 152\.1 mm, 2\.1 mm more than the 150 mm before",
        ),
        (
            KerfWidths(150, (81.0, 69.0), 0.5),
            r"row 2: .*no less than the 150 mm before.*a finer instrument than one of 0\.5 mm",
        ),
        (
            KerfWidths(5.9055, (3.1535, 2.6909)),
            r"row 2 looks like inches: its kerf 0\.061 is about 1/25 of the 1\.55 of row 1",
        ),
        (
            KerfWidths(150, (80.1, 2.691)),
            r"row 2: kerf 67\.209 mm is wider than the narrowest piece .*width 2 after looks like inch",
        ),
        (KerfWidths(150, (3.15, 2.691)), r"units are likely mixed; the widths after look like inches"),
        (KerfWidths(5.9055, (80, 68.4)), r"row 2: .* more than the .*; the width before looks like inches"),
        (
            KerfWidths(150, (100, 30)),
            r"row 2: kerf 20 mm is wider than any cut of this kind \(10 mm\).*a piece was not measured",
        ),
        (KerfWidths(150, (146, 1.0)), r"row 2: kerf 3 mm is wider than the narrowest piece left \(1 mm\)"),
        (KerfWidths(150, (80,)), r"row 2: 1 width after the cut: at least 2 are needed"),
        (KerfWidths(150, (math.nan, 68)), r"row 2: width nan: every width must be a number above 0 mm"),
        (KerfWidths(math.inf, (80, 68)), r"row 2: width inf"),
        (KerfWidths(150, (80, 68.5), 0.0), r"row 2: resolution 0: must be above 0 mm"),
        (KerfWidths(150, (70, 40, 37), cuts=1), r"row 2: 1 cuts leave at most 2 pieces, but 3 widths are given"),
    ],
)
def test_faults_name_row_and_figures(bad: KerfWidths, words: str) -> None:
    """A row that cannot be is refused with its number, its figures and what is likely wrong; left out, the rest
    serves."""
    with pytest.raises(ValueError, match=words):
        measured_kerf([GOOD, bad])
    assert measured_kerf([GOOD, bad], without=(2,)).rows == (1,)


def test_all_faults_at_once() -> None:
    """Two bad rows among three: both are named in one error."""
    with pytest.raises(ValueError, match=r"row 1: 1 width.*row 3: width -1"):
        measured_kerf([KerfWidths(150, (80,)), GOOD, KerfWidths(150, (-1, 68))])


def test_faults_of_the_call() -> None:
    """Rows that are not there, no row left, uncertainties that cannot be."""
    with pytest.raises(ValueError, match="row 4 cannot be left out: the rows are 1 to 1"):
        measured_kerf([GOOD], without=(4,))
    with pytest.raises(ValueError, match="no test cut is left: at least 1 is needed"):
        measured_kerf([GOOD], without=(1,))
    with pytest.raises(ValueError, match="reading_u 0"):
        measured_kerf([GOOD], reading_u=0)
    with pytest.raises(ValueError, match="zero_u -1"):
        measured_kerf([GOOD], zero_u=-1)
    with pytest.raises(ValueError, match="0 strips: at least 1"):
        strip_error(0.1, "on_fence", 0)
    with pytest.raises(ValueError, match="way 'across' is not known"):
        strip_error(0.1, "across")  # type: ignore[arg-type]
    with pytest.raises(ValueError, match="2 values: at least 3"):
        grubbs([1.0, 2.0])


def test_all_in_inches_is_noted() -> None:
    """One row alone, all in inches: nothing to compare with, but 0.061 mm is narrower than any thermal cut."""
    assert "was it typed in inches?" in in_words(measured_kerf([KerfWidths(5.9055, (3.1535, 2.6909))]).notes)[-1]
    assert inch_rows([1.5, 1.6, 2.0]) == ()


def test_two_tests_are_said_to_say_little() -> None:
    """Two tests have one degree of freedom and a wide interval, and the note says that a third narrows it."""
    two = measured_kerf([KerfWidths(150, (80, 68.4)), KerfWidths(150, (80, 68.6))])
    assert two.dof == 1
    assert two.half_width() == pytest.approx(12.706 * 0.1, abs=0.001)
    assert any("third test" in note for note in in_words(two.notes))
