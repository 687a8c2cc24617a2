"""Rules of the first edition, version 0.1: pushing up and clearing away take the same time whatever the mass, an edge
is dressed by its length.

Pushing up is due where another edge comes to the fence; where the fence moves and the piece follows, it is not. Dry
runs, changes of process and finishing are not known yet.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from stripplan.model.plan.cut import Cut, Segment
from stripplan.replay import costs, trueness, warnings_of_all_editions
from stripplan.replay import metal as m
from stripplan.replay.finding import Finding
from stripplan.replay.lookup import Bench, name
from stripplan.replay.metal import NEAR
from stripplan.replay.rules import runs
from stripplan.replay.set_ups import beside, in_turn, known, stays


def check_by_hand(bench: Bench) -> Iterator[Finding]:
    """Pushing up, clearing away and dressing take what the rig's seconds give for them."""
    seconds = bench.plan.rig.seconds
    for cut in bench.plan.cuts:
        if not known(bench, cut):
            continue
        edges = sum(math.dist(*each.edge) for each in cut.setup.dress)
        scraped = cut.passes[0].length if len(cut.passes) == 2 else 0.0  # before the piece is turned over
        times = (
            ("pushing up", cut.setup.push * seconds.push, cut.minutes.push),
            ("dressing", (edges + scraped) / 1000 * seconds.scrape_per_m, cut.minutes.dress),
            ("clearing", cut.setup.clear * seconds.clear, cut.minutes.clear),
        )
        for cause, time, said in times:
            yield from beside(cut, cause, (time, time), said)


def check_push(bench: Bench) -> Iterator[Finding]:
    """A piece that stays is pushed up where another edge is to lie on the fence."""
    for last, cut in in_turn(bench.plan.cuts):
        turned = cut.setup.push or cut.setup.quarter_turns
        if last is not None and stays(last, cut) and not turned and _moved(last, cut):
            text = f"Cut {cut.number}: {cut.piece} must be pushed up to the fence, the plan does not say so."
            yield Finding("push", name(cut), text)


def _moved(before: Cut, cut: Cut) -> bool:
    """Whether another edge lies on the fence than in the cut before."""
    one, other = before.edge_on_fence, cut.edge_on_fence
    return other is not None and (one is None or not _same_line(one, other))


def _same_line(one: Segment, other: Segment) -> bool:
    return all(abs(m.leftward(one, end)) <= NEAR for end in other)


def check_unknown(bench: Bench) -> Iterator[Finding]:
    """What came with later editions is not there; of runs only what follows from the cuts, as reading the file makes
    them."""
    plan, totals = bench.plan, bench.plan.totals
    for cut in plan.cuts:
        if cut.located == "mitre":
            text = f"Cut {cut.number} is made on the mitre bar, which plans of {plan.stripplan_version} do not know."
            yield Finding("edition", name(cut), text)
        if cut.setup.process or cut.setup.dry_run or cut.minutes.process or cut.minutes.dry_run:
            text = (
                f"Cut {cut.number} has a change of process or a dry run, which plans of {plan.stripplan_version} "
                "do not know."
            )
            yield Finding("edition", name(cut), text)
    if totals.process_changes or totals.finish_metres or totals.finish_minutes or plan.other_order is not None:
        text = f"The plan has another order, or totals that plans of {plan.stripplan_version} do not know."
        yield Finding("edition", "plan", text)
    if plan.runs:
        yield from runs.check_runs(bench)


def check_warnings(bench: Bench) -> Iterator[Finding]:
    """Warnings that are due."""
    return warnings_of_all_editions.check_warnings(bench, warnings_of_all_editions.RULES)


def check_bow(bench: Bench) -> Iterator[Finding]:
    """Bows are foretold of every material."""
    return trueness.check_bow(bench, lambda _: True)


def check_quotation(bench: Bench) -> Iterator[Finding]:
    """The quotation is that of the plan."""
    return costs.check_quotation(bench)


RULES = (check_by_hand, check_push, check_unknown, check_bow, check_quotation, check_warnings)
