"""A plan with bevels of many kinds, for tests that spoil it."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from stripplan import plan
from stripplan.files.rig.read import load_rig
from stripplan.model.bevel import Bevel
from stripplan.model.effort import Effort
from stripplan.model.job import Job, Options
from stripplan.model.part import Rectangle, Shape
from stripplan.model.plan.plan import Plan
from stripplan.model.plate import Plate
from stripplan.model.prices import Prices
from stripplan.model.rig import Rig

TRIANGLE = ((0.0, 0.0), (200.0, 0.0), (0.0, 120.0))


def tilting(**more: object) -> Rig:
    """The built-in rig with a torch that tilts to 45 degrees, measured at 30."""
    given = {"tilt_max": 45.0, "tilt_pivot": 20.0, "tilt_shift": ((30.0, 11.5),), "stroke": 1203.0, **more}
    return replace(load_rig(), **given)  # type: ignore[arg-type]


@cache
def bevelled() -> Plan:
    """Long edges on the fence, an end from both faces, a slanted edge along a line, a steep one left for the hand."""
    parts = (
        Rectangle(
            name="web", width=80, length=300, quantity=2,
            bevels=(Bevel(edge=0, angle=30, root_face=2), Bevel(edge=2, angle=30, root_face=2)),
        ),
        Rectangle(name="cap", width=90, length=110, bevels=(Bevel(edge=1, angle=45, root_face=2, face="both"),)),
        Shape(name="gusset", outline=TRIANGLE, bevels=(Bevel(edge=1, angle=30),)),
        Rectangle(name="foot", width=70, length=120, bevels=(Bevel(edge=0, angle=55, depth=3), )),
    )  # fmt: skip
    plate = Plate(name="sheet", length=900, width=320, thickness=8, material="S235", measured=True, cost=40)
    prices = Prices(per_hour=60, per_kwh=0.3, per_m3_air=0.05, tip_price=2.5)
    job = Job(name="bevels", plates=(plate,), parts=parts, options=Options(effort=Effort(steps=2)))
    return plan(job, tilting(prices=prices))
