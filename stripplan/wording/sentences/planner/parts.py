"""Sentences about parts: which are missing or left out and why, which cannot be as they are wanted."""

from __future__ import annotations

from stripplan.wording.message import Facts
from stripplan.wording.sentence import Sentence

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

SENTENCES: dict[str, Sentence] = {
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
    "shape_edge_too_long": Sentence(
        "its edge from corner {one} to corner {other} is {long:g} long as cut, and the rig cuts at most {longest:g} in "
        "one pass",
        "a smaller part, or a rig that cuts farther at once: longer stroke, more duty",
    ),
    "shape_is_a_curve": Sentence(
        "its outline has {count} corners; more than {most} are a curve, which straight cuts only make in so many "
        "settings",
        "draw it with fewer corners; or plan the rectangle around it, and cut the curve by other means",
    ),
    "rectangle_around_shape": Sentence("the rectangle around it: {why:?}"),
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
