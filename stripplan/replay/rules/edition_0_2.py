"""Rules of the second edition, from version 0.2: true minutes, runs, and readings that are chosen together.

What is moved by hand takes time by its mass, and twice as long (the rig says how much) where it is for two people. An
edge is scraped: a fixed time and one for its length. The torch is set up anew for another process, and each end stop is
proved on each plate by a dry run.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise
from typing import Any

from stripplan.model.part import Shape
from stripplan.model.plan.record import to_record
from stripplan.replay import costs, trueness, warnings_of_all_editions
from stripplan.replay import metal as m
from stripplan.replay.aslant import trueness as shapes_true
from stripplan.replay.bevels import due as bevels
from stripplan.replay.finding import Finding, figures
from stripplan.replay.lookup import Bench, name
from stripplan.replay.rules import bow_at_fence, equal_parts, narrow_limits, one_currency, runs, several_jobs
from stripplan.replay.set_ups import Span, beside, cleared, in_turn, known, mass_on_bed, stays
from stripplan.replay.sums import cut_edges

JUST = 1e-9
"""Share of a limit within which it counts as kept and as passed: masses are sums of binary fractions."""
TIME = (*costs.TIME, "travel_max", "lead_in", "overrun", "end_stop_step")
"""Figures of the rig that the time at the rig rests on: the dry runs and the way to the end stop too."""


def check_by_hand(bench: Bench) -> Iterator[Finding]:
    """Pushing up, clearing away and scraping take what the rig's seconds and the masses give for them."""
    seconds = bench.plan.rig.seconds
    for last, cut in in_turn(bench.plan.cuts):
        if not known(bench, cut):
            continue
        away = [carried(bench, each, 0.0) for each in cleared(last, cut) if each in bench.pieces]
        pushing = carried(bench, cut.piece, seconds.push) if cut.setup.push else (0.0, 0.0)
        clearing = _sum([(seconds.clear,) * 2, *away]) if cut.setup.clear else (0.0, 0.0)
        lengths = [math.dist(*each.edge) for each in cut.setup.dress]
        if len(cut.passes) == 2:  # what the first pass has cut is scraped before the piece is turned over
            lengths.append(cut.passes[0].length)
        scraping = sum(seconds.scrape_each + seconds.scrape_per_m * length / 1000 for length in lengths)
        yield from beside(cut, "pushing up", pushing, cut.minutes.push)
        yield from beside(cut, "clearing", clearing, cut.minutes.clear)
        yield from beside(cut, "scraping", (scraping, scraping), cut.minutes.dress)


def carried(bench: Bench, piece: str, base: float) -> Span:
    """Moving a piece by hand [s]: base time, more with its mass, and by a factor where it is for two people.

    That is: heavier than the rig's mass for two, or longer than its length for two and above 0.6 of that mass.
    """
    rig, shape = bench.plan.rig, bench.shape(bench.pieces[piece])
    mass, limit = mass_on_bed(bench, piece), rig.two_person_mass
    longest = max((math.dist(*edge) for edge in m.edges(shape)), default=0.0) if shape is not None else 0.0
    alone = float(base + rig.seconds.per_kg * mass)
    both = alone * rig.seconds.two_person
    edge = limit * 0.6 if longest > rig.two_person_length else limit
    either = [time for time, right in ((alone, mass <= edge * (1 + JUST)), (both, mass > edge * (1 - JUST))) if right]
    return min(either), max(either)


def _sum(spans: list[tuple[float, ...]]) -> Span:
    return sum(least for least, _ in spans), sum(most for _, most in spans)


def check_push(bench: Bench) -> Iterator[Finding]:
    """A piece that stays and is not turned is pushed up, as the fence moves or another edge comes to it.

    What lay on the fence is as wide as the fence stood, so that for its next cut the fence moves and the piece follows.
    Only what is marked out may be cut as it lies, where it lies with its edge on the fence from the cut before.
    """
    for last, cut in in_turn(bench.plan.cuts):
        if last is None or not stays(last, cut):
            continue
        as_it_lies = cut.located == "marked" and last.located == "fence" and last.makes[0] == cut.piece
        due = not cut.setup.quarter_turns and not cut.setup.turn_over and not as_it_lies
        if cut.setup.push != due:
            what = "must be pushed up to the fence" if due else "need not be pushed up"
            yield Finding("push", name(cut), f"Cut {cut.number}: {cut.piece} {what}, the plan says otherwise.")


def check_process(bench: Bench) -> Iterator[Finding]:
    """The torch is set up before the first cut, and where the process is another than before; only the change takes
    time."""
    last: str | None = None
    for cut in bench.plan.cuts:
        if cut.plate not in bench.plates:
            continue
        process = bench.plates[cut.plate].process
        new = process != last
        if cut.setup.process != new:
            what = f"the torch {'is' if new else 'need not be'} set up for {process}"
            yield Finding("process_flag", name(cut), f"Cut {cut.number}: {what}, the plan says otherwise.")
        seconds = bench.plan.rig.seconds.process if new and last is not None else 0.0
        yield from beside(cut, "change of process", (seconds, seconds), cut.minutes.process)
        last = process


def check_dry_runs(bench: Bench) -> Iterator[Finding]:
    """Each end stop is proved once on each plate: to the stop as fast as the drive goes, and home."""
    rig, proved = bench.plan.rig, set[tuple[str, float]]()
    for cut in bench.plan.cuts:
        new = {(cut.plate, each.end_stop) for each in cut.passes} - proved
        proved |= new
        seconds = sum(60 * stop / rig.travel_max + 60 * stop / rig.return_speed for _, stop in new)
        if cut.setup.dry_run != bool(new):
            what = "is made with an end stop that was not proved" if new else "needs no dry run"
            yield Finding("dry_run", name(cut), f"Cut {cut.number} {what}, the plan says otherwise.")
        yield from beside(cut, "dry run", (seconds, seconds), cut.minutes.dry_run)


def check_totals(bench: Bench) -> Iterator[Finding]:
    """Changes of process are counted; cut edges of parts are added up, and their finishing where the job asks for
    it."""
    said, metres = bench.plan.totals, sum(cut_edges(bench).values()) / 1000
    asked = bench.plan.job.options.finish
    processes = [bench.plates[cut.plate].process for cut in bench.plan.cuts if cut.plate in bench.plates]
    wanted = {
        "process_changes": sum(one != other for one, other in pairwise(processes)),
        "finish_metres": metres,
        "finish_minutes": metres * bench.plan.rig.seconds.finish_per_m / 60 if asked else 0.0,
    }
    shapes = any(isinstance(part, Shape) for part in bench.plan.job.parts)
    share = 1e-5 if shapes else 1e-6  # edges of shapes rest on roundings of their corners
    for key, right in wanted.items():
        if not math.isclose(right, getattr(said, key), rel_tol=share, abs_tol=1e-6):
            true, given = figures(right, getattr(said, key))
            yield Finding("totals", f"totals, {key}", f"The total of {key.replace('_', ' ')} is {true}, not {given}.")


def check_nearest(bench: Bench) -> Iterator[Finding]:
    """Halfway between two marks the fence is set to the upper one, never to either by turns."""
    rig = bench.plan.rig
    for cut in bench.plan.cuts:
        if cut.located != "fence" or cut.fence_offset is None or cut.fence_reading is None:
            continue
        marks = (cut.fence_reading - (cut.fence_offset - rig.fence_zero) / rig.fence_scale) / rig.fence_step
        if abs(marks + 0.5) < 1e-7:
            text = (
                f"Cut {cut.number}: {cut.fence_offset:g} mm is halfway between two marks; the upper is taken, not "
                f"{cut.fence_reading:g}."
            )
            yield Finding("reading", name(cut), text)


def check_other_order(bench: Bench) -> Iterator[Finding]:
    """The way of working that was not taken has figures that can be; whether they are true, only another search
    tells."""
    other = bench.plan.other_order
    if other is None:
        return
    record: dict[str, Any] = to_record(other)
    if not all(math.isfinite(each) for each in record.values()):
        yield Finding("number", "other order", "A figure of the other order is no finite number.")
    elif other.fence_settings < 0 or other.minutes <= 0 or other.differ < 0 or other.wrong < 0:
        yield Finding("other_order", "other order", "The other order has settings or a difference below 0, or no time.")


def check_as_rectangles(bench: Bench) -> Iterator[Finding]:
    """What shapes are weighed against can be, and is not cheaper than the plan; what it truly takes only another search
    tells."""
    other, total = bench.plan.as_rectangles, bench.plan.total
    if other is None:
        return
    shapes = any(isinstance(part, Shape) for part in bench.plan.job.parts)
    aim = bench.plan.job.options.aim
    dearer = aim in ("plate", "time") or total is None or other.total >= total.total - 1e-6
    if not shapes or other.plates < 1 or other.used_area <= 0 or not dearer:
        text = "What rectangles would take in place of shapes cannot be, or is cheaper than the plan."
        yield Finding("as_rectangles", "as rectangles", text)


def check_warnings(bench: Bench) -> Iterator[Finding]:
    """Warnings that are due."""
    rules, also = (
        {
            **warnings_of_all_editions.RULES,
            **bevels.RULES,
            **narrow_limits.RULES,
            bow_at_fence.CODE: bow_at_fence.rule,
            "job_late": several_jobs.late,
            "job_early": several_jobs.early,
        },
        (*warnings_of_all_editions.ALSO, *equal_parts.CODES),
    )
    return warnings_of_all_editions.check_warnings(
        bench, rules, also, {*narrow_limits.allowed(bench), *bow_at_fence.allowed(bench)}
    )


def check_quotation(bench: Bench) -> Iterator[Finding]:
    """The quotation is that of the plan; its time is assumed where a figure is that moves the minutes."""
    return costs.check_quotation(bench, TIME)


def check_bow(bench: Bench) -> Iterator[Finding]:
    """Bows are foretold where a constant or the model holds."""
    return trueness.check_bow(bench, narrow_limits.bow_known)


def check_shapes(bench: Bench) -> Iterator[Finding]:
    """How true straight-sided shapes will be."""
    return shapes_true.check_shapes(bench, narrow_limits.bow_known)


RULES = (
    check_by_hand,
    check_push,
    check_process,
    check_dry_runs,
    check_totals,
    check_nearest,
    check_other_order,
    check_as_rectangles,
    one_currency.check_total,
    runs.check_runs,
    equal_parts.check_even,
    narrow_limits.check_narrowest,
    several_jobs.check_jobs,
    check_bow,
    check_shapes,
    check_quotation,
    check_warnings,
    bow_at_fence.check_cuts,
)
