"""What adds up: minutes, totals, proof, and the rest that the power source needs. One function per rule."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Mapping
from typing import Any

from ..model.cut import Cut
from ..model.record import to_record
from .bench import Bench, name
from .finding import Finding
from .wants import process_of

WINDOW = 600.0
"""Duty is counted over any ten minutes [s]."""


def agree(one: float, other: float) -> bool:
    """Whether two sums are the same to a millionth."""
    return math.isclose(one, other, rel_tol=1e-6, abs_tol=1e-6)


def check_minutes(bench: Bench, cut: Cut) -> Iterator[Finding]:
    """Arc, return, flows and rest of a cut follow from its stops, speeds and passes; no time is below 0."""
    rig, travel, given = bench.plan.rig, sum(each.end_stop for each in cut.passes), cut.minutes
    wanted = {
        "arc": (travel / cut.travel_speed, given.arc),
        "return": (travel / rig["return_speed"], given.return_),
        "pre-flow": (len(cut.passes) * rig["pre_flow"] / 60, given.pre_flow),
        "post-flow": (len(cut.passes) * rig["post_flow"] / 60, given.post_flow),
        "rest": (cut.rest_before, given.rest),
    }
    for cause, (true, said) in wanted.items():
        if not agree(true, said):
            yield Finding(
                "minutes",
                f"{name(cut)}, {cause}",
                f"Cut {cut.number}: {cause} takes {true:.3f} min, not {said:.3f} min.",
            )
    if min(to_record(given).values()) < 0:
        yield Finding("minutes", name(cut), f"Cut {cut.number} has a time below 0.")
    yield from _unflagged(cut)


def _unflagged(cut: Cut) -> Iterator[Finding]:
    """What is not done takes no time; marking out counts as setting the fence; two passes hold turning over and dressing."""
    setup, minutes = cut.setup, cut.minutes
    done = {
        "fence": (setup.fence or cut.located == "marked", minutes.fence),
        "end stop": (setup.end_stop, minutes.end_stop),
        "mitre bar": (setup.mitre, minutes.mitre),
        "quarter turns": (setup.quarter_turns > 0, minutes.quarter_turn),
        "turning over": (setup.turn_over or len(cut.passes) == 2, minutes.turn_over),
        "fetching": (setup.fetch, minutes.fetch),
        "pushing up": (setup.push, minutes.push),
        "dressing": (bool(setup.dress) or len(cut.passes) == 2, minutes.dress),
        "clearing": (setup.clear, minutes.clear),
    }
    for what, (flag, time) in done.items():
        if time > 0 and not flag:
            yield Finding(
                "minutes",
                f"{name(cut)}, {what}",
                f"Cut {cut.number}: {what} takes {time:.3f} min, but is not to be done.",
            )
    if not 0 <= setup.quarter_turns <= 3:
        yield Finding(
            "turns", name(cut), f"Cut {cut.number} asks for {setup.quarter_turns} quarter turns; 0 to 3 make sense."
        )


def check_totals(bench: Bench) -> Iterator[Finding]:
    """Each total is the sum of what the plan lists."""
    cuts, plates = bench.plan.cuts, bench.plan.plates
    areas: dict[str, float] = defaultdict(float)
    for piece in bench.plan.pieces:
        shape = bench.shape(piece)
        areas[piece.kind] += shape.area if shape else 0.0
    whole = sum(plate.length * plate.width for plate in plates)
    sums = {
        "plates": len(plates),
        "cost": sum(plate.cost for plate in plates),
        "arc_minutes": sum(cut.minutes.arc for cut in cuts),
        "minutes": sum(sum(to_record(cut.minutes).values()) for cut in cuts),
        "starts": sum(len(cut.passes) for cut in cuts),
        "fence_settings": sum(cut.setup.fence for cut in cuts),
        "end_stop_settings": sum(cut.setup.end_stop for cut in cuts),
        "turns": sum(cut.setup.quarter_turns > 0 for cut in cuts),
        "fetches": sum(cut.setup.fetch for cut in cuts),
        "dressings": sum(len(cut.setup.dress) for cut in cuts),
        "plate_used": areas["part"] / whole if whole else 0.0,
        "offcut_area": areas["offcut"],
        "scrap_area": areas["scrap"],
    }
    for key, value in sums.items():
        said = getattr(bench.plan.totals, key)
        if not agree(value, said):
            yield Finding("totals", f"totals, {key}", f"The total of {key} is {value:.6g}; the plan says {said:.6g}.")


def check_proof(bench: Bench) -> Iterator[Finding]:
    """What was found is the total; no bound lies above it; proven means that they meet."""
    proof, totals = bench.plan.proof, bench.plan.totals
    rows: tuple[tuple[str, Any, float], ...] = (
        ("plates", proof.plates, totals.plates),
        ("cost", proof.cost, totals.cost),
        ("setups", proof.setups, totals.fence_settings),
        ("minutes", proof.minutes, totals.minutes),
    )
    for key, row, total in rows:
        if not agree(row.found, total):
            yield Finding("proof", f"proof, {key}", f"The proof speaks of {row.found:g} {key}; the plan has {total:g}.")
        elif row.bound > row.found and not agree(row.bound, row.found):
            yield Finding(
                "proof", f"proof, {key}", f"The least {key} is said to be {row.bound:g}, but {row.found:g} was found."
            )
        elif getattr(row, "proven", False) and not agree(row.bound, row.found):
            yield Finding(
                "proof", f"proof, {key}", f"{key} {row.found:g} is called proven; the bound is only {row.bound:g}."
            )


def check_duty(bench: Bench) -> Iterator[Finding]:
    """No ten minutes hold more arc than the power source is rated for at this current.

    The fullest window ends with an arc, so one window for each cut is enough. Two passes count as one
    block of arc, flows and returns after it: at most a few seconds away from what happens.
    """
    now = 0.0
    arcs: list[tuple[float, float]] = []
    for cut in bench.plan.cuts:
        seconds = {cause: minutes * 60 for cause, minutes in to_record(cut.minutes).items()}
        total, after = sum(seconds.values()), seconds["post_flow"] + seconds["return"]
        end = now + total - after
        now += total
        arcs = [arc for arc in arcs if arc[1] > end - WINDOW] + [(end - seconds["arc"], end)]
        burnt = sum(stop - max(start, end - WINDOW) for start, stop in arcs)
        allowed = WINDOW * _duty(bench, cut)
        if burnt > allowed + 0.01:
            yield Finding(
                "duty",
                name(cut),
                f"By the end of cut {cut.number} the arc has burnt {burnt:.0f} s of ten minutes; {allowed:.0f} s are allowed.",
            )


def _duty(bench: Bench, cut: Cut) -> float:
    process = process_of(bench, bench.plates[cut.plate])
    return share(process) if process else 1.0


def share(process: Mapping[str, Any]) -> float:
    """Share of ten minutes that the arc may burn at a process's current.

    The square law, I^2 X = constant between rating points (IEC 60974-1, from memory), from the next
    rated current above; never more than the next point below gives, nor than all the time. Above the
    greatest rating the power source has none to give. Without ratings or current: no limit is known.
    """
    current, points = process["current"], sorted(process["duty"])
    if current is None or not points:
        return 1.0
    above = [(amps, percent) for amps, percent in points if amps >= current - 1e-9]
    below = [percent / 100 for amps, percent in points if amps < current - 1e-9]
    if not above:
        return 0.0
    amps, percent = above[0]
    return float(min([1.0, percent / 100 * (amps / current) ** 2, *below[-1:]]))
