"""What texts at an outline say of the part: its name, how many there are, and notes on its holes."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field

from stripplan.files.parts.drawings.layers import thickness_and_material
from stripplan.files.parts.drawings.outlines import Label, Reading
from stripplan.files.parts.lists.counts import Counted, counted
from stripplan.files.toml.quantities import LONGEST_NAME
from stripplan.model.material import family_of

_SAYS_THICK = re.compile(r"\b(?:t|thk|thick|pl|plate)\b", re.IGNORECASE)


@dataclass
class Said:
    """What the texts at an outline say together: quantities that stand alone, names, notes, and what the part is made
    of, each thickness [mm] with its material."""

    quantities: list[int] = field(default_factory=list)
    named: list[Counted] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    stock: list[tuple[float, str | None]] = field(default_factory=list)


def stock_said(text: str) -> tuple[float, str | None] | None:
    """Thickness and material of a text that says nothing else; a length alone may be a dimension.

    >>> stock_said("10mm S235"), stock_said("t=10 mm"), stock_said("250 mm"), stock_said("10 mm hole")
    ((10.0, 'S235'), (10.0, None), None, None)
    """
    thickness, material = thickness_and_material(text.replace("=", " ").replace('"', " in"))
    if thickness is None:
        return None
    if material is None:
        return (thickness, None) if _SAYS_THICK.search(text) else None
    return (thickness, material) if family_of(material) is not None else None


def said_in(labels: Iterable[Label], reading: Reading) -> Said:
    """The texts together, from the topmost down. A size says nothing; what cannot be printed is no name."""
    said = Said()
    up = -1 if reading.upside_down else 1
    for label in sorted(labels, key=lambda each: (-up * each.at[1], each.at[0])):
        text = reading.wording(label.text) or ""
        if (stock := stock_said(text)) is not None:
            said.stock.append(stock)
            continue
        what = counted(text)
        if what.note and len(what.note) <= LONGEST_NAME and what.note.isprintable():
            said.notes.append(what.note)
        elif what.name is not None and len(what.name) <= LONGEST_NAME and what.name.isprintable():
            said.named.append(what)
        elif what.count is not None:
            said.quantities.append(what.count)
    return said
