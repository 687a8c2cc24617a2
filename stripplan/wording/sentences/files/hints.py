"""Hints that many sentences share: the word that was meant, or those that are known."""

from __future__ import annotations

from stripplan.wording.message import Facts


def nearest(facts: Facts) -> str:
    """The word that was meant (`near`), else those that are `known` and how many `more` there are."""
    if "near" in facts:
        return "did you mean {near}?"
    return "known are {known:|, }" + (" and {more} more; see `stripplan guide reference`" if facts["more"] else "")
