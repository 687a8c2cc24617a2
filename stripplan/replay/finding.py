"""What the replay finds, as data."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Finding:
    """One fault of a plan: a stable code, what it is about, a sentence."""

    code: str
    about: str
    text: str
