"""Sentences about bevelled edges: what is wrong with those that are asked for, and what to mind at those of a plan."""

from __future__ import annotations

from stripplan.wording.sentence import Sentence
from stripplan.wording.sentences.planner.parts import counted_words


def _by_hand(why: str, way_out: str) -> Sentence:
    return Sentence(
        lambda facts: (
            f"BY HAND: {counted_words(facts['count'], 'bevel')} of {{about}}, {{angle:g}} at the most, not cut on the "
            f"rig: {why}. {way_out}"
        )
    )


SENTENCES: dict[str, Sentence] = {
    "bevel_allowance": Sentence(
        "a bevelled edge has no allowance: dressing {allowance:g} off it takes the bevel with it",
        "leave the allowance out, or grind the bevel after dressing and leave `bevels` out",
    ),
    "bevel_root": Sentence(
        "a root face of {root:g} leaves nothing to bevel of {thickness:g} of thickness", "make it less"
    ),
    "bevel_twice": Sentence(
        "edge {edge} is bevelled twice from the {face} face", "keep one, or say which is of the other face"
    ),
    "bevel_overlap": Sentence(
        "the bevels of edge {edge} are {deep:g} deep together, in {thickness:g} of thickness",
        "give each a `depth`, or one of them with face = 'both'",
    ),
    "bevel_too_small": Sentence(
        "its bevels take {back:g} off a face, and less than {least:g} of its {width:g} is left between them",
        "a larger root face, a smaller angle, or fewer edges",
    ),
    "bevel_by_hand.tilt": _by_hand(
        "the torch tilts to {most:g}",
        "If yours tilts farther, put tilt_max into the rig file; else grind them.",
    ),
    "bevel_by_hand.process": _by_hand(
        "the torch would go through more metal than any process or estimate reaches",
        "A [[process]] for thicker plate, or a smaller angle; else grind them.",
    ),
    "bevel_by_hand.stroke": _by_hand(
        "an edge is {edge:g} long, and a bevel is one pass of at most {longest:g}", "Grind them, or cut them by hand."
    ),
    "bevel_by_hand.duty": _by_hand(
        "the power source does not burn so long in one go at so slow a speed",
        "A process with a lower current, or grind them.",
    ),
    "bevel_by_hand.reach": _by_hand(
        "the fence does not reach, and the rig allows no marked cuts", "Allow them (marked = true), or grind them."
    ),
    "bevel_by_hand.thin": _by_hand(
        "so little is taken off that the torch would miss the metal", "Grind them: a file does it."
    ),
    "bevel_by_hand.turn_over": _by_hand(
        "the piece is too heavy to be turned over", "A hoist (hoist = true), or bevel it from the other face alone."
    ),
    "bevel_by_hand.bed": _by_hand("the piece is longer than the bed carries", "Grind them."),
    "bevel_estimated": Sentence(
        "ESTIMATED: bevels of {about} at {angle:g} go through {through:g} of metal: {speed:.0f} with {process} comes "
        "from the law of thickness, or is that of another process. First bevel {test:g} of scrap at it, a fifth slower "
        "and a fifth faster, and take the best."
    ),
    "bevel_thin": Sentence(
        "{about}: at {angle:g} and {depth:g} deep the face is set back by {back:g}, less than the kerf across it, "
        "{across:g}: the torch half misses the edge and may wander. Slow down, or grind it."
    ),
    "tilt_shift_assumed": Sentence(
        "Where the torch strikes at a tilt of {angle:g} was not measured: {shift:g} farther from the fence is assumed, "
        "from a pivot {pivot:g} above the plate. Bevel {test:g} of scrap, measure what is left of the upper face, and "
        "put what it is over or under into tilt_shift of the rig file."
    ),
}
