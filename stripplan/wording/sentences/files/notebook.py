"""Sentences about a notebook that is changed."""

from __future__ import annotations

from stripplan.wording.sentence import Sentence
from stripplan.wording.sentences.files import hints

SENTENCES: dict[str, Sentence] = {
    "by_hand.add": Sentence(
        "the rows of {kind} stand in it as one list in brackets, to which none can be added here",
        "write each under a header of its own, [[{kind}]] in an editor",
    ),
    "by_hand.change": Sentence(
        "row {row} of {kind} cannot be changed safely, as it is written", "write the new figures in an editor"
    ),
    "by_hand.ignore": Sentence(
        "row {row} of {kind} cannot be marked safely, as it is written", "write ignore = {ignore} into it in an editor"
    ),
    "by_hand.last_counts": Sentence(
        "the last check counts, and the rows of {list} come after those of the notebook",
        "write it into that list in an editor",
    ),
    "by_hand.name_notebook": Sentence("the notebook cannot be named in it safely", "write {line} in an editor"),
    "changed.elsewhere": Sentence("it was changed elsewhere just now", "load it again"),
    "no_process.in_rig": Sentence("the rig has no process {name}", hints.nearest),
    "row.unknown_kind": Sentence("{kind} is no kind of row", hints.nearest),
    "row.how": Sentence("{said} is no row", "write its kind and key=value, as in {example}"),
    "unknown_key.of_row": Sentence("a row of {kind} has no {key}", hints.nearest),
    "value.typed": Sentence("{said}", "{way_out}"),
    "row.none": Sentence("there is no such row in the notebook itself", "rows of a list are changed there"),
    "does_not_fit": Sentence("{problem}", "measure again, or first leave out the row that is wrong"),
    "value.nothing_looked_at": Sentence("nothing was looked at", "say at least one thing of the edge, or of the dross"),
    "takes_away": Sentence(
        "{figures:|, } would not be known any more: {rows:|; } does not fit the other rows",
        "measure again, or write it down all the same and leave out the row that is wrong",
    ),
    "value.no_metal_taken": Sentence(
        "the pieces add to {after:g}, no less than the {before:g} before", "a cut takes metal away: measure again"
    ),
}
