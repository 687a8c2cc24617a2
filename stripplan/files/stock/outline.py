"""The corners of a piece with slanted edges, as people write them: x,y in a row, "0,0 400,0 0,300"."""

from __future__ import annotations

import re
from collections.abc import Callable

from stripplan.errors import InputError
from stripplan.files.fault_words import fault, shortened
from stripplan.files.parts.named_shapes import outline_faults
from stripplan.model.polygon import Outline, normal


def read_outline(text: str, where: str, length: Callable[[str], float]) -> Outline:
    """Corners counter-clockwise, the lowest and leftmost at 0; `length` reads one figure [mm]. Raises InputError.

    >>> read_outline("0,0 0,300 400,0", "offcut", float)
    ((0.0, 0.0), (400.0, 0.0), (0.0, 300.0))
    """
    words = re.split(r"[;\s]+", text.strip())
    pairs = [re.split("[,xX×]", word) for word in words]
    if any(len(pair) != 2 or not all(pair) for pair in pairs):
        raise InputError(fault("stock.outline", where, said=shortened(text)))
    points = tuple((length(x), length(y)) for x, y in pairs)
    if faults := list(outline_faults(points, where)):
        raise InputError(faults)
    return normal(points)
