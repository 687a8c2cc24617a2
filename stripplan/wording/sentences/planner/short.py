"""Warnings of a plan in few words, for a screen that is taken in at a glance: what is so, without why and what helps.

Keyed "short." and the code; a code that has none is short enough as it is, or is cut off (`wording.short`).
"""

from __future__ import annotations

from stripplan.wording.message import Facts
from stripplan.wording.sentence import Sentence


def _unequal(facts: Facts) -> str:
    others = facts["others"]
    more = facts["more"]
    count = (len(others) if isinstance(others, tuple) else 0) + (more if isinstance(more, int) else 0)
    also = f" and {count} more" if count else ""
    return f"{{about}}: {{dimension}} {{usual:.2f-}}, but {{last}}{also}."


def _out_of_class(facts: Facts) -> str:
    by = "class {general_class}" if facts["general_class"] else "asked"
    return f"{{about}}: {{off}} of {{made}} beyond ± {{limit:g}} {by}: {{dimension}} {{size:.2f-}} for {{asked:g}}."


def _bow(facts: Facts) -> str:
    if "bow" not in facts:
        return "{about} is hot right through, so narrow is it: it will bow, and must be straightened."
    return "{about} will bow by about {bow:.1f}; {limit:g} are allowed."


def _turned_over(facts: Facts) -> str:
    times = "once" if facts["times"] == 1 else "{times} times"
    return f"{{about}}: up to {{heaviest:.0f}} turned over {times} between two passes, by {{lifted_by}}."


SENTENCES: dict[str, Sentence] = {
    "short.bevel_by_hand": Sentence("BY HAND: {count} of the bevels of {about}, {angle:g} at the most."),
    "short.bevel_estimated": Sentence("ESTIMATED: bevels of {about} at {angle:g}, {speed:.0f}. Test them first."),
    "short.bevel_thin": Sentence("{about}: at {angle:g} the torch half misses the edge."),
    "short.tilt_shift_assumed": Sentence("Where the torch strikes at {angle:g} was not measured: test it first."),
    "short.estimated": Sentence(
        "ESTIMATED: the rig has no process for {material} {thickness:g}. Make test cuts of {test:g} first."
    ),
    "short.stroke_assumed": Sentence("The rig gives no stroke: {stroke:g} are assumed. Measure yours."),
    "short.two_pass_heavy": Sentence(_turned_over),
    "short.unequal": Sentence(_unequal),
    "short.coarse_marks": Sentence(
        lambda facts: (
            f"{{about}}: {{off:.2f-}} too {'small' if facts['small'] else 'large'}, as the fence is read to {{step:g}}."
        )
    ),
    "short.size_class": Sentence(_out_of_class),
    "short.bow": Sentence(_bow),
    "short.bow_at_fence": Sentence(
        "{about}: {count} of them up to {narrower:.1f} narrower in the middle, unless pressed to the fence."
    ),
    "short.bow_not_known": Sentence("How far strips of {about} bow is not known: measure one."),
    "short.plus_minus_of_shape": Sentence("{about}: {size:g} asked within ± {asked:g}; ± {likely:.2f} is likely."),
    "short.plus_minus": Sentence("{about}: {dimension} asked within ± {asked:g}; ± {likely:.2f} is likely."),
    "short.narrow": Sentence("{about} is {width:g} wide and hot right through: it bows and twists."),
    "short.hold_down": Sentence("{about}: hold it down before the arc reaches its end."),
    "short.left_over_size": Sentence("{part} ({about}) stays over size, within its tolerance."),
    "short.rests_on_plate_size": Sentence("{part} ({about}) takes a size from the plate: measure it first."),
    "short.rolling_unknown": Sentence("The rolling direction of {about} is not known: look at the plate."),
    "short.kerf_far": Sentence("The kerf of {about} was measured as {kerf:g}; the profile had {before:g}."),
    "short.kerf_not_measured": Sentence("The kerf of {about}, {kerf:g}, was not measured: make a test cut first."),
    "short.job_late": Sentence("{about} is due on {due} and done on {done}."),
    "short.job_early": Sentence("{about}: some parts are cut before jobs that are due before it are finished."),
    "short.dial_range": Sentence("{about} is cut at {speed:g}, beyond what the dial was timed for."),
    "short.speed_doubted": Sentence("Test cuts of {about} speak against {speed:g}; best so far {best:.0f}."),
    "short.pilot": Sentence("The arc burns {burns:.1f} in air; the source allows about {limit:g}."),
    "short.out_of_square": Sentence("{about} is {out_of_square:g} out of square, {trim:g} is trimmed off."),
    "short.rounded": Sentence("Sizes are rounded to hundredths of a millimetre, parts up and plates down."),
}
