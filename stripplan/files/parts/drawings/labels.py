"""What texts at an outline say of the part: its name, how many there are, and notes on its holes."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from stripplan.files.parts.counts import Counted, counted
from stripplan.files.parts.drawings.outlines import Label, Reading
from stripplan.files.toml.quantities import LONGEST_NAME


@dataclass
class Said:
    """What the texts at an outline say together: quantities that stand alone, names, and notes."""

    quantities: list[int] = field(default_factory=list)
    named: list[Counted] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)


def said_in(labels: Iterable[Label], reading: Reading) -> Said:
    """The texts together, from the topmost down. A size says nothing; what cannot be printed is no name."""
    said = Said()
    up = -1 if reading.upside_down else 1
    for label in sorted(labels, key=lambda each: (-up * each.at[1], each.at[0])):
        what = counted(reading.wording(label.text) or "")
        if what.note and len(what.note) <= LONGEST_NAME and what.note.isprintable():
            said.notes.append(what.note)
        elif what.name is not None and len(what.name) <= LONGEST_NAME and what.name.isprintable():
            said.named.append(what)
        elif what.count is not None:
            said.quantities.append(what.count)
    return said
