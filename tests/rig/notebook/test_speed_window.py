"""The window of good speeds: against a dense grid, a fitted ordered logit, simulated rigs and simpler ways."""

from __future__ import annotations

import functools
import itertools
import math
import statistics
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import pytest

from stripplan.errors import FiguresError
from stripplan.rig.notebook.cut_signs import Observation
from stripplan.rig.notebook.speed_log import ANSWERS
from stripplan.rig.notebook.speed_posterior import Assumptions
from stripplan.rig.notebook.speed_window import (
    ENDS_RATIO,
    SURE,
    NextTest,
    next_speed,
    speed_window,
)
from stripplan.wording.show import worded
from tests.checking import calls, in_words

Log = tuple[tuple[float, str | None], ...]
START, RANGE, V_MIN, V_MAX = 300.0, (200.0, 450.0), 40.0, 900.0

SEVEN: Log = (
    (240.0, "slow"),
    (300.0, "good"),
    (400.0, "fast"),
    (270.0, "good"),
    (350.0, "good"),
    (260.0, "slow"),
    (370.0, "fast"),
)
MIXED: Log = (
    (300.0, "good"),
    (250.0, "fast"),
    (330.0, "slow"),
    (310.0, "good"),
    (280.0, "good"),
    (400.0, "fast"),
    (220.0, "not fast"),
    (430.0, "not slow"),
)


@functools.cache
def asked(log: Log) -> NextTest:
    """The next test for a log, remembered: simulated rigs often share a history."""
    return next_speed(log, START, RANGE, V_MIN, V_MAX)


# --- second opinions --------------------------------------------------------------------------------------------------


@dataclass
class Dense:
    """The same model summed on an even grid without any refinement, written with scipy.stats."""

    edges: np.ndarray
    mass: np.ndarray  # low end x high end x (scatter, misread)
    scatter: np.ndarray
    misread: np.ndarray

    def end(self, axis: int, share: float) -> float:
        """Quantile of the low (0) or high end (1)."""
        marginal = self.mass.sum(axis=(1 - axis, 2))
        return float(np.exp(np.interp(share, np.concatenate(([0], np.cumsum(marginal))), self.edges)))

    def good(self, speed: float) -> float:
        """Probability that the speed lies between the ends."""
        x = (self.edges[1:] + self.edges[:-1]) / 2
        inside = (x[:, None] < math.log(speed)) & (x[None, :] > math.log(speed))
        return float(self.mass.sum(axis=2)[inside].sum())

    def information(self, speed: float) -> float:
        """Mutual information of the answer at a speed and the two ends [bit]: sum of p log2 p / (p p)."""
        x = (self.edges[1:] + self.edges[:-1]) / 2
        by_answer = [self.mass * each for each in chances(x, speed, self.scatter, self.misread).values()]
        ends = self.mass.sum(axis=2)
        total = 0.0
        for joint in (each.sum(axis=2) for each in by_answer):
            some = joint > 0
            total += float((joint[some] * np.log2(joint[some] / (ends[some] * joint.sum()))).sum())
        return total


def chances(x: np.ndarray, speed: float, scatter: np.ndarray, misread: np.ndarray) -> dict[str, np.ndarray]:
    """Chance of slow, good, fast by low end, high end, scatter and misread."""
    from scipy.stats import logistic

    z = (math.log(speed) - x[:, None]) / scatter
    slow, fast = logistic.sf(z)[:, None, :], logistic.cdf(z)[None, :, :]
    plain = {"slow": slow, "good": np.clip(1 - slow - fast, 0, None), "fast": fast}
    return {word: (1 - misread) * each + misread / 3 for word, each in plain.items()}


def dense(log: Log, low: float, high: float, cells: int = 240) -> Dense:
    """The posterior on even cells of ln speed from `low` to `high`, scatter in 13 steps."""
    from scipy.stats import lognorm, norm

    assumed = Assumptions()
    edges = np.linspace(math.log(low), math.log(high), cells + 1)
    x, cell = (edges[1:] + edges[:-1]) / 2, edges[1] - edges[0]
    a, b = x[:, None], x[None, :]
    below, above = (abs(math.log(each / START)) / norm.ppf((1 + assumed.inside) / 2) for each in RANGE)
    away = (a + b) / 2 - math.log(START)
    # Two half normals that meet at the estimate share its density: mass below to mass above as the deviations.
    middle = (1 - assumed.astray) * 2 / (below + above) * np.where(
        away < 0, below * norm(0, below).pdf(away), above * norm(0, above).pdf(away)
    ) + assumed.astray / math.log((V_MAX * 2.5) / (V_MIN / 2.5))
    wide = lognorm(assumed.width_spread, scale=assumed.width).pdf(b - a)
    prior = (1 - assumed.empty) * wide * middle * cell**2 + np.diag(assumed.empty * np.diag(middle) * cell)
    steps = np.linspace(-3, 3, 13)
    pairs = [(step, share, chance) for step in steps for share, chance in assumed.misread]
    scatter = np.array([assumed.scatter * math.exp(step * assumed.scatter_spread) for step, _, _ in pairs])
    misread = np.array([share for _, share, _ in pairs])
    mass = prior[:, :, None] * np.array([norm.pdf(step) * chance for step, _, chance in pairs])
    for speed, answer in log:
        by = chances(x, speed, scatter, misread)
        if answer == "not slow":
            mass = mass * (by["good"] + by["fast"])
        elif answer == "not fast":
            mass = mass * (by["slow"] + by["good"])
        else:
            mass = mass * by[str(answer)]
    mass = mass * np.triu(np.ones((cells, cells)))[:, :, None]
    return Dense(edges, mass / mass.sum(), scatter, misread)


@pytest.mark.parametrize(("log", "low", "high"), [(SEVEN, 190, 460), (MIXED, 120, 620)])
def test_window_against_a_dense_grid(log: Log, low: float, high: float) -> None:
    """Ends, intervals and the chance of being good agree with an even grid without refinement."""
    found, plain = speed_window(log, START, RANGE, V_MIN, V_MAX), dense(log, low, high)
    for axis, end in enumerate((found.low, found.high)):
        assert end.value == pytest.approx(plain.end(axis, 0.5), rel=0.005)
        assert end.low == pytest.approx(plain.end(axis, 0.05), rel=0.02)
        assert end.high == pytest.approx(plain.end(axis, 0.95), rel=0.02)
    assert found.probability == pytest.approx(plain.good(found.best), abs=0.01)


def test_next_speed_tells_most_by_a_dense_grid() -> None:
    """The stated information is that of the dense grid, and no speed tried there tells clearly more."""
    test, plain = next_speed(SEVEN, START, RANGE, V_MIN, V_MAX, sure=0.999), dense(SEVEN, 190, 460, 160)
    assert not test.stop
    assert test.gain == pytest.approx(plain.information(test.speed), rel=0.03)
    best = max(plain.information(speed) for speed in range(235, 420, 8))
    assert test.gain > 0.97 * best


def test_large_log_against_a_fitted_ordered_logit() -> None:
    """900 answers at 30 speeds: OrderedModel of statsmodels, likeliest ends, agrees to a quarter of our interval."""
    from statsmodels.miscmodels.ordinal_model import OrderedModel

    low, high, scatter = math.log(260), math.log(340), 0.06
    rng = np.random.default_rng(5)
    speeds = np.repeat(np.geomspace(200, 440, 30).round(), 30)
    latent = np.log(speeds) + rng.logistic(0, scatter, len(speeds))
    answers = (latent > low).astype(int) + (latent > high)
    centred = np.log(speeds) - math.log(300)
    fit = OrderedModel(answers, centred[:, None], distr="logit").fit(method="bfgs", disp=0)
    slope, first, gap = fit.params
    ends = [300 * math.exp(each / slope) for each in (first, first + math.exp(gap))]
    log = [(float(speed), ANSWERS[answer]) for speed, answer in zip(speeds, answers, strict=True)]
    found = speed_window(log, START, RANGE, V_MIN, V_MAX)
    for fitted, mine, true in zip(ends, (found.low, found.high), (260, 340), strict=True):
        half = (mine.high - mine.low) / 2
        assert abs(fitted - mine.value) < half / 2
        assert mine.ratio < 1.04
        assert true == pytest.approx(mine.value, rel=0.02)


# --- simulated rigs ---------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Run:
    """A simulated rig: cuts, whether the recommended speed is truly good, whether the intervals hold the true ends."""

    cuts: int
    good: bool
    stated: float
    sure: bool
    low_held: bool
    high_held: bool


def simulated(low: float, high: float, answer: Callable[[float], int]) -> Run:
    """Test cuts by our own choice of speeds until the stop."""
    log: Log = ()
    while not (test := asked(log)).stop:
        log += ((test.speed, ANSWERS[answer(math.log(test.speed))]),)
    window = test.window
    return Run(
        len(log),
        low < math.log(window.best) < high,
        window.probability,
        window.probability >= SURE,
        window.low.low <= math.exp(low) <= window.low.high,
        window.high.low <= math.exp(high) <= window.high.high,
    )


def plain_answer(x: float, low: float, high: float) -> int:
    """Slow, good, fast without any noise."""
    return int(x >= low) + int(x > high)


def noisy_answer(x: float, low: float, high: float, rng: np.random.Generator, wrong: float) -> int:
    """One of the two wrong answers, either alike, with that chance."""
    true = plain_answer(x, low, high)
    return (true + int(rng.integers(1, 3))) % 3 if rng.random() < wrong else true


def rigs(count: int, seed: int) -> list[tuple[float, float]]:
    """Ends of windows [ln mm/min]: width 10 to 60 %, middle anywhere in the range of the estimate."""
    rng = np.random.default_rng(seed)
    widths = np.log(1 + rng.uniform(0.1, 0.6, count))
    middles = rng.uniform(math.log(RANGE[0]), math.log(RANGE[1]), count)
    return [(float(m - w / 2), float(m + w / 2)) for m, w in zip(middles, widths, strict=True)]


def share(flags: Sequence[bool]) -> float:
    return sum(flags) / len(flags)


@functools.cache
def runs_of(count: int, wrong: float) -> tuple[Run, ...]:
    """Rigs of which one answer in `1 / wrong` is wrong, either way."""
    rng = np.random.default_rng(2)
    return tuple(
        simulated(low, high, functools.partial(noisy_answer, low=low, high=high, rng=rng, wrong=wrong))
        for low, high in rigs(count, seed=1)
    )


@pytest.mark.slow
def test_answers_without_noise_need_few_cuts() -> None:
    """400 rigs: the median is at most 7 cuts, 95 in 100 need no more than 9, and every speed recommended is good."""
    runs = runs_of(400, 0.0)
    cuts = sorted(run.cuts for run in runs)
    assert statistics.median(cuts) <= 7
    assert cuts[379] <= 9
    assert share([run.good for run in runs]) >= 0.99
    assert share([run.sure for run in runs]) >= 0.99
    # Without noise the intervals are wider than they need be: the model cannot know that answers never err.
    assert share([run.low_held and run.high_held for run in runs]) >= 0.99


@pytest.mark.slow
def test_answers_of_which_a_tenth_are_wrong() -> None:
    """200 rigs, one answer in ten wrong: median at most 8 cuts, at least 95 % truly good, ends held in 84 to 99 %."""
    runs = runs_of(200, 0.1)
    assert statistics.median(run.cuts for run in runs) <= 8
    assert share([run.good for run in runs]) >= 0.95
    assert 0.84 <= share([run.low_held for run in runs]) <= 0.99
    assert 0.84 <= share([run.high_held for run in runs]) <= 0.99


@pytest.mark.slow
def test_stated_intervals_and_chances_are_held() -> None:
    """200 rigs as assumed: the 90 % intervals hold the ends in 84 to 96 %, speeds are good as often as stated."""
    rng, assumed, runs = np.random.default_rng(1), Assumptions(), []
    below, above = (abs(math.log(each / START)) / 1.2816 for each in RANGE)
    for _ in range(200):
        if rng.random() < assumed.astray:
            middle = rng.uniform(math.log(V_MIN / 2.5), math.log(V_MAX * 2.5))
        else:
            side = -below if rng.random() < below / (below + above) else above
            middle = math.log(START) + side * abs(rng.normal())
        width = 0.0 if rng.random() < assumed.empty else assumed.width * math.exp(assumed.width_spread * rng.normal())
        scatter = assumed.scatter * math.exp(assumed.scatter_spread * rng.normal())
        lapse = assumed.misread[0 if rng.random() < assumed.misread[0][1] else 1][0]
        low, high = middle - width / 2, middle + width / 2

        def answer(x: float, low: float = low, high: float = high, s: float = scatter, lapse: float = lapse) -> int:
            if rng.random() < lapse:
                return int(rng.integers(3))
            return plain_answer(x + s * rng.logistic(), low, high)

        runs.append(simulated(low, high, answer))
    assert 0.84 <= share([run.low_held for run in runs]) <= 0.96
    assert 0.84 <= share([run.high_held for run in runs]) <= 0.96
    assert share([run.good for run in runs]) == pytest.approx(statistics.mean(run.stated for run in runs), abs=0.05)


# --- simpler ways to look for it --------------------------------------------------------------------------------------


def by_bisection(answer: Callable[[float], int]) -> tuple[int, float]:
    """Steps of a quarter to a good speed, then each end bisected to the same ratio: cuts, middle of what is good."""
    seen: dict[float, int] = {}

    def cut(x: float) -> int:
        return seen.setdefault(round(x, 6), answer(round(x, 6)))

    x, step = math.log(START), math.log(1.25)
    slow, fast = -math.inf, math.inf
    for _ in range(30):
        found = cut(x)
        if found == 1:
            break
        slow, fast = (x, fast) if found == 0 else (slow, x)
        x = (slow + fast) / 2 if math.isfinite(slow + fast) else x + step if found == 0 else x - step
    ends = []
    for outer, sign, bound in ((slow, -1, 0), (fast, 1, 2)):
        inner, far = x, outer
        while not math.isfinite(far):
            trial = inner + sign * step
            inner, far = (inner, trial) if cut(trial) == bound else (trial, far)
        while abs(far - inner) > math.log(ENDS_RATIO):
            trial = (inner + far) / 2
            inner, far = (inner, trial) if cut(trial) == bound else (trial, far)
        ends.append(inner)
    return len(seen), sum(ends) / 2


def by_five_strokes(answer: Callable[[float], int]) -> tuple[int, float]:
    """0.8 to 1.2 of the estimate, moved on while none is good; the middle of the good ones, two finer steps of 5 %."""
    start, cuts = START, 0
    for _ in range(8):
        strokes = [math.log(each * start) for each in (0.8, 0.9, 1.0, 1.1, 1.2)]
        found = [answer(each) for each in strokes]
        cuts += 5
        good = [each for each, word in zip(strokes, found, strict=True) if word == 1]
        if good:
            middle = (good[0] + good[-1]) / 2
            finer = [middle + sign * math.log(1.05) for sign in (-1, 1)]
            kept = [middle, *(each for each in finer if answer(each) == 1)]
            return cuts + 2, (min(kept) + max(kept)) / 2
        start *= 1.4 if sum(found) < 5 else 1 / 1.4
    return cuts, math.log(start)


@pytest.mark.slow
def test_against_five_strokes_and_bisection() -> None:
    """Without noise: fewer cuts than five strokes, at most 1.5 more than bisection to the same ratio, which trusts
    every answer. With a tenth of them wrong: at least 5 in 100 more speeds truly good than with either.
    """
    for wrong, count in ((0.0, 400), (0.1, 200)):
        rng = np.random.default_rng(7)
        halves: list[tuple[int, bool]] = []
        strokes: list[tuple[int, bool]] = []
        for low, high in rigs(200, seed=1):
            answer = functools.partial(noisy_answer, low=low, high=high, rng=rng, wrong=wrong)
            for baseline, results in ((by_bisection, halves), (by_five_strokes, strokes)):
                cuts, best = baseline(answer)
                results.append((cuts, low < best < high))
        mine = [(run.cuts, run.good) for run in runs_of(count, wrong)]
        cuts_of, halved, stroked = (statistics.mean(cuts for cuts, _ in each) for each in (mine, halves, strokes))
        good, good_halved, good_stroked = (share([each for _, each in results]) for results in (mine, halves, strokes))
        if wrong:
            assert good >= max(good_halved, good_stroked) + 0.05
        else:
            assert good_halved == good_stroked == 1.0
            assert cuts_of < stroked
            assert cuts_of <= halved + 1.5


def test_window_of_a_published_paper_is_found() -> None:
    """5 mm low-alloy steel, air, 4 to 5 bar, good cuts at 400 to 700 mm/min: Begic, Kulenovic, Cekic, Dedic, DAAAM
    2012, vol 23 (abstract). The answers are simulated from these two ends.
    """
    log: list[tuple[float, str]] = []
    while not (test := next_speed(log, 800, (480, 1250), 50, 1000, 10)).stop:
        log.append((test.speed, "slow" if test.speed < 400 else "fast" if test.speed > 700 else "good"))
    assert len(log) <= 9
    assert 400 <= test.speed <= 700
    assert test.window.low.low <= 400 <= test.window.low.high
    assert test.window.high.low <= 700 <= test.window.high.high
    assert max(test.window.low.ratio, test.window.high.ratio) <= ENDS_RATIO


# --- when it stops ----------------------------------------------------------------------------------------------------


def until_stop(
    answer: Callable[[float], str], dial_step: float | None = None, **options: float
) -> tuple[int, NextTest]:
    """Cuts and the last word for a rig that answers so."""
    log: list[tuple[float, str]] = []
    while not (test := next_speed(log, START, RANGE, 60, 760, dial_step, **options)).stop:  # type: ignore[arg-type]
        log.append((test.speed, answer(test.speed)))
    return len(log), test


def test_stops_when_sure_and_ends_are_known() -> None:
    """Both parts of the reason hold in the window that goes with it, and a smaller ratio asks for more cuts."""
    answer = lambda speed: "slow" if speed < 250 else "fast" if speed > 330 else "good"  # noqa: E731
    cuts, test = until_stop(answer)
    assert test.why.code == "stop_good"
    assert test.window.probability >= SURE
    assert max(test.window.low.ratio, test.window.high.ratio) <= ENDS_RATIO
    more, finer = until_stop(answer, ends_ratio=1.1)
    assert more > cuts
    assert finer.window.low.ratio <= 1.1


def test_stops_when_a_cut_would_tell_little() -> None:
    """With a floor of one bit the ends need not be known, and it says so."""
    _, test = until_stop(lambda speed: "slow" if speed < 250 else "fast" if speed > 330 else "good", little=1.0)
    assert "would tell little" in worded(test.why).text
    assert test.gain < 1
    assert test.window.low.ratio > ENDS_RATIO
    assert test.window.probability >= SURE


def test_answers_like_dice_stop_unsettled() -> None:
    """Answers without sense end after the most cuts, with a chance below what was asked: no speed is called good."""
    words = itertools.cycle(("fast", "slow", "good", "slow", "fast"))
    cuts, test = until_stop(lambda speed: next(words), most_cuts=12)
    assert cuts == 12
    assert "have not settled it" in worded(test.why).text
    assert test.window.probability < SURE


@pytest.mark.parametrize(
    ("answer", "dial_step", "best", "field", "words"),
    [
        (lambda speed: "slow", None, 760, "rig_too_slow", "use less current"),
        (lambda speed: "fast", None, 60, "rig_too_fast", "use more current"),
        (lambda speed: "slow" if speed < 300 else "fast", None, None, "empty_probability", "slow side is preferred"),
    ],
)
def test_no_good_speed_is_said_and_which_way(
    answer: Callable[[float], str], dial_step: float | None, best: float | None, field: str, words: str
) -> None:
    """Rig too slow, too fast, window empty: it stops, names the reason with what to do, and keeps to the slow side."""
    cuts, test = until_stop(answer, dial_step)
    assert cuts <= 14
    assert "no settable speed is good" in worded(test.why).text
    assert words in worded(test.why).text
    assert getattr(test.window, field) == max(
        test.window.rig_too_slow, test.window.rig_too_fast, test.window.empty_probability, test.window.between_marks
    )
    assert test.window.nowhere >= SURE
    if best is None:
        assert test.window.side == "slow"
        assert 260 <= test.speed < 300
    else:
        assert test.speed == best


def test_window_between_two_marks_of_the_dial() -> None:
    """A window of 305 to 355, a dial in steps of 60: 300 is slow, 360 fast; the slow mark is recommended."""
    log = [(300.0, "slow"), (360.0, "fast")] * 4
    coarse = next_speed(log, START, RANGE, 60, 760, 60)
    assert coarse.stop
    assert coarse.speed == 300
    assert coarse.window.between_marks > 0.2
    fine = speed_window(log, START, RANGE, 60, 760, 1)
    assert fine.between_marks < 0.01
    assert 300 < fine.best < 360 or fine.side == "slow"


def test_first_cut_is_never_the_last() -> None:
    """Without any answer nothing is called good or hopeless, however narrow the range of the estimate."""
    test = next_speed([], 300, (295, 305), V_MIN, V_MAX)
    assert not test.stop
    assert sum(each for _, each in test.chances) == pytest.approx(1)


# --- what counts as an answer -----------------------------------------------------------------------------------------


def test_observations_count_by_their_verdict() -> None:
    """Rows as observations give the same window as their words; what could not be judged is counted and said."""
    seen = [
        Observation(240, dross="easy"),
        Observation(300, dross="none"),
        Observation(400, severed=False),
        Observation(350, top_spatter=True),
    ]
    window = speed_window(seen, START, RANGE, V_MIN, V_MAX)
    words = speed_window([(240, "slow"), (300, "good"), (400, "fast")], START, RANGE, V_MIN, V_MAX)
    assert (window.low, window.high, window.best, window.n) == (words.low, words.high, words.best, 3)
    assert window.not_judged == 1
    assert "could not be judged" in worded(window.notes[0]).text


def test_one_sided_answers_move_one_end_only_where_they_should() -> None:
    """'not slow' at a speed pulls the low end below it; it says less than 'good' about the high end."""
    plain = speed_window([], START, RANGE, V_MIN, V_MAX)
    not_slow = speed_window([(330, "not slow")] * 2, START, RANGE, V_MIN, V_MAX)
    good = speed_window([(330, "good")] * 2, START, RANGE, V_MIN, V_MAX)
    assert not_slow.low.high < plain.low.high
    assert not_slow.high.value < good.high.value
    not_fast = speed_window([(270, "not fast")] * 2, START, RANGE, V_MIN, V_MAX)
    assert not_fast.high.low > plain.high.low
    assert not_fast.low.value > good.low.value


def test_order_of_the_log_does_not_matter() -> None:
    """The same answers in any order give the same window and the same next speed."""
    forward, backward = (next_speed(each, START, RANGE, V_MIN, V_MAX, sure=0.999) for each in (SEVEN, SEVEN[::-1]))
    assert forward == backward


def test_one_wrong_answer_among_many_does_not_spoil_the_window() -> None:
    """A single 'fast' far below a well-proven window widens the ends; the recommended speed stays inside."""
    proven = speed_window([*SEVEN, *SEVEN], START, RANGE, V_MIN, V_MAX)
    spoilt = speed_window([*SEVEN, *SEVEN, (245, "fast")], START, RANGE, V_MIN, V_MAX)
    assert 270 < spoilt.best < 350
    assert spoilt.probability > 0.9
    assert spoilt.low.ratio > proven.low.ratio


@pytest.mark.parametrize("step", [5.0, 7.5, 25.0])
def test_speeds_are_ones_the_dial_can_set(step: float) -> None:
    """Next and recommended speeds are multiples of the step, between the rig's least and greatest."""
    for log in ((), SEVEN[:2], SEVEN):
        test = next_speed(log, START, RANGE, 52, 731, step)
        for speed in (test.speed, test.window.best):
            assert 52 <= speed <= 731
            assert speed / step == pytest.approx(round(speed / step))


def test_more_observations_are_hardly_more_work() -> None:
    """Twenty different speeds take at most twice the calls of five."""
    log = [(speed, "slow" if speed < 270 else "fast" if speed > 340 else "good") for speed in range(210, 410, 10)]
    assert len(log) == 20
    next_speed(log, START, RANGE, V_MIN, V_MAX)  # what is imported once does not count
    few, many = (calls(lambda rows=rows: next_speed(rows, START, RANGE, V_MIN, V_MAX)) for rows in (log[::4], log))
    assert many < 2 * few


# --- what is refused --------------------------------------------------------------------------------------------------


def test_every_faulty_row_is_named() -> None:
    """Negative speed, unknown word, a speed the rig cannot travel, not a pair: each with its row, all at once."""
    log = [(300, "good"), (-5, "slow"), (310, "superb"), (2000, "fast"), 7, (float("nan"), "fast")]
    with pytest.raises(FiguresError, match="row 2") as caught:
        speed_window(log, START, RANGE, V_MIN, V_MAX)  # type: ignore[arg-type]
    lines = in_words(caught.value.faults)
    assert [line.split(":")[0] for line in lines] == ["row 2", "row 3", "row 4", "row 5", "row 6"]
    assert "-5 mm/min must be a number above 0" in lines[0]
    assert "'superb' is not known; known are slow, good, fast" in lines[1]
    assert "2000 mm/min is not one the rig travels, 40 to 900" in lines[2]


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ((0, RANGE, V_MIN, V_MAX), "starting speed 0 mm/min must be a number above 0"),
        ((300, (310, 450), V_MIN, V_MAX), "300 mm/min lies outside its own range, 310 to 450"),
        ((300, (-1, 450), V_MIN, V_MAX), "least speed of the range of the estimate -1"),
        ((300, RANGE, 900, 40), "least travel speed 900 mm/min lies above the greatest, 40"),
        ((300, RANGE, V_MIN, V_MAX, -5), "step of the dial -5"),
        ((300, RANGE, 110, 140, 100), "no multiple of the dial's step of 100 mm/min lies between 110 and 140"),
    ],
)
def test_what_cannot_be_is_refused(arguments: tuple[object, ...], words: str) -> None:
    """Each with the figure and the limit."""
    with pytest.raises(ValueError, match=words.replace("(", r"\(")):
        next_speed([], *arguments)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"sure": 1.0}, "must be 0.5 or more and below 1"),
        ({"ends_ratio": 1.0}, "above 1"),
        ({"most_cuts": 0}, "at least 1"),
    ],
)
def test_options_that_never_stop_are_refused(options: dict[str, float], words: str) -> None:
    """A certainty of 1 or a ratio of 1 would never be reached."""
    with pytest.raises(ValueError, match=words):
        next_speed([], START, RANGE, V_MIN, V_MAX, **options)  # type: ignore[arg-type]


def test_assumptions_check_themselves() -> None:
    """All faults at once; a misread share of 0 is refused, for then one wrong answer could make a log impossible."""
    with pytest.raises(
        ValueError, match="width -1 must be above 0\nempty 2 must be above 0 and below 1\nmisread needs"
    ):
        Assumptions(width=-1, empty=2, misread=((0.0, 1.0),))
