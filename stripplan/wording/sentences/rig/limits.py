"""Sentences about what the rig can cut, and what stays on it."""

from __future__ import annotations

from stripplan.wording.message import Facts
from stripplan.wording.sentence import Sentence

ADD = "add a [[process]] with the kerf and speed of this plate"
NO_PROCESS = "the rig has no process for {material} {thickness:g}"


def _known(facts: Facts) -> str:
    return "choose one of {known:|, }" if facts["known"] else "the rig has no process at all"


def _nearest(facts: Facts) -> str:
    if "nearest" not in facts:
        return f"nearest is none: the rig has no process at all; {ADD}"
    return f"nearest is {{nearest!r}} ({{nearest_material}}, {{nearest_thickness:g}}); {ADD}"


SENTENCES: dict[str, Sentence] = {
    "process_unknown": Sentence("process {process!r} does not fit {material} {thickness:g}", _known),
    "no_process": Sentence(NO_PROCESS, _nearest),
    "no_process_nor_estimate": Sentence(f"{NO_PROCESS}, and no estimate reaches that far", _nearest),
    "no_process_of_that_name": Sentence(NO_PROCESS, f"did you mean {{near}}? If not, {ADD}"),
    "falls_through": Sentence(
        "({width:g-} x {length:g}) is smaller than the bed's slots of {slots:g} and falls through"
    ),
    "blown_off": Sentence("({width:g-} x {length:g}) weighs {grams:.0f} g, and the jet may blow it off the bed"),
}
