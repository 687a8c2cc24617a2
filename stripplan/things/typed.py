"""A thing from what a person typed: texts by the names of its figures, lengths in the person's units."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Mapping
from dataclasses import MISSING, fields
from types import NoneType
from typing import Any, Literal, Protocol, get_args, get_origin, get_type_hints

from stripplan.errors import Fault, FiguresError, InputError
from stripplan.things.base import Base
from stripplan.things.box import Box
from stripplan.things.bracket import Bracket
from stripplan.things.frame import Frame
from stripplan.things.thing import MOST, Thing
from stripplan.wording.message import Facts, Message
from stripplan.wording.quantity import UnitError, parse_length


class Maker(Protocol):
    """Figures that make a thing."""

    def thing(self) -> Thing:
        """The thing. Raises FiguresError."""
        ...


KINDS: Mapping[str, type[Any]] = {"frame": Frame, "box": Box, "base": Base, "bracket": Bracket}
"""What can be made, by its word."""

STEPS = {"mm": 0.1, "in": 25.4 / 64}
"""Lengths that do not come out even are rounded down to this, in units that a person reads [mm]."""


def typed_thing(kind: str, given: Mapping[str, Any], *, units: str, called: Callable[[str], str]) -> Thing:
    """The thing of a kind; what is not given, or empty, is as its figures have it.

    Raises InputError with every fault; `called` says what the person calls a figure ("--bar").

    >>> given = {"length": "32", "width": "24 in", "bar": "2", "thickness": "1/4", "through": "ends"}
    >>> frame = typed_thing("frame", given, units="in", called=lambda key: key)
    >>> [round(each.length.mm / 25.4, 6) for each in frame.pieces]
    [28.0, 24.0]
    """
    maker = KINDS.get(kind)
    if maker is None:
        raise InputError(Fault("thing", kind[:20], Facts(kinds=tuple(KINDS)), "thing.no_kind"))
    hints = get_type_hints(maker)
    values: dict[str, Any] = {"step": STEPS[units]} if "step" in hints else {}
    faults: list[Fault] = []
    for each in fields(maker):
        if each.name == "step":
            continue
        text = given.get(each.name)
        if text is None or text == "" or (isinstance(text, str) and not text.strip()):
            if each.default is MISSING:
                faults.append(Fault("thing", called(each.name), says="thing.needed", place=(each.name,)))
            continue
        try:
            values[each.name] = _read(text, hints[each.name], units)
        except UnitError as error:
            facts = Facts(said=error.said, hint=error.hint)
            faults.append(Fault("thing", called(each.name), facts, "thing.no_figure", (each.name,)))
    if faults:
        raise InputError(faults)
    try:
        made: Maker = maker(**values)
        return made.thing()
    except FiguresError as error:
        raise InputError([_placed(each, hints, called) for each in error.faults]) from None


def allowance_of(text: str | None, units: str, called: str = "allowance") -> float:
    """Metal that is left on each edge [mm]; 0 where nothing is typed. Raises InputError.

    >>> allowance_of("1/32", "in"), allowance_of("", "mm")
    (0.79375, 0.0)
    """
    try:
        return parse_length(text, units, comma=True) if text and text.strip() else 0.0
    except UnitError as error:
        facts = Facts(said=error.said, hint=error.hint)
        raise InputError(Fault("thing", called, facts, "thing.no_figure", ("allowance",))) from None


def times_of(text: str | None) -> int:
    """How many such things; 1 where nothing is typed. Raises InputError."""
    if not text or not text.strip():
        return 1
    if not re.fullmatch(r"\s*[0-9]{1,4}\s*", text) or not 1 <= int(text) <= MOST:
        raise InputError(Fault("thing", "how many", Facts(most=MOST), "thing.times_off", ("times",)))
    return int(text)


def _read(text: Any, hint: Any, units: str) -> Any:
    """A value of a figure's kind. UnitError where it is none."""
    options = get_args(hint)
    if get_origin(hint) is Literal:
        if text not in options:
            raise UnitError(f"{str(text)[:40]!r} is none of its words", f"it is one of {', '.join(options)}")
        return text
    if hint is bool:
        return text in (True, "true", "on")
    if hint is int:
        if not re.fullmatch(r"\s*[0-9]{1,6}\s*", str(text)):
            raise UnitError(f"{str(text)[:40]!r} is no count", "a whole number: 0, 1, 2 ...")
        return int(text)
    assert hint is float or set(options) == {float, NoneType}
    return parse_length(text, units, comma=True)


def _placed(message: Message, keys: Collection[str], called: Callable[[str], str]) -> Fault:
    """What is wrong with a figure at that figure's place, where the message names one."""
    key = str(message.facts.get("key") or message.facts.get("side") or "")
    if key not in keys:
        return Fault("thing", message.about, message.facts, message.key)
    return Fault("thing", called(key), message.facts, message.key, (key,))
