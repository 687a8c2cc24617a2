"""The front door: seeds, caps, prices, inches, what is refused."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stripplan import plan
from stripplan.errors import CannotMakeError, InputError
from stripplan.model.effort import Effort
from stripplan.model.job import Job, Options
from stripplan.model.part import Rectangle, Square, Strip
from stripplan.model.plate import Plate
from stripplan.model.rig import Process, Rig
from stripplan.sheets.plan_json import plan_text
from tests.planned import planned

PROCESS = Process(name="p", material="mild steel", thickness=6, kerf=1.5, travel_speed=600)
RIG = Rig(processes=(PROCESS,))
SHEET = Plate(name="sheet", length=1000, width=600, thickness=6, material="mild steel")
JOB = Job(
    name="door",
    plates=(SHEET,),
    parts=(
        Rectangle(name="a", width=120, length=300, quantity=9),
        Rectangle(name="b", width=70, length=90, quantity=14),
    ),
    options=Options(effort=Effort(steps=12)),
)


def with_options(**changes: object) -> Job:
    """The job with other options."""
    return replace(JOB, options=replace(JOB.options, **changes))


def test_same_seed_and_steps_same_plan() -> None:
    """Two runs give the same plan file; another seed may give another."""
    assert plan_text(plan(JOB, RIG)) == plan_text(plan(JOB, RIG))


def test_a_cap_on_seconds_is_recorded() -> None:
    """A search ended by the clock says so; one that was not says that it was done."""
    capped = plan(with_options(effort=Effort(steps=100_000, seconds=0.05)), RIG)
    assert capped.settings.stopped == "seconds"
    assert planned(JOB, RIG).settings.stopped == "done"


@pytest.mark.long
def test_a_price_for_a_minute_never_makes_the_whole_dearer() -> None:
    """With a price for a minute, plates and minutes together cost no more than without."""
    price = 2.0

    def whole(job: Job) -> float:
        totals = plan(job, RIG).totals
        return totals.cost + price * totals.minutes

    soon = with_options(effort=Effort(steps=3))
    assert whole(replace(soon, options=replace(soon.options, price_per_minute=price))) <= whole(soon) + 1e-9


def test_depth_limits_the_changes_of_direction() -> None:
    """With a depth of 1 all cuts run one way."""
    made = plan(with_options(depth=1, partial=True), RIG)
    assert len({cut.line[0][0] == cut.line[1][0] for cut in made.cuts}) <= 1


def test_offcuts_go_first_where_they_are_cheaper() -> None:
    """An offcut that holds the part at a tenth of the sheet's price is taken."""
    offcut = Plate(name="rest", length=400, width=300, thickness=6, material="mild steel", offcut=True, cost=1)
    job = Job(name="o", plates=(replace(SHEET, cost=10.0), offcut), parts=(Rectangle(name="a", width=200, length=300),))
    assert [plate.stock for plate in plan(job, RIG).plates] == ["rest"]


def test_a_cut_longer_than_the_duty_cycle_allows_is_avoided_or_named() -> None:
    """At 20 % of ten minutes and 300 mm/min no arc may be longer than 600 mm: the plate is cut across, or refused."""
    hot = replace(PROCESS, travel_speed=300.0, current=40.0, duty=((40.0, 20.0),))
    rig = Rig(processes=(hot,))
    sheet = replace(SHEET, width=400)
    made = plan(Job(name="d", plates=(sheet,), parts=(Rectangle(name="a", width=100, length=300, quantity=4),)), rig)
    assert max(cut.minutes.arc for cut in made.cuts) <= 2.0
    with pytest.raises(CannotMakeError, match="duty"):
        plan(Job(name="d", plates=(sheet,), parts=(Strip(name="a", width=100),)), rig)


def test_sizes_without_a_common_unit_are_rounded_once_and_said() -> None:
    """A third of an inch beside a metric kerf: parts up, plates down, with a warning; the plan still passes."""
    made = plan(
        replace(JOB, parts=(Rectangle(name="a", width=25.4 / 3, length=300.0000001), Strip(name="s", width=30))),
        replace(RIG, narrowest_part=0.0),
    )
    assert "rounded" in {warning.code for warning in made.warnings}
    assert made.job.parts[0].width == 8.47


def test_a_part_that_rounding_made_larger_than_its_plate_is_not_called_impossible() -> None:
    """As long as the plate to a ten-millionth: rounded up it no longer fits the plate rounded down. 2 m are too
    long.
    """
    parts = (
        Rectangle(name="whole", width=100, length=1000.0000001),
        Rectangle(name="large", width=100, length=2000.0),
    )
    with pytest.raises(CannotMakeError) as error:
        plan(replace(JOB, plates=(replace(SHEET, length=1000.0000001),), parts=parts), RIG)
    assert {fault.where: fault.code for fault in error.value.faults} == {
        "part whole": "not_found",
        "part large": "cannot_make",
    }


@pytest.mark.parametrize("square", ["long", "all"])
def test_a_square_edge_whose_kerf_runs_off_the_metal_is_measured_from_the_other_edge(square: Square) -> None:
    """0.1 mm beside 600 with a kerf of 0.8, the part beside the torch: the line is 0.3 mm off one edge, 600.3
    from the other.
    """
    rig = Rig(
        fence_max=400, narrowest_offcut=0, narrowest_part=0, square_side="far", processes=(replace(PROCESS, kerf=0.8),)
    )
    (cut,) = plan(
        Job(
            name="d",
            plates=(replace(SHEET, length=800, width=600),),
            parts=(Rectangle(name="a", length=800, width=599.9, square=square),),
        ),
        rig,
    ).cuts
    assert cut.marks is not None
    assert cut.marks.distance == (600.3, 600.3)


@pytest.mark.parametrize(
    ("plates", "parts", "words"),
    [
        ((), JOB.parts, "there is no plate"),
        ((SHEET,), (), "there is no part"),
        ((SHEET, replace(SHEET, name="b", cost=3.0)), JOB.parts, "prices are mixed: b by cost; sheet not at all"),
        (
            (SHEET, replace(SHEET, name="b", length=900.0)),
            (Strip(name="s", width=9),),
            "its plates are 900 and 1000 mm long",
        ),
        (
            (replace(SHEET, thickness=70.0),),
            (Strip(name="s", width=9),),
            "no process for mild steel 70 mm, .*nearest is 'p'",
        ),
        ((SHEET, replace(SHEET, name="b", thickness=8.0)), JOB.parts, "does not say which it wants"),
    ],
)
def test_jobs_that_contradict_themselves(plates: tuple[Plate, ...], parts: tuple, words: str) -> None:  # type: ignore[type-arg]
    """One plain message each."""
    with pytest.raises(InputError, match=words):
        plan(Job(name="x", plates=plates, parts=parts), RIG)


def test_tolerance_keeps_a_sliver_on_the_part() -> None:
    """4 mm beside a strip that may stay 5 mm over size are not cut off, and the sheet says so."""
    strip = Strip(name="s", width=596, tolerance=5.0)
    made = plan(replace(JOB, parts=(strip,)), RIG)
    assert made.parts[0].size_expected == ((600.0, 1000.0),)
    assert "left_over_size" in {warning.code for warning in made.warnings}
    with pytest.raises(CannotMakeError, match="sliver"):
        plan(replace(JOB, parts=(replace(strip, tolerance=None),)), RIG)
