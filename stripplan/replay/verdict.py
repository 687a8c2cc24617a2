"""All rules together."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Any

from stripplan.model.plan.plan import SCHEMA, Plan
from stripplan.model.plan.record import to_record
from stripplan.replay import geometry, parts_made, set_ups, sizes, sums, trueness
from stripplan.replay.aslant import mitre_bar
from stripplan.replay.bevels import cuts, due, wanted, work
from stripplan.replay.bevels import trueness as bevels_true
from stripplan.replay.finding import Finding
from stripplan.replay.lookup import Bench, worked
from stripplan.replay.rules import of_edition

Rule = Callable[..., Iterable[Finding]]

FEW, MANY = 3, 8
"""Findings of one code are told one by one up to MANY; of more than that the first FEW."""

OF_PLATES: tuple[Rule, ...] = (parts_made.check_plate, sums.check_areas)
OF_PIECES: tuple[Rule, ...] = (
    geometry.check_kind,
    parts_made.check_part,
    parts_made.check_over_size,
    parts_made.check_border,
    parts_made.check_keep,
    parts_made.check_mass,
)
OF_CUTS: tuple[Rule, ...] = (
    geometry.check_tree,
    geometry.check_located,
    geometry.check_reading,
    geometry.check_stops,
    geometry.check_speed,
    set_ups.check_travel,
    set_ups.check_two_person,
    sums.check_minutes,
)
OF_STEPS: tuple[Rule, ...] = (
    geometry.check_line,
    geometry.check_datum,
    geometry.check_marks,
    geometry.check_entry,
    mitre_bar.check_bar,
    geometry.check_handling,
    parts_made.check_sliver,
)
OF_BEVELS: tuple[Rule, ...] = (cuts.check_bevel,)
OF_ALL: tuple[Rule, ...] = (
    geometry.check_numbers,
    geometry.check_flags,
    mitre_bar.check_set,
    geometry.check_lie,
    set_ups.check_bed,
    set_ups.check_setup_minutes,
    parts_made.check_options,
    parts_made.check_counts,
    parts_made.check_stock,
    sizes.check_expected,
    sizes.check_rests,
    sums.check_totals,
    sums.check_proof,
    sums.check_duty,
    trueness.check_accuracy,
    wanted.check_wanted,
    work.check_work,
    work.check_sums,
    due.check_by_hand,
    bevels_true.check_expected,
)


def replay(plan: Plan) -> tuple[Finding, ...]:
    """Every fault of a plan, one finding for each thing that is wrong; empty = sound. Never raises."""
    odd = list(_not_numbers(plan))
    bench = worked(plan)
    found = [*odd, *bench.findings]
    if plan.schema != SCHEMA:
        found.insert(0, Finding("schema", "plan", f"The plan is {plan.schema!r}; this program reads {SCHEMA!r}."))
    groups = (
        (OF_PLATES, plan.plates),
        (OF_PIECES, plan.pieces),
        (OF_CUTS, plan.cuts),
        (OF_STEPS, bench.steps),
        (OF_BEVELS, plan.bevels),
    )
    for rules, things in groups:
        found += [each for thing in things for rule in rules for each in _tried(rule, bench, thing)]
    found += [each for rule in (*OF_ALL, *of_edition(plan)) for each in _tried(rule, bench)]
    return _gathered(_once(found, {each.about for each in odd}))


def _tried(rule: Rule, bench: Bench, *things: Any) -> list[Finding]:
    """What a rule finds; that it cannot read the plan at all is a finding too."""
    try:
        return list(rule(bench, *things))
    except Exception as error:
        about = " ".join(filter(None, (rule.__name__.removeprefix("check_"), *map(_title, things))))
        reason = f"{type(error).__name__} {error}".strip().rstrip(".")
        return [Finding("broken", about, f"The plan cannot be read for the rule of {about}: {reason}.")]


def _title(thing: Any) -> str:
    cut = getattr(thing, "cut", thing)
    return f"cut {cut.number}" if hasattr(cut, "number") else str(getattr(thing, "id", ""))


def _once(found: list[Finding], odd: set[str]) -> tuple[Finding, ...]:
    """One finding for each code and thing. Where a figure is no number, nothing more is made of that thing."""
    kept: dict[tuple[str, str], Finding] = {}
    for each in found:
        tainted = odd and (each.code in ("broken", "totals", "proof", "duty") or _thing(each.about) in odd)
        if each.code == "number" or not tainted:
            kept.setdefault((each.code, each.about), each)
    return tuple(kept.values())


def _gathered(found: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """Where one code is found on many things, a few in full and the rest in one sentence: it is mostly one mistake."""
    kept: list[Finding] = []
    more: dict[str, list[str]] = {}
    count = Counter(each.code for each in found)
    for each in found:
        shown = sum(other.code == each.code for other in kept) if count[each.code] > MANY else 0
        if shown < FEW:
            kept.append(each)
        else:
            more.setdefault(each.code, []).append(each.about)
    for code, things in more.items():
        names = f"{', '.join(things[:10])}{' and others' if len(things) > 10 else ''}"
        kept.append(Finding(code, f"{len(things)} more", f"The same is wrong {len(things)} times more: {names}."))
    return tuple(kept)


def _thing(about: str) -> str:
    return about.split(",")[0]


def _not_numbers(plan: Plan) -> Iterator[Finding]:
    """Each thing of the plan with a figure that is not finite."""
    things: list[tuple[str, Any]] = [(plate.id, plate) for plate in plan.plates]
    things += [(piece.id, piece) for piece in plan.pieces]
    things += [(f"cut {cut.number}", cut) for cut in plan.arcs]
    things += [(f"by hand, {each.piece}", each) for each in plan.hand_bevels]
    things += [(line.name, line) for line in plan.parts]
    things += [("totals", plan.totals), ("proof", plan.proof), ("job", plan.job), ("rig", plan.rig)]
    for about, thing in things:
        path = next((path for path, value in _numbers(to_record(thing), "") if not math.isfinite(value)), None)
        if path is not None:
            yield Finding("number", about, f"{about}: {path.strip('.')} is no finite number.")


def _numbers(value: Any, path: str) -> Iterator[tuple[str, float]]:
    if isinstance(value, Mapping):
        for key, each in value.items():
            yield from _numbers(each, f"{path}.{key}")
    elif isinstance(value, list):
        for number, each in enumerate(value):
            yield from _numbers(each, f"{path}[{number}]")
    elif isinstance(value, (int, float)) and not isinstance(value, bool):
        yield path, float(value)
