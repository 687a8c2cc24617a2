"""Sentences about sizes measured as the work goes on: whether they are off by chance."""

from __future__ import annotations

from stripplan.wording.message import Facts
from stripplan.wording.sentence import Sentence


def _offer(facts: Facts) -> str:
    offers = []
    if facts["has_fence"]:
        offers.append("set the fence {fence:g} " + ("further out" if facts["out"] else "further in") + " than planned")
    if facts["has_kerf"]:
        offers.append("count with a kerf {kerf:g} " + ("wider" if facts["wider"] else "narrower"))
    return f"{', and '.join(offers)}, until the rig is set right; check it by the next piece"


SENTENCES: dict[str, Sentence] = {
    "drift_few": Sentence("{count} sizes are measured; from {fewest} on it can be said whether the rig drifts"),
    "drift_chart": Sentence(
        "{count} sizes: off by {centre:g} in the middle; one alone lies within {low:g} to {high:g} by chance"
    ),
    "drift_beyond": Sentence("not by chance: {places:|, } of them in their order; look for what was different there"),
    "drift_run": Sentence("the last {count} lie on one side of what was expected: something has changed"),
    "drift_offer": Sentence(_offer),
    "drift_none": Sentence("nothing to correct: what they are off by is chance, or less than a scale can be set to"),
}
