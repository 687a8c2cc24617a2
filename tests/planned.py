"""Plans that several tests look at: made once a process, by what was asked.

A test that asks whether planning gives the same again, or watches it, plans for itself.
"""

from __future__ import annotations

from stripplan import plan
from stripplan.model.job import Job
from stripplan.model.plan.plan import Plan
from stripplan.model.rig import Rig

_MADE: dict[str, Plan] = {}


def planned(job: Job, rig: Rig) -> Plan:
    """`plan(job, rig)`; both are written out in full to be told apart, as they hold tables."""
    asked = repr((job, rig))
    if asked not in _MADE:
        _MADE[asked] = plan(job, rig)
    return _MADE[asked]
