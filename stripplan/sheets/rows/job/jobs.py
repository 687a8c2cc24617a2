"""Jobs that are planned together, as rows: when each is done, its parts and plates, and what it is quoted."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from stripplan.model.part import Part
from stripplan.model.plan.jobs import JobLine
from stripplan.model.plan.plan import Plan
from stripplan.model.plan.quotation import CostLine, cents
from stripplan.sheets.rows.row_types import JobQuoted, JobRow
from stripplan.sheets.worked_out_once import once_a_plan
from stripplan.wording.figures import KG_PER_LB, show_about, show_exact, show_minutes, unit_of_costs

DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


def day_shown(day: str | None) -> str:
    """A day with its name.

    >>> day_shown("2026-12-04"), day_shown(None)
    ('Fri 2026-12-04', '')
    """
    return "" if day is None else f"{DAYS[date.fromisoformat(day).weekday()]} {day}"


@once_a_plan
def job_rows(plan: Plan) -> tuple[JobRow, ...]:
    """A row for each job, in the order in which they are done."""
    return tuple(_row(plan, line) for line in sorted(plan.jobs, key=lambda each: each.finished_cut))


def together_words(plan: Plan) -> str:
    """What planning the jobs together saves; "" where that was not compared."""
    together = plan.together
    if together is None or together.saved is None or plan.total is None:
        return ""
    unit, one = unit_of_costs(plan.total.currency, plan.job.currency, plan.job.units)
    alone, whole = (f"{each / one:.2f} {unit}".strip() for each in (sum(together.alone), together.total))
    saved = together.saved / one
    if saved < 0.005:
        return f"{whole} in all, as much as one by one"
    return f"{whole} in all; one by one from the same plates {alone}: {saved:.2f} is saved"


def job_quoted(plan: Plan, name: str, sizes: Mapping[str, str]) -> JobQuoted:
    """The quotation of one job: its share of each line, cent by cent, and its parts, whose `sizes` are shown by name.
    KeyError for a job that is none of the plan's.
    """
    line = {each.name: each for each in plan.jobs}[name]
    quoted = plan.quotation
    parts, lines = list[tuple[str, str, str, str, str, str]](), list[tuple[str, str, str, str, str]]()
    stock = {each.name: _stock(plan, each) for each in plan.job.parts}
    costs = {} if quoted is None else {each.name: each for each in quoted.parts}
    for part in plan.parts:
        if part.name in line.parts:
            cost = costs.get(part.name)
            money = ("", "") if cost is None or cost.each is None else (f"{cost.each:,.2f}", f"{cost.total:,.2f}")
            parts.append((plan.job.own_name(part.name)[1], sizes[part.name], stock[part.name], str(part.made), *money))
    for number, each in enumerate(() if quoted is None else quoted.lines):
        amount = sum(cents(costs[part].amounts[number]) for part in line.parts if part in costs) / 100
        if amount:
            lines.append(_share(plan, each, amount))
    others = [each.name for each in plan.jobs if each.name != name]
    notes = [f"Planned together with {', '.join(others)}; what all share is told under `of all`."]
    notes += (_WITHOUT_PRICES,) if quoted is None else (*quoted.left_out, quoted.how)
    total = "" if line.quoted is None else f"{line.quoted:,.2f} {plan.job.currency}".strip()
    return JobQuoted(_row(plan, line), tuple(parts), tuple(lines), total, tuple(notes))


_WITHOUT_PRICES = "The rig file has no [prices]: no money is reckoned, the shares of time and plate are."


def _stock(plan: Plan, part: Part) -> str:
    """What a part is of."""
    thickness = "" if part.thickness is None else show_exact(part.thickness, plan.job.units)
    return f"{thickness} {part.material or ''}".strip()


def _share(plan: Plan, line: CostLine, amount: float) -> tuple[str, str, str, str, str]:
    """A line with the quantity that the amount comes to at its price; of a percentage that of the others."""
    pounds = line.unit == "kg" and plan.job.units == "in"
    unit, one = ("lb", KG_PER_LB) if pounds else (line.unit, 1.0)
    if line.unit == "%":
        return line.what, f"{line.quantity:g} %", "", f"{amount:,.2f}", f"{line.amount:,.2f}"
    quantity = amount / line.price if line.price else 0.0
    price = f"{line.price * one:,.4g}"
    return line.what, f"{quantity / one:,.2f} {unit}", price, f"{amount:,.2f}", f"{line.quantity / one:,.2f} {unit}"


def _row(plan: Plan, line: JobLine) -> JobRow:
    made = {part.name: (part.made, part.wanted) for part in plan.parts}
    counted = [(plan.job.own_name(name)[1], *made[name]) for name in line.parts if name in made]
    mass = line.plate_mass / (KG_PER_LB if plan.job.units == "in" else 1.0)
    when = f", {day_shown(line.done_on)}" if line.done_on else ""
    return JobRow(
        name=line.name,
        due=day_shown(line.due),
        done=f"after cut {line.finished_cut}, at about {show_about(line.finished_minutes)}{when}"
        if line.finished_cut
        else "no cut",
        late=line.late,
        parts=", ".join(f"{count} {name}" + (f" (of {wanted})" if count < wanted else "")
                        for name, count, wanted in counted),
        plates=", ".join(line.plates),
        time=show_minutes(line.minutes),
        plate=f"{mass:.1f} {'lb' if plan.job.units == 'in' else 'kg'}",
        quoted="" if line.quoted is None else f"{line.quoted:,.2f} {plan.job.currency}".strip(),
    )  # fmt: skip
