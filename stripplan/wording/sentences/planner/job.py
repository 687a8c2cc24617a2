"""Sentences about a job: what cannot be planned as it is given, and what to know of how it was planned."""

from __future__ import annotations

from stripplan.wording.message import Facts
from stripplan.wording.sentence import Sentence


def _prices(facts: Facts) -> str:
    groups = (("by_cost", "by cost"), ("by_mass", "by price_per_kg"), ("bare", "not at all"))
    return "prices are mixed: " + "; ".join(f"{{{key}:|, }} {how}" for key, how in groups if facts[key])


def _slower_or_geared(facts: Facts) -> str:
    current = "choose a current that cuts well at a speed the rig has"
    return f"{current}, or a gearbox output {{ratio:.2f}} times as fast" if "ratio" in facts else current


def _spaced(number: object) -> str:
    return f"{number:,}".replace(",", " ")


def _rounded(facts: Facts) -> str:
    return (
        f"The sizes are whole only in units of {{unit:.15g}}, {_spaced(facts['count'])} to the longest side of a plate "
        f"where {_spaced(facts['most'])} are the most: parts and trim are rounded up, plates down, to hundredths of a "
        "millimetre."
    )


def _plates(count: object) -> str:
    return "1 plate" if count == 1 else f"{count} plates"


EARLY = {
    "shared": ", as plates are shared",
    "slanted": ", as cuts at an angle come last",
    "time": ", as the days leave time for it",
    "kept": ", as the order of before is kept",
}
"""Why parts of a job are cut before others that are due before it."""


def _early(facts: Facts) -> str:
    why = EARLY.get(str(facts.get("why")), "")
    early = "parts of {about} are cut before all jobs due before it are finished"
    return f"{early}{why}: cuts {{cuts:|, }} of {{plates:|, }}"


SENTENCES: dict[str, Sentence] = {
    "no_plate": Sentence("there is no plate", "add a plate"),
    "no_part": Sentence("there is no part", "add a part"),
    "fillers_alone": Sentence("all parts are fillers: nothing opens a plate", "add a part that is wanted"),
    "same_name": Sentence("two {kind}s are called {name!r}", "give each its own name"),
    "trim": Sentence(
        "a trim of {trim:g} is narrower than the narrowest offcut, {narrowest:g}", "trim 0, or at least {narrowest:g}"
    ),
    "mixed_prices": Sentence(_prices, "price all plates alike, or none"),
    "strip_length": Sentence(
        "a strip runs as long as its plate, and its plates are {shorter:g-| and } and {longest:g} long",
        "give the part a length",
    ),
    "travel_speed": Sentence("travel speed {speed:g} is outside the rig's {low:g-} to {high:g}", _slower_or_geared),
    "current": Sentence("current {current:g} is above the highest rating, {highest:g}", "lower the current"),
    "no_plate_of_that_name": Sentence("there is no plate {name!r}", "one of {known:|, }"),
    "jobs_of_one_name": Sentence("both jobs are called {name!r}", "give each its own `name`"),
    "rigs_of_jobs": Sentence(
        "jobs that are planned together are cut on one rig; theirs differ in {keys:|, }",
        "choose one rig for all (in the shell by --rig), or plan them apart",
    ),
    "currencies_of_jobs": Sentence("the currencies differ: {currencies:|, }", "give all in one"),
    "prices_of_jobs": Sentence("plates are priced in different ways: {ways:|, }", "price all plates alike, or none"),
    "options_of_jobs": Sentence(
        "`{key}` is asked of the whole plan, and they say {values:| and }", "say it in one of them, or plan them apart"
    ),
    "long_name_of_jobs": Sentence(
        "with its job before it the name has {count} letters, {most} are the most", "shorten either"
    ),
    "strip_of_jobs": Sentence(
        "a strip runs as long as its plate, and together its plates are {lengths:g| and } long",
        "give the part a length",
    ),
    "job_late": Sentence(
        "{about} is due on {due} and done on {done}, after {minutes:.0f} at the rig",
        "more hours a day, an earlier start, or another day",
    ),
    "job_early": Sentence(_early),
    "kept": Sentence("of {before} cuts {kept} stay as they were, in their order; {new} are new"),
    "kept_dearer": Sentence(
        lambda facts: (
            f"kept, it comes to {{kept_total:,.2f}} {{unit}} in all on {_plates(facts['kept_plates'])}, with "
            "{kept_stay} of {cuts} cuts as they were; planned afresh to {afresh_total:,.2f} on "
            f"{_plates(facts['afresh_plates'])}, with {{afresh_stay}}"
        )
    ),
    "kept_nothing": Sentence("nothing of the plan before can stay: all {new} cuts are new"),
    "end_stop_no_mark": Sentence(
        "{asked:g} is no mark that the end stop can be set to", "the nearest are {near:g| and }"
    ),
    "pin_of_other_stock": Sentence(
        "{plate} is {thickness:g} {material}, the part {asked:g} {asked_material}",
        "name a plate of its material and thickness, or none",
    ),
    "fence_of_shape": Sentence("a straight-sided shape has no width that a fence could stay at", "leave out its fence"),
    "fence_of_kerfs": Sentence(
        "its plates are cut with kerfs of {kerfs:g| and }, so one reading gives several widths",
        "bind it to one plate by `plate`",
    ),
    "fence_no_mark": Sentence("{asked:g} is no mark of the fence's scale", "the nearest are {near:g| and }"),
    "fence_out_of_reach": Sentence("the fence does not reach {asked:g}", "it goes from {least:g} to {most:g}"),
    "fence_out_of_tolerance": Sentence(
        "with the fence at {asked:g} it comes out {gives:g} wide; {width:g} ± {limit:g} is asked",
        "readings from {low:g} to {high:g} can be",
    ),
    "fence_fixed": Sentence(
        lambda facts: (
            "{about}: the fence stays at {reading:g}, so it comes out {gives:g} wide"
            + (
                ", as asked."
                if getattr(facts["off"], "value", 0.0) < 0.005
                else f", {{off:g}} {'wider' if facts['wider'] else 'narrower'} than the {{width:g}} asked."
            )
        )
    ),
    "pinned": Sentence("it is to come from {plate}: {why:?}", "or leave out that it comes from {plate}"),
    "first_without_limit": Sentence(
        "to be used first there must be so many of it, or nothing else would be used",
        "say its quantity, or call it an offcut",
    ),
    "first_not_used": Sentence(
        "{about} was to be used first, and nothing lies on it: no part fits, or others would find no place",
        "bind a part to it by `plate` if it is to be used all the same",
    ),
    "no_part_of_that_name": Sentence("there is no part {name!r}", "one of {known:|, }"),
    "circle": Sentence("the plates wait for each other: {plates:| before }", "leave out one of these pairs"),
    "part_first_waits": Sentence(
        "{parts:|, } before all others, but in {later}, which waits for {earlier}: {parts:|, } before {earlier} before "
        "{later} before {parts:|, }",
        "leave out the part, or that {earlier} comes before {later}",
    ),
    "plate_open": Sentence("its material or thickness is not clear", "give both for each plate"),
    "several_materials": Sentence("the job has several materials", "give the material of each plate"),
    "several_thicknesses": Sentence("the job has several thicknesses", "give that of each plate"),
    "part_open": Sentence(
        "the plates differ in material or thickness, and the part does not say which it wants",
        "give the part's material and thickness",
    ),
    "part_of_several_materials": Sentence(
        "{asked} may be {materials:| or } of the plates", "give the part the material of one of them"
    ),
    "part_material": Sentence("no plate is of {asked}, and no grade is known by that name", "did you mean {near}?"),
    "assumed_plate": Sentence(
        "No material or thickness was given: {material}, {thickness:g} is assumed, as in the rig's first process."
    ),
    "assumed_plate_material": Sentence("No material was given: {material} is assumed, as in the rig's first process."),
    "assumed_plate_thickness": Sentence(
        "No thickness was given: {thickness:g} is assumed, as in the rig's first process."
    ),
    "rounded": Sentence(_rounded),
    "too_fine": Sentence(
        "kerf {kerfs:.12g| and } and narrowest offcut {narrowest:.12g} share no workable unit even with sizes in "
        "hundredths of a millimetre",
        "give kerf and narrowest offcut to a hundredth of a millimetre",
    ),
}
"""What of a job contradicts itself or its rig, and what was assumed."""
