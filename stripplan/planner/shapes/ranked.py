"""Mixes of blocks ranked by a first layout of each: what blocks take by themselves does not tell what a plate holds.

Each mix is laid out without a search: the plates that it takes less its offcuts, and the hands on its blocks, as they
are estimated by themselves. Cost: a first layout for each, some hundredths of a second.
"""

from __future__ import annotations

from collections.abc import Sequence

from stripplan.layout import Mix
from stripplan.model.rig import Rig
from stripplan.planner.job_layout import job_layout
from stripplan.planner.order.bench_plates import conditions_of
from stripplan.planner.search_control import Search
from stripplan.planner.settled import Group, settle
from stripplan.planner.shapes.block_cost import block_hands
from stripplan.planner.shapes.blocks_of_job import ShapesOfJob
from stripplan.planner.shapes.inner_job import with_blocks_in
from stripplan.planner.shapes.left_out import missing
from stripplan.planner.total.cheapest import offcuts_worth


def ranked(shapes: ShapesOfJob, rig: Rig, some: Sequence[Mix]) -> list[Mix]:
    """The mixes, the likeliest first; of those that are as likely the one that stood first."""
    return sorted(some, key=lambda each: _estimate(shapes, rig, each))


def _estimate(shapes: ShapesOfJob, rig: Rig, mix: Mix) -> tuple[int, float]:
    """How many parts a first layout leaves out, and what it costs, in the job's currency."""
    inner = with_blocks_in(shapes.job, mix)
    settled = settle(inner.job, rig)
    layout = job_layout(settled, Search(shapes.job.options.effort, at_once=True))
    short = missing(inner, settled, layout, [part.name for part in shapes.job.parts]).total()
    patterns = [each for group in layout.by_group for each in group.patterns]
    plate = sum(each.count * (settled.worth.plates[each.plate] - offcuts_worth(settled, each)) for each in patterns)
    return short, round(plate + sum(_hands(shapes, group, mix) for group in shapes.settled.groups), 6)


def _hands(shapes: ShapesOfJob, group: Group, mix: Mix) -> float:
    """What the hands on the blocks of a group cost."""
    here, conditions = {n for n, _ in group.parts}, conditions_of(shapes.settled, group.plates[0])
    cost = block_hands(shapes.settled, group, lambda block: shapes.trees.of(block, conditions))
    return sum(count * cost(block) for block, count in mix.blocks if block.parts[0] in here)
