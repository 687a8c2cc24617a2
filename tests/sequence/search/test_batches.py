"""Very large jobs: plates are ordered in batches, one after the other."""

from __future__ import annotations

import pytest

from stripplan import plan
from stripplan.model.effort import Effort
from stripplan.model.job import Job, Options
from stripplan.model.part import Rectangle
from stripplan.model.plate import Plate
from stripplan.model.rig import Process, Rig
from stripplan.sequence.search import best_order as order

STEEL = Process(name="p", material="mild steel", thickness=6, kerf=1.5, travel_speed=600)
SHEET = Plate(name="s", length=900, width=500, thickness=6, material="mild steel", measured=True)
JOB = Job(
    name="many",
    plates=(SHEET,),
    parts=tuple(Rectangle(name=f"r{n}", width=90 + 11 * n, length=200 + 17 * n, quantity=6) for n in range(4)),
    options=Options(effort=Effort(steps=50)),
)


@pytest.mark.long
def test_batches_make_a_sound_plan_whose_bounds_hold(monkeypatch: pytest.MonkeyPatch) -> None:
    """The same cuts as all together, each batch done before the next, passed by the replay;
    no bound above what is found.
    """
    together = plan(JOB, Rig(processes=(STEEL,)))
    monkeypatch.setattr(order, "MOST_TOGETHER", 20)
    monkeypatch.setattr(order, "BATCH", 12)
    apart = plan(JOB, Rig(processes=(STEEL,)))
    assert len(apart.plates) > 1
    assert sorted(cut.piece for cut in apart.cuts) == sorted(cut.piece for cut in together.cuts) or len(
        apart.cuts
    ) == len(together.cuts)
    assert apart.proof.minutes.bound <= together.totals.minutes + 1e-6
    assert apart.proof.setups.bound <= together.totals.fence_settings
    names = [plate.id for plate in apart.plates]
    counts = [sum(cut.plate == name for cut in apart.cuts) for name in names]
    monkeypatch.setattr(order, "cuts_left", lambda count: count)
    batch_of = {names[plate]: n for n, batch in enumerate(order._batches(counts)) for plate in batch}  # type: ignore[arg-type]
    turns = [batch_of[cut.plate] for cut in apart.cuts]
    assert len(set(turns)) > 1
    assert turns == sorted(turns)


@pytest.mark.parametrize(
    ("counts", "batches"),
    [([5] * 4, [[0, 1, 2, 3]]), ([8] * 4, [[0], [1], [2], [3]]), ([30, 5, 5, 30], [[0], [1, 2], [3]])],
)
def test_a_batch_has_a_plate_at_the_least(
    counts: list[int], batches: list[list[int]], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Plates stay whole and in their order; one that is larger than a batch is a batch of its own."""
    monkeypatch.setattr(order, "MOST_TOGETHER", 20)
    monkeypatch.setattr(order, "BATCH", 12)
    monkeypatch.setattr(order, "cuts_left", lambda piece: piece)
    assert order._batches(counts) == batches  # type: ignore[arg-type]
