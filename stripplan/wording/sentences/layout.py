"""Sentences about parts that cannot be made; how bounds were got, methods by their names."""

from __future__ import annotations

from stripplan.wording.message import Facts
from stripplan.wording.sentence import Sentence


def _stopped(text: str, way_out: str) -> Sentence:
    """What stops a part; the hint names the changes that were tried and help, or where none does `way_out`."""

    def hint(facts: Facts) -> str:
        return "{changes:|, or }" if facts["changes"] else way_out

    return Sentence(text, hint)


STOPPED: dict[str, Sentence] = {
    "no_plate_of_kind": _stopped("no plate of {material} {thickness:g}", "add a plate of that material and thickness"),
    "no_plate_left": _stopped("there is none left of its plates ({plates:|, })", "add plates"),
    "bigger_than_plates": _stopped(
        "{size} as cut is bigger than any plate: the largest is {largest_length:g-} x {largest_width:g}",
        "take a larger plate, or make the part smaller",
    ),
    "trimmed_too_small": _stopped(
        "{size} as cut is bigger than what a trim of {trim:g} and its kerf leave of any plate",
        "take a larger plate, or a plate with cut edges",
    ),
    "fits_only_turned": _stopped(
        "{size} fits only turned, and its rolling direction or rotate = false forbids that",
        "allow it to turn, or take a plate rolled the other way",
    ),
    "cut_too_long": _stopped(
        "no cut that it needs across its plates is within the {longest:.0f} that the rig can make at once",
        "the plates are {shortest:g} long and more: take a shorter plate, a longer stroke, allow two passes, or give "
        "the power source more duty (less current, more speed)",
    ),
    "beyond_bed": _stopped(
        "for a cut that it needs its plate lies farther along the travel than the bed's {bed:g}", "take a shorter plate"
    ),
    "too_heavy": _stopped(
        "its plates weigh {lightest:.0f} and more, above the greatest piece mass of {limit:g}", "take a smaller plate"
    ),
    "too_heavy_to_turn_over": _stopped(
        "for a cut that it needs its plate of {plate_mass:.0f} would be turned over between two passes, and above "
        "{limit:g} that takes a hoist; the longest plate that one pass cuts is {longest:.0f}",
        "cut the plate across first, to {longest:.0f} at most, and give the pieces as plates",
    ),
    "out_of_reach": _stopped(
        "its fence offset {offset:g}, or that of what lies beside it, lies outside the fence's reach of {least:g-} to "
        "{most:g}, and marking out is not allowed",
        "allow marked cuts, or change the fence's reach",
    ),
    "no_room_beside": _stopped(
        (
            "whatever comes off first, a cut that it needs has more than the {far:g} that may lie beside the torch "
            "on both sides"
        ),
        "another plate",
    ),
    "no_room_beside_nor_reach": _stopped(
        "whatever comes off first, a cut that it needs has no side within the fence's reach of {least:g-} to "
        "{most:g} with the other within the {far:g} that may lie beside the torch, and marking out is not allowed",
        "allow marked cuts, or take another plate",
    ),
    "no_room_for_offcut": _stopped(
        "what comes off must be at least the narrowest offcut, {narrowest:g} wide, and at most {far:g} may lie "
        "beside the torch",
        "more room beside the torch, or a narrower narrowest_offcut",
    ),
    "sliver_left": _stopped(
        "beside {size} a sliver would be left on every plate: the narrowest offcut is {narrowest:g} behind a kerf of "
        "{kerf:g}",
        "give the part a tolerance, change its size a little, or take another plate",
    ),
    "no_scrap_for_square_edges": _stopped(
        "its square edges need scrap beside them, and with that {size} cannot be cut from any plate",
        "ask for no square edges, or take a larger plate",
    ),
    "too_shallow": _stopped("it needs cuts in two directions, and depth = {depth} allows one", "depth = 2"),
}
"""Why a part comes from no plate."""

CHANGES: dict[str, Sentence] = {
    "let_it_turn": Sentence("let it turn (rotate = true)"),
    "free_rolling": Sentence("leave its rolling direction free"),
    "no_square_edges": Sentence("ask for no square edges"),
    "allow_marked_cuts": Sentence("allow marked cuts"),
    "allow_two_passes": Sentence("allow two passes"),
    "less_current": Sentence(
        "cut at {current:g} or less: the power source must rest, and a pause is no help within a cut"
    ),
    "no_trim": Sentence("trim nothing off (trim = 0)"),
    "a_hoist": Sentence("a hoist: hoist = true in the rig"),
    "say_a_length": Sentence(
        "say a length, {width:g}x{length:g}, two of them for each: the plate is then cut across first"
    ),
    "depth_of_two": Sentence("depth = 2"),
    "narrower": Sentence("{by:g} narrower"),
    "wider": Sentence("{by:g} wider"),
    "shorter": Sentence("{by:g} shorter"),
    "longer": Sentence("{by:g} longer"),
    "a_tolerance": Sentence("a tolerance of {over:g}, left on it"),
    "larger_plate": Sentence("a larger plate ({plate} {by:g} {change})"),
    "smaller_plate": Sentence("a smaller plate ({plate} {by:g} {change})"),
    "plate_of_size": Sentence("a plate of {length:g-} x {width:g}"),
    "longer_cut": Sentence("a rig that cuts {longest:g} at once (longer stroke, two passes, more duty)"),
    "longer_bed": Sentence("a bed of {bed:g}"),
    "greater_mass": Sentence("a greatest piece mass of {mass:g}"),
    "farther_fence": Sentence("a fence that reaches {reach:g}"),
    "more_room_beside": Sentence("room for {room:g} beside the torch"),
}
"""Changes with which a part could be made."""


def _columns_of_family(facts: Facts) -> str:
    stages = "two" if facts["stages"] == 2 else "three"
    trimming = " with trimming" if facts["trimming"] else ""
    first = ", first cuts {first}" if facts["first"] else ""
    return f"column generation bound over all patterns of {stages} stages{trimming}{first}"


def _one_less(text: str) -> Sentence:
    return Sentence(lambda facts: text if facts["exact"] else f"{text}, by HiGHS within its tolerance of 1e-6")


BOUNDS: dict[str, Sentence] = {
    "bound_material": Sentence("material bound"),
    "bound_functions": Sentence("dual feasible functions"),
    "bound_functions_of_widths": Sentence("dual feasible functions of the widths"),
    "bound_columns_of_strips": Sentence("column generation bound over all sets of strips"),
    "bound_columns": Sentence("column generation bound over all patterns of any depth"),
    "bound_columns_of_family": Sentence(_columns_of_family),
    "bound_sets": _one_less("no plan with one plate less among all sets of strips that it could use"),
    "bound_arcs": _one_less("arc-flow integer programme has no plan with one plate less"),
    "bound_one_plate": Sentence("exact search of one plate"),
    "bound_area": Sentence("area of the parts"),
    "bound_area_in_all": Sentence("area of the parts, the least cuts of any layout, offcuts at their most"),
    "bound_in_all": Sentence("bound on plates, the least cuts of any layout, offcuts at their most"),
    "no_bound": Sentence("no bound: not all parts are made"),
}

SEARCHED = "{steps} steps of the search, then plate by plate, part by part"

SENTENCES: dict[str, Sentence] = {
    **STOPPED,
    **CHANGES,
    **BOUNDS,
    "size_as_cut": Sentence("{width:g-} x {length:g}"),
    "width_as_cut": Sentence("{width:g}"),
    "plates_there": Sentence("{about}: {limit}"),
    "stock_used_up": Sentence(
        "{count} of {wanted} cannot be made: the stock is used up ({stock:|; })",
        "add plates (at least {missing} more for all parts), or make fewer",
    ),
    "not_found": Sentence(
        "no place was found for {count} of {wanted} on the plates there are ({stock:|; }). "
        f"Searched: {SEARCHED}. That there is none is not shown",
        "one more {more}, more steps, another seed, or make fewer",
    ),
    "not_found_alone": Sentence(
        "no place was found for {count} of {wanted}: by itself it comes from no plate as far as was searched "
        f"({SEARCHED}). Beside others it might",
        "more steps, another seed, or a plate of another size",
    ),
}
