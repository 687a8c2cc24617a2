"""Sentences about a job and its plan, by what they are about."""

from __future__ import annotations

from stripplan.wording.sentence import Sentence
from stripplan.wording.sentences.planner import (
    bevels,
    choices,
    job,
    order,
    parts,
    rest,
    rig_and_plates,
    short,
    trueness,
)

SENTENCES: dict[str, Sentence] = {
    **job.SENTENCES,
    **parts.SENTENCES,
    **rig_and_plates.SENTENCES,
    **trueness.SENTENCES,
    **order.SENTENCES,
    **bevels.SENTENCES,
    **rest.SENTENCES,
    **short.SENTENCES,
    **choices.SENTENCES,
}
