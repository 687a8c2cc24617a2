"""Slanted ends and clipped corners that stand in one cell of a list: "45/45", "20", "20/20/0/0"."""

from __future__ import annotations

import re
from collections.abc import Callable

from stripplan.files.fault_words import shortened
from stripplan.files.toml.quantities import ValueRefusedError

_BETWEEN_CLIPS = re.compile("[;|]")
_FRACTION = re.compile(r"(?:[0-9]+[ -]+)?([0-9]+)\s*/\s*([0-9]+)\s*(?:\"|”|″|in|inch|inches)?")
BETWEEN = re.compile(r"\s*[/;|&]\s*|\s*°\s*|\s+")
"""What stands between angles."""


def read_ends(text: str) -> tuple[float, float]:
    """Angles of the left and the right end [deg]; one alone is that of both. Raises ValueRefusedError.

    >>> read_ends("45/45"), read_ends("45° 90°"), read_ends("60")
    ((45.0, 45.0), (45.0, 90.0), (60.0, 60.0))
    """
    parts = [each for each in BETWEEN.split(text.strip()) if each]
    if not 1 <= len(parts) <= 2 or any(not re.fullmatch(r"[0-9]{1,3}(?:[.,][0-9]{1,6})?", each) for each in parts):
        raise ValueRefusedError("ends", said=shortened(text))
    angles = [float(each.replace(",", ".")) for each in parts]
    return angles[0], angles[-1]


def read_corners(text: str, read: Callable[[str], float]) -> tuple[tuple[float, float], ...]:
    """What is clipped off the corners, lower left first; one length alone is for all four. `read` gives the mm of one.

    Raises ValueRefusedError, and what `read` raises.

    >>> read_corners("20", float)
    ((20.0, 20.0), (20.0, 20.0), (20.0, 20.0), (20.0, 20.0))
    >>> read_corners("20/0/0/5", float)[3]
    (5.0, 5.0)

    A fraction is one length; several have `;` between them.

    >>> read_corners('1/2"; 0; 0; 1 1/4 in', {'1/2"': 12.7, "1 1/4 in": 31.75}.__getitem__)[3]
    (31.75, 31.75)
    """
    parts = [each.strip() for each in re.split(_BETWEEN_CLIPS if _BETWEEN_CLIPS.search(text) else "/", text)]
    if len(parts) == 2 and _is_fraction(text):
        parts = [text.strip()]
    if len(parts) not in (1, 4) or not all(parts):
        raise ValueRefusedError("corners", said=shortened(text))
    lengths = [0.0 if re.fullmatch(r"0+([.,]0+)?", each) else read(each) for each in parts]
    return tuple((each, each) for each in (lengths * 4)[:4])


def _is_fraction(text: str) -> bool:
    """Whether a text is one length with a fraction, as 1/2 in and 1 1/4 are, and not two lengths."""
    found = _FRACTION.fullmatch(text.strip())
    return found is not None and int(found[1]) < int(found[2])
