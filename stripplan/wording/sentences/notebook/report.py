"""What stands above the parts of a report on a notebook, and what its parts say together."""

from __future__ import annotations

from stripplan.wording.message import Facts
from stripplan.wording.sentence import Sentence


def _processes(facts: Facts) -> str:
    return "did you mean {near}?" if "near" in facts else "its processes are {processes:|, }"


def _check(facts: Facts) -> str:
    return "check {number}, {day}:" if "day" in facts else "check {number}:"


TITLES: dict[str, Sentence] = {
    "report_in_mm": Sentence("Lengths in mm, speeds in mm/min, whatever units they were written down in."),
    "report_in_in": Sentence("Lengths in inches, speeds in in/min, whatever units they were written down in."),
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
    "of_process": Sentence("{about}: {what}"),
    "process_speed": Sentence("{about} ({speed:g})"),
    "check_of_day": Sentence("{day}:"),
    "check_of_several": Sentence(_check),
    "kerf_elsewhere": Sentence(
        "{about}: {tests} of its tests were made at another current, tip or speed and do not count."
    ),
    "fence": Sentence(
        "offset = {zero:.2f-} + {scale:.5f} x reading (zero ± {zero_half:.2f}, scale ± {scale_half:.5f})."
    ),
    "fence_repeats": Sentence("One setting repeats to a standard deviation of {deviation:.2f}."),
    "fence_strip": Sentence("A strip set at {reading:g} comes out {width:.2f-} ± {half:.2f} wide."),
}
"""What the report on a notebook says."""

CHARTS: dict[str, Sentence] = {
    "chart_dial": Sentence("Dial and speed"),
    "chart_kerf": Sentence("Kerf by thickness"),
    "chart_fence": Sentence("Fence: what each strip is off by"),
    "chart_height": Sentence("Height of the torch along the travel"),
    "chart_speed": Sentence("Test cuts of {about}"),
    "axis_mark": Sentence("mark"),
    "axis_speed": Sentence("{speed_unit}"),
    "axis_thickness": Sentence("{length_unit} thick"),
    "axis_kerf": Sentence("{length_unit} kerf"),
    "axis_reading": Sentence("reading"),
    "axis_length": Sentence("{length_unit}"),
    "axis_from_home": Sentence("{length_unit} from home"),
    "axis_none": Sentence(""),
    "points_timed": Sentence("timed"),
    "points_measured": Sentence("measured"),
    "points_in_profile": Sentence("in the profile"),
    "points_strips": Sentence("strips"),
    "points_torch": Sentence("torch"),
    "points_slow": Sentence("slow"),
    "points_good": Sentence("good"),
    "points_fast": Sentence("fast"),
    "span_good": Sentence("probably good"),
}
"""Words of its charts."""

OF_A_KIND = {"fence_scale": "{value:g-} ± {half:.2g} a mark", "fence_angle": "{value:g} ± {half:.2g} °"}
"""How a figure reads that is neither a length nor a speed."""

MEASURED: dict[str, Sentence] = {
    "measured_figure": Sentence(lambda facts: OF_A_KIND.get(str(facts["key"]), "{value:g-} ± {half:.2g}")),
    "how_timed_runs": Sentence("{runs} timed runs at {marks} marks, {least:.0f-} to {most:.0f}"),
    "how_fastest_run": Sentence("the fastest timed run, at mark {mark:g}"),
    "how_drive": Sentence("the drive's full turns, not timed"),
    "how_test_pieces": Sentence("{pieces} test pieces, {cuts} cuts"),
    "how_strips": Sentence("{strips} strips between readings {lowest:g} and {highest:g}"),
    "how_both_ends": Sentence("a strip of {length:g} measured at both ends"),
    "how_bowed_strips": Sentence("{strips} strips"),
}
"""How a figure was measured."""

FAULTS: dict[str, Sentence] = {
    "notebook": Sentence("{what}"),
    "notebook_process": Sentence("{name!r} is no process of rig {rig}", _processes),
    "several": Sentence("{all:|; }"),
    "of_row": Sentence("row {row}: {what}"),
    "of_place": Sentence("{about}: {what:?}"),
    "above_0": Sentence("{name} {value:g}: must be above 0"),
    "length_above_0": Sentence("{name} {value:g-}: must be above {zero:g}"),
    "number_above_0": Sentence("{name} {value:g-}: must be a number above {zero:g}"),
    "length_not_below_0": Sentence("{name} {value:g-}: must not be below {zero:g}"),
}
"""What is wrong with a notebook."""

SENTENCES: dict[str, Sentence] = TITLES | REPORT | CHARTS | MEASURED | FAULTS
