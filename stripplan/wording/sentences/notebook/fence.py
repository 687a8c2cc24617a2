"""What checks say of the scale of the fence, and what is wrong with them."""

from __future__ import annotations

from stripplan.wording.message import Facts, Quantity
from stripplan.wording.sentence import Sentence
from stripplan.wording.sentences.notebook.hints import TYPE_IN_MM

# Figures are whole thousandths of a millimetre where they are found: nine digits show all of them.


def _above(facts: Facts, name: str) -> bool:
    value = facts[name]
    assert isinstance(value, Quantity)
    return value.value > 0


def _scale_taken(facts: Facts) -> str:
    taken = "The scale was taken as {scale:g}, not measured."
    if "near" not in facts:
        return taken
    more = "The zero is safe near reading {near:.9g}; a check at another reading, far off, gives the scale too."
    return f"{taken} {more}"


def _strip_stands_out(facts: Facts) -> str:
    way = "wider" if _above(facts, "off") else "narrower"
    return (
        f"Row {{row}} stands out: its strip is {{by:.9g}} {way} than the fit says (greatest studentized residual, "
        "5 %). It is kept; set, cut and measure it again, or say ignore = true in that row."
    )


FENCE: dict[str, Sentence] = {
    "fence_scale_taken": Sentence(_scale_taken),
    "fence_one_check": Sentence(
        "One check: its uncertainty is that of the instrument and the kerf alone. How well a setting repeats is not "
        "known."
    ),
    "fence_stands_out": Sentence(_strip_stands_out),
    "fence_reach": Sentence(
        "The checks reach from reading {lowest:.9g} to {highest:.9g}; beyond that the fit is extrapolated."
    ),
    "fence_two_checks": Sentence(
        "Two checks give zero and scale without residuals: the uncertainty is that of the instrument and the kerf "
        "alone, and how well a setting repeats is not known. Whether the scale ({scale:.5g} ±{half:.2g}) differs from "
        "{given:g} needs a third check."
    ),
    "fence_scale_differs": Sentence(
        "The scale differs from {given:g}: {scale:.5g} ±{half:.2g} (95 %). Zero and scale are both needed."
    ),
    "fence_scale_alike": Sentence(
        "The scale ({scale:.5g} ±{half:.2g}, 95 %) does not differ from {given:g} as far as {checks} checks can tell. "
        "The simpler model serves: zero {zero:.9g-} ±{zero_half:.9g} with the scale left at {given:g}."
    ),
    "fence_too_alike": Sentence(
        "The checks agree better than the instrument can tell; its resolution limits what is known."
    ),
    "fence_in_inches": Sentence("One mark is about {inch} mm: the readings are in inches."),
}
"""What checks say of the scale of the fence."""

FAULTS: dict[str, Sentence] = {
    "fence_no_check": Sentence("no check is given: at least 1 is needed for the zero, 2 readings for the scale"),
    "fence_one_reading": Sentence(
        "all {checks} checks are at reading {reading:.9g}: two different readings are the least that is needed for the "
        "scale"
    ),
    "fence_scale_turned": Sentence(
        "the scale runs the other way: slope {slope:.4g} from reading {lowest:.9g} to {highest:.9g}, and it must be "
        "above 0; strips must get wider as the reading grows: check which width belongs to which reading, or turn the "
        "scale round"
    ),
    "fence_reading": Sentence("reading {reading:g} is not a number"),
    "fence_no_strip": Sentence(
        "width {width:.9g} is smaller than half the kerf ({half:.9g}): no strip is left that could be measured"
    ),
    "fence_rows_apart": Sentence(
        "rows {one} and {other} are both at reading {reading:.9g}, but their widths {one_width:.9g-} and "
        "{other_width:.9g} lie {apart:.9g} apart; more than {most:.9g} is no scatter of a fence: one figure is mistyped"
    ),
    "fence_row_in_inches": Sentence(
        f"row {{row}} looks like inches: width {{width:.9g-}} at reading {{reading:.9g}}; {TYPE_IN_MM}"
    ),
    "fence_row_off": Sentence(
        "row {row}: a width of {width:g-} at reading {reading:g} lies {off:+.2f} off the line of the others, and more "
        "than {most:g} are a mistake rather than a setting: measure it again"
    ),
}
"""What is wrong with a check."""

SENTENCES: dict[str, Sentence] = FENCE | FAULTS
