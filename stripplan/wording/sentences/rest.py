"""Sentences about the rest of a job that was begun."""

from __future__ import annotations

from stripplan.wording.message import Facts
from stripplan.wording.sentence import Sentence


def _spoilt(facts: Facts) -> str:
    return "spoilt, {mass:.1f}: {pieces:|, }" + ("; to be made once more: {parts:|, }" if facts["parts"] else "")


SENTENCES: dict[str, Sentence] = {
    "rest_made": Sentence("made are {parts} of {wanted} parts, with {cuts} of {all_cuts} cuts"),
    "rest_spoilt": Sentence(_spoilt),
    "rest_blanks": Sentence("half cut, and still there to be cut: {pieces:|, }"),
    "rest_slanted": Sentence(
        "with slanted edges, and so no plate for the rest: {pieces:|, }; what of them is worth it, square up and give "
        "as a plate"
    ),
    "rest_untouched": Sentence("not begun, so to be taken or not as it fits: {plates:|, }"),
}
