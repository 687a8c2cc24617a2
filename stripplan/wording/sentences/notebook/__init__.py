"""Sentences about a rig's notebook, by what was measured; its tables are in `tables`."""

from __future__ import annotations

from stripplan.wording.sentence import Sentence
from stripplan.wording.sentences.notebook import cut_signs, dial, fence, kerf, rails, report, speeds, square

SENTENCES: dict[str, Sentence] = {
    **report.SENTENCES,
    **dial.SENTENCES,
    **kerf.SENTENCES,
    **fence.SENTENCES,
    **rails.SENTENCES,
    **square.SENTENCES,
    **cut_signs.SENTENCES,
    **speeds.SENTENCES,
}
