"""What no plan of a job with shapes can undercut: the metal that its parts are made of.

Problem. The bounds of layouts hold for rectangles that are what they are; blocks are chosen, so theirs prove nothing
of the job.

Method. Parts do not overlap. So the plates of a material and thickness have at least the area of its parts, and what is
bought of them costs at least that area at the lowest price by area; an offcut that is kept is worth no more than its
plate's price by area. Exact as a bound; weak, since kerfs and what falls beside the parts are left out.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from stripplan.model.job import Job
from stripplan.model.part import Part, Shape, Strip
from stripplan.model.polygon import area
from stripplan.planner.settled import Settled

HOW = "area of the parts"


@dataclass(frozen=True)
class AreaBound:
    """Least number of plates, least cost of them, and least of plate and hands, in the job's currency."""

    plates: int
    cost: float
    total: float


def area_bound(job: Job, settled: Settled) -> AreaBound:
    """The bound for all parts of a job that are no fillers; `settled` is the same with stand-ins for its shapes."""
    plates, cost, total = 0, 0.0, 0.0
    for group in settled.groups:
        metal = sum(part.wanted * area_of(job.parts[n]) for n, part in group.parts)
        areas = [each.plate.length * each.plate.width for each in group.plates]
        plates += math.ceil(metal / max(areas) - 1e-9)
        cost += metal * min(each.cost / size for each, size in zip(group.plates, areas, strict=True))
        worth = settled.worth.plates
        total += metal * min(worth[each.index] / size for each, size in zip(group.plates, areas, strict=True))
    return AreaBound(plates, cost, total)


def area_of(part: Part) -> float:
    """Area of one of a part as it is cut [mm2]; strips, whose length is for their plate to say, are left out."""
    if isinstance(part, Shape):
        return area(part.outline_as_cut)
    if isinstance(part, Strip):
        return 0.0
    return part.width_as_cut * part.length_as_cut
