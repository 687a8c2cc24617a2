"""Sizes that stand in one cell: "120 x 450", "450 x 300 x 10"."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

from stripplan.files.fault_words import shortened
from stripplan.files.toml.quantities import ValueRefusedError

THIN = 0.5
"""Of three figures without names the thickness is the first or the last, and at most so much of the next smaller."""


@dataclass(frozen=True)
class Size:
    """Width, length and, where a cell says it, thickness [mm]."""

    width: float
    length: float
    thickness: float | None = None


def read_size(text: str, order: str, read: Callable[[str], float], *, counted: bool) -> Size:
    """The size in a cell whose figures come in that `order` ("wl", "lwt", ""); `read` gives the mm of one.

    Without an order the longer side is the length. `counted`: another cell says how many, so that a figure in front is
    none. Raises ValueRefusedError, and what `read` raises.

    >>> read_size("120 x 450", "wl", float, counted=True), read_size("10x300x450", "", float, counted=True)
    (Size(width=120.0, length=450.0, thickness=None), Size(width=300.0, length=450.0, thickness=10.0))
    """
    body = re.sub(r"^(?:pl|plate|fl|flat)\.?\s+", "", text.strip(), flags=re.IGNORECASE)
    parts = [each.strip() for each in re.split("[xX×✕*]", body)]
    if not 2 <= len(parts) <= 3 or not all(parts):
        raise ValueRefusedError("size", said=shortened(text))
    unit = re.search(r"[0-9]\s*([a-z\"'″.]+)$", parts[-1], re.IGNORECASE)
    if unit is not None and all(re.fullmatch(r"[0-9.,/ -]+", each) for each in parts[:-1]):
        parts = [*(f"{each} {unit[1]}" for each in parts[:-1]), parts[-1]]
    figures = [read(each) for each in parts]
    if len(order) == len(figures):
        named = dict(zip(order, figures, strict=True))
        if {"w", "l"} <= named.keys():
            return Size(named["w"], named["l"], named.get("t"))
    if len(order) == 3:
        raise ValueRefusedError("size_order", said=shortened(text), count=len(figures))
    thickness = None
    if len(figures) == 3:
        figures, thickness = _without_thickness(figures, text, counted=counted)
    one, other = figures
    if order == "wl":
        return Size(one, other, thickness)
    return Size(other, one, thickness) if order == "lw" else Size(min(one, other), max(one, other), thickness)


def _without_thickness(figures: list[float], text: str, *, counted: bool) -> tuple[list[float], float]:
    thin = min(figures)
    at = figures.index(thin)
    rest = [each for number, each in enumerate(figures) if number != at]
    may_count = at == 0 and not counted and thin == int(thin)
    if at == 1 or thin > THIN * min(rest) or may_count:
        raise ValueRefusedError("size_thickness", said=shortened(text))
    return rest, thin
