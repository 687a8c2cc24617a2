"""What texts in an outline say of the part: its name and how many there are."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from stripplan.files.parts.drawings.outlines import Label, Reading
from stripplan.files.toml.quantities import LONGEST_NAME

_COUNT = r"([0-9]{1,7})"
_WORD = r"(?:off|pcs?|pieces?|nos?|stk|stück|st)\.?"
_QUANTITY = re.compile(
    rf"(?:(?:qty|quantity|pcs|stk|no\.?\s*off)\.?\s*[:=]?\s*{_COUNT}|{_COUNT}\s*{_WORD}|{_COUNT}[x×]|[x×]\s?{_COUNT})",
    re.I,
)
_TRAILING = re.compile(
    rf"(.+?)[\s,;:/-]+(?:qty|quantity)\.?\s*[:=]?\s*{_COUNT}|(.+?)[\s,;:/-]+{_COUNT}\s*(?:off|pcs)\.?", re.I
)
_LEADING = re.compile(rf"{_COUNT}\s*(?:off|pcs)\.?[\s,;:/-]+(.+)", re.I)
_SIZE = re.compile(r"[0-9.,/ \"'-]+(?:mm|in|\"|')?(?:\s*[x×*]\s*[0-9.,/ \"'-]+(?:mm|in|\"|')?)+", re.I)
_UNSURE = re.compile(r"[0-9]{1,7}\s*[x×]\s+[^0-9]|.*[^0-9\s]\s+[x×]\s?[0-9]{1,7}$", re.I)


def quantity_and_name(text: str) -> tuple[int | None, str | None]:
    """What a text in an outline says: "qty 4", "4x", "x4", "4 off", "4 pcs", "Stk 4" a quantity, alone or (the first,
    "off" and "pcs") beside a name. A size alone says neither. "4x M8" is no quantity: it may count holes.

    >>> [quantity_and_name(text) for text in ("4x", "FOOT qty 4", "2 off RAIL", "300 x 80", "4x M8")]
    [(4, None), (4, 'FOOT'), (2, 'RAIL'), (None, None), (None, '4x M8')]
    """
    clean = " ".join(text.split())
    alone = _QUANTITY.fullmatch(clean)
    if alone:
        return int(next(each for each in alone.groups() if each)), None
    trailing, leading = _TRAILING.fullmatch(clean), _LEADING.fullmatch(clean)
    if trailing:
        return int(trailing[2] or trailing[4]), trailing[1] or trailing[3]
    if leading:
        return int(leading[1]), leading[2]
    return None, None if not clean or _SIZE.fullmatch(clean) else clean


@dataclass
class Said:
    """What the texts in an outline say together."""

    quantities: list[int]
    names: list[str]
    unsure: list[str]


def said_in(labels: Sequence[Label], reading: Reading) -> Said:
    said = Said([], [], [])
    for label in sorted(labels, key=lambda each: (-each.at[1], each.at[0])):
        worded = reading.wording(label.text)
        quantity, name = quantity_and_name(worded or "")
        if quantity is not None:
            said.quantities.append(quantity)
        if name is not None and len(name) <= LONGEST_NAME and name.isprintable():
            said.names.append(name)
            if _UNSURE.match(name):
                said.unsure.append(name)
    return said
