"""Fillers into what the layout of the wanted parts left."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from stripplan.layout.fillers import filled
from stripplan.layout.grid import common_grid
from stripplan.layout.lay_out import Layout
from stripplan.layout.problem import build_problem
from stripplan.model.job import Job
from stripplan.model.offcut import offcut_value
from stripplan.model.rig import Rig
from stripplan.planner.layouts import Group, too_narrow
from stripplan.planner.settled import all_lengths, same_stock


def without_fillers(job: Job) -> Job:
    """The job of the wanted parts alone: what layouts and bounds speak of. A settled job lists fillers last."""
    return replace(job, parts=tuple(part for part in job.parts if not part.filler))


def filled_layouts(job: Job, rig: Rig, groups: Sequence[Group], layouts: Sequence[Layout]) -> list[Layout]:
    """Layouts with fillers in what was left; all else stays as it is."""
    grid = common_grid(*all_lengths(job, rig))
    assert grid is not None
    found = []
    for group, layout in zip(groups, layouts, strict=True):
        plate = group.wares[0].plate
        fillers = [(n, p) for n, p in enumerate(job.parts) if p.filler and same_stock(p, plate)]
        fillers = [(n, p) for n, p in fillers if too_narrow(job, rig, p) is None]
        if fillers:
            problem = build_problem(grid, group.wares, fillers, job.options.keep, job.options.depth)
            patterns = filled(
                problem,
                layout.patterns,
                fill=job.options.fill,
                value=lambda length, width: offcut_value(length, width, job.options.keep, job.options.offcut_weights),
            )
            layout = replace(layout, patterns=patterns)
        found.append(layout)
    return found
