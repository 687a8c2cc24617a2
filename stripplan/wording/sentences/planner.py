"""Sentences about a job and its plan."""

from __future__ import annotations

from stripplan.wording.sentence import Sentence

SENTENCES: dict[str, Sentence] = {}
