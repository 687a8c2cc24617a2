"""What is left of a plate: whether it is worth keeping, and what it is worth.

Of plans with the same plate cost the one with the most valuable single offcut is better, then the one whose
offcuts are worth most together. The value is the area unless the person weighs it: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping

SAME = 1e-6
"""Sizes nearer than this are the same [mm]."""


def worth_keeping(length: float, width: float, keep: tuple[float, float]) -> bool:
    """Whether a rectangle left is an offcut: `keep` (either way round) fits into it. All in one unit.

    >>> worth_keeping(100, 300, (300, 100)), worth_keeping(299, 299, (300, 100))
    (True, False)
    """
    short, long = sorted((length, width))
    return short >= min(keep) - SAME and long >= max(keep) - SAME


def offcut_value(length: float, width: float, keep: tuple[float, float], weights: Mapping[str, float]) -> float:
    """What a rectangle left is worth [mm2]: 0 below `keep`, else area (1 + large x area + long x longer side).

    Lengths mm; in the brackets area is in m2 and the longer side in m. `weights` has `large` and `long`,
    0 where left out: the value is then the area. With `large` one offcut of 1 m2 is worth more than two of
    half; with `long` a strip is worth more than a square of its area.

    >>> offcut_value(1000, 500, (300, 100), {}), offcut_value(1000, 50, (300, 100), {})
    (500000.0, 0.0)
    >>> offcut_value(1000, 500, (300, 100), {"large": 1.0, "long": 0.5})
    1000000.0
    """
    if not worth_keeping(length, width, keep):
        return 0.0
    area = float(length * width)
    return area * (1.0 + weights.get("large", 0.0) * area * 1e-6 + weights.get("long", 0.0) * max(length, width) * 1e-3)
