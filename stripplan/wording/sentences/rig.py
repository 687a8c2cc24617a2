"""Sentences about the rig and its notebook."""

from __future__ import annotations

from stripplan.wording.message import Facts
from stripplan.wording.sentence import Sentence


def _processes(facts: Facts) -> str:
    return "did you mean {near}?" if "near" in facts else "its processes are {processes:|, }"


def _check(facts: Facts) -> str:
    return "check {number}, {day}:" if "day" in facts else "check {number}:"


TITLES: dict[str, Sentence] = {
    "report_drive": Sentence("Drive"),
    "report_dial": Sentence("Dial"),
    "report_kerf": Sentence("Kerf"),
    "report_fence": Sentence("Fence"),
    "report_torch_height": Sentence("Height of the torch"),
    "report_rail_distance": Sentence("Distance between the rails"),
    "report_fence_angle": Sentence("Fence and travel"),
    "report_square": Sentence("Squareness"),
    "report_bow": Sentence("Bow"),
    "report_speed": Sentence("Speed of {about}"),
    "report_starting_speeds": Sentence("Speeds to begin with"),
    "report_profile": Sentence("What plans use"),
}
"""Parts of the report on a notebook."""

REPORT: dict[str, Sentence] = {
    "said": Sentence("{sentence}"),
    "of_process": Sentence("{about}: {what}"),
    "process_speed": Sentence("{about} ({speed:g})"),
    "check_of_day": Sentence("{day}:"),
    "check_of_several": Sentence(_check),
    "drive": Sentence("{rpm:g} rpm, {teeth} teeth of {pitch:g} pitch: {turn:g} a turn, {top:.0f} at the most."),
    "drive_timed_faster": Sentence("But {fastest:.0f} were timed: turns, teeth, belt or a distance cannot be right."),
    "drive_below_profile": Sentence(
        "The profile says that the rig travels at up to {travel_max:g}; this drive gives {top:.0f-}."
    ),
    "drive_too_slow": Sentence("Too fast for it: {processes:|, }."),
    "dial_not_yet": Sentence("No dial yet: {why}."),
    "dial_wanted": Sentence("Time one more run at another mark. Until then plans use what the profile says."),
    "dial": Sentence(
        "{runs} runs at {marks} marks: {least:.0f-} to {most:.0f}. Within ± the speed lies 95 times in 100."
    ),
    "dial_mark": Sentence("Mark {mark:g}: {speed:.0f-} ± {half:.0f}."),
    "kerf_elsewhere": Sentence(
        "{about}: {tests} of its tests were made at another current, tip or speed and do not count."
    ),
    "fence": Sentence(
        "offset = {zero:.2f-} + {scale:.5f} x reading (zero ± {zero_half:.2f}, scale ± {scale_half:.5f})."
    ),
    "fence_repeats": Sentence("One setting repeats to a standard deviation of {deviation:.2f}."),
    "fence_strip": Sentence("A strip set at {reading:g} comes out {width:.2f-} ± {half:.2f} wide."),
    "good_speeds": Sentence(
        "Good speeds probably from {low:.0f-} ({low_least:.0f-} to {low_most:.0f-}) "
        "to {high:.0f-} ({high_least:.0f-} to {high_most:.0f}), 90 % each."
    ),
    "best_speed": Sentence("Best so far: {set}, {confidence} ({probability:.0f})."),
    "speed_set": Sentence("{speed:.0f}"),
    "speed_set_at_mark": Sentence("{speed:.0f} (mark {mark:.2f})"),
    "next_cut": Sentence("Next cut at {set}: {why}"),
    "cuts_enough": Sentence("Enough cuts: {why}"),
    "speed_in_profile": Sentence("The profile has {speed:g}: plans use that until you change it."),
    "cuts_elsewhere": Sentence("{cuts} cuts were made at another current or tip and do not count."),
    "starting_speeds": Sentence("Estimates for air plasma, not tested: make test cuts on scrap, and write them down."),
    "first_cut": Sentence(
        "First cut at {speed:.0f}: an estimate; the good speed probably lies within {low:.0f-} to {high:.0f-}."
    ),
    "first_cut_beyond": Sentence(
        "First cut at {speed:.0f}, as near as the rig comes to {estimate:.0f-}: "
        "an estimate; the good speed probably lies within {low:.0f-} to {high:.0f-}."
    ),
}
"""What the report on a notebook says."""

FAULTS: dict[str, Sentence] = {
    "notebook": Sentence("{what}"),
    "notebook_process": Sentence("{name!r} is no process of rig {rig}", _processes),
}
"""What is wrong with a notebook."""

SENTENCES: dict[str, Sentence] = TITLES | REPORT | FAULTS
