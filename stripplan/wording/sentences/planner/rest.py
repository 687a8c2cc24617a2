"""Sentences about the rest of a job that was begun."""

from __future__ import annotations

from stripplan.wording.message import Facts, Quantity
from stripplan.wording.sentence import Sentence


def _spoilt(facts: Facts) -> str:
    return "spoilt, {mass:.1f}: {pieces:|, }" + ("; to be made once more: {parts:|, }" if facts["parts"] else "")


def _less(facts: Facts) -> str:
    """What is spared, of what there is something to say."""
    said = ["{saved:.2f} {unit}"] if facts["unit"] else ["{saved:.2f}"]
    minutes, plates, settings = facts["minutes"], facts["plates"], facts["settings"]
    if isinstance(minutes, Quantity) and minutes.value > 0:
        said.append("{minutes:.0f} at the rig")
    if isinstance(plates, int) and plates > 0:
        said.append("{plates} plates" if plates > 1 else "1 plate")
    if isinstance(settings, int) and settings > 0:
        said.append("{settings} fence settings" if settings > 1 else "1 fence setting")
    return ", ".join(said)


def _changed(facts: Facts) -> str:
    """How many of the cuts that were still to be made do not stay."""
    if facts["changed"] != facts["cuts"]:
        return "{changed} of {cuts} cuts change"
    return "none of the {cuts} cuts to come stays" if facts["cuts"] != 1 else "the cut to come does not stay"


SENTENCES: dict[str, Sentence] = {
    "again_changed": Sentence(lambda facts: f"{_changed(facts)}: that spares {_less(facts)}"),
    "again_not_worth": Sentence(
        lambda facts: f"another plan would spare {_less(facts)} and change {{changed}} of {{cuts}} cuts: not worth it"
    ),
    "rest_made": Sentence("made are {parts} of {wanted} parts, with {cuts} of {all_cuts} cuts"),
    "rest_spoilt": Sentence(_spoilt),
    "rest_salvaged": Sentence(
        "still good of {piece}: {length:.4g} × {width:.4g}, to be trimmed to that first; which of its edges went "
        "is not known"
    ),
    "usable_nothing": Sentence(
        "nothing was spoilt {side} of cut {cut}, of which something could still be good",
        "say which piece it spoilt as well",
    ),
    "usable_cut": Sentence(
        "{piece}, which was spoilt at cut {cut}, was cut further by cut {opened}: nothing of it lies there whole",
        "take that tick back, or name no size",
    ),
    "usable_larger": Sentence(
        "{given:.6g| × } does not lie on {piece}, of {sides:.6g| × }", "what of it is still good, once it is trimmed"
    ),
    "rest_blanks": Sentence("half cut, and still there to be cut: {pieces:|, }"),
    "rest_bevels": Sentence(
        "bevels that are still to be cut on parts that are made, by the sheet of the plan before: {bevels:|, }, on "
        "{pieces:|, }"
    ),
    "rest_slanted": Sentence(
        "with slanted edges, and so no plate for the rest: {pieces:|, }; what of them is worth it, square up and give "
        "as a plate"
    ),
    "rest_untouched": Sentence("not begun, so to be taken or not as it fits: {plates:|, }"),
}
