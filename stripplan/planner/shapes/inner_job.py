"""A job with rectangles that hold blocks in the place of its shapes: what layout and order of work are asked about."""

from __future__ import annotations

from collections import Counter
from collections.abc import Container, Mapping
from dataclasses import dataclass, replace

from stripplan.layout import Mix
from stripplan.model.job import Job, OneJob
from stripplan.model.part import Part, Shape
from stripplan.model.shapes.block import Block
from stripplan.planner.order.due import NEVER
from stripplan.planner.shapes.blocks_of_job import rectangle_for


@dataclass(frozen=True)
class Inner:
    """The job with blocks in the place of shapes, and the block of each of those parts by its name."""

    job: Job
    blocks: Mapping[str, Block]


def with_blocks_in(job: Job, mix: Mix) -> Inner:
    """The job with rectangles that hold the blocks of a mix in the place of its shapes, each before the first other
    part that follows the shapes."""
    inside = Counter(n for block, count in mix.blocks for n in block.parts * count)
    parts: list[Part] = []
    for n, part in enumerate(job.parts):
        if not isinstance(part, Shape) and (part.filler or part.quantity > inside[n]):
            parts.append(replace(part, quantity=part.quantity - inside[n]) if inside[n] else part)
    taken = {part.name for part in job.parts}
    blocks: dict[str, Block] = {}
    for block, count in mix.blocks:
        held = [job.parts[n] for n in dict.fromkeys(block.parts)]
        held.sort(key=lambda part: not isinstance(part, Shape))  # it is called after its shapes
        first = held[0]
        assert isinstance(first, Shape)
        # One by itself is called what it is, so that whatever is said of it is said of the part.
        alone = len(block.shapes) == 1 and first.name not in blocks
        name = first.name if alone else _name(block, [part.name for part in held], taken)
        taken.add(name)
        blocks[name] = block
        rolls = next((part for part in held if not part.rotate or part.rolling != "free"), first)
        assert isinstance(rolls, Shape)
        parts.append(replace(rectangle_for(rolls, name, block.length, block.width, count), filler=first.filler))
    # What a mix leaves out is told as of the shapes, and others are tried: so no layout may end all.
    there = {part.name for part in parts}
    options = replace(job.options, first=tuple(n for n in _first(job, blocks) if n in there), partial=True)
    inner = replace(job, parts=tuple(sorted(parts, key=lambda part: part.filler)), options=options)
    return Inner(replace(inner, jobs=_jobs(job, blocks, there)), blocks)


def first_shape(job: Job, block: Block) -> Part:
    """The first shape of a block, which it is called after."""
    return next(part for n in block.parts if isinstance(part := job.parts[n], Shape))


def _jobs(job: Job, blocks: Mapping[str, Block], there: Container[str]) -> tuple[OneJob, ...]:
    """The jobs that are planned together with blocks in the place of shapes: one that holds shapes of several belongs
    to the job that is due first.
    """
    plain = {part.name for part in job.parts if not isinstance(part, Shape) and part.name in there}
    first = sorted(job.jobs, key=lambda each: each.due or NEVER)
    owner = {
        name: next(each for each in first if any(job.parts[n].name in each.parts for n in block.parts))
        for name, block in (blocks.items() if job.jobs else ())
    }
    return tuple(
        replace(
            each,
            parts=(*(name for name in each.parts if name in plain), *(name for name in owner if owner[name] is each)),
        )
        for each in job.jobs
    )


def _name(block: Block, names: list[str], taken: set[str]) -> str:
    """A name for a block that no part has."""
    name = " + ".join(names) + f" x {len(block.shapes)}"
    while name in taken:
        name += "'"
    return name


def _first(job: Job, blocks: Mapping[str, Block]) -> tuple[str, ...]:
    """Parts that are made before all others, blocks in the place of shapes."""
    asked = {n for n, part in enumerate(job.parts) if part.name in job.options.first}
    plain = [part.name for n, part in enumerate(job.parts) if n in asked and not isinstance(part, Shape)]
    return (*plain, *(name for name, block in blocks.items() if asked & set(block.parts)))
