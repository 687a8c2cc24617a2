"""Random jobs on random rigs."""

from __future__ import annotations

from hypothesis import given

from stripplan import plan
from stripplan.model.job import Job
from stripplan.model.rig import Rig
from tests.checking import examples
from tests.strategies import jobs, rigs


@examples(6)
@given(job=jobs(), rig=rigs())
def test_every_plan_passes_the_replay_and_no_bound_is_wrong(job: Job, rig: Rig) -> None:
    """A plan is sound (plan() replays it), makes no more than is wanted, and what is short is said."""
    made = plan(job, rig)
    short = {line.name for line in made.parts if line.made < line.wanted}
    said = " ".join(
        warning.about for warning in made.warnings if warning.code in ("cannot_make", "stock_used_up", "not_found")
    )
    assert all(name in said for name in short)
    assert made.proof.plates.bound <= made.proof.plates.found
    assert made.proof.minutes.bound <= made.proof.minutes.found + 1e-9
