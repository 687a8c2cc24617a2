"""Sentences about jobs."""

from __future__ import annotations

from stripplan.wording.message import Facts
from stripplan.wording.sentence import Sentence
from stripplan.wording.sentences.files.hints import nearest


def _more(facts: Facts) -> str:
    return "" if facts["all_said"] else " ..."


SENTENCES: dict[str, Sentence] = {
    "several_jobs.list": Sentence(
        "a list says of no part to which [[job]] it belongs", "plan it as a job file of its own beside this one"
    ),
    "several_jobs.same_name": Sentence("two jobs have one name", "give each its own"),
    "several_jobs.unknown": Sentence(
        lambda facts: "no [[job]] is called so, or none is named" if facts["known"] else "the file holds no [[job]]",
        lambda facts: "one of {known:|, }" if facts["known"] else "leave `job` out, or add a [[job]] with its name",
    ),
    "filler.square": Sentence("a filler has no square edges", "leave out one of the two"),
    "shape_twice.part": Sentence("the part is shaped twice: {ways:|, }", "keep one of them"),
    "shape_without.part": Sentence("a straight-sided shape has no {key}", "leave it out"),
    "shape_size.outline": Sentence("the outline says how large the part is", "leave out {key}"),
    "shape_size.missing": Sentence("the part has {way}, but no length", "give its length as well as its width"),
    "shape_ends.angle": Sentence(
        "{angle:g} degrees is no angle of an end", "above 0 and below 180; 90 is square, below 90 it leans inward"
    ),
    "shape_ends.none": Sentence("length_to is for slanted ends", "give ends, or leave it out"),
    "shape_ends.meet": Sentence(
        "ends at {one:g} and {other:g} degrees meet before the other edge of a piece {length:g} long (to its {to} "
        "points) and {width:g} wide",
        "make it longer than {least:g}, or narrower, or set the ends steeper",
    ),
    "bevel_edge.word": Sentence("{said} is no edge", nearest),
    "bevel_edge.side": Sentence(
        "edges of a rectangle have names, not the number {number}",
        "one of lower, right, upper, left, long, ends, all",
    ),
    "bevel_edge.number": Sentence("there is no edge {number}", "it has {count}, from each corner to the next"),
    "bevel_edge.short": Sentence(
        "edge {number} is {size:g} long, less than any torch cuts: it is taken for a corner", "name another edge"
    ),
    "bevel_edge.no_side": Sentence(
        "no edge of this shape is its {said} one", "the number of an edge, 1 to {count}, or all"
    ),
    "bevel_depth.both": Sentence("root_face and depth are both given", "keep one"),
    "shape_corners.half": Sentence(
        "corner {corner} is clipped along one side alone", "give both lengths above 0, or 0 for a corner that stays"
    ),
    "shape_corners.meet": Sentence(
        "corners {one} and {other} together take {taken:g} of a side of {size:g}", "clip off less"
    ),
    "shape_outline.crosses": Sentence(
        "the edges after corners {one} and {other} cross each other", "name the corners in the order round the part"
    ),
    "shape_outline.twice": Sentence(
        "corners {one} and {other} are the same, so that the outline goes round more than once",
        "name each corner once, in the order round the part",
    ),
    "shape_outline.flat": Sentence(
        "the corners lie on one line or are fewer than three: it has no area", "name three corners or more"
    ),
    "shape_outline.inward": Sentence(
        "corner {corner} points inward: straight cuts from edge to edge cannot free it",
        "split the part into pieces without such a corner",
    ),
    "rig.no_name": Sentence("the name is empty", "name a file or a profile"),
    "too_many.lists": Sentence("{count} lists are named", "at most {most}"),
    "value.list": Sentence("this is neither text nor a table", 'write "parts.csv", in quotes'),
    "two_prices.plate": Sentence("it has both cost and price_per_kg", "keep one of the two"),
    "no_plate.job": Sentence("there is no plate", "add a [[plate]]"),
    "no_part.job": Sentence("there is no part", "add a [[part]]"),
    "no_part.fillers": Sentence(
        "all parts are fillers, and no plate is opened for a filler", "add a part that is wanted"
    ),
    "too_many.parts": Sentence("{count} parts are wanted", "at most {most:,} in one job"),
    "same_name.parts": Sentence(
        lambda facts: "parts {numbers:|, }" + _more(facts) + " are all called {name}", "give each its own name"
    ),
    "same_name.plates": Sentence(
        lambda facts: "plates {numbers:|, }" + _more(facts) + " are all called {name}", "give each its own name"
    ),
    "mixed_prices.plates": Sentence("prices are mixed: {ways:|; }", "price all plates alike, or none"),
    "mixed_prices.way": Sentence(lambda facts: "{way} on {plates:|, }" + _more(facts)),
}
