"""What becomes of each of several jobs: when it is finished, its share of time, plate and money, what is late."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import groupby

from stripplan.model.job import OneJob
from stripplan.model.part import Shape
from stripplan.model.plan.jobs import JobLine, Together
from stripplan.model.plan.plan import Plan
from stripplan.model.plan.quotation import cents
from stripplan.planner.order.due import NEVER, done_on, due_ranks
from stripplan.planner.warning_records import units_of, warning_records
from stripplan.rig.cost.shares import rounded_shares, shares_of_work
from stripplan.wording.message import Facts, Message, Quantity

THOUSAND = 1000
"""Shares are whole thousandths of a minute and grams."""


def with_jobs(made: Plan, alone: tuple[float, ...], *, in_due_order: bool) -> Plan:
    """The plan with a line for each job, what planning them together saves, and warnings of what is late or early;
    as it is where one job alone has no day.
    """
    if not made.job.each_job:
        return made
    lines = tuple(_lines(made))
    said = warning_records([*_late(lines), *_early(made, lines, in_due_order=in_due_order)], units_of(made.job))
    assert made.total is not None
    together = Together(total=made.total.total, alone=alone, in_due_order=in_due_order)
    return replace(made, jobs=lines, together=together, warnings=(*made.warnings, *said))


def quoted_by_job(made: Plan) -> Plan:
    """The plan with each job's share of what it costs, where it has a quotation."""
    if made.quotation is None:
        return made
    each_costs = {each.name: cents(each.total) for each in made.quotation.parts}
    lines = (replace(line, quoted=sum(each_costs[name] for name in line.parts) / 100) for line in made.jobs)
    return replace(made, jobs=tuple(lines))


def finished(made: Plan) -> Mapping[str, tuple[int, float]]:
    """For each part the cut after which the last of its pieces is there, and the minutes from the first cut of all to
    the end of that one, or of its last bevel; parts that need no cut are left out.
    """
    part_of = {piece.id: piece.part for piece in made.pieces if piece.kind == "part"}
    found: dict[str, tuple[int, float]] = {}
    minutes = 0.0
    for cut in made.cuts:
        minutes += cut.minutes.total
        for name in cut.makes:
            if name is not None and (part := part_of.get(name)) is not None:
                found[part] = cut.number, minutes
    for bevel in made.bevels:
        minutes += bevel.minutes.total
        if (part := part_of.get(bevel.piece)) is not None:
            found[part] = found[part][0] if part in found else 0, minutes
    return found


def all_in_time(made: Plan) -> bool:
    """Whether the days are known, and every job is done by its own."""
    over = finished(made)
    for each in made.job.each_job:
        minutes = max((over[name][1] for name in each.parts if name in over), default=0.0)
        day = done_on(minutes, made.job.options)
        if day is None or day > (each.due or NEVER):
            return False
    return True


def _lines(made: Plan) -> Iterator[JobLine]:
    over = finished(made)
    parts = {line.name: line for line in made.parts}
    minutes, masses = _thousandths(made)
    for number, each in enumerate(made.job.each_job):
        held = set(each.parts)
        cut, minute = max((over[name] for name in each.parts if name in over), default=(0, 0.0))
        day = done_on(minute, made.job.options)
        yield JobLine(
            name=each.name,
            due=each.due,
            parts=each.parts,
            wanted=sum(parts[name].wanted for name in each.parts),
            made=sum(parts[name].made for name in each.parts),
            plates=tuple(dict.fromkeys(piece.plate for piece in made.pieces if piece.part in held)),
            finished_cut=cut,
            finished_minutes=minute,
            done_on=day,
            late=day is not None and each.due is not None and day > each.due,
            early=tuple(_early_cuts(made, each, over)),
            minutes=minutes[number] / THOUSAND,
            plate_mass=masses[number] / THOUSAND,
            quoted=None,
        )


def _thousandths(made: Plan) -> tuple[list[int], list[int]]:
    """Each job's share of the minutes and of the kilograms of plate, in whole thousandths that add up."""
    found = []
    for shares in shares_of_work(made):
        of_jobs = [math.fsum(shares[name] for name in each.parts) for each in made.job.each_job]
        whole = round(THOUSAND * math.fsum(of_jobs))
        scale = whole / math.fsum(of_jobs) if whole else 0.0
        found.append(rounded_shares([each * scale for each in of_jobs], whole))
    return found[0], found[1]


def _early_cuts(made: Plan, one: OneJob, over: Mapping[str, tuple[int, float]]) -> Iterator[int]:
    """Cuts that make parts of a job while one that is due before it is not finished."""
    before = [name for each in made.job.each_job if (each.due or NEVER) < (one.due or NEVER) for name in each.parts]
    last = max((over[name][0] for name in before if name in over), default=0)
    own = {piece.id for piece in made.pieces if piece.part in one.parts}
    for cut in made.cuts[:last]:
        if own.intersection(name for name in cut.makes if name is not None):
            yield cut.number


def _late(lines: Sequence[JobLine]) -> Iterator[Message]:
    """Jobs that hours a day do not get done by their day."""
    for each in lines:
        if each.late:
            facts = Facts(
                due=each.due or "",
                done=each.done_on or "",
                minutes=Quantity(round(each.finished_minutes, 3), "minutes"),
            )
            yield Message("job_late", each.name, facts)


def _early(made: Plan, lines: Sequence[JobLine], *, in_due_order: bool) -> Iterator[Message]:
    """Jobs of which parts are cut before one that is due before them is finished: they share a plate, cuts at an angle
    come last, or the days leave time for the quickest order.
    """
    plate_of = {cut.number: cut.plate for cut in made.cuts}
    ordered = made.job.jobs and due_ranks(made.job)
    for each in lines:
        if each.early and ordered:
            plates = tuple(dict.fromkeys(plate_of[number] for number in each.early))
            free = "time" if made.job.options.hours_a_day is not None else "kept"
            why = "slanted" if _slanted_before(made, each) else "shared" if in_due_order else free
            yield Message("job_early", each.name, Facts(cuts=tuple(_ranges(each.early)), plates=plates, why=why))


def _ranges(numbers: Sequence[int]) -> Iterator[str]:
    """Numbers in their order, rows of them as from and to.

    >>> list(_ranges([3, 4, 5, 9]))
    ['3-5', '9']
    """
    for _, row in groupby(enumerate(numbers), key=lambda pair: pair[1] - pair[0]):
        some = [number for _, number in row]
        yield str(some[0]) if len(some) == 1 else f"{some[0]}-{some[-1]}"


def _slanted_before(made: Plan, line: JobLine) -> bool:
    """Whether a job that is due before another has parts with slanted edges."""
    shapes = {part.name for part in made.job.parts if isinstance(part, Shape)}
    before = (each for each in made.job.each_job if (each.due or NEVER) < (line.due or NEVER))
    return any(shapes.intersection(each.parts) for each in before)
