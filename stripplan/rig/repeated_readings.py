"""What readings of one thing say together: their mean, what it comes from, and which of them stands out.

Outliers by Grubbs' test, NIST/SEMATECH e-Handbook of Statistical Methods 1.3.5.17.1.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from stripplan.rig.uncertainty import Estimate, repeated

UFrom = Literal["scatter", "reading", "reading, rounded alike"]
"""Where an uncertainty comes from: how tests scatter, or how finely they were read."""


@dataclass(frozen=True)
class Grubbs:
    """The value that lies farthest out (`index` from 0), Grubbs' statistic G, and the critical value that it must
    exceed to stand out."""

    index: int
    statistic: float
    critical: float

    @property
    def stands_out(self) -> bool:
        """True where the statistic exceeds the critical value."""
        return self.statistic > self.critical


def studentized_limit(n: int, fitted: int, *, alpha: float = 0.05, tails: int = 2) -> float:
    """What the greatest of `n` studentized residuals exceeds by chance with probability `alpha` at most, `fitted` =
    parameters fitted.

    Student's t at alpha/(tails n) with n - fitted - 1 degrees of freedom (Bonferroni), turned into an internally
    studentized residual: sqrt((n - p) t^2 / (n - p - 1 + t^2)). With p = 1 it is Grubbs' critical value times sqrt(n
    / (n - 1)).
    """
    from scipy.special import stdtrit

    dof = n - fitted - 1
    if dof < 1:
        return math.inf
    t = float(stdtrit(dof, alpha / (tails * n)))
    return math.sqrt((dof + 1) * t * t / (dof + t * t))


def grubbs(
    values: Sequence[float],
    *,
    weights: Sequence[float] | None = None,
    side: Literal["both", "greatest", "least"] = "both",
    alpha: float = 0.05,
) -> Grubbs:
    """Grubbs' test for one outlier among at least three values from a normal distribution: NIST/SEMATECH e-Handbook
    1.3.5.17.1.

    G = greatest |value - mean| / s. With unequal `weights` (inverse variances) each departure is measured by its own
    standard deviation.

    >>> found = grubbs([199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57], side="greatest")
    >>> found.index, round(found.statistic, 4), round(found.critical, 3)
    (7, 2.4688, 2.032)
    """
    n = len(values)
    if n < 3:
        raise ValueError(f"{n} values: at least 3 are needed to call one of them an outlier")
    weights = weights or [1.0] * n
    mean, s = weighted_mean(values, weights)
    shrink = math.sqrt((n - 1) / n)
    total = math.fsum(weights)
    far = [
        each - mean if side == "greatest" else mean - each if side == "least" else abs(each - mean) for each in values
    ]
    out = [
        each * math.sqrt(weight / (1 - weight / total)) * shrink / s if s else 0.0
        for each, weight in zip(far, weights, strict=True)
    ]
    index = max(range(n), key=out.__getitem__)
    limit = studentized_limit(n, 1, alpha=alpha, tails=2 if side == "both" else 1) * shrink
    return Grubbs(index, out[index], limit)


def scatter_or_reading(
    values: Sequence[float], weights: Sequence[float], reading: Sequence[float]
) -> tuple[Estimate, UFrom]:
    """Weighted mean of repeated values with what is known of each one's `reading` uncertainty, and where the result's u
    comes from.

    Type A: s^2 = sum w (x - mean)^2 / (N - 1), u = s / sqrt(sum w). Type B: the readings alone. The one with the
    greater interval at 95 % counts, for type A holds the random part of reading already. Where chi-square of the
    scatter against the reading lies below its 5 % point the roundings must have fallen alike, and type B is not made
    smaller by the number of values.

    >>> scatter_or_reading([1.5, 1.7, 1.6], [1, 1, 1], [0.01, 0.01, 0.01])[1]
    'scatter'
    """
    from scipy.special import chdtr

    n, total = len(values), math.fsum(weights)
    mean, s = weighted_mean(values, weights)
    if n == 1:
        return Estimate(mean, reading[0], math.inf, 1), "reading"
    chi = math.fsum(((each - mean) / u) ** 2 for each, u in zip(values, reading, strict=True))
    parts = [weight * u / total for weight, u in zip(weights, reading, strict=True)]
    alike: UFrom = "reading, rounded alike"
    apart: UFrom = "reading"
    if chdtr(n - 1, chi) < 0.05:
        read, how = math.fsum(parts), alike
    else:
        read, how = math.hypot(*parts), apart
    by_scatter = Estimate(mean, s / math.sqrt(total), n - 1, n)
    by_reading = Estimate(mean, read, math.inf, n)
    if by_scatter.half_width() >= by_reading.half_width():
        return by_scatter, "scatter"
    return by_reading, how


def weighted_mean(values: Sequence[float], weights: Sequence[float]) -> tuple[float, float]:
    """Weighted mean, and standard deviation of a value of weight 1; 0 where there is one value."""
    total = math.fsum(weights)
    if len(values) > 1 and len(set(weights)) == 1:
        plain = repeated(values)
        return plain.value, plain.u * math.sqrt(total)
    mean = math.fsum(weight * each for each, weight in zip(values, weights, strict=True)) / total
    if len(values) == 1:
        return mean, 0.0
    squares = math.fsum(weight * (each - mean) ** 2 for each, weight in zip(values, weights, strict=True))
    return mean, math.sqrt(squares / (len(values) - 1))
