"""A few planned jobs that tests of the book cut again and again, and pieces to cut them from."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from stripplan import plan
from stripplan.files.rig.read import load_rig
from stripplan.model.effort import Effort
from stripplan.model.job import Job, Options
from stripplan.model.part import Rectangle
from stripplan.model.plan.plan import Plan
from stripplan.model.plate import Plate
from stripplan.model.rack.piece import RackPiece

AT = "2026-03-31T08:00:00+00:00"
SIZES = ((600.0, 400.0), (900.0, 300.0))
COST = 40.0


def piece(size: tuple[float, float] = SIZES[0], **more: object) -> RackPiece:
    """A plate of 6 mm."""
    fields = {"thickness": 6.0, "material": "S235", **more}
    return RackPiece(length=size[0], width=size[1], **fields)  # type: ignore[arg-type]


@cache
def planned(size: tuple[float, float] = SIZES[0], plates: int = 1) -> Plan:
    """Brackets from plates of one size: they leave an offcut, scrap and kerfs. `plates` are used."""
    sheet = Plate(
        name="sheet", length=size[0], width=size[1], thickness=6.0, material="S235", quantity=plates, cost=COST
    )
    parts = (
        Rectangle(name="bracket", width=100.0, length=min(size) * 0.9, quantity=2 * plates),
        Rectangle(name="lug", width=60.0, length=80.0, quantity=3 * plates),
        Rectangle(name="web", width=0.45 * min(size), length=0.6 * max(size), quantity=plates),
    )
    job = Job(name="brackets", plates=(sheet,), parts=parts, options=Options(effort=Effort(steps=5)))
    made = plan(job, load_rig(None))
    assert made.totals.plates == plates
    return made


def of_job(plan: Plan, name: str) -> Plan:
    """The plan for a job of another name."""
    return replace(plan, job=replace(plan.job, name=name))


def kerf_area(plan: Plan) -> float:
    """Metal that the torch takes [mm2], from the lengths of the cuts alone: no kerf runs off an edge in these plans."""
    return sum(cut.length * cut.kerf for cut in plan.cuts)
