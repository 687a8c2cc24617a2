"""Totals of a plan, and what is proven of them."""

from __future__ import annotations

import math

from stripplan.model.plan.older_editions import is_first
from stripplan.model.plan.plan import AsRectangles, Bound, Plan, TotalCost
from stripplan.sheets.rows.lookup import Bench
from stripplan.sheets.rows.work.bevels import bevel_totals
from stripplan.wording.figures import show_minutes, unit_of_costs


def totals_of(bench: Bench) -> tuple[tuple[str, str], ...]:
    plan, totals = bench.plan, bench.plan.totals
    rest, bar = sum(cut.rest_before for cut in plan.cuts), sum(cut.setup.mitre for cut in plan.cuts)
    rows = [
        ("time at the rig", show_minutes(totals.minutes)),
        ("of that arc", show_minutes(totals.arc_minutes)),
        ("of that rests", show_minutes(rest)),
        ("cuts", str(len(plan.cuts))),
        ("arc starts", str(totals.starts)),
        ("fence settings", str(totals.fence_settings)),
        *([("mitre bar settings", str(bar))] if bar else []),
        ("end stop settings", str(totals.end_stop_settings)),
        ("turns", str(totals.turns)),
        ("pieces fetched", str(totals.fetches)),
        ("edges scraped", str(totals.dressings)),
        *bevel_totals(bench),
        ("process changes", str(totals.process_changes)),
        ("edges to finish", _finish(bench)),
        ("plates", str(totals.plates)),
        ("plate cost", _cost(bench)),
        ("plate made into parts", f"{100 * totals.plate_used:.0f} %"),
        ("kept as offcuts", bench.area(totals.offcut_area)),
        ("scrap", bench.area(totals.scrap_area)),
    ]
    if plan.as_rectangles is not None and (saved := _saved(bench, plan.as_rectangles)):
        rows.append(("shapes save", saved))
    if not is_first(plan.stripplan_version):
        return tuple(rows)
    return tuple(row for row in rows if row[0] not in ("process changes", "edges to finish"))


def _used(plan: Plan) -> float:
    """Area of the plates less the offcuts kept [mm2]."""
    return sum(plate.length * plate.width for plate in plan.plates) - plan.totals.offcut_area


def _saved(bench: Bench, other: AsRectangles) -> str:
    """What shapes save against each out of a rectangle of its own, in plate and hands together; where hands cost
    nothing the area used up. Empty where it is nothing.
    """
    plan = bench.plan
    if plan.total is None or not plan.total.minute:
        less = other.used_area - _used(plan)
        return f"{bench.area(less)} ({100 * less / other.used_area:.0f} %)" if less > 0 else ""
    unit, one = unit_of_costs(plan.total.currency, plan.job.currency, plan.job.units)
    money = f"{(other.total - plan.total.total) / one:.2f}"
    return f"{money} {unit}".strip() if float(money) > 0 else ""


def _as_rectangles(bench: Bench, other: AsRectangles) -> str:
    """What the job would take with each shape out of a rectangle of its own, beside what it takes."""
    plan = bench.plan
    plates = f"{other.plates} plate{'' if other.plates == 1 else 's'}"
    words = f"Each shape out of a rectangle of its own would take {plates}, {bench.area(other.used_area)} used up"
    here = f"; this plan uses up {bench.area(_used(plan))}"
    if plan.total is None or not plan.total.minute:
        return f"{words}{here}."
    unit, one = unit_of_costs(plan.total.currency, plan.job.currency, plan.job.units)
    return f"{words}, {f'{other.total / one:.2f} {unit}'.strip()} in all{here}, {plan.total.total / one:.2f} in all."


def _finish(bench: Bench) -> str:
    """Metres of cut edges of finished parts, and how long finishing them takes where the job asks for it."""
    totals = bench.plan.totals
    return bench.metres(totals.finish_metres) + (
        f", {show_minutes(totals.finish_minutes)}" if totals.finish_minutes else ""
    )


def _priced(plan: Plan) -> bool:
    """Whether the plates have prices; without them cost is plate area in m2."""
    return any(each.cost is not None or each.price_per_kg is not None for each in plan.job.plates)


def _cost(bench: Bench) -> str:
    plan = bench.plan
    if not _priced(plan):
        return f"{bench.area(plan.totals.cost * 1e6)} (no price given)"
    return f"{plan.totals.cost:.2f} {plan.job.currency}".strip()


def proof_of(bench: Bench) -> tuple[str, ...]:
    """What is known of how good the plan is, in plain words."""
    plan, proof = bench.plan, bench.plan.proof
    lines = [_bound(proof.plates, "plate")]
    if not math.isclose(proof.cost.found, proof.plates.found):
        cost = proof.cost
        what, found, least = "Plate cost", f"{cost.found:.2f}", f"{cost.bound:.2f}"
        if not _priced(plan):
            what, found, least = "Plate area", bench.area(cost.found * 1e6), bench.area(cost.bound * 1e6)
        lines.append(f"{what} {found}; not below {least} ({cost.how}): {_verdict(cost)}.")
    setups, minutes = proof.setups, proof.minutes
    settings = "fence setting" if round(setups.found) == 1 else "fence settings"
    fewest = f"; for {setups.holds_for} no order needs fewer than {setups.bound:.0f}" if round(setups.bound) else ""
    lines.append(f"{setups.found:.0f} {settings}{fewest}.")
    times = show_minutes(minutes.found), show_minutes(minutes.bound)
    lines.append(f"{times[0]} at the rig; for {minutes.holds_for} no order takes less than {times[1]}.")
    if plan.total is not None and plan.total.minute:
        lines.append(_in_all(plan, plan.total))
    if plan.as_rectangles is not None:
        lines.append(_as_rectangles(bench, plan.as_rectangles))
    return tuple(lines)


PRICE_OF_HOUR = {"job": "", "rig": " of the rig", "assumed": ", assumed"}
"""What is said of the price of an hour, by where it comes from."""


def _in_all(plan: Plan, total: TotalCost) -> str:
    """Plate and hands in one currency, and what no plan of the job undercuts."""
    unit, one = unit_of_costs(total.currency, plan.job.currency, plan.job.units)
    hour = f"{60 * total.minute / one:.2f} an hour{PRICE_OF_HOUR[total.minute_from]}"
    hands = f"{show_minutes(plan.totals.minutes)} at {hour}"
    kept = f" - offcuts kept {total.offcuts / one:.2f}" if total.offcuts else ""
    least = f" No plan costs less than {total.bound / one:.2f} in all ({total.how})." if total.bound else ""
    return (
        f"In all {f'{total.total / one:.2f} {unit}'.strip()}: plates {total.plates / one:.2f} + {hands}{kept}.{least}"
    )


def _bound(bound: Bound, noun: str) -> str:
    found, least = round(bound.found), math.ceil(bound.bound - 1e-6)
    words = f"{found} {noun}{'' if found == 1 else 's'}"
    return f"{words}; at least {least} {'is' if least == 1 else 'are'} needed ({bound.how}): {_verdict(bound)}."


def _verdict(bound: Bound) -> str:
    return "proven" if bound.proven else "not proven best"
