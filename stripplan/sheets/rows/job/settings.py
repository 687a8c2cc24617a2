"""What a plan rests on: the rig's figures with what is assumed, what the notebook gave, how it was searched."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime

from stripplan.model.plan.plan import Plan
from stripplan.sheets.rows.lookup import Bench
from stripplan.sheets.rows.row_types import Setting
from stripplan.sheets.rows.work.torch import kerf_known
from stripplan.wording.figures import show_exact, show_fine
from stripplan.wording.message import Facts, Message
from stripplan.wording.show import Units, worded


def settings_of(bench: Bench) -> tuple[Setting, ...]:
    plan, rig = bench.plan, bench.plan.rig
    assumed = set(rig.assumed)

    def length(name: str, key: str) -> Setting:
        return Setting(name, show_exact(getattr(rig, key), bench.units), "assumed" if key in assumed else "")

    rows = [_kerf(bench, name) for name in dict.fromkeys(plate.process for plate in plan.plates)]
    rows += [
        Setting("trim off mill edges", show_exact(plan.settings.trim, bench.units)),
        length("fence zero", "fence_zero"),
        Setting("fence scale", f"{rig.fence_scale:g}", "assumed" if "fence_scale" in assumed else ""),
        length("fence read to", "fence_step"),
        length("lead-in", "lead_in"),
        length("overrun", "overrun"),
        length("stroke", "stroke"),
        length("narrowest offcut", "narrowest_offcut"),
        Setting("rig", rig.name),
        Setting("search", _search(plan)),
    ]
    return tuple(rows)


def measured_of(plan: Plan) -> Iterator[Setting]:
    """What the rig's notebook gave: figure, likely plus-or-minus, how many rows, when, and how old that is where the
    plan has a date."""
    others = {each.name for each in plan.rig.processes} - {plate.process for plate in plan.plates}
    units = Units(plan.job.units, exact=True, decimal=True)
    for each in plan.rig.measured:
        if each.key.rpartition(", ")[0] in others:
            continue
        days = each.last or "day not noted"
        if each.first and each.first != each.last:
            days = f"{each.first} to {each.last}"
        age = _age(plan.made_at, each.last)
        told = Message(
            "measured_figure",
            each.key,
            Facts(key=each.key, value=each.quantity, half=each.in_its_dimension(2 * each.u)),
        )
        how = each.how if each.said is None else worded(each.said, units).text
        yield Setting(each.key, f"{worded(told, units).text}; {how}; {days}{age}")


def _age(made_at: str | None, day: str | None) -> str:
    if made_at is None or day is None:
        return ""
    try:
        days = (datetime.fromisoformat(made_at).date() - date.fromisoformat(day)).days
    except ValueError:
        return ""
    return f", {days} {'day' if days == 1 else 'days'} old" if days >= 0 else ""


def _kerf(bench: Bench, process: str) -> Setting:
    plate = next(each for each in bench.plan.plates if each.process == process)
    given = next((each for each in bench.plan.rig.processes if each.name == process), None)
    called = bench.process(process).removesuffix(" ESTIMATED")  # which stands behind the figure
    value = f"{bench.long(plate.kerf) if bench.units == 'mm' else show_fine(plate.kerf, 'in')} ({called})"
    known = kerf_known(given)
    measured = known.startswith("measured")
    return Setting("kerf", value + (f", {known}" if measured else ""), "" if measured else known)


_STOPPED = {
    "seconds": ", stopped by the clock",
    "steps": ", stopped after the steps that were asked for",
    "interrupt": ", stopped by hand",
    "look": ", looked at while it went on",
    "good enough": ", stopped as good enough",
}


def _search(plan: Plan) -> str:
    stopped = plan.settings.stopped
    words = f"seed {plan.settings.seed}"
    if plan.settings.steps is not None:
        words += f", steps {plan.settings.steps}"
    return words + _STOPPED.get(str(stopped), "")
