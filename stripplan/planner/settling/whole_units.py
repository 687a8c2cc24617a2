"""The unit that layout counts a job in, and the job rounded where no exact one serves."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace

from stripplan.errors import Fault, InputError
from stripplan.layout import MOST_UNITS, Grid, common_grid, exact, rounded_down, rounded_up, unit_of
from stripplan.model.job import Job
from stripplan.model.part import Part, Rectangle
from stripplan.model.rig import Process, Rig
from stripplan.wording.message import Facts, Message, length

MOST_ROUNDED = 0.04
"""What a rounded part may lose against its plate [mm]: a hundredth each for its size, its two allowances and the plate.
"""


def grid_of(job: Job, rig: Rig, parts: Iterable[Part], processes: Sequence[Process]) -> Grid | None:
    """The coarsest grid for the plates of a job and these parts of it; None where none serves."""
    return common_grid(_lengths(job, rig, parts), [process.kerf for process in processes], _longest(job))


def in_whole_units(job: Job, rig: Rig, processes: Sequence[Process]) -> tuple[Job, Grid, list[Message]]:
    """The job, rounded only where no exact grid serves, the grid of all its parts, and what is said of rounding.

    Parts and trim are rounded up, plates down: what is planned on rounded sizes can be cut from the true ones.
    """
    grid = grid_of(job, rig, job.parts, processes)
    if grid is not None:
        return job, grid, []
    plates = tuple(replace(p, length=rounded_down(p.length), width=rounded_down(p.width)) for p in job.plates)
    parts = tuple(_part_rounded(part) for part in job.parts)
    options = replace(job.options, trim=rounded_up(job.options.trim))
    rounded = replace(job, plates=plates, parts=parts, options=options)
    grid = grid_of(rounded, rig, parts, processes)
    if grid is None:
        kerfs = tuple(length(each) for each in sorted({process.kerf for process in processes}))
        facts = Facts(kerfs=kerfs, narrowest=length(rig.narrowest_offcut))
        raise InputError(Fault("too_fine", f"rig {rig.name}", facts=facts))
    return rounded, grid, [_rounding(job, rig, processes)]


def _rounding(job: Job, rig: Rig, processes: Sequence[Process]) -> Message:
    """The unit that the sizes would have needed, and how many of it the longest side of a plate would have had."""
    unit = unit_of(_lengths(job, rig, job.parts), [process.kerf for process in processes])
    count = math.ceil(exact(_longest(job)) / unit)
    return Message("rounded", "lengths", Facts(unit=length(float(unit)), count=count, most=MOST_UNITS))


def _lengths(job: Job, rig: Rig, parts: Iterable[Part]) -> list[float]:
    """Every length that layout counts in, but for the kerfs, which are halved too."""
    lengths = [each for plate in job.plates for each in (plate.length, plate.width)]
    for part in parts:
        lengths += [part.width_as_cut, *([part.length_as_cut] if isinstance(part, Rectangle) else [])]
    return [*lengths, job.options.trim, rig.narrowest_offcut]


def _longest(job: Job) -> float:
    return max(max(plate.length, plate.width) for plate in job.plates)


def _part_rounded(part: Part) -> Part:
    if part.fence_width is not None:  # where the fence stays the width is what comes off, to a hundredth already
        return replace(part, length=rounded_up(part.length)) if isinstance(part, Rectangle) else part
    part = replace(part, width=rounded_up(part.width), allowance=rounded_up(part.allowance))
    return replace(part, length=rounded_up(part.length)) if isinstance(part, Rectangle) else part
