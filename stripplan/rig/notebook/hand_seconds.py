"""What set-ups really take: minutes that the work took beside those planned, cause by cause.

Problem: somebody writes down how long some cuts took all together; each of them has several set-ups, and the plan says
how long it counts each with. Which of these figures are off, and by how much?

Method: what was taken less what was planned is explained by a share more or less of the minutes of each cause, the
machine's own (arc, return, air, rests) as planned. Linear regression with a normal prior: each figure is off by
nothing, give or take `PRIOR`, which counts as one observation more for each cause (A. Gelman and others, Bayesian Data
Analysis, 3rd edition, 14.8, from memory). Lapses add up over the time that is told of, so the variance of an
observation grows with its minutes. Its size is that of what is left over, taken anew with each fit until it stays, and
before much is known that of lapses as they usually are (a scaled inverse chi-squared prior, the same, 14.8).

So a cause that was seldom met keeps the figure it has, with a spread that says so; nothing has to be left out for it.
Exact for the model, as far as the variance is known. Cost: one small system of equations for each fit.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from stripplan.model.rig import Seconds

FIGURES: Mapping[str, tuple[str, ...]] = {
    "fence": ("fence", "fence_per_mm"),
    "end_stop": ("end_stop", "end_stop_per_mm"),
    "mitre": ("mitre",),
    "quarter_turn": ("quarter_turn",),
    "turn_over": ("turn_over",),
    "fetch": ("fetch",),
    "push": ("push",),
    "clear": ("clear",),
    "dress": ("scrape_each", "scrape_per_m"),
    "process": ("process",),
}
"""Causes of minutes that hands take, and the figures under [seconds] that they are counted by."""
BY_MASS = ("quarter_turn", "turn_over", "fetch", "push", "clear")
"""Causes that take longer by the piece's mass: what is added for a kilogram is scaled as they are, by their minutes."""
PRIOR = 0.5
"""What a figure may be off by before anything is known of it, as a share: common practice, no source."""
FEWEST = 6
"""With fewer observations the lapses cannot be told from the figures: common practice, no source."""
LEARNT = 0.6
"""A figure counts as learnt once its spread is below this share of `PRIOR`: common practice, no source."""
LAPSES, AS_MANY = 0.15, 4
"""Usual spread of an observation over the root of its minutes [min^0.5], half a minute in ten, and so many observations
that this counts as: common practice, no source."""
ROUNDS = 30
"""Fits at the most: the variance stays after some five."""


@dataclass(frozen=True, kw_only=True)
class TimedCuts:
    """Cuts that somebody timed together: the minutes they took, those planned of all causes, and of each cause in
    `FIGURES`."""

    taken: float
    planned: float
    by_cause: Mapping[str, float]


@dataclass(frozen=True, kw_only=True)
class CauseLearnt:
    """One cause: minutes planned in all that was timed, how many times as long it takes, give or take `spread`, whether
    that is `learnt`, and whether it is `off`, by more than chance explains."""

    cause: str
    minutes: float
    factor: float
    spread: float

    @property
    def learnt(self) -> bool:
        """Whether so much was seen of it that the figure says more than was thought before."""
        return self.spread < LEARNT * PRIOR

    @property
    def off(self) -> bool:
        """Whether it takes longer or shorter by more than two spreads."""
        return self.learnt and abs(self.factor - 1.0) > 2 * self.spread


def hand_factors(timed: Sequence[TimedCuts]) -> tuple[CauseLearnt, ...]:
    """How many times as long as planned each cause takes; nothing where too little was timed.

    Causes that no timed cut has are left out.

    >>> cuts = [TimedCuts(taken=6 + n, planned=5 + n, by_cause={"fence": 2.0, "fetch": n}) for n in range(1, 9)]
    >>> [(each.cause, round(each.factor, 1)) for each in hand_factors(cuts)]
    [('fence', 1.5), ('fetch', 1.0)]
    """
    causes = [cause for cause in FIGURES if any(each.by_cause.get(cause, 0.0) > 0 for each in timed)]
    if len(timed) < FEWEST or not causes:
        return ()
    minutes = np.array([[each.by_cause.get(cause, 0.0) for cause in causes] for each in timed])
    more = np.array([each.taken - each.planned for each in timed])
    roots = np.sqrt([max(each.planned, 1e-6) for each in timed])
    found, spreads = _fitted(minutes / roots[:, None], more / roots)
    return tuple(
        CauseLearnt(
            cause=cause,
            minutes=float(minutes[:, n].sum()),
            factor=max(0.0, 1.0 + float(found[n])),
            spread=float(spreads[n]),
        )
        for n, cause in enumerate(causes)
    )


def _fitted(rows: np.ndarray, more: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Shares by which the causes are off, and their spreads; rows and what is to be explained are weighted."""
    variance = float(np.mean(more**2)) + LAPSES**2
    for _ in range(ROUNDS):
        precision = rows.T @ rows / variance + np.eye(rows.shape[1]) / PRIOR**2
        covariance = np.linalg.inv(precision)
        found = covariance @ rows.T @ more / variance
        # As many degrees of freedom as the data have fixed, not as many as there are causes: the prior holds the rest.
        fixed = float(np.trace(rows @ covariance @ rows.T)) / variance
        squares = float(np.sum((more - rows @ found) ** 2)) + AS_MANY * LAPSES**2
        left = squares / (len(more) - fixed + AS_MANY)
        if math.isclose(left, variance, rel_tol=1e-6):
            break
        variance = left
    return found, np.sqrt(np.diag(covariance))


def learnt_seconds(now: Seconds, factors: Sequence[CauseLearnt]) -> Seconds:
    """The figures as they would be where they are off, rounded as a person writes them; the others as they are."""
    off = [each for each in factors if each.off]
    figures = {figure: getattr(now, figure) * each.factor for each in off for figure in FIGURES[each.cause]}
    by_mass = [each for each in factors if each.cause in BY_MASS and each.learnt]
    minutes = sum(each.minutes for each in by_mass)
    if any(each.off for each in by_mass):
        figures["per_kg"] = now.per_kg * sum(each.factor * each.minutes for each in by_mass) / minutes
    return replace(now, **{figure: _round(value) for figure, value in figures.items()})


def _round(value: float) -> float:
    """Two figures that count: nobody sets a rig to better than a hundredth.

    >>> [_round(each) for each in (47.3, 0.0234, 4.0)]
    [47.0, 0.023, 4.0]
    """
    return float(f"{value:.2g}")
