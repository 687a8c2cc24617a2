"""The window of good travel speeds from test cuts, and which speed to try next so that it is found in few cuts.

Problem: on one plate at one current a cut is too slow below some speed a and too fast above some speed b. Each test cut
gives one ordered answer, slow < good < fast, and answers are now and then wrong. Wanted: a, b, a speed that is good,
and the next speed to try.

Model: cumulative logit with proportional odds (McCullagh 1980, from memory) in x = ln speed,

    P(slow) = L((a - x) / s),  P(slow or good) = L((b - x) / s),  L(z) = 1 / (1 + exp(-z)),

with unknown scatter s of the ends, and a share of answers that are misread: any of the three, whatever the speed (the
lapses of psychometric functions: Wichmann and Hill 2001, from memory). The posterior over (a, b, s, misread) is summed
on a grid. The grid of ln speed has cells of unequal width; it is laid again twice where the posterior lies, with an
edge on each speed that was tried, because there the posterior has its steps. The case a = b, slow passing straight to
fast, is a state of its own.

Next speed: the settable one whose answer is expected to say most about (a, b), their mutual information in bits
(Lindley 1956; one step ahead as by Kontsevich and Tyler 1999, both from memory). One step ahead is not the best
possible sequence. Cost: a few milliseconds.

Measured on simulated rigs (tests/rig/notebook/test_speed_window.py), windows of 10 to 60 %, range of the estimate 200
to 450 mm/min: 6 cuts in the median without noise and all recommended speeds good; 7 with one answer in ten wrong, at
least 97 in 100 good. Bisection to the same ratio needs a cut less where no answer is ever wrong, and finds 88 in 100
where a tenth are. Where a third of the answers are wrong, which is beyond what is assumed, the intervals are too
narrow.

The reckoning is in `speed_posterior`, and so is what is taken for granted, in `Assumptions`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from stripplan.rig.notebook.speed_log import Entry
from stripplan.rig.notebook.speed_posterior import Assumptions, Search
from stripplan.wording.message import Facts, Message, Quantity
from stripplan.wording.message import speed as speed_of

LEVEL = 0.90
"""Level of the intervals of the window's ends."""
SURE = 0.95
"""Probability that the recommended speed is good at which testing may stop."""
ENDS_RATIO = 1.20
"""An end of the window is known when the greatest speed of its interval is at most so many times the least."""
LITTLE = 0.10
"""Expected information of the next cut [bit] below which further cuts change little."""
MOST_CUTS = 20
"""After so many judged cuts testing stops in any case."""

Confidence = Literal["almost_surely_good", "likely_good", "more_likely_good", "not_known_good"]
"""How sure it is that a speed is good."""


@dataclass(frozen=True)
class Interval:
    """One end of the window [mm/min]: its median and the interval that holds it at the stated level."""

    value: float
    low: float
    high: float
    level: float = LEVEL

    @property
    def ratio(self) -> float:
        """Greatest over least."""
        return self.high / self.low


@dataclass(frozen=True)
class Window:
    """What the cuts so far say.

    `low` and `high` are the lowest and highest good speed [mm/min]; `best` the settable speed recommended now and
    `probability` that it is good; `confidence` the same as a code. `empty_probability`: slow passes straight to fast.
    `between_marks`: there is a window but no settable speed in it. `rig_too_slow`, `rig_too_fast`: even the rig's
    greatest speed is too slow, even its least too fast. `n` answers were used, `not_judged` rows gave none. `side` is
    "slow" where no good speed is likely and the speed is chosen for dross that scrapes off.
    """

    low: Interval
    high: Interval
    best: float
    probability: float
    confidence: Confidence
    empty_probability: float
    between_marks: float
    rig_too_slow: float
    rig_too_fast: float
    n: int
    not_judged: int = 0
    side: str | None = None
    notes: tuple[Message, ...] = ()
    status: str = "from test cuts; ordered-answer model with assumed usual width"

    @property
    def nowhere(self) -> float:
        """Probability that no settable speed of the rig is good."""
        return self.empty_probability + self.between_marks + self.rig_too_slow + self.rig_too_fast


@dataclass(frozen=True)
class NextTest:
    """The next speed to try [mm/min] and why, what it is expected to tell [bit], and the chances of each answer.

    Where `stop` is True no further cut is needed or none would help: `speed` is then the speed to use, and `why` says
    which.
    """

    speed: float
    why: Message
    gain: float
    stop: bool
    window: Window
    chances: tuple[tuple[str, float], ...] = ()


def speed_window(
    log: Sequence[Entry],
    start: float,
    start_range: tuple[float, float],
    v_min: float,
    v_max: float,
    dial_step: float | None = None,
    *,
    assumptions: Assumptions | None = None,
) -> Window:
    """The window of good speeds as far as the log of test cuts shows it.

    `start` and `start_range` [mm/min] are the estimate before any cut and the range in which the good speed should lie;
    `v_min`, `v_max` the rig's travel speeds; `dial_step` the step of speeds that can be set (1 mm/min where left out).

    >>> found = speed_window([(240, "slow"), (300, "good"), (400, "fast")], 300, (200, 450), 50, 760)
    >>> found.n, 240 < found.low.value < 300 < found.high.value < 400, found.confidence
    (3, True, 'likely_good')
    """
    return _window(Search(log, start, start_range, v_min, v_max, dial_step, assumptions or Assumptions()))


def next_speed(
    log: Sequence[Entry],
    start: float,
    start_range: tuple[float, float],
    v_min: float,
    v_max: float,
    dial_step: float | None = None,
    *,
    sure: float = SURE,
    ends_ratio: float = ENDS_RATIO,
    little: float = LITTLE,
    most_cuts: int = MOST_CUTS,
    assumptions: Assumptions | None = None,
) -> NextTest:
    """The speed of the next test cut, or that testing may stop; arguments as for `speed_window`.

    Stops where the recommended speed is good with probability `sure` and both ends are known within `ends_ratio` (as
    far as the rig can reach them) or the next cut would tell less than `little` [bit]; where no settable speed is good
    with that probability; and after `most_cuts`.

    >>> first = next_speed([], 300, (200, 450), 50, 760)
    >>> first.stop, 200 < first.speed < 450
    (False, True)
    >>> last = next_speed([(700, "slow"), (740, "slow"), (760, "slow"), (760, "slow")], 900, (700, 1200), 50, 760)
    >>> last.stop, last.speed, last.why.facts["reason"].code
    (True, 760.0, 'rig_too_slow')
    """
    faults = []
    if not 0.5 <= sure < 1:
        faults.append(f"the probability at which testing stops, {sure:g}, must be 0.5 or more and below 1")
    if not ends_ratio > 1:
        faults.append(f"the ratio within which the ends are wanted, {ends_ratio:g}, must be above 1")
    if most_cuts < 1:
        faults.append(f"{most_cuts} cuts at most: at least 1 is needed")
    if faults:
        raise ValueError("; ".join(faults))
    search = Search(log, start, start_range, v_min, v_max, dial_step, assumptions or Assumptions())
    window = _window(search)
    speed, gain, chances = search.next()
    why = _why_stop(window, gain, search, sure, ends_ratio, little, most_cuts)
    if why is not None:
        return NextTest(window.best, why, gain, True, window)
    return NextTest(speed, _why_next(speed, chances, window, search), gain, False, window, chances)


# --- what is read from the posterior ---------------------------------------------------------------------------------


def _window(search: Search) -> Window:
    grid = search.grid
    tail = (1 - LEVEL) / 2
    ends = [
        Interval(*(round(grid.quantile(marginal, each), 2) for each in (0.5, tail, 1 - tail)))
        for marginal in (grid.low, grid.high)
    ]
    good, _, _ = search.good(search.settable)
    too_slow, too_fast, empty, between = search.nowhere()
    best, side = search.best(good, too_slow, too_fast, empty + between)
    probability = float(good[best])
    found = Window(
        low=ends[0],
        high=ends[1],
        best=float(search.settable[best]),
        probability=probability,
        confidence=_confidence(probability),
        empty_probability=empty,
        between_marks=between,
        rig_too_slow=too_slow,
        rig_too_fast=too_fast,
        n=len(search.answers),
        not_judged=search.not_judged,
        side=side,
    )
    return replace(found, notes=tuple(_notes(found)))


def _confidence(probability: float) -> Confidence:
    if probability >= 0.95:
        return "almost_surely_good"
    if probability >= 0.80:
        return "likely_good"
    return "more_likely_good" if probability >= 0.50 else "not_known_good"


TOO_SLOW, TOO_FAST = Message("rig_too_slow"), Message("rig_too_fast")
EMPTY, BETWEEN = Message("no_window"), Message("between_marks")
"""Why no speed may serve, each with what to do."""


def _notes(found: Window) -> Iterator[Message]:
    if found.rig_too_slow >= 0.5:
        yield TOO_SLOW
    elif found.rig_too_fast >= 0.5:
        yield TOO_FAST
    elif found.side == "slow":
        yield BETWEEN if found.between_marks > found.empty_probability else EMPTY
    if found.not_judged:
        yield Message("cuts_not_judged", facts=Facts(cuts=found.not_judged))


# --- why ------------------------------------------------------------------------------------------------------------


def _why_stop(
    window: Window, gain: float, search: Search, sure: float, ends_ratio: float, little: float, most_cuts: int
) -> Message | None:
    """Why testing may stop; None where it goes on."""
    if window.n and window.nowhere >= sure:
        return Message("stop_none_good", facts=Facts(sure=_percent(window.nowhere), reason=_main_reason(window)))
    speed, percent = speed_of(window.best), _percent(window.probability)
    if window.n and window.probability >= sure:
        why = None
        if all(_known_within(each, search) <= ends_ratio for each in (window.low, window.high)):
            why = Message("ends_known", facts=Facts(ratio=float(ends_ratio)))
        elif gain < little:
            why = Message("little_to_tell", facts=Facts(gain=gain))
        if why is not None:
            return Message("stop_good", facts=Facts(speed=speed, sure=percent, why=why))
    if window.n >= most_cuts:
        facts = Facts(cuts=window.n, speed=speed, confidence=Message(window.confidence), sure=percent)
        return Message("stop_unsettled", facts=facts)
    return None


def _main_reason(window: Window) -> Message:
    """Why no speed serves, the likeliest reason."""
    reasons = (
        (window.rig_too_slow, TOO_SLOW),
        (window.rig_too_fast, TOO_FAST),
        (window.empty_probability, EMPTY),
        (window.between_marks, BETWEEN),
    )
    return max(reasons, key=lambda each: each[0])[1]


def _known_within(end: Interval, search: Search) -> float:
    """Ratio of an end's interval, as far as the rig can travel: what lies beyond cannot be found and need not be."""
    low, high = (min(max(each, search.v_min), search.v_max) for each in (end.low, end.high))
    return high / low


def _why_next(speed: float, chances: tuple[tuple[str, float], ...], window: Window, search: Search) -> Message:
    """Why this speed: which end it is for and which answers are expected."""
    by = dict(chances)
    expected = {word: _percent(each) for word, each in chances}
    if not window.n:
        return Message("first_of_all", facts=Facts(**expected))
    again = any(abs(speed - each) < 1e-9 for each, _ in search.answers)
    if by["good"] < 0.15:
        return Message("next_for_side", facts=Facts(speed=speed_of(speed), again=again, **expected))
    low = by["slow"] >= by["fast"]
    end = window.low if low else window.high
    reach = {"least": speed_of(end.low), "most": speed_of(end.high)}
    return Message(
        "next_for_low" if low else "next_for_high",
        facts=Facts(speed=speed_of(speed), again=again, **reach, **expected),
    )


def _percent(share: float) -> Quantity:
    return Quantity(100 * share, "percent")
