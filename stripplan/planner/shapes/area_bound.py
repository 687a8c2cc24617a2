"""What no plan of a job with shapes can undercut: the metal that its parts are made of, and their cuts.

Problem. The bounds of layouts hold for rectangles that are what they are; blocks are chosen, so theirs prove nothing
of the job.

Method. Parts do not overlap. So the plates of a material and thickness have at least the area of its parts, and what is
bought of them costs at least that area at the lowest price by area; an offcut that is kept is worth at most a share of
its plate's price by area. Each cut makes one piece into two, so n parts from p plates take n - p cuts; each edge of a
part lies on an edge of a plate or along a cut, and a cut has two sides, so the cuts are at least half of the parts'
edges less half of the plates'. Both are as in `layout/bounds/total.py`, for outlines in place of rectangles.

Exact as a bound; weak, since kerfs, what falls beside the parts, settings and masses are left out.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from stripplan.model.job import Job
from stripplan.model.part import Part, Shape, Strip
from stripplan.model.polygon import area, perimeter
from stripplan.planner.settled import Group, Settled
from stripplan.planner.total.total_cost import least_hands
from stripplan.wording.message import Message

HOW, HOW_IN_ALL = Message("bound_area"), Message("bound_area_in_all")


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
        total += _in_all(job, settled, group, metal)
    return AreaBound(plates, cost, total)


def _in_all(job: Job, settled: Settled, group: Group, metal: float) -> float:
    """Least of plate and hands for the parts of a group, whose area is `metal` [mm2]."""
    worth, second = settled.worth, settled.worth.minute / 60
    hands = [least_hands(settled.rig, each.process) for each in group.plates]
    cut, length = second * min(each.cut for each in hands), second * min(each.per_length for each in hands)
    values = [worth.plates[each.index] for each in group.plates]
    sizes = [(each.plate.length, each.plate.width) for each in group.plates]
    by_area = [value / (x * y) for value, (x, y) in zip(values, sizes, strict=True)]
    alone = metal * min(by_area)  # the metal itself, were all that is left of a plate worth what it cost
    # Every plate spares a cut and the edges that it has already; what it costs beyond that comes with each.
    spared = [(1 - worth.share) * value - cut - length * (x + y) for value, (x, y) in zip(values, sizes, strict=True)]
    if min(spared) < 0:
        return alone
    count = sum(part.wanted for _, part in group.parts)
    half_edges = sum(part.wanted * half_edges_of(job.parts[n]) for n, part in group.parts)
    fewest = math.ceil(metal / max(x * y for x, y in sizes) - 1e-9)
    each_area = min(each / (x * y) for each, (x, y) in zip(spared, sizes, strict=True))
    last = second * max(each.but_one for each in hands)
    taken = worth.share * metal * min(by_area) + max(fewest * min(spared), metal * each_area)
    return max(alone, taken + count * cut + length * half_edges - last)


def area_of(part: Part) -> float:
    """Area of one of a part as it is cut [mm2]; strips, whose length is for their plate to say, are left out."""
    if isinstance(part, Shape):
        return area(part.outline_as_cut)
    if isinstance(part, Strip):
        return 0.0
    return part.width_as_cut * part.length_as_cut


def half_edges_of(part: Part) -> float:
    """Half of the edges of one of a part as it is cut [mm]; of a strip that of its two long edges, as far as known."""
    if isinstance(part, Shape):
        return perimeter(part.outline_as_cut) / 2
    if isinstance(part, Strip):
        return 0.0
    return part.width_as_cut + part.length_as_cut
