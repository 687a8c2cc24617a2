"""Whether the fence is parallel to the travel, and a cut rectangle square; strips that bow."""

from __future__ import annotations

from stripplan.wording.message import Facts
from stripplan.wording.sentence import Sentence
from stripplan.wording.sentences.notebook.hints import TYPE_BOTH_IN_MM


def _fence_off(facts: Facts) -> str:
    way = "wider" if facts["wider"] else "narrower"
    return (
        f"The strip is {{by:.9g}} {way} at the far end over {{length:.9g}}: the fence is {{angle:.3f}} ±{{half:.3f}} "
        "degrees off the travel."
    )


def _turn_fence(facts: Facts) -> str:
    way = "towards" if facts["wider"] else "away from"
    return (
        "Hold the fence's home end and turn it {turn} seen from above: its far end, {reach:.9g} on, goes {by:.9g} "
        f"{way} the torch line. Then cut another strip and measure both ends."
    )


SQUARE: dict[str, Sentence] = {
    "fence_parallel": Sentence(
        "Both widths agree within ±{half:.9g}, which is what this instrument can tell over {length:.9g}: "
        "leave the fence as it is."
    ),
    "fence_off": Sentence(_fence_off),
    "turn_fence": Sentence(_turn_fence),
    "diagonals_do_not_fit": Sentence(
        "The diagonals do not fit the sides by {by:.9g}: opposite sides are not equal, or a figure is mistyped. "
        "The angle then holds only roughly."
    ),
    "is_square": Sentence("Square as far as this rule can tell: within ±{half:.2f} degrees ({level:.0f} %)."),
    "cut_out_of_square": Sentence(
        "Out of square by {angle:.2f} ±{half:.2f} degrees: {over_width:.9g} over the width, {over_length:.9g} over "
        "the length. The corners where the {sharp} diagonal starts and ends are the sharp ones."
    ),
    "square_is_handed_on": Sentence(
        "A cut on the fence is parallel to its datum edge and hands the piece's own squareness on: true one end "
        "first, on a mitre bar set by that figure, then cut the rest from it."
    ),
}
"""Whether the fence is parallel to the travel, and a cut rectangle square."""

FAULTS: dict[str, Sentence] = {
    "widths_in_inches": Sentence(
        f"widths {{home:.9g-}} and {{far:.9g-}}: one of them looks like inches; {TYPE_BOTH_IN_MM}"
    ),
    "fence_too_far_off": Sentence(
        "widths {home:.9g-} and {far:.9g} over {length:.9g} make {angle:.1f} degrees: more than {most:g} is no fence "
        "out of parallel; check the three figures"
    ),
    "diagonal_cannot_be": Sentence(
        "{name} {value:.9g} cannot join corners of {width:.9g-} x {length:.9g}: it must lie between {low:.9g-} and "
        "{high:.9g}"
    ),
    "too_far_out_of_square": Sentence(
        "diagonals {first:.9g-} and {second:.9g} on {width:.9g-} x {length:.9g} are out of square by more than "
        "{most:g} degrees: check the four figures"
    ),
    "no_strip_measured": Sentence("no strip was measured: 1 is needed at least, 3 show how they scatter"),
    "bow_no_number": Sentence("bow {bow:g-}, length {length:g-}, width {width:g-}: all must be numbers"),
    "bow_not_above_0": Sentence("length {length:.9g-} and width {width:.9g-} must be above {zero:g}"),
    "bow_wide": Sentence("width {width:.9g-} is not below length {length:.9g}; are they the wrong way round?"),
    "bow_too_great": Sentence("bow {bow:.9g-} is more than half the length, {length:.9g}"),
    "bow_too_small": Sentence(
        "no bow reaches one step of the reading, {step:.9g}: take strips of {lengths:g-| to } x {narrow:g-} to "
        "{wide:g}, or a finer gauge"
    ),
    "bow_turned": Sentence(
        "the strips bow the wrong way, C {constant:.4f}: a cut edge ends up hollow. The plate's own stress is "
        "greater than the cut's, or the signs are turned round; measure strips of another plate"
    ),
    "strip_hot_through": Sentence(
        "a strip of {width:.9g} is hot right through; at least {least:g^} wide is needed with C {constant:.4f}"
    ),
}
"""What is wrong with these figures."""

SENTENCES: dict[str, Sentence] = SQUARE | FAULTS
