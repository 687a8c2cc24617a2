"""Sentences about a job and its plan."""

from __future__ import annotations

from collections.abc import Sequence

from stripplan.wording.figures import in_runs
from stripplan.wording.message import Facts, Quantity
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


JOB: dict[str, Sentence] = {
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

_NUMBERS = ["no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"]


def counted_words(count: object, one: str) -> str:
    """ "one hole", "twelve holes", "13 holes"."""
    number = _NUMBERS[count] if isinstance(count, int) and 0 <= count < len(_NUMBERS) else str(count)
    return f"{number} {one}" if count == 1 else f"{number} {one}s"


WHY_LEFT_OUT = {
    "slanted": "slanted sides",
    "curved": "curved sides",
    "open": "open, it does not close",
    "overlap": "over another outline",
    "frame": "a frame around other outlines",
    "doubtful": "its name or count can be read in two ways",
    "text": "a count that stands at no part",
    "unread": "drawn in a way that is not read",
}
"""Why a thing that was drawn is not planned, in a few words."""


def why_left_out(facts: Facts) -> str:
    """Why a thing that was drawn is not planned, with the count of its holes or corners."""
    one = {"holes": "hole", "corners": "corner"}.get(str(facts["why"]))
    return WHY_LEFT_OUT[str(facts["why"])] if one is None else counted_words(facts["count"], one)


def _not_planned(facts: Facts) -> str:
    if facts["why"] == "text":
        return "NOT COUNTED: {about}, a text that stands at no part."
    return f"NOT PLANNED: {{about}}, {{quantity}} off, {why_left_out(facts)}."


NARROW_HINT = (
    "cut it {least:g} wide and dress it down: {allowance:g} more of allowance on each edge; or saw it; or, where "
    "test cuts bear it out, set narrowest_part in the rig file"
)

PARTS: dict[str, Sentence] = {
    "corner": Sentence("({x:g}, {y:g})"),
    "shape_too_narrow": Sentence(
        "at its narrowest it is {width:g} as cut, narrower than a torch can part: the least is {least:g}",
        "saw it; or, where test cuts bear it out, set narrowest_part in the rig file",
    ),
    "shape_edge_off_the_metal": Sentence(
        "beside its edge from corner {one} to corner {other} too little metal is left for the torch, which takes "
        "{kerf:g} and wants {least:g} to run in",
        "draw that corner square and file it, or clip off more",
    ),
    "shape_edge_not_set": Sentence(
        "its edge from corner {one} to corner {other} cannot be cut: the mitre bar takes {low:g} to {high:g} degrees, "
        "no edge lies along it on the fence, and a cut in one pass is at most {longest:g} long",
        "allow marked cuts in the rig, or change the angle",
    ),
    "shape_on_no_plate": Sentence(
        "the rectangle around it, {length:g} x {width:g} as cut, fits on no plate", "give a larger plate"
    ),
    "too_narrow": Sentence(
        "{width:g} wide as cut is narrower than a torch can part: the least is {least:g}, the greater of 1.5 times "
        "{thickness:g} of thickness and two kerfs of {kerf:g}",
        NARROW_HINT,
    ),
    "narrower_than_the_rig_allows": Sentence(
        "{width:g} wide as cut is narrower than a torch can part: the least is {least:g}, narrowest_part of the rig",
        NARROW_HINT,
    ),
    "not_planned": Sentence(_not_planned),
    "not_used.no_part_fits": Sentence("{plates:|, }: no part comes out of it"),
    "not_used.dearer_with": Sentence(
        lambda facts: (
            "{plates:|, }: the best plan tried with it costs {more:.2f}" + " {unit}" * bool(facts["unit"]) + " more"
        )
    ),
    "not_used.none_near": Sentence("{plates:|, }: no plan tried with it came near the cheapest"),
    "drill_later": Sentence(
        lambda facts: (
            f"{{about}} is cut as a plain rectangle: {counted_words(facts['count'], 'hole')} to make later, "
            "where the check list of parts says."
        )
    ),
    "filler_not_made": Sentence("{about} is not made: {why}."),
    "narrow": Sentence(
        "{about} is {width:g} wide as cut, less than {times:g} times its {thickness:g} of thickness: it is hot right "
        "through, bows and twists. Cut it wider and dress it down, or straighten it."
    ),
    "sharp_point": Sentence(
        "{about} comes to a point of {angle:g} degrees at corner {corner}: its last {over:g} are thinner than the kerf "
        "and burn back. Leave an allowance and grind it, or clip the point."
    ),
    "mitre_between_marks": Sentence(
        "The mitre bar cannot be set to {angle:g} degrees: its nearest mark is {mark:g}, {degrees:g} off, which is "
        "{off:g} at the end of a cut of {length:g}. Set it between the marks by a bevel gauge, or take what it gives."
    ),
    "hold_down": Sentence("{about} {reason}: hold it down, clear of the torch's way, before the arc reaches its end."),
    "rests_on_plate_size": Sentence("{part} ({about}) takes a size from the plate itself: measure the plate first."),
    "left_over_size": Sentence(
        "{part} ({about}) stays over size, within its tolerance: what is over could not be cut off."
    ),
}
"""Parts that need care, or are not made."""


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


RIG_AND_PLATES: dict[str, Sentence] = {
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


def _unequal(facts: Facts) -> str:
    others = "{others:|, }, {last}" if facts["others"] else "{last}"
    more = " and {more} more" if facts["more"] else ""
    return f"{{about}}: {{dimension}} {{usual:.2f}}, but {others}{more}, which take what is left beside the fence."


def _out_of_class(facts: Facts) -> str:
    by = "of ISO 2768-1 class {general_class}" if facts["general_class"] else "asked"
    cure = (
        "A fence scale read to finer steps"
        if facts["alike"]
        else "A trim, where it takes what is left beside the fence, a finer scale"
    )
    return (
        f"{{about}}: {{off}} of {{made}} come out beyond ± {{limit:g}} {by} in {{dimension}}: {{piece}} at "
        f"{{size:.2f}} for {{asked:g}}. {cure}, a measured kerf, or an allowance to dress back cures it."
    )


def _improve(facts: Facts) -> str:
    return "{about}: its {dimension} is asked within ± {asked:g}, and ± {likely:.2f} is likely. To improve first: " + (
        "{advice}" if "advice" in facts else ""
    )


def _improve_shape(facts: Facts) -> str:
    where = "between two edges" if facts["of"] == "across" else "along an edge"
    return (
        f"{{about}}: its {{size:g}} {where} is asked within ± {{asked:g}}, and ± {{likely:.2f}} is likely, most of it "
        "from {cause}."
    )


def _bow(facts: Facts) -> str:
    source = "as strips of this rig did" if facts["calibrated"] else "a model, not measured on this rig"
    remedy = " {remedy}" if "remedy" in facts else ""
    return (
        f"{{about}} will bow by about {{bow:.1f}} ({{low:.1f-}} to {{high:.1f}}; {source}); {{limit:g}} are "
        f"allowed.{remedy}"
    )


def _bow_beyond_model(facts: Facts) -> str:
    bows = (
        "{about} is so narrow that it is hot right through: it will bow by more than can be said, and must be "
        "straightened."
    )
    return f"{bows} {{remedy}}" if "remedy" in facts else bows


def _bow_at_fence(facts: Facts) -> str:
    also = " and {more} more" if facts["more"] else ""
    cuts = f"cut{'s' if facts['count'] != 1 else ''} {_in_runs(facts['cuts'])}"
    return (
        f"{{about}}: the rest bows once it is narrow, and {{count}} of {{about}} ({{pieces:|, }}{also}) will be up to "
        f"{{narrower:.1f}} narrower in the middle. At {cuts} press its middle to the fence, or straighten it first."
    )


def _in_runs(numbers: object) -> str:
    """Numbers in order, neighbours drawn together.

    >>> _in_runs((3, 4, 5, 7)), _in_runs((3, 4))
    ('3 to 5 and 7', '3 and 4')
    """
    assert isinstance(numbers, tuple)
    rows = in_runs(numbers)
    return _joined([told for row in rows for told in ([f"{row[0]} to {row[-1]}"] if len(row) > 2 else map(str, row))])


TRUENESS: dict[str, Sentence] = {
    "unequal": Sentence(_unequal),
    "size_of_piece": Sentence("{about} {size:.2f-}"),
    "size_of_last_piece": Sentence("{about} {size:.2f}"),
    "size_class": Sentence(_out_of_class),
    "coarse_marks": Sentence(
        lambda facts: (
            f"{{about}}: its {{dimension}} comes out {{off:.2f}} too {'small' if facts['small'] else 'large'}, as the "
            "fence is read to {step:g} and set to the nearest mark. Set it between the marks by a rule, or give it an "
            "allowance to dress back."
        )
    ),
    "bow_at_fence": Sentence(_bow_at_fence),
    "plus_minus": Sentence(_improve),
    "plus_minus_of_shape": Sentence(_improve_shape),
    "bow": Sentence(_bow),
    "bow_beyond_model": Sentence(_bow_beyond_model),
}
"""How true and how straight parts come out."""


def _joined(some: Sequence[str]) -> str:
    return some[0] if len(some) == 1 else f"{', '.join(some[:-1])} and {some[-1]}"


def _minutes_and_seconds(seconds: float) -> str:
    minutes, rest = divmod(round(seconds), 60)
    return f"{minutes} min {rest} s" if minutes else f"{rest} s"


def _place_of_cut(facts: Facts) -> str:
    if "made_by" in facts:
        waits = "Cut {cut} must follow cut {made_by}, because cut {made_by} makes its piece, {piece}"
    else:
        waits = "Cut {cut} waits for no cut, because its piece, {piece}, is a plate as it comes"
    takers = facts.get("cut_on_by", ())
    assert isinstance(takers, tuple)
    if takers:
        which = "cut" if len(takers) == 1 else "cuts"
        what = "that cuts" if len(takers) == 1 else "they cut"
        waits += f"; it must come before {which} {{cut_on_by:| and }}, because {what} what it makes"
    wished = " Your wishes for the order hold it as well." if facts["wished"] else ""
    run = " Cuts {run_first} to {run_last} are one run, made with one setting." if "run_first" in facts else ""
    return f"{waits}.{wished} {_other_place(facts)}{run}"


def _other_place(facts: Facts) -> str:
    if "elsewhere" not in facts:
        return "With the others in their order it has no other place."
    has = {
        "piece_lies_there": "cut {before} has left its piece on the bed",
        "fence_stands": "the fence stands at its reading",
        "end_stop_stands": "the end stop stands",
    }
    reasons = [words for fact, words in has.items() if facts[fact]]
    because = f"It stands here because {_joined(reasons)}; at" if reasons else "At"
    place = "straight after cut {elsewhere}" if facts["elsewhere"] else "first of all"
    longer, weighed = facts["longer"], facts["weighed"]
    assert isinstance(longer, Quantity)
    assert isinstance(weighed, Quantity)
    if abs(longer.value) < 0.5:
        takes = "as long"
    else:
        takes = f"{_minutes_and_seconds(abs(longer.value))} {'longer' if longer.value > 0 else 'less'}"
    against = ", but more of what you asked to be spared" if longer.value < -0.5 < weighed.value else ""
    rests = ", rests of the power source not counted" if facts["rests"] else ""
    return f"{because} its next best place, {place}, the work would take {takes}{against}{rests}."


def _changed(facts: Facts, name: str, one: str) -> str | None:
    """ "2 more fence settings", "1 fence setting less"; None where there are as many."""
    count = facts.get(name, 0)
    assert isinstance(count, int)
    if not count:
        return None
    settings = f"{one} setting{'s' if abs(count) > 1 else ''}"
    return f"{count} more {settings}" if count > 0 else f"{-count} {settings} less"


def _takes(facts: Facts) -> str:
    longer = facts["longer"]
    assert isinstance(longer, Quantity)
    told = [_changed(facts, "fence_settings", "fence"), _changed(facts, "end_stop_settings", "end stop")]
    if abs(longer.value) < 0.5:
        told.append("no more time")
    else:
        told.append(f"{_minutes_and_seconds(abs(longer.value))} {'longer' if longer.value > 0 else 'less'}")
    wrong = facts.get("wrong", 0)
    if wrong:
        told.append(
            "one cut makes a part further off than it may be"
            if wrong == 1
            else "{wrong} cuts make parts further off than they may be"
        )
    told.append("parts of a kind come out less alike" if facts.get("less_alike") and not facts.get("wrong") else None)
    weighed = facts.get("weighed", longer)
    assert isinstance(weighed, Quantity)
    if longer.value < -0.5 < weighed.value:
        told.append("but sizes come out less sure, or more is done of what you asked to be spared")
    if weighed.value < -0.5:
        told.append("which the search for this plan had not come to")
    return ", ".join(filter(None, told))


def _set(facts: Facts) -> str:
    """How a cut is set: edge on the fence and reading, or marked."""
    return "edge {edge} on the fence, reading {reading:g}" if "reading" in facts else "marked from edge {edge}"


def _another_cut(facts: Facts) -> str:
    if "other" in facts:
        return f"Instead of cut {{cut}}: cut {{other}} first ({{piece}}; {_set(facts)}): {_takes(facts)}."
    return f"Instead of cut {{cut}}: {{piece}} cut another way first ({_set(facts)}): {_takes(facts)}."


def _set_otherwise(facts: Facts) -> str:
    return f"Cut {{cut}} set another way ({_set(facts)}): {_takes(facts)}."


def _moved_cut(facts: Facts) -> str:
    return f"Instead of cut {{cut}}: cut {{other}} first ({{piece}}), all others as they are: {_takes(facts)}."


def _spared(facts: Facts) -> str:
    less = facts["less"]
    assert isinstance(less, Quantity)
    saved = _minutes_and_seconds(abs(less.value)) + (" less" if less.value >= 0 else " longer")
    return f"{saved}, rests of the power source not counted"


def _left_larger(facts: Facts) -> str:
    wider = [f"{{{name}:g}}" for name in ("wider", "longer_by") if getattr(facts[name], "value", 0.0) > 0.01]
    cuts = "" if facts["cuts"] == 1 else ", and {cuts} cuts fall away"
    return f"Without cut {{cut}} {{part}} stays larger, by {' and '.join(wider)}{cuts}: {_spared(facts)}."


def _left_out(facts: Facts) -> str:
    cuts = "" if facts["cuts"] == 1 else "{cuts} cuts fall away, "
    more = " and {kinds_more} kinds more" if facts["kinds_more"] else ""
    return (
        f"Without cut {{cut}} {{piece}} stays whole and these are not made: {{lost:|, }}{more}; {cuts}{_spared(facts)}."
    )


def _left_whole(facts: Facts) -> str:
    cuts = "" if facts["cuts"] == 1 else "{cuts} cuts fall away, "
    return f"Without cut {{cut}} {{piece}} stays whole, and no part is lost: {cuts}{_spared(facts)}."


ORDER: dict[str, Sentence] = {
    "no_cut": Sentence("the plan has no such cut: it has {count}", "1 to {count}"),
    "place_of_cut": Sentence(_place_of_cut),
    "another_cut": Sentence(_another_cut),
    "set_otherwise": Sentence(_set_otherwise),
    "moved_cut": Sentence(_moved_cut),
    "no_other_cut": Sentence("No other cut can be made in place of cut {cut}: all that come after it wait for it."),
    "left_larger": Sentence(_left_larger),
    "left_out": Sentence(_left_out),
    "left_whole": Sentence(_left_whole),
    "part_times": Sentence("{about} × {count}"),
    "finding": Sentence("{what}"),
    "memory": Sentence("there is not enough memory for it", "plan fewer parts at once, or with fewer steps"),
}
"""Where cuts stand in the order of work."""

SENTENCES: dict[str, Sentence] = JOB | PARTS | RIG_AND_PLATES | TRUENESS | ORDER
