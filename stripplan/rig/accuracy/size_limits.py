"""By how much the sizes of a part may be off."""

from __future__ import annotations

import math

from stripplan.model.job import GeneralClass
from stripplan.model.part import Part, Rectangle
from stripplan.rig.standards import iso_2768_linear


def size_limits(part: Part, general: GeneralClass) -> tuple[float, float]:
    """By how much width and length of a part may be off, +- [mm]: what it asks, else its class of ISO 2768-1; infinite
    where neither says anything.
    """
    if part.allowance:  # it is dressed to size
        return math.inf, math.inf
    sizes = (part.width, part.length if isinstance(part, Rectangle) else None)
    return (_limit(part, sizes[0], general), _limit(part, sizes[1], general))


def _limit(part: Part, size: float | None, general: GeneralClass) -> float:
    if size is None:
        return math.inf
    if part.plus_minus is not None:
        return part.plus_minus
    limit = iso_2768_linear(general, size).value
    return math.inf if limit is None else limit
