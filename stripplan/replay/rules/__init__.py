"""What the editions of the program count each in its own way. A plan is held to the rules of the edition that made it.

What all editions agree on stands in the modules above; here is one module for each edition, and no other.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

from stripplan.model.plan.plan import Plan
from stripplan.replay.finding import Finding
from stripplan.replay.lookup import Bench
from stripplan.replay.rules import edition_0_1, edition_0_2

Rule = Callable[[Bench], Iterator[Finding]]

FIRST = r"0\.1(\.\d+)?"
"""Versions of the first edition; all others are held to the rules of today."""


def of_edition(plan: Plan) -> tuple[Rule, ...]:
    """The rules of the edition that made a plan, beside those of all editions."""
    return edition_0_1.RULES if re.fullmatch(FIRST, plan.stripplan_version) else edition_0_2.RULES
