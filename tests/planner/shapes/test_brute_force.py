"""A few shapes on tiny plates: no more plates than trying all blocks of one and two finds, and little more in all."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

from stripplan import Job, Plate, Rig, Shape, plan
from stripplan.model.effort import Effort
from stripplan.model.job import Options
from stripplan.model.polygon import Outline, area
from stripplan.model.rig import Process, Seconds
from tests.checking import few
from tests.planner.shapes.brute_force import fewest_plates, fit, pairs, singles
from tests.planner.shapes.brute_force_total import Costs, least_total

KERF = 1.5
RIG = Rig(
    processes=(Process(name="steel", material="mild steel", thickness=8, kerf=KERF, travel_speed=500),),
    narrowest_offcut=0.0,
    fence_min=12.0,
)


def test_trying_by_hand() -> None:
    """Two triangles 120 x 80 in a box a kerf over its area beside the diagonal; two squares beside one another need a
    kerf between them."""
    triangle = (0 + 0j, 120 + 0j, 0 + 80j)
    assert (120.0, 80.0) in singles(triangle)
    diagonal = (120**2 + 80**2) ** 0.5
    assert any(a == 120 and abs(b - 80 - KERF * diagonal / 120) < 1e-3 for a, b in pairs(triangle, triangle, KERF))
    squares = ((50.0, 50.0), (50.0, 50.0))
    assert fit(squares, 101.5, 50, KERF)
    assert not fit(squares, 101.4, 50, KERF)


def drawn(chance: random.Random) -> Outline:
    """A right-angled or other triangle, a trapezium, a parallelogram."""
    long, wide = float(chance.randint(80, 200)), float(chance.randint(60, 120))
    kind = chance.choice(("gusset", "gusset", "triangle", "trapezium", "parallelogram"))
    if kind == "gusset":
        return (0.0, 0.0), (long, 0.0), (0.0, wide)
    off = float(chance.randint(10, int(long / 3)))
    if kind == "triangle":
        return (0.0, 0.0), (long, 0.0), (off, wide)
    if kind == "trapezium":
        return (0.0, 0.0), (long, 0.0), (long - off, wide), (off, wide)
    return (0.0, 0.0), (long, 0.0), (long + off, wide), (off, wide)


def drawn_job(seed: int) -> tuple[Job, list[Outline]]:
    """Two to four shapes, the larger two often alike, and a plate that may just hold them."""
    chance = random.Random(seed)
    parts = [Shape(name=f"shape {n}", outline=drawn(chance), quantity=chance.choice((1, 2))) for n in range(2)]
    outlines = [part.outline for part in parts for _ in range(part.quantity)]
    metal = sum(map(area, outlines)) * chance.uniform(1.1, 1.7)
    wide = max(max(y for _, y in each) for each in outlines) + chance.choice((0, 3, 20, 60))
    plate = Plate(
        name="plate", length=float(round(metal / wide)), width=float(wide), thickness=8, material="mild steel"
    )
    options = Options(aim="plate", effort=Effort(steps=20))
    return Job(name=f"tiny {seed}", plates=(plate,), parts=tuple(parts), options=options), outlines


def tried(seed: int) -> tuple[int, int | None] | None:
    """Plates of the plan and by trying; None where some shape is larger than the plate for both."""
    job, outlines = drawn_job(seed)
    (plate,) = job.plates
    shapes = [tuple(complex(x, y) for x, y in each) for each in outlines]
    least = fewest_plates(shapes, (plate.length, plate.width), KERF)
    return None if least is None else (plan(job, RIG).totals.plates, least)


@pytest.mark.parametrize("seed", few(7, [86, 188, 253, 409, 906, *range(60)]))
def test_no_more_plates_than_by_trying(seed: int) -> None:
    """As few plates as blocks of one and two in any layout of rectangles give, or fewer: rows hold more."""
    found = tried(seed)
    if found is not None:
        assert found[1] is not None
        assert found[0] <= found[1]


NO_HANDS = replace(
    RIG,
    seconds=Seconds(**dict.fromkeys(vars(Seconds()), 0.0)),
    overrun_max=RIG.overrun,
    end_stop_min=0.0,
    end_stop_step=0.001,
    travel_max=1e6,
    return_speed=1e9,
    pre_flow=3.0,
    post_flow=17.0,
    mitre_min=5.0,
    mitre_max=175.0,
    mitre_stop_max=2000.0,
)
"""A rig where nothing takes time but the arc and what comes with each start."""
PLATE_COST, MINUTE = 3.0, 1.0
FARTHEST = 1.16
"""By so much more than the least that is found by trying jobs were planned at the most: a cut or two of some ten."""


def totals(seed: int) -> tuple[float, float] | None:
    """Plate and hands of the plan and by trying; None where some shape is larger than the plate."""
    job, outlines = drawn_job(seed)
    (plate,) = job.plates
    shapes = [tuple(complex(x, y) for x, y in each) for each in outlines]
    speed = NO_HANDS.processes[0].travel_speed
    starts = (NO_HANDS.pre_flow + NO_HANDS.post_flow) / 60 + (NO_HANDS.lead_in + NO_HANDS.overrun) / speed
    costs = Costs(PLATE_COST, MINUTE * starts, MINUTE / speed)
    least = least_total(shapes, (plate.length, plate.width), KERF, costs)
    if least is None:
        return None
    options = Options(effort=Effort(steps=20), keep=(1e5, 1e5), price_per_minute=MINUTE)
    made = plan(replace(job, plates=(replace(plate, measured=True, cost=PLATE_COST),), options=options), NO_HANDS)
    assert made.total is not None
    return made.total.total, least


@pytest.mark.parametrize("seed", few(2, [7, 15, *(each for each in range(60) if each not in (7, 15))]))
def test_little_more_in_all_than_by_trying(seed: int) -> None:
    """Plate and hands together are near the least of all layouts of blocks of one and two, or below."""
    found = totals(seed)
    if found is not None:
        assert found[0] <= FARTHEST * found[1]


@pytest.mark.parametrize("seed", few(2, [900, 930, 912, 913, 917, 926, 936]))
def test_no_cut_more_than_by_trying(seed: int) -> None:
    """Jobs that took a cut or two more than the least: another block of a row is last, a block is freed out of waste on
    two sides, blocks fill a plate together, a box that is neither the shortest nor the narrowest."""
    found = totals(seed)
    assert found is not None
    assert found[0] <= 1.03 * found[1]
