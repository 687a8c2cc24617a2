"""Which parts are due before others, and on which day work at the rig is done.

Days are those on which is worked, Monday to Friday, so many hours each. A job without a day comes after those that have
one.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta

from stripplan.model.job import Job, OneJob, Options

WORKED_ON = range(5)
"""Days of the week, Monday = 0."""
NEVER = "9999-12-31"


def due_ranks(job: Job) -> tuple[frozenset[str], ...]:
    """Names of parts by the day that they are due, the earliest first; empty where no day comes before another.

    The last are left out: what is in no set is made last anyway.
    """
    days = sorted({each.due or NEVER for each in job.each_job})
    sets = [frozenset(name for each in job.each_job if (each.due or NEVER) == day for name in each.parts)
            for day in days]  # fmt: skip
    return tuple(sets[:-1])


def without_days(job: Job) -> Job:
    """The job with parts that may be made in any order."""
    alike = tuple(OneJob(name=each.name, parts=each.parts) for each in job.jobs)
    return replace(job, jobs=alike, due=None)


def done_on(minutes: float, options: Options) -> str | None:
    """The day on which so many minutes at the rig are over, counted from the first cut; None where hours a day or the
    first day are not given.

    >>> done_on(500, Options(hours_a_day=4.0, start="2026-12-03")), done_on(240, Options(hours_a_day=4.0))
    ('2026-12-07', None)
    """
    if options.hours_a_day is None or options.start is None:
        return None
    needed = max(1, math.ceil(minutes / (60 * options.hours_a_day) - 1e-9))
    for number, day in enumerate(_worked_on(date.fromisoformat(options.start)), 1):
        if number == needed:
            return day.isoformat()
    raise AssertionError("days do not end")


def _worked_on(day: date) -> Iterator[date]:
    while True:
        if day.weekday() in WORKED_ON:
            yield day
        day += timedelta(days=1)
