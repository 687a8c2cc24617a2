"""Warnings as they stand in a plan: each message and fault once, in words of the person's units and as data."""

from __future__ import annotations

from collections.abc import Iterable

from stripplan.errors import Fault
from stripplan.model.job import Job
from stripplan.model.plan.plan import PlanWarning
from stripplan.wording.message import Message, facts_record
from stripplan.wording.show import Units, worded


def units_of(job: Job) -> Units:
    """The units that the person of a job reads."""
    return Units(job.units, job.inch_fraction)


def warning_records(said: Iterable[Message | Fault], units: Units) -> tuple[PlanWarning, ...]:
    """The warnings of a plan, in the order given; a fault is a part that is left out, said as it would be if it stopped
    the work.
    """
    return tuple(_warning(each, units) for each in dict.fromkeys(said))


def _warning(each: Message | Fault, units: Units) -> PlanWarning:
    facts = facts_record(each.facts)
    if isinstance(each, Fault):
        return PlanWarning(code=each.code, about=each.where, text=each.sentence(units), facts=facts)
    return PlanWarning(code=each.code, about=each.about, text=worded(each, units).text, facts=facts)
