"""What is said of parts that are left out of a job with shapes.

Layout tells what cannot be made of the blocks of one mix; of the shapes that says little, as another mix may hold them.
So "cannot" is said only of what holds for every mix: a plate too heavy or a cut too long for the rig, a shape wider
than every plate, as many of a part as plate is lacking for by area. Of all else no place was found, and no more is
said.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence

from stripplan.errors import Fault
from stripplan.layout import excluded, not_found, used_up, why_not
from stripplan.model.part import Part, Rectangle, Shape
from stripplan.planner.job_layout import JobLayout, fault_of
from stripplan.planner.settled import Group, Settled, SettledPlate
from stripplan.planner.shapes.area_bound import area_of
from stripplan.planner.shapes.blocks_of_job import ShapesOfJob, least_width
from stripplan.planner.shapes.inner_job import Inner
from stripplan.wording.message import Message

ANY_BLOCK = frozenset({
    "no_plate_of_kind", "no_plate_left", "cut_too_long", "beyond_bed", "too_heavy", "too_heavy_to_turn_over",
})  # fmt: skip
"""What stops a shape in its box that stops it in any block."""


def missing(inner: Inner, settled: Settled, layout: JobLayout, names: Sequence[str]) -> Counter[int]:
    """How many of the parts of a job with shapes, by their place among these names, a layout of blocks leaves out."""
    found: Counter[int] = Counter()
    for group, each in zip(settled.groups, layout.by_group, strict=True):
        for number, count in each.short.items():
            name = group.parts[number][1].name
            parts = inner.blocks[name].parts if name in inner.blocks else (names.index(name),)
            for n in parts:
                found[n] += count
    return found


def left_out(shapes: ShapesOfJob, inner: Inner, settled: Settled, layout: JobLayout) -> tuple[Fault, ...]:
    """A fault for each part that a layout of blocks leaves out, as one of the job that was given."""
    names = [part.name for part in shapes.job.parts]
    short = missing(inner, settled, layout, names)
    steps = sum(each.steps for each in layout.by_group)
    told = {f"part {names[n]}" for n in short} | {f"part {name}" for name in inner.blocks}
    others = [each for each in layout.faults if each.where not in told]  # of no group: no plate is there at all
    return (*others, *(_fault(shapes, n, count, steps) for n, count in sorted(short.items())))


def _fault(shapes: ShapesOfJob, n: int, count: int, steps: int) -> Fault:
    settled, part = shapes.settled, shapes.job.parts[n]
    group = next(each for each in settled.groups if any(n == m for m, _ in each.parts))
    plates = tuple(each for each in group.plates if part.plate in (None, each.plate.name))
    return fault_of(part.name, _why(shapes, group, plates, n, count, steps), part.plate)


def _why(shapes: ShapesOfJob, group: Group, plates: Sequence[SettledPlate], n: int, count: int, steps: int) -> Message:
    settled, depth = shapes.settled, shapes.settled.job.options.depth
    stand_in, part = settled.job.parts[n], shapes.job.parts[n]
    beside = [_slimmest(shapes.job.parts[m], each) for m, each in group.parts]
    if excluded(stand_in, plates, depth=depth, parts=beside, rounding=settled.rounding):
        why = why_not(stand_in, plates, depth=depth)
        if not isinstance(part, Shape) or why.says in ANY_BLOCK or _wider_than_all(part, plates):
            return why
    lacking, each_area = _area_lacking(shapes, group), area_of(part)  # of a strip, whose length is open, none
    if not each_area or math.ceil(lacking / each_area - 1e-9) < count:
        return not_found(stand_in, count, plates, steps, depth=depth)
    largest = max(each.plate.length * each.plate.width for each in group.plates)
    return used_up(stand_in, count, plates, math.ceil(lacking / largest - 1e-9))


def _slimmest(part: Part, stand_in: Part) -> Part:
    """What may lie beside a part at the least: of a shape no block is narrower than it is."""
    if not isinstance(part, Shape):
        return stand_in
    width = round(least_width(part), 3)
    return Rectangle(name=part.name, width=width, length=width, quantity=2)


def _wider_than_all(part: Shape, plates: Sequence[SettledPlate]) -> bool:
    """Whether a shape is wider in every direction than each plate is in its least."""
    return least_width(part) > max(min(each.plate.length, each.plate.width) for each in plates)


def _area_lacking(shapes: ShapesOfJob, group: Group) -> float:
    """By how much the parts of a group have more area than its plates [mm2]."""
    metal = sum(part.wanted * area_of(shapes.job.parts[n]) for n, part in group.parts)
    return max(0.0, metal - sum(_areas(group.plates)))


def _areas(plates: Sequence[SettledPlate]) -> Iterator[float]:
    for each in plates:
        yield math.inf if each.limit is None else each.limit * each.plate.length * each.plate.width
