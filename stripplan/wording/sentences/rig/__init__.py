"""Sentences about what the rig can do, how true its parts are, and what a job costs on it."""

from __future__ import annotations

from stripplan.wording.sentence import Sentence
from stripplan.wording.sentences.rig import accuracy, costs, limits

SENTENCES: dict[str, Sentence] = {
    **limits.SENTENCES,
    **accuracy.SENTENCES,
    **costs.SENTENCES,
}
