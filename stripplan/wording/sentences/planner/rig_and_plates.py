"""Sentences about the rig and the plates of a plan: what is estimated, what to measure, what to mind at them."""

from __future__ import annotations

from stripplan.wording.message import Facts
from stripplan.wording.sentence import Sentence


def _estimate(facts: Facts) -> str:
    slow = (
        " A good cut at {current:g} wants about {too_quick:.0f}, more than the rig has: the kerf is wide then, dross "
        "hangs on, strips bow more."
    )
    strokes = "{slower:.0f-|, }, {quickest:.0f}" if facts["slower"] else "{quickest:.0f}"
    return (
        "ESTIMATED: the rig has no process for {material} {thickness:g}. Kerf {kerf:g}, {current:g} and "
        "{speed:.0f} (good is probably {low:.0f-} to {high:.0f-}) come from "
        f"{{how}}.{slow if 'too_quick' in facts else ''} First make test cuts of {{test:g}} on scrap of this plate at "
        f"{strokes}, measure the kerf of the best, and put both into a [[process]]."
    )


def _turned_over(facts: Facts) -> str:
    times = "once" if facts["times"] == 1 else "{times} times"
    return (
        f"{{about}}: {times} a piece of up to {{heaviest:.0f}} is turned over between two passes, by {{lifted_by}}. "
        "The other way: cut it across first, to at most {longest:g}, and give what that makes as plates; then each "
        "cut is one pass."
    )


SENTENCES: dict[str, Sentence] = {
    "stroke_assumed": Sentence(
        "The rig gives no stroke: {stroke:g} are assumed, so one pass cuts up to {longest:g}. Measure yours and put "
        "it into the rig file."
    ),
    "estimated": Sentence(_estimate),
    "two_pass_heavy": Sentence(_turned_over),
    "bow_not_known": Sentence(
        "How far strips of {about} bow is not known: the model holds for mild steel alone. Cut one with one hot edge, "
        "{narrow:g-} to {wide:g} wide, measure its bow when cold, and write it down ([[bow_check]] of the notebook, or "
        "bow_constant)."
    ),
    "out_of_square": Sentence("{about} is {out_of_square:g} out of square, and {trim:g} is trimmed off its edges."),
    "rolling_unknown": Sentence(
        "The rolling direction of {about} is not known; {parts:|, } asks for one: look at the plate."
    ),
    "kerf_far": Sentence(
        "The kerf of {about} was measured as {kerf:g}; the profile had {before:g}. Was a piece left out of a test?"
    ),
    "kerf_not_measured": Sentence(
        "The kerf of {about}, {kerf:g}, was not measured: make a test cut before the first strip."
    ),
    "dial_range": Sentence(
        "{about} is cut at {speed:g}; the dial was timed from {low:g-} to {high:g}: no mark can be given. Time a run "
        "beyond, or set the speed by a test run."
    ),
    "pilot": Sentence("The arc burns {burns:.1f} in air before the metal; the source allows about {limit:g}."),
    "speed_doubted": Sentence(
        "Test cuts of {about} speak against {speed:g}: good is probably from {low:.0f-} to {high:.0f}, best so far "
        "{best:.0f}."
    ),
}
"""What is not known of rig and plates, and what is heavy."""
