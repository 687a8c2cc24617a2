"""The quotation of a plan as rows."""

from __future__ import annotations

from stripplan.model.plan.plan import Plan
from stripplan.model.plan.quotation import CostLine
from stripplan.sheets.rows.row_types import Quoted
from stripplan.wording.figures import KG_PER_LB


def quoted_of(plan: Plan) -> Quoted | None:
    quoted = plan.quotation
    if quoted is None:
        return None
    lines = tuple(
        (
            line.what,
            _quantity(plan, line.quantity, line.unit),
            f"{line.price * (KG_PER_LB if _in_pounds(plan, line.unit) else 1.0):,.4g}",
            f"{line.amount:,.2f}",
            line.how + (" (in part assumed)" if line.assumed and not _says_what_is_assumed(line) else ""),
        )
        for line in quoted.lines
    )
    parts = tuple(
        (part.name, str(part.made), "-" if part.each is None else f"{part.each:,.2f}", f"{part.total:,.2f}")
        for part in quoted.parts
    )
    return Quoted(lines, parts, f"{quoted.total:,.2f} {quoted.currency}".strip(), (*quoted.left_out, quoted.how))


def _says_what_is_assumed(line: CostLine) -> bool:
    """Whether the words of a line name what is assumed; those of an earlier edition hold no facts to tell."""
    return any(line.facts.get(name) for name in ("assumed", "starts_assumed", "hours_assumed"))


def _quantity(plan: Plan, quantity: float, unit: str) -> str:
    """A quantity that is paid for; masses in pounds for a person who reads inches."""
    if _in_pounds(plan, unit):
        return f"{quantity / KG_PER_LB:,.2f} lb"
    return f"{quantity:,.2f} {unit}"


def _in_pounds(plan: Plan, unit: str) -> bool:
    return unit == "kg" and plan.job.units == "in"
