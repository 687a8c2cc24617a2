"""Sentences about the page."""

from __future__ import annotations

from stripplan.wording.sentence import Sentence

SENTENCES: dict[str, Sentence] = {}
