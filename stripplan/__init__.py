"""Plans straight cuts on plate for a straight-line cutting rig: layout, order, settings, sheet, drawings.

import stripplan
job, rig = stripplan.load_job("job.toml")
plan = stripplan.plan(job, rig)
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

from .version import VERSION

if TYPE_CHECKING:
    from .errors import CannotMakeError, InputError, PlanFaultError, StripplanError
    from .files.job_toml import load_job
    from .files.notebook_toml import load_notebook
    from .files.rig_toml import load_rig
    from .model.job import Job
    from .model.part import Rectangle, Strip
    from .model.plan import Plan
    from .model.plate import Plate
    from .model.rig import Rig
    from .planner import plan, report, why

__version__ = VERSION

_HOMES = {
    "plan": "planner",
    "why": "planner",
    "report": "planner",
    "load_notebook": "files.notebook_toml",
    "load_job": "files.job_toml",
    "load_rig": "files.rig_toml",
    "Job": "model.job",
    "Plate": "model.plate",
    "Strip": "model.part",
    "Rectangle": "model.part",
    "Rig": "model.rig",
    "Plan": "model.plan",
    "StripplanError": "errors",
    "InputError": "errors",
    "CannotMakeError": "errors",
    "PlanFaultError": "errors",
}

__all__ = [
    "CannotMakeError", "InputError", "Job", "Plan", "PlanFaultError", "Plate", "Rectangle", "Rig", "Strip",
    "StripplanError", "__version__", "load_job", "load_notebook", "load_rig", "plan", "report", "why",
]  # fmt: skip


def __getattr__(name: str) -> Any:
    """Public names load their room when first used, so that `import stripplan` stays light."""
    if name in _HOMES:
        return getattr(import_module(f"{__name__}.{_HOMES[name]}"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted(__all__)
