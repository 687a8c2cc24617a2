"""Finished sentences and cells that tell lengths and speeds in mm, told again for a person who reads inches."""

from __future__ import annotations

import re

_FIGURE = r"[±+−-]?\s?\d+(?:\.\d+)?"
_SPEEDS = re.compile(rf"({_FIGURE}(?:(?: to |-| and | or |, | x |/){_FIGURE})*)(\s?)mm/min\b")
_LENGTHS = re.compile(rf"(?<!= )({_FIGURE}(?:(?: to | and | or |, | x |/){_FIGURE})*)(\s?)mm\b(?!\))")
_NUMBER = re.compile(r"\d+(?:\.\d+)?")
MM_PER_IN = 25.4


def in_inches(text: str) -> str:
    """A text whose figures in mm and mm/min are in inches; what has no unit, or another, stays.

    >>> in_inches("Row 2 gave 508 mm/min, 0.5 to 1.5 mm too wide.")
    'Row 2 gave 20 in/min, 0.0197 to 0.0591 in too wide.'
    """
    text = _SPEEDS.sub(lambda found: f"{speeds(found[1])}{found[2]}in/min", text)
    text = _LENGTHS.sub(lambda found: f"{lengths(found[1])}{found[2]}in", text)
    return text.replace("mm/min", "in/min")


def speeds(text: str) -> str:
    """Figures in mm/min as figures in in/min, to a tenth.

    >>> speeds("254 to 300")
    '10 to 11.8'
    """
    return _NUMBER.sub(lambda found: f"{float(found[0]) / MM_PER_IN:.1f}".removesuffix(".0"), text)


def lengths(text: str) -> str:
    """Figures in mm as figures in inches, to a ten-thousandth.

    >>> lengths("25.4 and ±0.05")
    '1 and ±0.002'
    """
    return _NUMBER.sub(lambda found: f"{float(found[0]) / MM_PER_IN:.4f}".rstrip("0").rstrip("."), text)
