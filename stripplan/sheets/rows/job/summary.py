"""What is said before anything else, and what the minutes rest on."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from operator import attrgetter

from stripplan.model.plan.cut import Cut
from stripplan.model.plan.plan import Plan, PlanWarning
from stripplan.sheets.rows.lookup import Bench
from stripplan.sheets.rows.row_types import HOIST, CutRow
from stripplan.wording.figures import KG_PER_LB, show_exact, show_fine, show_mass, show_minutes
from stripplan.wording.quantity import show_speed

FIRST = ("not_planned", "unequal", "size_class", "coarse_marks", "two_pass_heavy", "stroke_assumed")
"""Codes of warnings that stand first; so does whatever is ESTIMATED."""


def stands_first(warning: PlanWarning) -> bool:
    """Whether a warning is one that nobody may overlook."""
    return warning.code in FIRST or "ESTIMATED" in warning.text


def no_hoist(plan: Plan, rows: Sequence[CutRow]) -> str:
    """That pieces are to be lifted with a hoist on a rig that has none, in a line; empty where none is."""
    heavy = [row.number for row in rows if row.lifting == HOIST]
    if plan.rig.hoist or not heavy:
        return ""
    masses = {piece.id: piece.mass for piece in plan.pieces}
    most = show_mass(max(masses[row.piece] for row in rows if row.lifting == HOIST), plan.job.units)
    cuts = f"{len(heavy)} cuts" if len(heavy) > 1 else f"cut {heavy[0]}"
    return f"HOIST at {cuts}, for up to {most}; the rig has none (hoist = false)."


def other_order(bench: Bench) -> str:
    """What the way of working that was not taken would cost; empty where the plan knows none."""
    plan, other = bench.plan, bench.plan.other_order
    if other is None:
        return ""
    here = plan.totals.fence_settings
    settings = f"{other.fence_settings} fence setting{'' if other.fence_settings == 1 else 's'}"
    settings += f" instead of {here}" if other.fence_settings != here else " too"
    apart = other.minutes - plan.totals.minutes
    time = "as long" if abs(apart) < 0.5 / 60 else f"{show_minutes(abs(apart))} {'less' if apart < 0 else 'more'}"
    unit = "" if bench.units == "in" else " mm"
    differ = (
        f"differ by up to {show_fine(other.differ, bench.units)}{unit}" if other.differ > 1e-6 else "come out alike"
    )
    sizes = f", {other.wrong} size{'' if other.wrong == 1 else 's'} further off than allowed" if other.wrong else ""
    return f"The other order of work: {settings}: {time}, pieces of a part {differ}{sizes}."


_HANDLED = ("fetch", "push", "clear", "quarter_turn", "turn_over")
_MOVES: tuple[tuple[str, str, tuple[str, ...]], ...] = (
    ("seconds.fence", "fence {:g} s", ("fence",)),
    ("seconds.fence_per_mm", "and {:g} s/mm", ("fence",)),
    ("seconds.end_stop", "end stop {:g} s", ("end_stop",)),
    ("seconds.end_stop_per_mm", "and {:g} s/mm", ("end_stop",)),
    ("seconds.mitre", "mitre bar {:g} s", ("mitre",)),
    ("seconds.quarter_turn", "quarter turn {:g} s", ("quarter_turn",)),
    ("seconds.turn_over", "turning over {:g} s", ("turn_over",)),
    ("seconds.fetch", "fetching {:g} s", ("fetch",)),
    ("seconds.push", "pushing up {:g} s", ("push",)),
    ("seconds.clear", "clearing {:g} s", ("clear",)),
    ("seconds.scrape_each", "scraping an edge {:g} s", ("dress",)),
    ("seconds.scrape_per_m", "and {:g} s/m", ("dress",)),
    ("seconds.process", "change of process {:g} s", ("process",)),
    ("seconds.per_kg", "lifting {:g} s/kg", _HANDLED),
    ("seconds.finish_per_m", "finishing {:g} s/m", ()),
    ("seconds.two_person", "two people × {:g}", ()),
    ("pre_flow", "pre-flow {:g} s", ("pre_flow",)),
    ("post_flow", "post-flow {:g} s", ("post_flow",)),
)
"""Key of the rig, how it is told, and the causes of minutes that it moves."""
_GOES_WITH = {
    "seconds.fence_per_mm": ("seconds.fence", "fence"),
    "seconds.end_stop_per_mm": ("seconds.end_stop", "end stop"),
    "seconds.scrape_per_m": ("seconds.scrape_each", "scraping"),
}
"""Keys told in one breath with the key before; else under this name."""


def assumed_times(bench: Bench) -> tuple[str, ...]:
    """Every figure that nobody gave and that moves the minutes of this plan."""
    rig = bench.plan.rig
    assumed = set(rig.assumed)
    found: list[str] = []
    for key, words in _moving(bench):
        base, name = _GOES_WITH.get(key, ("", ""))
        if key not in assumed:
            continue
        if words.startswith("and ") and base in assumed:
            found[-1] += f" {words}"
        else:
            found.append(f"{name}{words.removeprefix('and')}" if words.startswith("and ") else words)
    return tuple(found)


def _told(words: str, value: float, units: str) -> str:
    """A figure with its unit; for a person who reads inches by the inch and by the pound."""
    for unit, theirs, times in ((" s/mm", " s/in", 25.4), (" s/m", " s/ft", 0.3048), (" s/kg", " s/lb", KG_PER_LB)):
        if units == "in" and unit in words:
            return words.replace(unit, theirs).replace("{:g}", "{:.3g}").format(value * times)
    return words.format(value)


def _moving(bench: Bench) -> Iterator[tuple[str, str]]:
    """Keys of figures that move the minutes, and how each is told."""
    plan, rig = bench.plan, bench.plan.rig
    spent = {cause for cut in plan.cuts for cause in _causes(cut)}
    extra = {
        "seconds.finish_per_m": plan.totals.finish_minutes > 0,
        "seconds.two_person": any(cut.setup.two_person for cut in plan.cuts),
    }
    for key, words, causes in _MOVES:
        if key == "seconds.scrape_per_m" and not rig.seconds.scrape_each:
            words = "scraping {:g} s/m"  # by its length alone
        if spent.intersection(causes) or extra.get(key):
            yield key, _told(words, attrgetter(key)(rig), bench.units)
    if plan.cuts:
        yield "return_speed", f"return {show_speed(rig.return_speed, bench.units)}"
        for name in ("lead_in", "overrun", "end_stop_step"):
            yield name, f"{_LENGTHS[name]} {show_exact(getattr(rig, name), bench.units)}"
        for name, speed in {bench.plates[cut.plate].process: cut.travel_speed for cut in plan.cuts}.items():
            yield "process", f"speed of {bench.process(name)} {show_speed(speed, bench.units)}"
        if any(cut.rest_before > 0 for cut in plan.cuts):
            yield "process", "duty of the power source"


_LENGTHS = {"lead_in": "lead-in", "overrun": "overrun", "end_stop_step": "end stop to"}


def _causes(cut: Cut) -> Iterator[str]:
    """Causes that take time at a cut; in two passes the piece is turned over."""
    yield from (name for name, value in vars(cut.minutes).items() if value > 0)
    if len(cut.passes) > 1:
        yield "turn_over"


def warnings(plan: Plan, *, first: bool) -> tuple[str, ...]:
    """Warnings that stand first, or all others; those on many pieces of one part are drawn together."""
    names = {piece.id: piece for piece in plan.pieces}
    lines: dict[tuple[str, str], list[str]] = {}
    for each in plan.warnings:
        if stands_first(each) is not first:
            continue
        piece = names.get(each.about)
        about = piece.part if piece is not None and piece.part else each.text
        lines.setdefault((each.code, about), []).append(each.text)
    return tuple(
        texts[0] if len(texts) == 1 else f"{texts[0]} The same goes for {len(texts) - 1} more of {about}."
        for (_, about), texts in lines.items()
    )
