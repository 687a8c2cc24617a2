"""What no replay can tell from the plan alone: named, so that nobody takes it for checked."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from stripplan.model.part import Shape
from stripplan.model.plan.plan import Plan


@dataclass(frozen=True)
class NotChecked:
    """Places of a plan file that are not checked, as patterns ("cuts[].dial": any cut), and in words what they are and
    why."""

    places: tuple[str, ...]
    words: str

    def covers(self, place: str) -> bool:
        """Whether a place ("parts[0].name") is one of these, or within one that ends in a star."""
        return any(re.fullmatch(_pattern(each), place) is not None for each in self.places)


def _pattern(place: str) -> str:
    return re.escape(place).replace(r"\[\]", r"\[\d+\]").replace(r"\*", ".*")


NOT_CHECKED: tuple[NotChecked, ...] = (
    NotChecked(
        ("job.*", "rig.*"),
        "the job and the rig: taken as given; where a figure of theirs enters one of the plan's, the two are compared",
    ),
    NotChecked(
        ("made_at", "stripplan_version"),
        "when and by which edition the plan was made: nothing else tells; it is held to the rules of that edition",
    ),
    NotChecked(
        ("other_order", "other_order.*"),
        "the way of working that was not taken: that its figures can be; what it would take, only another search tells",
    ),
    NotChecked(
        ("together.alone[]", "together.in_due_order"),
        "what jobs would cost alone, and whether what is due first was made first for that: only another search tells",
    ),
    NotChecked(("settings.steps_done", "settings.stopped"), "how long the search went on: only another search tells"),
    NotChecked(
        ("proof.*.bound", "total.bound"),
        "the lower bounds: each lies between 0 and what was found, and meets it where it is called proven; that it "
        "holds, only the search tells",
    ),
    NotChecked(
        (
            "proof.*.how",
            "proof.*.codes[]",
            "total.how",
            "total.code",
            "quotation.how",
            "quotation.lines[].how",
            "quotation.lines[].code",
            "quotation.lines[].facts",
            "quotation.lines[].facts.*",
            "quotation.missing",
            "quotation.missing[]*",
            "quotation.left_out[]",
            "warnings[].text",
            "warnings[].facts.*",
        ),
        "sentences: how a bound or a cost was got, what is left out of a quotation (that it is named is checked), and "
        "of warnings their words and the figures in them",
    ),
    NotChecked(
        ("cuts[].marks.along[]",),
        "where along its edge a mark is scribed: on the edge; any two places of a line serve",
    ),
    NotChecked(
        ("parts[].touch_minutes",),
        "how long parts are too hot for a bare hand: a model of heat that only the rig's formulas work out",
    ),
    NotChecked(
        ("parts[].accuracy[].classes", "parts[].accuracy[].advice", "parts[].bow.remedy"),
        "the classes of ISO 9013 and ISO 2768-1 that a part is likely to keep, and what is advised: tables and words",
    ),
)
"""Looked through by a test that changes every figure of a plan, one at a time."""

BOW_RANGE = NotChecked(
    ("parts[].bow.low", "parts[].bow.high"),
    "from where to where a bow may lie that goes by measured strips: only its order",
)
NO_ACCURACY = NotChecked(
    ("parts[].accuracy", "parts[].bow"), "how true and straight parts will be: the plan does not say"
)
OF_RACK = NotChecked(
    ("plates[].piece", "plates[].lies"),
    "which piece of the rack a plate is, and where it lies: that is in the stock book, not in the plan",
)
OF_SHAPES = NotChecked(
    ("as_rectangles.*",),
    "what rectangles in place of straight-sided shapes would take: that it is not cheaper; how much, only another "
    "search tells",
)
BY_HAND = NotChecked(
    ("hand_bevels[].why",),
    "why an edge is left for the hand: that no process cuts so much metal, or that the power source does not burn so "
    "long, only the rig's formulas tell",
)
ELSEWHERE = NotChecked(
    ("warnings[]",),
    "whether warnings are due of what was typed (material assumed, lengths rounded) and of test cuts: neither is in "
    "the plan",
)


def not_checked(plan: Plan) -> Sequence[NotChecked]:
    """What a sound plan was not checked for."""
    found = [*NOT_CHECKED, ELSEWHERE]
    if any(line.bow is not None and line.bow.calibrated for line in plan.parts):
        found.append(BOW_RANGE)
    if not any(line.accuracy or line.bow for line in plan.parts):
        found.append(NO_ACCURACY)
    if any(isinstance(part, Shape) for part in plan.job.parts):
        found.append(OF_SHAPES)
    if any(plate.piece for plate in plan.plates):
        found.append(OF_RACK)
    if plan.hand_bevels:
        found.append(BY_HAND)
    return found
