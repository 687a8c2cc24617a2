"""All checks together."""

from __future__ import annotations

from collections.abc import Callable

from ..model.plan import SCHEMA, Plan
from . import checks
from .finding import Finding

CHECKS: tuple[Callable[[Plan], list[Finding]], ...] = (
    checks.check_tree,
    checks.check_metal,
    checks.check_settings,
    checks.check_parts,
    checks.check_edges,
    checks.check_handling,
    checks.check_flags,
    checks.check_sums,
    checks.check_proof,
    checks.check_duty,
)


def replay(plan: Plan) -> tuple[Finding, ...]:
    """Every fault of a plan; empty = sound. A plan too broken to be walked through is a finding too."""
    if plan.schema != SCHEMA:
        return (Finding("schema", "plan", f"The plan is {plan.schema!r}; this program reads {SCHEMA!r}."),)
    found = checks.check_finite(plan)
    if found:
        return tuple(found)
    for check in CHECKS:
        try:
            found += check(plan)
        except (KeyError, TypeError, ValueError, IndexError, AttributeError, ZeroDivisionError) as error:
            rule = check.__name__.removeprefix("check_")
            found.append(Finding("broken", rule, f"The plan cannot be read for the check of {rule}: {error}."))
    return tuple(dict.fromkeys(found))
