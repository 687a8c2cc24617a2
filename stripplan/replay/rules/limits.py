"""Warnings of what the rig bears only just: whether each is due, from the plan's own pieces and rig."""

from __future__ import annotations

from ..bench import Bench
from ..warned import Due, Rules

ALSO = ("narrow", "hold_down", "bow_not_known", "two_pass_heavy", "estimated")


def _stroke(bench: Bench) -> Due:
    if "stroke" in bench.plan.rig["assumed"]:
        yield "stroke_assumed", "stroke"


RULES: Rules = {"stroke_assumed": _stroke}
"""Codes that are due exactly where their rule says, in plans of this edition."""
