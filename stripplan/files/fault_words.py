"""How faults in files are worded alike: the nearest known word, and not more of them than a screen holds."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Sequence

from stripplan.errors import Fault

MANY = 24
"""Most known words that a message lists."""
SHOWN = 60
"""Most letters of a person's own text that a message repeats."""


def nearest(word: str, known: Iterable[str]) -> str:
    """A hint that names the nearest known word, or all of them.

    >>> nearest("widht", ["length", "width"]), nearest("colour", ["length", "width"])
    ('did you mean width?', 'known are length, width')
    """
    words = list(dict.fromkeys(known))
    near = near_words(word, words)
    if near:
        return f"did you mean {near[0]}?"
    more = f" and {len(words) - MANY} more; see `stripplan guide reference`" if len(words) > MANY else ""
    return "known are " + ", ".join(words[:MANY]) + more


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


def capped(faults: Sequence[Fault], most: int = 20) -> list[Fault]:
    """The first faults, each once, and how many more there are."""
    several = list(dict.fromkeys(faults))
    if len(several) <= most:
        return several
    return [*several[:most], Fault("more", "", f"and {len(several) - most} more faults like these")]
