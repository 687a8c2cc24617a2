"""Jobs that are planned together: when each is finished, what is late or early, and each one's share."""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any

from stripplan.model.job import OneJob
from stripplan.model.plan.jobs import JobLine
from stripplan.replay.costs import shares_of_parts
from stripplan.replay.finding import Finding, figures
from stripplan.replay.lookup import Bench
from stripplan.replay.sums import agree

THOUSANDTH = 0.001
"""Shares are told to so much, of a minute or a kilogram."""


def check_jobs(bench: Bench) -> Iterator[Finding]:
    """Each job has its line, and what that says follows from cuts, pieces and days; shares add up to the whole."""
    plan, jobs = bench.plan, bench.plan.job.each_job
    if [each.name for each in jobs] != [line.name for line in plan.jobs]:
        yield Finding("jobs", "jobs", "The plan does not tell what becomes of each of its jobs.")
        return
    if (plan.together is not None) != bool(jobs):
        yield Finding("jobs", "together", "What planning jobs together comes to is told of one job, or not of several.")
    for each, line in zip(jobs, plan.jobs, strict=True):
        yield from _line(bench, each, line)
    yield from _together(bench)
    whole = {"minutes": plan.totals.minutes, "plate_mass": sum(plate.mass for plate in plan.plates)}
    for key, right in whole.items() if jobs else ():
        said = sum(getattr(line, key) for line in plan.jobs)
        if abs(said - right) > THOUSANDTH:
            yield Finding("jobs", f"jobs, {key}", f"The jobs' shares of {key} add up to {said:g}, not to {right:g}.")


def _line(bench: Bench, one: OneJob, line: JobLine) -> Iterator[Finding]:
    """One job's line beside what the cuts say."""
    plan = bench.plan
    wanted = [each for each in plan.parts if each.name in one.parts]
    cut, minutes = _finished(bench, frozenset(one.parts))
    day = _day(bench, minutes)
    right: dict[str, Any] = {
        "due": one.due,
        "parts": tuple(one.parts),
        "wanted": sum(each.wanted for each in wanted),
        "made": sum(piece.part in one.parts for piece in plan.pieces if piece.kind == "part"),
        "plates": tuple(dict.fromkeys(piece.plate for piece in plan.pieces if piece.part in one.parts)),
        "finished_cut": cut,
        "done_on": day,
        "late": day is not None and one.due is not None and day > one.due,
        "early": tuple(_early(bench, one)),
    }
    for key, true in right.items():
        if getattr(line, key) != true:
            text = f"{one.name}: {key.replace('_', ' ')} is {true!r}, not {getattr(line, key)!r}."
            yield Finding("jobs", f"{one.name}, {key}", text)
    if not agree(minutes, line.finished_minutes):
        true, said = figures(minutes, line.finished_minutes)
        yield Finding("jobs", f"{one.name}, finished_minutes", f"{one.name} is finished after {true} min, not {said}.")
    for key, shares in zip(("minutes", "plate_mass"), shares_of_parts(bench), strict=True):
        share = math.fsum(shares.get(name, 0.0) for name in one.parts)
        if abs(share - getattr(line, key)) > 2 * THOUSANDTH:
            text = f"{one.name}: its share of {key.replace('_', ' ')} is {share:.3f}, not {getattr(line, key):g}."
            yield Finding("jobs", f"{one.name}, {key}", text)
    yield from _quoted(bench, one, line)


def _quoted(bench: Bench, one: OneJob, line: JobLine) -> Iterator[Finding]:
    quoted = bench.plan.quotation
    right = None if quoted is None else math.fsum(part.total for part in quoted.parts if part.name in one.parts)
    one_of_two = (right is None) != (line.quoted is None)
    if one_of_two or (right is not None and line.quoted is not None and abs(right - line.quoted) > 0.001):
        said = "nothing" if right is None else f"{right:.2f}"
        yield Finding("jobs", f"{one.name}, quoted", f"{one.name} is quoted {said}; the plan says {line.quoted}.")


def _finished(bench: Bench, parts: frozenset[str]) -> tuple[int, float]:
    """The last cut that frees a piece of these parts, and the minutes up to its end or that of their last bevel."""
    last, then, now = 0, 0.0, 0.0
    for cut in bench.plan.cuts:
        now += cut.minutes.total
        if any(name in bench.pieces and bench.pieces[name].part in parts for name in cut.makes if name is not None):
            last, then = cut.number, now
    for bevel in bench.plan.bevels:
        now += bevel.minutes.total
        if bevel.piece in bench.pieces and bench.pieces[bevel.piece].part in parts:
            then = now
    return last, then


def _day(bench: Bench, minutes: float) -> str | None:
    """The day on which so many minutes are over: hour by hour, Monday to Friday."""
    options = bench.plan.job.options
    if options.hours_a_day is None or options.start is None:
        return None
    day, left = date.fromisoformat(options.start), minutes
    while True:
        if day.isoweekday() <= 5:
            left -= 60 * options.hours_a_day
            if left <= 1e-6:
                return day.isoformat()
        day += timedelta(days=1)


def _early(bench: Bench, one: OneJob) -> Iterator[int]:
    """Cuts that free pieces of a job before all jobs with an earlier day are finished."""
    earlier = [
        each for each in bench.plan.job.each_job if each.due is not None and (one.due is None or each.due < one.due)
    ]
    last = max((_finished(bench, frozenset(each.parts))[0] for each in earlier), default=0)
    for cut in bench.plan.cuts:
        made = [bench.pieces[name].part for name in cut.makes if name is not None and name in bench.pieces]
        if cut.number <= last and any(part in one.parts for part in made):
            yield cut.number


def _together(bench: Bench) -> Iterator[Finding]:
    """The total is the plan's; of what each job would cost alone there is a figure for each, or none."""
    said, total = bench.plan.together, bench.plan.total
    if said is None:
        return
    if total is not None and not agree(said.total, total.total):
        yield Finding("jobs", "together, total", f"Together the jobs cost {total.total:g}, not {said.total:g}.")
    if said.alone and len(said.alone) != len(bench.plan.jobs):
        yield Finding("jobs", "together, alone", "What jobs would cost alone is told of some of them only.")
    days = {each.due for each in bench.plan.job.each_job}
    if said.in_due_order and len(days) < 2:
        yield Finding("jobs", "together, in_due_order", "No job is due before another.")


def late(bench: Bench) -> Iterator[tuple[str, str]]:
    """Jobs that are warned of as late."""
    return (("job_late", line.name) for line in bench.plan.jobs if line.late)


def early(bench: Bench) -> Iterator[tuple[str, str]]:
    """Jobs that are warned of as begun early."""
    return (("job_early", line.name) for line in bench.plan.jobs if line.early)
