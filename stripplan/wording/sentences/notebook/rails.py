"""What the gauge says of the rails, and what to do."""

from __future__ import annotations

from stripplan.wording.message import Facts
from stripplan.wording.sentence import Sentence
from stripplan.wording.sentences.notebook.hints import TYPE_IN_MM

# Figures are whole thousandths of a millimetre where they are found: nine digits show all of them.


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

FAULTS: dict[str, Sentence] = {
    "too_few_positions": Sentence("{count} position: at least 2 are needed, 5 or more show bow"),
    "uneven_series": Sentence("{count} {of} for {positions} positions: one is needed at each"),
    "no_number_in_series": Sentence("{of} {value:g-}: not a number"),
    "positions_turned": Sentence(
        "position {after:g-} must lie beyond the {before:g-} of row {row_before}, counted from home"
    ),
    "torch_place": Sentence(
        "torch at {value:g} of the rail distance: must lie from -1 to 2, 0 to 1 is between the rails"
    ),
    "height_in_inches": Sentence(
        "row {row} looks like inches: {rail} height {height:.9g-} among heights of about {usual:.9g-}; "
        f"{TYPE_IN_MM}"
    ),
    "distance_in_inches": Sentence(
        f"row {{row}} looks like inches: {{distance:.9g-}} beside {{other:.9g-}} in row {{other_row}}; {TYPE_IN_MM}"
    ),
}
"""What is wrong with readings along the travel."""

SENTENCES: dict[str, Sentence] = RAILS | FAULTS
