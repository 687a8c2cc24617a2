"""Plans straight cuts on plate for a straight-line cutting rig: layout, order, settings, sheet, drawings.

import stripplan
job, rig = stripplan.load_job("job.toml")
plan = stripplan.plan(job, rig)
stripplan.write_all(plan, Path("output/job"))
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

from stripplan.version import VERSION

if TYPE_CHECKING:
    from stripplan.errors import CannotMakeError, InputError, PlanFaultError, StripplanError
    from stripplan.files.job.read import load_job
    from stripplan.files.notebook.read import load_notebook
    from stripplan.files.plan.read import load_plan
    from stripplan.files.rig.read import load_rig
    from stripplan.model.job import Job
    from stripplan.model.part import Rectangle, Shape, Strip
    from stripplan.model.plan.choice import Choice
    from stripplan.model.plan.plan import Plan
    from stripplan.model.plan.progress import CutProgress
    from stripplan.model.plate import Plate
    from stripplan.model.rig import Rig
    from stripplan.planner import choices, plan, report, rest_of_job, why
    from stripplan.sheets.folder import write_all

__version__ = VERSION

_HOMES = {
    "plan": "planner",
    "choices": "planner",
    "why": "planner",
    "report": "planner",
    "rest_of_job": "planner",
    "Choice": "model.plan.choice",
    "CutProgress": "model.plan.progress",
    "load_notebook": "files.notebook.read",
    "load_job": "files.job.read",
    "load_plan": "files.plan.read",
    "write_all": "sheets.folder",
    "load_rig": "files.rig.read",
    "Job": "model.job",
    "Plate": "model.plate",
    "Strip": "model.part",
    "Rectangle": "model.part",
    "Shape": "model.part",
    "Rig": "model.rig",
    "Plan": "model.plan.plan",
    "StripplanError": "errors",
    "InputError": "errors",
    "CannotMakeError": "errors",
    "PlanFaultError": "errors",
}

__all__ = [
    "CannotMakeError", "Choice", "CutProgress", "InputError", "Job", "Plan", "PlanFaultError", "Plate", "Rectangle",
    "Rig", "Shape", "Strip", "StripplanError", "__version__", "choices", "load_job", "load_notebook", "load_plan",
    "load_rig", "plan", "report", "rest_of_job", "why", "write_all",
]  # fmt: skip


def __getattr__(name: str) -> Any:
    """Public names load their room when first used, so that `import stripplan` stays light."""
    if name in _HOMES:
        return getattr(import_module(f"{__name__}.{_HOMES[name]}"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted(__all__)
