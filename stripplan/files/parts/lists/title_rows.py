"""What the rows above the header of a list say of all its parts: units, material, thickness."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from stripplan.errors import Fault
from stripplan.files.fault_words import fault, shortened
from stripplan.files.parts.lists.counts import counted
from stripplan.wording.quantity import MM_PER

_IN = {"millimetre": "mm", "millimeter": "mm", "inch": "in", "centimetre": "cm", "centimeter": "cm"}
_UNIT = r"(mm|cm|in|inch|inches|millimet(?:re|er)s?|centimet(?:re|er)s?)"
_UNITS = re.compile(
    rf"\b(?:dims?|dimensions?|sizes?|units?|measurements?|measures|lengths)\b[^.;|]{{0,20}}?(?:\bin\b|[:=])\s*{_UNIT}\b"
    rf"|\b(?:all|everything) in {_UNIT}\b",
    re.IGNORECASE,
)
_LABELS = {
    "material": r"(?:material|matl\.?|mat'?l\.?|grade|steel grade)",
    "thickness": r"(?:plate )?(?:thickness|thk\.?)",
}


@dataclass(frozen=True)
class Told:
    """What title rows say, as it is written; None = nothing."""

    units: str | None = None
    material: str | None = None
    thickness: str | None = None


def told_above(rows: Iterable[Sequence[str]], where: str) -> tuple[Told, list[Fault]]:
    """What rows above a header say, and faults where they say two things.

    >>> told_above([["ALL DIMENSIONS IN INCHES"], ["Material:", "S235"], ["Material list"]], "l.csv")[0]
    Told(units='in', material='S235', thickness=None)
    """
    faults: list[Fault] = []
    found: dict[str, list[str]] = {"units": [], "material": [], "thickness": []}
    for row in rows:
        cells = [each for each in row if each]
        for one, other in _units_in(" | ".join(cells)):
            found["units"].append(_unit(one or other))
        for at, cell in enumerate(cells):
            if (count := _times(cell)) > 1:
                faults.append(fault("title.count", where, said=shortened(cell), count=count))
            for key, label in _LABELS.items():
                said = re.fullmatch(rf"{label}\s*(?:[:=]\s*(.*))?", cell, re.IGNORECASE)
                after = cells[at + 1] if at + 1 < len(cells) else ""
                if said and (value := (said[1] or after).strip()):
                    found[key].append(value)
    several = {key: list(dict.fromkeys(values)) for key, values in found.items()}
    faults += [
        fault("title.two", where, what=key, one=shortened(values[0]), other=shortened(values[1]))
        for key, values in several.items()
        if len(values) > 1
    ]
    return Told(**{key: values[0] for key, values in several.items() if values}), faults


def _times(cell: str) -> int:
    """How many times a title asks for the whole list; 0 where it says nothing of that kind."""
    sets = re.search(r"\b([0-9]{1,4})\s*(?:sets?|units|frames|assemblies)\b", cell, re.IGNORECASE)
    said = counted(cell)
    return int(sets[1]) if sets else (said.count or 0) if said.name is not None or said.count else 0


def _units_in(text: str) -> list[tuple[str, str]]:
    return [(each[0], each[1]) for each in _UNITS.findall(text[:1000])]


def _unit(word: str) -> str:
    small = word.lower()
    return small if small in MM_PER else _IN[small.removesuffix("s") if small != "inches" else "inch"]
