"""How faults in files are made alike: the nearest known word, and not more of them than a screen holds."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Sequence

from stripplan.errors import Fault
from stripplan.wording.message import Fact, Facts, Message
from stripplan.wording.sentences.files import hints
from stripplan.wording.show import filled

MANY = 24
"""Most known words that a message lists."""
SHOWN = 60
"""Most letters of a person's own text that a message repeats."""


def fault(says: str, where: str, /, **facts: Fact) -> Fault:
    """A fault by the key of its sentence, whose first word is its code.

    >>> fault("no_plate.job", "job.toml").sentence()
    'job.toml: there is no plate (add a [[plate]])'
    """
    return fault_of(message(says, **facts), where)


def fault_of(said: Message, where: str) -> Fault:
    """A message as a fault at that place."""
    return Fault(said.code, where, facts=said.facts, says=said.says)


def message(says: str, /, **facts: Fact) -> Message:
    """What is said within another message."""
    return Message(says.partition(".")[0], facts=Facts(**facts), says=says)


def meant(word: str, known: Iterable[str]) -> dict[str, Fact]:
    """Facts for a hint at what was meant: the nearest known word, or the first of all of them."""
    words = list(dict.fromkeys(known))
    if near := near_words(word, words):
        return {"near": near[0]}
    return {"known": tuple(words[:MANY]), "more": max(0, len(words) - MANY)}


def nearest(word: str, known: Iterable[str]) -> str:
    """The same hint in words.

    >>> nearest("widht", ["length", "width"]), nearest("colour", ["length", "width"])
    ('did you mean width?', 'known are length, width')
    """
    facts = Facts(**meant(word, known))
    return filled(hints.nearest(facts), facts)


def near_words(word: str, known: Sequence[str]) -> list[str]:
    """The known word that is nearest, whatever its capitals, in a list of one or none."""
    small = {each.lower(): each for each in reversed(known)}
    return [small[each] for each in difflib.get_close_matches(word[:SHOWN].lower(), small, 1, 0.6)]


def shortened(text: str) -> str:
    """A person's own text as a message repeats it: one line, in quotes, not longer than `SHOWN`.

    >>> shortened("x" * 100) == repr("x" * 60) + "..."
    True
    """
    shown = repr(text[: SHOWN + 1])
    return shown if len(shown) <= SHOWN + 2 else f"{shown[: SHOWN + 1]}'..."


LONGEST_NOTE = 200
"""Most letters of a note that goes with a part."""


def printable(text: str) -> str:
    """A person's note as one line that can be printed; the end of one that is too long gives way to dots.

    >>> printable("grind\\tone\\nedge"), len(printable("x" * 500))
    ('grind one edge', 200)
    """
    words = "".join(each if each.isprintable() else " " for each in text).split()
    line = " ".join(each[:LONGEST_NOTE] for each in words)
    return line if len(line) <= LONGEST_NOTE else f"{line[: LONGEST_NOTE - 3]}..."


def capped(faults: Sequence[Fault], most: int = 20) -> list[Fault]:
    """The first faults, each once, and how many more there are."""
    several = list(dict.fromkeys(faults))
    if len(several) <= most:
        return several
    return [*several[:most], fault("more.faults", "", count=len(several) - most)]
