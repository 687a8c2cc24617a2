"""What a job says to its person, in the person's units: the rooms that word a fault or a warning know mm alone."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace

from stripplan.errors import CannotMakeError, Fault, InputError
from stripplan.model.job import Job
from stripplan.model.plan.plan import PlanWarning
from stripplan.model.rig import Rig
from stripplan.wording.quantity import in_inches


@contextmanager
def faults_told(job: Job, rig: Rig) -> Iterator[None]:
    """Faults of job and rig leave in the person's units."""
    try:
        yield
    except (InputError, CannotMakeError) as error:
        if job.units != "in":
            raise
        raise type(error)([told_fault(job, rig, each) for each in error.faults]) from None


def told_fault(job: Job, rig: Rig, fault: Fault) -> Fault:
    """A fault with its figures in the person's units, near enough to measure and to type them."""
    if job.units != "in":
        return fault
    names = _names(job, rig)
    text = in_inches(fault.text, keep=names, exact=True)
    return replace(fault, text=text, hint=in_inches(fault.hint, keep=names, exact=True, up=True))


def told_warnings(job: Job, rig: Rig, warnings: Sequence[PlanWarning]) -> tuple[PlanWarning, ...]:
    """Each warning once, in the person's units."""
    if job.units == "in":
        names = _names(job, rig)
        warnings = [replace(each, text=in_inches(each.text, job.inch_fraction, keep=names)) for each in warnings]
    return tuple(dict.fromkeys(warnings))


def _names(job: Job, rig: Rig) -> list[str]:
    """Names that may look like a figure: a plate called "sheet 6 mm" keeps its name."""
    named = (job, rig, *job.plates, *job.parts, *rig.processes)
    materials = (each.material or "" for each in (*job.plates, *job.parts, *rig.processes))
    return [*(each.name for each in named), *materials]
