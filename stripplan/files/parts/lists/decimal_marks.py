"""Figures whose point or comma may part thousands or decimals: `1.200` is 1200 or 1.2.

One list has one way of writing: where another of its lengths shows which, as 12,5 or 0.75 do, it is settled. Where none
does it is refused. In inches, feet and metres a point always parts decimals.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Literal

from stripplan.files.fault_words import shortened
from stripplan.files.toml.quantities import ValueRefusedError
from stripplan.wording.quantity import parse_length

Mark = Literal["point", "comma"]


class Exact(str):
    """A figure that a file holds as a number, with a decimal point: nothing of it is in doubt."""

    __slots__ = ()


_FIGURE = re.compile(r"[0-9][0-9.,]*")
_WHOLE = re.compile(r"([0-9][0-9.,]*)( ?[^0-9.,]*)")
_POINTS, _COMMAS = re.compile(r"[1-9][0-9]{0,2}(?:\.[0-9]{3})+"), re.compile(r"[1-9][0-9]{0,2}(?:,[0-9]{3})+")
_BOTH = {
    "comma": re.compile(r"[1-9][0-9]{0,2}(?:\.[0-9]{3})+,[0-9]+"),
    "point": re.compile(r"[1-9][0-9]{0,2}(?:,[0-9]{3})+\.[0-9]+"),
}
_CLEAR = {"in", "in.", "inch", "inches", '"', "''", "″", "ft", "ft.", "foot", "feet", "m", "metre", "metres", "meter"}


def decimal_mark(texts: Iterable[str]) -> Mark | None:
    """What parts decimals in a list of which these are lengths; None where nothing tells, or they contradict each
    other.

    >>> decimal_mark(["1.200", "12,5"]), decimal_mark(["1.200", "0.75"]), decimal_mark(["1.200", "300"])
    ('comma', 'point', None)
    """
    told = {
        mark
        for text in texts
        if not isinstance(text, Exact)
        for figure in _FIGURE.findall(text[:100])
        if (mark := _tells(figure)) is not None
    }
    return told.pop() if len(told) == 1 else None


def _tells(figure: str) -> Mark | None:
    figure = figure.rstrip(".,")
    if _BOTH["comma"].fullmatch(figure) or (_POINTS.fullmatch(figure) and figure.count(".") > 1):
        return "comma"
    if _BOTH["point"].fullmatch(figure) or (_COMMAS.fullmatch(figure) and figure.count(",") > 1):
        return "point"
    if re.fullmatch(r"[0-9]+\.[0-9]+", figure) and not _POINTS.fullmatch(figure):
        return "point"
    if re.fullmatch(r"[0-9]+,[0-9]+", figure) and not _COMMAS.fullmatch(figure):
        return "comma"
    return None


def read_length(text: str, units: str, mark: Mark | None) -> float:
    """A length [mm] of a list whose decimals are parted by `mark`. Raises UnitError, and ValueRefusedError for one that
    can be read in two ways.

    >>> read_length("1.200", "mm", "comma"), read_length("1.200", "mm", "point"), read_length("1.200", "in", None)
    (1200.0, 1.2, 30.48)
    """
    found = None if isinstance(text, Exact) else _WHOLE.fullmatch(text)
    if found is None:
        return parse_length(text, units, comma=True)
    figure, unit = found[1], found[2]
    bare = (unit.strip().lower() or units) not in _CLEAR
    for way, other in (("comma", "."), ("point", ",")):
        if _BOTH[way].fullmatch(figure):
            return parse_length(figure.replace(other, "").replace(",", ".") + unit, units)
    if _POINTS.fullmatch(figure):
        several = figure.count(".") > 1
        if mark == "comma" or several:
            return parse_length(figure.replace(".", "") + unit, units)
        if mark is None and bare:
            raise ValueRefusedError(
                "point",
                said=shortened(text),
                one=f"{figure.replace('.', '')}{unit}",
                other=f"{figure.rstrip('0').rstrip('.')}{unit}",
            )
    if _COMMAS.fullmatch(figure) and (mark is not None or figure.count(",") > 1):
        decimal = mark == "comma" and figure.count(",") == 1
        return parse_length(figure.replace(",", "." if decimal else "") + unit, units)
    return parse_length(text, units, comma=True)
