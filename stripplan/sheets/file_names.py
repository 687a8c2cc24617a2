"""Names of files and folders that are made from a person's own words: any machine takes them."""

from __future__ import annotations

import sys
import unicodedata
from collections.abc import Iterable

LONGEST = 60
"""Letters of such a name."""
MOST_BYTES = 120
"""Its length as a file system counts; encrypted folders hold no more than about 140."""
RESERVED = frozenset(
    (
        "con",
        "prn",
        "aux",
        "nul",
        "conin$",
        "conout$",
        *(f"{port}{n}" for port in ("com", "lpt") for n in "0123456789¹²³"),
    )
)
"""Names that are devices on some machines."""


def plain_name(text: str, *, instead: str) -> str:
    """A text as a file's or folder's name: letters, digits, `-` and `_`; `instead` where nothing is left.

    >>> plain_name("Gate, 2nd try", instead="job"), plain_name("../..", instead="job"), plain_name("NUL", instead="job")
    ('Gate-2nd-try', 'job', 'NUL-1')
    """
    composed = unicodedata.normalize("NFC", text)
    kept = "".join(letter if _held_anywhere(letter) else "-" for letter in composed)
    kept = "-".join(filter(None, kept.split("-")))[:LONGEST]
    name = kept.encode()[:MOST_BYTES].decode(errors="ignore").rstrip("-") or instead
    return f"{name}-1" if name.casefold() in RESERVED else name


def unlike(texts: Iterable[str], *, instead: str) -> list[str]:
    """A name for each text; those that a machine may take for the same get a number.

    >>> unlike(["P1", "p1", "a/b", "a:b"], instead="plate")
    ['P1', 'p1-2', 'a-b', 'a-b-2']
    """
    names: list[str] = []
    taken: set[str] = set()
    for text in texts:
        name = base = plain_name(text, instead=instead)
        number = 1
        while name.casefold() in taken:
            number += 1
            name = f"{base}-{number}"
        taken.add(name.casefold())
        names.append(name)
    return names


def _held_anywhere(letter: str) -> bool:
    """Whether a letter may stand in a name: also one that this machine's file system can spell."""
    try:
        letter.encode(sys.getfilesystemencoding())
    except UnicodeEncodeError:
        return False
    return letter.isalnum() or letter in "-_"
