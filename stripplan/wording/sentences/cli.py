"""Sentences about the shell command."""

from __future__ import annotations

from stripplan.wording.sentence import Sentence

SENTENCES: dict[str, Sentence] = {}
