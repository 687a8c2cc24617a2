"""A sentence with fields for facts: what a code says to a person."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeAlias

from stripplan.wording.message import Facts

Text: TypeAlias = str | Callable[[Facts], str]


@dataclass(frozen=True)
class Sentence:
    """What is so, and what would help; empty where nothing would."""

    text: Text
    hint: Text = ""
