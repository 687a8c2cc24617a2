"""Sentences of the report on a notebook: what the test cuts say of kerf and fence, what the gauge says of the rails."""

from __future__ import annotations

from stripplan.wording.message import Facts, Quantity
from stripplan.wording.sentence import Sentence

# Figures are whole thousandths of a millimetre where they are found: nine digits show all of them.


def _above(facts: Facts, name: str) -> bool:
    value = facts[name]
    assert isinstance(value, Quantity)
    return value.value > 0


KERF: dict[str, Sentence] = {
    "kerf_known": Sentence("The kerf is known to ±{half:.9g} (95 %)."),
    "kerf_on_strips": Sentence(
        "A strip on the fence is off by up to {on_fence:.9g} for that, a strip between two settings by up to "
        "{between:.9g}."
    ),
    "kerf_on_rest": Sentence("After {strips} strips from a moving edge, what is left is off by up to {left:.9g}."),
    "kerf_stands_out": Sentence(
        "Row {row} stands out: kerf {kerf:.9g} (G = {statistic:.2f}, above {critical:.2f}, Grubbs). It is kept. "
        "Measure it again; if there was a cause, say ignore = true in that row: the kerf would be {without:.9g-} "
        "±{half:.9g}."
    ),
    "kerf_few_stand_out": Sentence(
        "With {few} tests or fewer an outlier cannot be told safely: look for a cause before a row is left out."
    ),
    "kerf_one_test": Sentence("One test: how much the kerf itself scatters is not known. Three tests or more show it."),
    "kerf_two_tests": Sentence(
        "Two tests: one difference says little about the scatter, so the interval is wide. A third test narrows it."
    ),
    "kerf_too_alike": Sentence(
        "The tests agree better than the instrument can tell: a finer instrument is needed to know more, not more "
        "tests."
    ),
    "kerf_too_narrow": Sentence(
        "Kerf {kerf:.9g} is narrower than any thermal cut (from about {narrowest:.9g}, common practice): "
        "was it typed in inches?"
    ),
}
"""What test cuts say of the kerf."""


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


def _standoff(facts: Facts) -> str:
    against = {
        "within the aim": "within the aim of ±{aim:.9g}",
        "usable": "usable (±{usable:.9g}), but not within the aim of ±{aim:.9g}",
        "too much": "too much: more than ±{usable:.9g}, the arc stretches or the torch rubs",
    }[str(facts["verdict"])]
    return (
        "The stand-off changes by {change:.9g} over the stroke: ±{half:.9g} if the torch is set at {set_at:.9g} from "
        f"home. That is {against}."
    )


def _rail_line(facts: Facts) -> str:
    name = {"": "It", "left": "The left rail", "right": "The right rail"}[str(facts["rail"])]
    way = "falls" if facts["falls"] else "rises"
    line = "least-squares line" if facts["line"] == "least squares" else "line from end to end"
    return (
        f"{name} {way} by {{by:.9g}} over {{length:.9g}} ({{slope:+.3f}} in 1000); its bow is {{bow:.9g}} at "
        f"{{bow_at:.9g}}, from the {line}."
    )


def _twist(facts: Facts) -> str:
    degrees = " ({degrees:+.2f} degrees)" if "degrees" in facts else ""
    return f"From home to the far end the right rail turns by {{twist:+.3f}} against the left{degrees}."


def _shim(facts: Facts) -> str:
    rail = " of the {rail} rail" if facts["rail"] else ""
    return f"the {{end}} end{rail} by {{thickness:.9g}}"


def _shims(facts: Facts) -> str:
    steady = "No shim is needed for the stand-off. To level it all the same, shim"
    lead = steady if facts["steady"] else "Shim"
    return f"{lead} {{shims:|, }}: then the change is {{after:.9g}} (predicted)."


def _rails_apart(facts: Facts) -> str:
    compared = {
        "parallel": "within {limit:.9g}: parallel",
        "not parallel": "more than {limit:.9g}: not parallel",
        "too near": "too near the limit of {limit:.9g} for this instrument (±{doubt:.9g}): measure with a finer one",
    }[str(facts["verdict"])]
    return (
        "The rails are {narrowest:.9g} apart at {narrowest_at:.9g} and {widest:.9g} at {widest_at:.9g}. "
        f"The difference of {{spread:.9g}} is {compared}."
    )


def _rails_open(facts: Facts) -> str:
    does, way = ("open", "in") if facts["opens"] else ("close", "out")
    return f"They {does} by {{by:.9g}} towards the far end: move one rail {way} by that much there, home end held."


def _rail_bent(facts: Facts) -> str:
    too = "wide" if facts["wide"] else "narrow"
    return f"Besides that they are {{bow:.9g}} too {too} at {{bow_at:.9g}}: one rail is bent there."


RAILS: dict[str, Sentence] = {
    "standoff": Sentence(_standoff),
    "rail_line": Sentence(_rail_line),
    "rail_twist": Sentence(_twist),
    "heights_within_gauge": Sentence("So little is no more than the gauge's steps of {step:.9g} explain."),
    "rails_lean": Sentence(
        "Across the rails the level is off by up to {tilt:.1f} degrees: a torch held square to the rails leans by as "
        "much, and so does the edge it cuts."
    ),
    "no_shim": Sentence("No shim is called for."),
    "shims_no_use": Sentence("Shims at the ends would not make the stand-off steadier: what is there is bow."),
    "shim": Sentence(_shim),
    "shims": Sentence(_shims),
    "shim_too_thick": Sentence(
        "More than {thickest:.9g} is no shim but a packer: first see whether a foot or a bolt has moved."
    ),
    "rail_sags": Sentence("What is left is a sag: a support at {at:.9g}, lifted by {by:.9g}, takes it out."),
    "rail_humps": Sentence(
        "What is left is a hump: {by:.9g} high at {at:.9g}; let the support there down by as much. "
        "Without a support there, the rail itself is bent."
    ),
    "rails_apart": Sentence(_rails_apart),
    "rails_open": Sentence(_rails_open),
    "rail_bent": Sentence(_rail_bent),
}
"""What the gauge says of the rails, and what to do."""


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


def _drift_offer(facts: Facts) -> str:
    offers = []
    if facts["has_fence"]:
        offers.append("set the fence {fence:g} " + ("further out" if facts["out"] else "further in") + " than planned")
    if facts["has_kerf"]:
        offers.append("count with a kerf {kerf:g} " + ("wider" if facts["wider"] else "narrower"))
    return f"{', and '.join(offers)}, until the rig is set right; check it by the next piece"


DRIFT: dict[str, Sentence] = {
    "drift_few": Sentence("{count} sizes are measured; from {fewest} on it can be said whether the rig drifts"),
    "drift_chart": Sentence(
        "{count} sizes: off by {centre:g} in the middle; one alone lies within {low:g} to {high:g} by chance"
    ),
    "drift_beyond": Sentence("not by chance: {places:|, } of them in their order; look for what was different there"),
    "drift_run": Sentence("the last {count} lie on one side of what was expected: something has changed"),
    "drift_offer": Sentence(_drift_offer),
    "drift_none": Sentence("nothing to correct: what they are off by is chance, or less than a scale can be set to"),
}
"""Whether sizes measured as the work goes on are off by chance."""

SENTENCES: dict[str, Sentence] = KERF | FENCE | RAILS | SQUARE | DRIFT
