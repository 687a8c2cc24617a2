"""Sentences about parts that cannot be made."""

from __future__ import annotations

from stripplan.wording.sentence import Sentence

SENTENCES: dict[str, Sentence] = {}
