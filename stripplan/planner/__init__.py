"""The front door: `plan(job, rig)`, why a cut stands where it does, what is left of a job. No file touched.

`job_to_plan.py` reads as the way from job to plan: a job is settled once (`settled.py`), laid out (`job_layout.py`),
its cuts are ordered (`order/order_of_work.py`), the plan is assembled (`assemble.py`) and replayed on its own.
"""

from __future__ import annotations

from typing import Literal

from stripplan.model.report import Section
from stripplan.model.rig import Rig
from stripplan.planner.first_sight import PlateInSight
from stripplan.planner.job_to_plan import choices, plan, plan_again, unsound, why
from stripplan.planner.jobs.join import joined
from stripplan.planner.kept.beside import dearer_than_afresh
from stripplan.planner.kept.instead import instead_of_cut
from stripplan.planner.kept.order import what_was_kept
from stripplan.planner.looks import Looks
from stripplan.planner.order.why import reasons_for_cuts
from stripplan.planner.rack.half_cut import left_on_rack, to_be_cut
from stripplan.planner.rack.larger import one_larger
from stripplan.planner.rack.learnt import LearntSeconds, TimedTick, seconds_learnt
from stripplan.planner.rack.named import named_pieces, of_pieces
from stripplan.planner.rack.off_rack import OffRack, off_rack
from stripplan.planner.rack.with_rack import OnTheRack, with_rack
from stripplan.planner.rest_of_job import left_to_cut, rest_of_job, what_changed
from stripplan.planner.total.choices import choice_of_number
from stripplan.rig.notebook.drift import Drift, drift

__all__ = [
    "Drift", "LearntSeconds", "Looks", "OffRack", "OnTheRack", "PlateInSight", "TimedTick", "choice_of_number",
    "choices", "dearer_than_afresh", "drift", "instead_of_cut", "joined", "left_on_rack", "left_to_cut",
    "named_pieces", "of_pieces", "off_rack", "one_larger", "plan", "plan_again", "reasons_for_cuts", "report",
    "rest_of_job", "seconds_learnt", "to_be_cut", "unsound", "what_changed", "what_was_kept", "why", "with_rack",
]  # fmt: skip


def report(rig: Rig, *, units: Literal["mm", "in"] = "mm") -> tuple[Section, ...]:
    """What the notebook of a rig says, part by part; a part that cannot be worked out says why. `units` are those of
    whoever reads it where the rig has no notebook; a notebook has its own.
    """
    from stripplan.rig.notebook.report import notebook_report

    return notebook_report(rig, units=units)
