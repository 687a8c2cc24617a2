"""What test cuts say of the speed, which cut to make next, and speeds to begin with."""

from __future__ import annotations

from stripplan.wording.message import Facts, Quantity
from stripplan.wording.sentence import Sentence


def _sure(facts: Facts, name: str) -> str:
    """A probability for a sentence [%], never 100 % and never 0 %.

    >>> _sure(Facts(good=Quantity(99.99, "percent")), "good"), _sure(Facts(good=Quantity(42, "percent")), "good")
    ('over 99 %', '42 %')
    """
    share = facts[name]
    assert isinstance(share, Quantity)
    if share.value > 99:
        return "over 99 %"
    return "under 1 %" if share.value < 1 else f"{share.value:.0f} %"


def _expected(facts: Facts) -> str:
    return f"Expected: {', '.join(f'{word} {_sure(facts, word)}' for word in ('slow', 'good', 'fast'))}."


def _next(aim: str) -> Sentence:
    """A cut that is made for one end of the window, or to find it at all."""

    def said(facts: Facts) -> str:
        return f"{{speed:g}}{' again' if facts['again'] else ''}, {aim}. {_expected(facts)}"

    return Sentence(said)


WINDOW: dict[str, Sentence] = {
    "good_speeds": Sentence(
        "Good speeds probably from {low:.0f-} ({low_least:.0f-} to {low_most:.0f-}) "
        "to {high:.0f-} ({high_least:.0f-} to {high_most:.0f}), 90 % each."
    ),
    "best_speed": Sentence("Best so far: {set}, {confidence} ({probability:.0f})."),
    "speed_set": Sentence("{speed:.0f}"),
    "speed_set_at_mark": Sentence("{speed:.0f} (mark {mark:.2f})"),
    "almost_surely_good": Sentence("almost surely good"),
    "likely_good": Sentence("likely good"),
    "more_likely_good": Sentence("more likely good than not"),
    "not_known_good": Sentence("not known to be good"),
    "speed_in_profile": Sentence("The profile has {speed:g}: plans use that until you change it."),
    "cuts_elsewhere": Sentence("{cuts} cuts were made at another current or tip and do not count."),
    "cuts_not_judged": Sentence("{cuts} of the cuts could not be judged by their signs and are left out."),
    "rig_too_slow": Sentence(
        "Even the rig's greatest speed is probably too slow for this plate at this current: use less current (and the "
        "nozzle meant for it), or gear the drive up. Until then the greatest speed serves best; its dross scrapes off "
        "(common practice, no source)."
    ),
    "rig_too_fast": Sentence(
        "Even the rig's least speed is probably too fast for this plate at this current: use more current, or gear the "
        "drive down. Look first at tip, air pressure and stand-off: a weak arc gives the same signs (common practice, "
        "no source)."
    ),
    "no_window": Sentence(
        "No good speed seems to lie between too slow and too fast. The slow side is preferred: its dross scrapes off, "
        "that of the fast side needs grinding (common practice, seen in a maker's manual). Look at tip, stand-off and "
        "air before more cuts are made."
    ),
    "between_marks": Sentence(
        "The window seems to lie between two settings of the dial: set the dial finer there, or use less current, "
        "which moves the window down."
    ),
}
"""What the cuts so far say."""

NEXT: dict[str, Sentence] = {
    "next_cut": Sentence("Next cut at {set}: {why}"),
    "cuts_enough": Sentence("Enough cuts: {why}"),
    "first_of_all": Sentence(
        lambda facts: f"The first cut: of all speeds it tells most about the window. {_expected(facts)}"
    ),
    "next_for_side": _next("to see on which side the window lies"),
    "next_for_low": _next("to find the lowest good speed, now {least:.0f-} to {most:.0f}"),
    "next_for_high": _next("to find the highest good speed, now {least:.0f-} to {most:.0f}"),
    "stop_none_good": Sentence(
        lambda facts: f"Stop: no settable speed is good, {_sure(facts, 'sure')} sure. {{reason}}"
    ),
    "stop_good": Sentence(
        lambda facts: f"Stop: {{speed:g}} is good, {_sure(facts, 'sure')} sure; cut the kerf test at it. {{why}}"
    ),
    "ends_known": Sentence("The window's ends are known within a ratio of {ratio:g}."),
    "little_to_tell": Sentence("One more cut would tell little ({gain:.2f} bit)."),
    "stop_unsettled": Sentence(
        lambda facts: (
            "Stop: {cuts} cuts have not settled it; use {speed:g}, {confidence} "
            f"({_sure(facts, 'sure')}). Look at what changes from cut to cut: tip, stand-off, air."
        )
    ),
}
"""Which cut to make next, or why no more."""


def _estimated(facts: Facts) -> str:
    quick = " For thicker plate that errs to the quick side." if facts["thicker"] else ""
    slow = " For more current it errs to the slow side, by up to a factor of 2.5." if facts["stronger"] else ""
    return (
        "The chart's nearest figure is for {thickness:g} at {current:g}; from there a model of heat flow carries it "
        f"on.{quick}{slow}"
    )


def _too_slow(facts: Facts) -> str:
    serves = "About {serves:g} would serve, with the nozzle meant for it."
    none = "No lower current that a figure is held for would serve."
    within = (
        " The rig's greatest speed lies within the range of the estimate: test cuts may still show a good one."
        if facts["within"]
        else ""
    )
    return (
        "At {current:g} a good cut in {thickness:g} wants about {speed:.0f}; the rig travels {travel_max:.0f} at most. "
        "Cut slower than that, the kerf is wide, dross hangs on below and strips bow more. "
        f"{serves if 'serves' in facts else none} Or a gearbox output {{ratio:.2f}} times as fast as now.{within}"
    )


def _too_fast(facts: Facts) -> str:
    none = "No current that a figure is held for would serve."
    return (
        "The rig's slowest travel, {travel_min:.0f}, is faster than the {speed:.0f} estimated for {thickness:g} at "
        f"{{current:g}}: the cut may not go through. {'{serves:g} would serve.' if 'serves' in facts else none}"
    )


BY_METHOD = "{about}: {thickness:g} mild steel at {current:g} with air; {source}; {status}"


def _by_model(facts: Facts) -> str:
    kerf = "measured" if facts["measured"] else "not measured"
    severing = ", {quality:g} of the severing speed" if "quality" in facts else ""
    return (
        f"{BY_METHOD}; kerf {{kerf:.2f}} ({kerf}), arc {{kilowatts:.2f}} kW (80 + 0.4 I volts, IEC 60974-1 from "
        f"memory){severing}"
    )


STARTING: dict[str, Sentence] = {
    "starting_speeds": Sentence("Estimates for air plasma, not tested: make test cuts on scrap, and write them down."),
    "first_cut": Sentence(
        "First cut at {speed:.0f}: an estimate; the good speed probably lies within {low:.0f-} to {high:.0f-}."
    ),
    "first_cut_beyond": Sentence(
        "First cut at {speed:.0f}, as near as the rig comes to {estimate:.0f-}: "
        "an estimate; the good speed probably lies within {low:.0f-} to {high:.0f-}."
    ),
    "test_first": Sentence("An estimate before any test: make test cuts on scrap around it and use what they show."),
    "model_only": Sentence(_estimated),
    "too_slow_for_current": Sentence(_too_slow),
    "too_fast_for_current": Sentence(_too_fast),
    "speed_by_figures": Sentence(BY_METHOD),
    "speed_by_model": Sentence(_by_model),
    "no_speed_of_material": Sentence(
        "no published speed is held for {about} at {current:g}: handbook rows for stainless and aluminium begin at "
        "250 A, and nothing held says how they scale. Ask the maker's chart of the power source, then make test cuts"
    ),
    "no_speed_held": Sentence(
        "no figure is held for {thickness:g} mild steel at {current:g}. Held are: {held:|; } (all but the chart only "
        "from {least:g-} to {most:g} of plate an ampere)"
    ),
    "speed_range": Sentence("{about} {thin:g-} to {thick:g} at {least:g-} to {most:g}"),
}
"""Speeds to begin with, before any cut."""

FAULTS: dict[str, Sentence] = {
    "speed_above_0": Sentence("{name} {speed:g} must be a number above 0"),
    "speed_not_travelled": Sentence("speed {speed:g} is not one the rig travels, {least:g-} to {most:g}"),
    "answer_unknown": Sentence("answer {answer!r} is not known; known are {known:|, }, or None for not judged"),
    "no_entry": Sentence("{entry} must be a speed and an answer, or an observation"),
    "start_outside_range": Sentence("starting speed {speed:g} lies outside its own range, {least:g-} to {most:g}"),
    "speeds_turned": Sentence("least travel speed {least:g} lies above the greatest, {most:g}"),
    "step_too_coarse": Sentence(
        "no multiple of the dial's step of {step:g} lies between {least:g-} and {most:g}: a finer step is needed"
    ),
}
"""What is wrong with cuts, or with a rig's speeds."""

SENTENCES: dict[str, Sentence] = WINDOW | NEXT | STARTING | FAULTS
