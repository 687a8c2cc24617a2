"""Parts for which the fence stays at a reading, because it stands or is clamped there: the width that comes off.

A width w on the fence comes off at F = w + k/2, and the fence is at F = zero + scale * reading: so w = zero + scale *
reading - k/2. The part is laid out with that width, so that outlines, what is left, and the reading are true; how far
that is from the width asked is told, and refused where it is further than the part may be off.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

from stripplan.errors import Fault, InputError
from stripplan.model.job import Job
from stripplan.model.part import Part, Shape
from stripplan.model.rig import Process, Rig
from stripplan.planner.settling.materials import same_stock
from stripplan.rig.accuracy.size_limits import size_limits
from stripplan.wording.message import Facts, Message, length

SAME = 1e-6
"""Readings closer than this are one [mm]."""
PLACES = 2
"""Widths are laid out in hundredths of a millimetre, also where a scale is not true: no fence is read to that."""


def with_fixed_fences(job: Job, rig: Rig, processes: Sequence[Process]) -> Job:
    """The job with the width of each part whose fence stays. Raises InputError for every reading that cannot be."""
    if all(part.fence is None for part in job.parts):
        return replace(job, parts=tuple(_plain(part) for part in job.parts))
    parts, faults = list[Part](), list[Fault]()
    for part in job.parts:
        if part.fence is None:
            parts.append(_plain(part))
            continue
        kerfs = {
            each.kerf
            for plate, each in zip(job.plates, processes, strict=True)
            if same_stock(part, plate) and part.plate in (None, plate.name)
        }
        found = _width(part, part.fence, rig, kerfs, job)
        if isinstance(found, Fault):
            faults.append(found)
        else:
            parts.append(replace(part, fence_width=found))
    if faults:
        raise InputError(faults)
    return replace(job, parts=tuple(parts))


def _plain(part: Part) -> Part:
    return part if part.fence_width is None else replace(part, fence_width=None)


def _width(part: Part, reading: float, rig: Rig, kerfs: set[float], job: Job) -> float | Fault | None:
    """The width as it is cut [mm]; None where nothing says which kerf, as the part has no plate."""
    if isinstance(part, Shape):
        return _fault(part, "fence_of_shape")
    if len(kerfs) > 1:
        return _fault(part, "fence_of_kerfs", kerfs=tuple(map(length, sorted(kerfs))))
    if not kerfs:
        return None
    (kerf,) = kerfs
    if (near := _marks_beside(rig, reading)) is not None:
        return _fault(part, "fence_no_mark", asked=length(reading), near=tuple(map(length, near)))
    offset = rig.fence_zero + rig.fence_scale * reading
    most = rig.fence_max if math.isfinite(rig.fence_max) else offset
    if not rig.fence_min - SAME <= offset <= most + SAME:
        facts = {"asked": length(reading), "least": length(rig.fence_min), "most": length(most)}
        return _fault(part, "fence_out_of_reach", **facts)
    width = round(offset - kerf / 2, PLACES)
    off = width - part.width_asked_as_cut
    limit = size_limits(part, job.options.general_class)[0]
    if abs(off) > limit + SAME or width <= 2 * part.allowance:
        low, high = (_reading(rig, part, kerf, off) for off in (-limit, limit))
        return _fault(
            part, "fence_out_of_tolerance", asked=length(reading), gives=length(round(width - 2 * part.allowance, 3)),
            width=length(part.width), limit=length(limit), low=length(low), high=length(high),
        )  # fmt: skip
    return width


def _marks_beside(rig: Rig, reading: float) -> tuple[float, ...] | None:
    """The marks below and above a reading that is none."""
    at = reading / rig.fence_step
    if abs(at - round(at)) * rig.fence_step < SAME:
        return None
    return tuple(round(each * rig.fence_step, 6) for each in (math.floor(at), math.ceil(at)))


def _reading(rig: Rig, part: Part, kerf: float, off: float) -> float:
    """The mark farthest from the right one at which a width is still no further off than this, either way."""
    at = (part.width_asked_as_cut + off + kerf / 2 - rig.fence_zero) / rig.fence_scale / rig.fence_step
    return round((math.ceil(at - SAME) if off < 0 else math.floor(at + SAME)) * rig.fence_step, 6)


def _fault(part: Part, says: str, **facts: object) -> Fault:
    return Fault("fence", f"part {part.name}", facts=Facts(**facts), says=says)  # type: ignore[arg-type]


def fixed_fences_told(job: Job) -> Iterator[Message]:
    """What it costs that a fence stays: by how much the part is wider or narrower than it is asked."""
    for part in job.parts:
        if part.fence is not None and part.fence_width is not None:
            gives = part.fence_width - 2 * part.allowance
            facts = Facts(
                reading=length(part.fence),
                gives=length(round(gives, 3)),
                width=length(part.width),
                off=length(round(abs(gives - part.width), 3)),
                wider=gives > part.width,
            )
            yield Message("fence_fixed", part.name, facts)
