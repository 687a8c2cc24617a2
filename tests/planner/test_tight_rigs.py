"""Rigs with little room: nothing that can be made is called impossible, and nothing is made that cannot be."""

from __future__ import annotations

from random import Random

import pytest

from stripplan import plan
from stripplan.errors import CannotMakeError
from stripplan.model.effort import Effort
from stripplan.model.job import Job, Options
from stripplan.model.part import Part, Rectangle
from stripplan.model.plate import EdgeState, Plate
from stripplan.model.rig import Process, Rig
from tests.checking import few
from tests.planner.tight import job_of, outcome, rig_of

PROCESS = Process(name="air", material="mild steel", thickness=6, kerf=2, travel_speed=600)


def rig(**limits: object) -> Rig:
    """The built-in rig with some limits."""
    return Rig(processes=(PROCESS,), **limits)  # type: ignore[arg-type]


def sheet(length: float, width: float, *, edges: EdgeState = "mill", quantity: int | None = None) -> Plate:
    """A plate of mild steel, 6 mm."""
    return Plate(
        name="sheet", length=length, width=width, thickness=6, material="mild steel", edges=(edges,) * 4,
        quantity=quantity, measured=True,
    )  # fmt: skip


def made(wanted: Part, plate: Plate, rig: Rig, **options: object) -> int:
    """How many of a part are made."""
    job = Job(name="tight", plates=(plate,), parts=(wanted,), options=Options(**options))  # type: ignore[arg-type]
    return plan(job, rig).parts[0].made


@pytest.mark.parametrize("seed", [0, 1, 2])
def test_a_part_is_made_by_slices_where_there_is_little_room_beside_the_torch(seed: int) -> None:
    """291 x 276 from 500 x 600 with 200 beside the torch:
    500 - 291 and 600 - 276 are both more, so a slice comes off first.
    """
    wanted = Rectangle(name="p", length=291, width=276, quantity=3)
    assert made(wanted, sheet(500, 600), rig(far_max=200), effort=Effort(seed=seed)) == 3


@pytest.mark.parametrize(
    ("wanted", "plate", "limits", "trim"),
    [
        (Rectangle(name="p", length=400, width=300), sheet(1000, 800), {"marked": False, "fence_max": 150}, 0),
        (Rectangle(name="p", length=140, width=130), sheet(205, 190),
         {"marked": False, "fence_max": 150, "far_max": 60}, 0),
        (Rectangle(name="p", length=130, width=120), sheet(205, 190),
         {"marked": False, "fence_max": 150, "far_max": 60}, 10),
        (Rectangle(name="p", length=300, width=200, square="all"), sheet(310, 210), {"square_side": "far"}, 0),
        (Rectangle(name="p", length=300, width=200, square="all"), sheet(330, 700, edges="cut"), {"far_max": 250}, 0),
        (Rectangle(name="p", length=300, width=298, tolerance=3), sheet(300, 400), {"far_max": 101}, 0),
    ],
    ids=["short fence", "short fence, little room", "with trims", "square corner", "square, little room",
     "left over size"],
)  # fmt: skip
def test_a_part_that_fits_is_made_on_a_tight_rig(
    wanted: Part, plate: Plate, limits: dict[str, object], trim: int
) -> None:
    """One part by itself; the plan has passed the replay."""
    assert made(wanted, plate, rig(**limits), trim=float(trim), effort=Effort(steps=10)) == 1


def test_a_pattern_that_worked_is_repeated_while_the_stock_lasts() -> None:
    """Seven of a part that needs a plate each: seven plates of as many as needed;
    five of five, and two are not found or shown to be too many.
    """
    wanted = Rectangle(name="p", length=291, width=276, quantity=7)
    assert made(wanted, sheet(500, 600), rig(far_max=200), effort=Effort(steps=10)) == 7
    assert made(wanted, sheet(500, 600, quantity=5), rig(far_max=200), effort=Effort(steps=10), partial=True) == 5


def test_stock_is_not_called_used_up_where_no_bound_shows_it() -> None:
    """Two of 291 x 276 would lie on 500 x 600, but no cut parts them with 200 beside the torch:
    no bound knows, so it is not found.
    """
    wanted = Rectangle(name="p", length=291, width=276, quantity=2)
    job = Job(
        name="tight", plates=(sheet(500, 600, quantity=1),), parts=(wanted,), options=Options(effort=Effort(steps=10))
    )
    with pytest.raises(CannotMakeError) as error:
        plan(job, rig(far_max=200))
    (fault,) = error.value.faults
    assert fault.code == "not_found"
    assert fault.worded().text.startswith(
        "no place was found for 1 of 2 on the plates there are (sheet: 1). Searched: 10 steps"
    )
    five = Job(name="tight", plates=job.plates, parts=(Rectangle(name="p", length=291, width=276, quantity=5),))
    with pytest.raises(CannotMakeError) as error:
        plan(five, rig(far_max=200))
    assert error.value.faults[0].code == "stock_used_up"


@pytest.mark.long
@pytest.mark.parametrize("tries", few(1, (8, 20)))
@pytest.mark.parametrize("edges", [False, True], ids=["one to three parts", "one part, trims and square edges"])
def test_random_small_jobs_on_tight_rigs_against_trying_every_cut(edges: bool, tries: int) -> None:
    """So many of each: what can be made is never called impossible, and what is made can be
    (`tests.benchmarks.tight_rigs` draws more).
    """
    kept = 0
    for seed in range(tries):
        chance = Random(seed)
        tight = rig_of(chance)
        found = outcome(job_of(chance, edges=edges), tight)
        assert not found.false_cannot, seed
        assert found.possible or not found.made, seed
        kept += found.made
    assert kept >= tries // 6
