"""What timed runs say of the dial and the drive, and what is wrong with them."""

from __future__ import annotations

from stripplan.wording.message import Facts, Quantity
from stripplan.wording.sentence import Sentence


def _serving(facts: Facts) -> str:
    """Which output serves, how far that is from the one fitted now, and what the least speed asks of it."""
    said = (
        "A gearbox output of {rpm:.3g} rpm gives {speed:.0f}: {teeth} teeth of {pitch:g} pitch move the carriage "
        "{turn:g} a turn."
    )
    if "ratio" in facts:
        said += " That is {ratio:.3g} times the output fitted now ({rpm_now:g} rpm, {now:.0f})."
    if "least" in facts:
        said += " For {least:.0f} the motor then runs at {share:.0f} of its turns."
    return said


DRIVE: dict[str, Sentence] = {
    "drive": Sentence("{rpm:g} rpm, {teeth} teeth of {pitch:g} pitch: {turn:g} a turn, {top:.0f} at the most."),
    "drive_timed_faster": Sentence("But {fastest:.0f} were timed: turns, teeth, belt or a distance cannot be right."),
    "drive_below_profile": Sentence(
        "The profile says that the rig travels at up to {travel_max:g}; this drive gives {top:.0f-}."
    ),
    "drive_too_slow": Sentence("Too fast for it: {processes:|, }."),
    "drive_serving": Sentence(_serving),
    "belt_unknown": Sentence(
        lambda facts: (
            "belt {about!r} is not known: "
            + ("did you mean {near:| or }?" if "near" in facts else "known are {known:|, }.")
            + " Or give the pitch in mm, measured over 10 teeth"
        )
    ),
}
"""What turns the belt."""


def _scatter(facts: Facts) -> str:
    by = facts["by"]
    of = " of the speed" if isinstance(by, Quantity) and by.dimension == "percent" else ""
    return (
        f"Repeats of one mark scatter by {{by:.1f}}{of} more than a watch good to {{watch:g}} explains: the "
        "uncertainty allows for it. Usual causes: the dial set afresh, a slipping belt, a motor not yet warm, a late "
        "thumb."
    )


DIAL: dict[str, Sentence] = {
    "dial": Sentence(
        "{runs} runs at {marks} marks: {least:.0f-} to {most:.0f}. Within ± the speed lies 95 times in 100."
    ),
    "dial_mark": Sentence("Mark {mark:g}: {speed:.0f-} ± {half:.0f}."),
    "dial_not_yet": Sentence("No dial yet: {why}."),
    "dial_wanted": Sentence("Time one more run at another mark. Until then plans use what the profile says."),
    "dial_two_runs_apart": Sentence(
        "Rows {one} and {other}, both mark {mark:g}, gave {one_speed:.0f-} and {other_speed:.0f}: further apart than "
        "the timing explains. Both are kept and the uncertainty allows for it: time it a third time."
    ),
    "dial_run_apart": Sentence(
        "Row {row}, mark {mark:g}, gave {speed:.0f}, the other runs of the mark {rest:.0f-}: further apart than the "
        "timing explains. It is kept and the uncertainty allows for it: time it again, or strike the row if the watch "
        "slipped."
    ),
    "dial_few_marks": Sentence("Only {marks} different marks were timed: {enough} or more show the shape of the dial."),
    "dial_no_repeats": Sentence(
        "No mark was timed twice: what setting the dial afresh adds is not in the uncertainty."
    ),
    "dial_run_short": Sentence(
        "Row {row}: {seconds:g} is short for a watch good to {watch:g}: {distance:.0f} ({need:.0f}) would give the "
        "speed to {sure:g}."
    ),
    "dial_scatter": Sentence(_scatter),
    "dial_levelled": Sentence(
        "Marks {marks:g|, } gave {timed:.1f-|, } {speed_unit}, which is out of order but within the timing: all are "
        "taken as {level:.1f}."
    ),
}
"""What timed runs say."""


def _one_mark(facts: Facts) -> str:
    lead = {0: "no run is given", 1: "the only run stands at mark {mark:g}"}
    all_alike = "all {runs} runs stand at mark {mark:g}"
    runs = facts["runs"]
    assert isinstance(runs, int)
    return f"{lead.get(runs, all_alike)}: a dial needs at least 2 different marks, and {{better}} are better"


def _rows(facts: Facts, name: str) -> str:
    rows = facts[name]
    assert isinstance(rows, tuple)
    words = list(map(str, rows))
    return f"row {words[0]}" if len(words) == 1 else f"rows {', '.join(words[:-1])} and {words[-1]}"


def _contradiction(facts: Facts) -> str:
    one, other = _rows(facts, "one_rows"), _rows(facts, "other_rows")
    way = "slower" if facts["falling"] else "faster"
    return (
        f"{one} (mark {{one_mark:g}}, {{one_speed:.0f}}) and {other} (mark {{other_mark:g}}, {{other_speed:.0f}}) "
        f"contradict each other: over the table a greater mark is {way}, and timing explains a difference of "
        "{allowed:.1f} at most. Time them again"
    )


FAULTS: dict[str, Sentence] = {
    "watch_above_0": Sentence("watch {watch:g} must be above 0: no time is stopped exactly"),
    "rule_not_below_0": Sentence("rule {rule:g} must not be below 0"),
    "run_mark": Sentence("mark {mark:g} must be a number, 0 or above"),
    "run_distance": Sentence("distance {distance:g} must be above 0"),
    "run_seconds": Sentence("time {seconds:g} must be above 0"),
    "dial_one_mark": Sentence(_one_mark),
    "dial_outside": Sentence(
        "mark {mark:g} lies outside the timed marks {first:g} to {last:g}: nothing is guessed there, time a run"
    ),
    "dial_contradiction": Sentence(_contradiction),
    "dial_no_change": Sentence(
        "marks {first:g} to {last:g} change the speed by {change:.1f} and timing leaves {noise:.1f} open: which way "
        "the dial runs cannot be told. Time marks further apart, or over a longer distance"
    ),
}
"""What is wrong with runs, or too little."""

SENTENCES: dict[str, Sentence] = DRIVE | DIAL | FAULTS
