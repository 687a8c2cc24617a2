"""Sentences about jobs."""

from __future__ import annotations

from stripplan.wording.message import Facts
from stripplan.wording.sentence import Sentence


def _more(facts: Facts) -> str:
    return "" if facts["all_said"] else " ..."


SENTENCES: dict[str, Sentence] = {
    "filler.square": Sentence("a filler has no square edges", "leave out one of the two"),
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
