"""A job settled: all that follows from job and rig before anything is searched, worked out once and carried on.

Layout, order of work and assembly read it; none of them asks again which process cuts a plate, what a plate costs, in
which unit is counted or which parts a plate serves.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from stripplan.layout import Grid, LayoutBound, Stock, build_problem, layout_bound, loosened
from stripplan.model.job import Job
from stripplan.model.material import word
from stripplan.model.part import Part, Rectangle
from stripplan.model.plate import Plate
from stripplan.model.rig import Process, Rig
from stripplan.planner.settling.bevel_checks import check_bevels
from stripplan.planner.settling.fixed_fences import with_fixed_fences
from stripplan.planner.settling.job_checks import (
    check_complete,
    check_end_stop,
    check_named_plates,
    check_names,
    check_order_options,
    check_pins,
    check_prices,
    check_processes,
    check_strip_lengths,
    check_trim,
)
from stripplan.planner.settling.materials import same_stock, with_materials
from stripplan.planner.settling.whole_units import MOST_ROUNDED, grid_of, in_whole_units
from stripplan.planner.settling.worth import Worth, worth_of_job
from stripplan.rig.machine.limits import cut_rules, least_part, process_for
from stripplan.wording.message import Facts, Message, length


@dataclass(frozen=True)
class SettledPlate(Stock):
    """A plate of the job with its index there, cost and cut rules, and the process that cuts it."""

    process: Process


@dataclass(frozen=True)
class Group:
    """Plates of one material and thickness, and the parts to be made from them, each with its index in the job.

    Parts too narrow to be cut are left out. `fillers` are not wanted: they go into what the wanted `parts` leave.
    """

    plates: tuple[SettledPlate, ...]
    parts: tuple[tuple[int, Part], ...]
    fillers: tuple[tuple[int, Part], ...]


@dataclass(frozen=True)
class Settled:
    """What plan and layout, order and assembly rest on.

    `job`: materials and thicknesses filled in, fillers last, lengths whole in `grid`. `rig`: as its notebook measured
    it; `rig_as_given`: before that. `grid` holds the wanted parts, `filler_grid` all: fillers must not make the search
    for the wanted ones finer. `worth` is the one currency of plate and hands. `too_narrow`: by index in the job, why a
    part cannot be cut at all. `rounding`: how much a part may have lost against its plate when lengths were made whole
    [mm]; 0 where all were.
    """

    job: Job
    rig: Rig
    rig_as_given: Rig
    plates: tuple[SettledPlate, ...]
    groups: tuple[Group, ...]
    grid: Grid
    filler_grid: Grid
    worth: Worth
    too_narrow: Mapping[int, Message]
    rounding: float
    warnings: tuple[Message, ...]

    @property
    def wanted(self) -> tuple[Part, ...]:
        """The parts that are no fillers; a settled job lists fillers last, so that numbers of parts hold for both."""
        return tuple(part for part in self.job.parts if not part.filler)

    def parts_of(self, plate: Plate) -> Iterator[Part]:
        """Parts that may come from a plate, by material and thickness."""
        return (part for part in self.job.parts if same_stock(part, plate))

    def bound_of(self, group: Group) -> LayoutBound:
        """What no layout of a group undercuts, however its plates are laid out: it holds for every legal plan."""
        options = self.job.options
        problem = build_problem(self.grid, group.plates, group.parts, options.keep, options.depth)
        return layout_bound(loosened(problem, group.parts))


def settle(job: Job, rig: Rig) -> Settled:
    """Settle a job on a rig. Raises InputError where they contradict themselves or each other."""
    as_given, rig = rig, _as_measured(rig)
    check_complete(job)
    check_names(job)
    check_named_plates(job)
    check_trim(job, rig)
    check_end_stop(job, rig)
    job = replace(job, parts=tuple(sorted(job.parts, key=lambda part: part.filler)))
    job, assumed = with_materials(job, rig)
    check_prices(job)
    check_pins(job)
    check_bevels(job.parts)
    check_strip_lengths(job)
    processes = [process_for(rig, plate, job.options.process) for plate in job.plates]
    check_processes(rig, processes)
    job = with_fixed_fences(job, rig, processes)
    job, filler_grid, rounded = in_whole_units(job, rig, processes)
    check_order_options(job)
    plates = tuple(
        SettledPlate(index, plate, cut_rules(rig, plate, process, trim=job.options.trim), plate_cost(plate), process)
        for index, (plate, process) in enumerate(zip(job.plates, processes, strict=True))
    )
    too_narrow = {
        index: why for index, part in enumerate(job.parts) if (why := _too_narrow(rig, part, plates)) is not None
    }
    wanted = [part for part in job.parts if not part.filler]
    grid = grid_of(job, rig, wanted, processes) if len(wanted) < len(job.parts) else filler_grid
    assert grid is not None  # fewer lengths need no finer unit
    return Settled(
        job=job,
        rig=rig,
        rig_as_given=as_given,
        plates=plates,
        groups=tuple(_groups(job, plates, too_narrow)),
        grid=grid,
        filler_grid=filler_grid,
        worth=worth_of_job(job, rig),
        too_narrow=too_narrow,
        rounding=MOST_ROUNDED if rounded else 0.0,
        warnings=(*assumed, *rounded),
    )


def _as_measured(rig: Rig) -> Rig:
    if rig.notebook is None:
        return rig
    from stripplan.rig.notebook.calibrate import calibrated  # few rigs have a notebook

    return calibrated(rig)


def _groups(job: Job, plates: Sequence[SettledPlate], too_narrow: Mapping[int, Message]) -> Iterator[Group]:
    """Plates by material and thickness; groups without wanted parts are left out: fillers open no plate."""
    alike: dict[tuple[str, float | None], list[SettledPlate]] = {}
    for each in plates:
        alike.setdefault((word(each.plate.material), each.plate.thickness), []).append(each)
    for some in alike.values():
        serves = [(n, p) for n, p in enumerate(job.parts) if same_stock(p, some[0].plate) and n not in too_narrow]
        parts = tuple((n, part) for n, part in serves if not part.filler)
        if parts:
            yield Group(tuple(some), parts, tuple((n, part) for n, part in serves if part.filler))


def plate_cost(plate: Plate) -> float:
    """Cost of one plate: as given, by its mass, or its area in m2 where no price is known."""
    if plate.cost is not None:
        return plate.cost
    if plate.price_per_kg is not None:
        return plate.price_per_kg * plate.mass
    return plate.length * plate.width * 1e-6


def _too_narrow(rig: Rig, part: Part, plates: Sequence[SettledPlate]) -> Message | None:
    """What is wrong, and would help, with a part that is narrower than may be cut from its plates; None where it is
    wide enough.
    """
    kerfs = [each.process.kerf for each in plates if same_stock(part, each.plate)]
    if not kerfs or part.thickness is None:
        return None
    width = min(part.width_as_cut, part.length_as_cut) if isinstance(part, Rectangle) else part.width_as_cut
    least = least_part(rig, part.thickness, min(kerfs))
    if width >= least - 1e-6:
        return None
    more = math.ceil(10 * (least - width) / 2) / 10
    facts = Facts(
        width=length(width),
        least=length(least),
        thickness=length(part.thickness),
        kerf=length(min(kerfs)),
        allowance=length(more),
    )
    says = "too_narrow" if rig.narrowest_part is None else "narrower_than_the_rig_allows"
    return Message("cannot_make", f"part {part.name}", facts, says)
