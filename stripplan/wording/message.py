"""What is to be said, as data: a code, what it is about, and facts with their dimensions. No words of a language, no
unit.

Whoever finds something makes a `Message`; `wording.sentences` holds the sentence for its code, and `wording.show` puts
the two together in the units of the person who reads it. So programs get codes and figures, people get sentences, and
no figure has to be found again in finished text.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Literal, TypeAlias, get_args

Dimension = Literal["length", "speed", "area", "mass", "current", "minutes", "seconds", "angle", "percent", "number"]
"""What a figure measures; its unit is that of the plan file: mm, mm/min, mm2, kg, A, min, s, degrees, %, none."""


@dataclass(frozen=True)
class Quantity:
    """A figure with its dimension, in the unit of the plan file."""

    value: float
    dimension: Dimension = "number"


def length(mm: float) -> Quantity:
    """A length [mm]."""
    return Quantity(mm, "length")


def measured(mm: float) -> Quantity:
    """A length to the thousandth of a millimetre, beyond which no gauge tells [mm]; no -0."""
    return Quantity(round(mm, 3) + 0.0, "length")


def speed(mm_per_min: float) -> Quantity:
    """A speed [mm/min]."""
    return Quantity(mm_per_min, "speed")


def mass(kg: float) -> Quantity:
    """A mass [kg]."""
    return Quantity(kg, "mass")


def current(ampere: float) -> Quantity:
    """A current [A]."""
    return Quantity(ampere, "current")


Fact: TypeAlias = "str | int | float | Quantity | Message | tuple[Fact, ...]"
"""One thing that a sentence needs: a name as the person wrote it, a count, a quantity, a further message, or several.
"""


class Facts(Mapping[str, "Fact"]):
    """Facts by name, in the order given; cannot be changed, and equal facts have one hash.

    >>> Facts(width=length(3.0), part="rail")["part"]
    'rail'
    """

    def __init__(self, **facts: Fact) -> None:
        self._facts = facts

    def __getitem__(self, name: str) -> Fact:
        return self._facts[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._facts)

    def __len__(self) -> int:
        return len(self._facts)

    def __hash__(self) -> int:
        return hash(tuple(self._facts.items()))

    def __repr__(self) -> str:
        return f"Facts({', '.join(f'{name}={value!r}' for name, value in self._facts.items())})"


@dataclass(frozen=True)
class Message:
    """Something to be said. `says` names its sentence; several sentences may belong to one `code`, which programs know.

    `about` is the thing in the person's own words: the name of a part, a plate, a process, a place in a file.
    """

    code: str
    about: str = ""
    facts: Facts = field(default_factory=Facts)
    says: str = ""

    @property
    def key(self) -> str:
        """The key of its sentence."""
        return self.says or self.code


def as_record(value: Fact) -> object:
    """A fact in plain values, for JSON: a quantity as {"value", "dimension"}, a message as {"code", "about", "facts"}.

    >>> as_record(length(3.0))
    {'value': 3.0, 'dimension': 'length'}
    """
    if isinstance(value, Quantity):
        return {"value": value.value, "dimension": value.dimension}
    if isinstance(value, Message):
        return {"code": value.key, "about": value.about, "facts": facts_record(value.facts)}
    if isinstance(value, tuple):
        return [as_record(each) for each in value]
    return value


def facts_record(facts: Facts) -> dict[str, object]:
    """Facts in plain values, for JSON."""
    return {name: as_record(value) for name, value in facts.items()}


def from_record(value: object) -> Fact:
    """A fact from plain values, as `as_record` gives them. Raises ValueError for what is none.

    >>> from_record({"value": 3.0, "dimension": "length"})
    Quantity(value=3.0, dimension='length')
    """
    if isinstance(value, (str, int, float)):
        return value
    if isinstance(value, (list, tuple)):
        return tuple(map(from_record, value))
    if isinstance(value, Mapping):
        if {"value", "dimension"} <= value.keys() and value["dimension"] in get_args(Dimension):
            return Quantity(float(value["value"]), value["dimension"])
        if {"code", "about", "facts"} <= value.keys():
            return Message(str(value["code"]), str(value["about"]), facts_from_record(value["facts"]))
    raise ValueError(f"{value!r} is no fact")


def facts_from_record(record: Mapping[str, object]) -> Facts:
    """Facts from plain values. Raises ValueError where one is none."""
    return Facts(**{name: from_record(value) for name, value in record.items()})
