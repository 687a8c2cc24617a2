"""The order that a shop would take: one setting for a width, the price of the other way, runs, and what is said of
pieces that differ.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from stripplan import plan
from stripplan.model.job import Job, Options
from stripplan.model.part import Rectangle, Strip
from stripplan.model.plan.plan import Plan
from stripplan.model.plate import Plate
from stripplan.model.rig import Process, Rig, Seconds
from tests.planned import planned

PROCESS = Process(name="p", material="mild steel", thickness=6, kerf=1.5, travel_speed=600)
RIG = Rig(processes=(PROCESS,))
SHEET = Plate(name="sheet", length=1200, width=700, thickness=6, material="mild steel", measured=True)
STRIPS = Job(name="strips", plates=(SHEET,), parts=(Strip(name="bar", width=50, quantity=10),))


def aimed(job: Job, **options: object) -> Job:
    """The job with other wishes."""
    return replace(job, options=replace(job.options, **options))


def sizes(made: Plan, part: str) -> set[float]:
    """Widths that pieces of a part will measure."""
    return {each[0] for line in made.parts if line.name == part for each in line.size_expected}


def codes(made: Plan) -> set[str]:
    """Codes of all warnings."""
    return {each.code for each in made.warnings}


def test_ten_equal_strips_are_one_run() -> None:
    """They took ten fence settings and came out 49.5 and 50.5 by turns."""
    made = planned(STRIPS, RIG)
    assert made.totals.fence_settings == 1
    assert [(run.count, run.parts) for run in made.runs] == [(10, ("bar",))]
    assert sizes(made, "bar") == {50.25}
    assert codes(made).isdisjoint({"unequal", "size_class"})


def test_every_cut_lies_in_one_run() -> None:
    """Runs follow one another and leave no cut out; what is set stands still within each."""
    parts = (Rectangle(name="a", width=120, length=300, quantity=6), Strip(name="b", width=40, quantity=3))
    made = plan(replace(STRIPS, parts=parts), RIG)
    numbers = [number for run in made.runs for number in range(run.cuts[0], run.cuts[1] + 1)]
    assert numbers == [cut.number for cut in made.cuts]
    for run in made.runs:
        for cut in made.cuts[run.cuts[0] : run.cuts[1]]:
            assert not any((cut.setup.fence, cut.setup.end_stop, cut.setup.process))


def test_the_quicker_way_is_taken_where_it_is_much_quicker_and_its_price_is_told_where_not() -> None:
    """With edges dear to scrape, a reading for each cut is quicker:
    by little it is told, by much it is taken, and by `aim` always.
    """
    dear = replace(RIG, seconds=Seconds(scrape_per_m=40))
    told = planned(STRIPS, dear)
    assert told.totals.fence_settings == 1
    assert told.other_order is not None
    assert told.other_order.fence_settings > 1
    assert 0 < told.totals.minutes - told.other_order.minutes <= 5
    quick = planned(aimed(STRIPS, aim="time"), dear)
    assert quick.totals.minutes == pytest.approx(told.other_order.minutes, abs=0.5)
    much = planned(STRIPS, replace(RIG, seconds=Seconds(scrape_per_m=400)))
    assert much.totals.fence_settings > 1
    assert much.other_order is not None
    assert much.other_order.minutes > much.totals.minutes + 5


def test_a_piece_that_must_differ_is_named() -> None:
    """Strips that fill the plate: one of them takes what is left."""
    full = replace(SHEET, width=4 * 50 + 3 * 1.5)
    made = plan(replace(STRIPS, plates=(full,), parts=(Strip(name="bar", width=50, quantity=4),)), RIG)
    said = [each for each in made.warnings if each.code == "unequal"]
    assert [each.about for each in said] == ["bar"]
    odd = [piece.id for piece in made.pieces if piece.kind == "part" and piece.id in said[0].text]
    assert odd
    assert len(sizes(made, "bar")) > 1


def test_a_size_beyond_the_general_class_is_named_with_its_limit() -> None:
    """A scale read to 2 mm: 51 mm wide for 50, and ISO 2768-1 class c allows 0.8 mm above 30 mm; class v allows 1.5."""
    coarse = replace(RIG, fence_step=2.0, fence_zero=0.25)
    made = planned(STRIPS, coarse)
    off = max(abs(each - 50) for each in sizes(made, "bar"))
    assert 0.5 <= off <= 1.0
    rough = planned(aimed(STRIPS, general_class="v"), coarse)
    assert "size_class" not in codes(rough)
    fine = [each for each in planned(aimed(STRIPS, general_class="m"), coarse).warnings if each.code == "size_class"]
    assert fine
    assert "0.3 mm" in fine[0].text


def test_cut_edges_are_counted_and_finishing_them_where_it_is_asked() -> None:
    """Ten strips of 1.2 m from the middle of a plate: each has two cut edges but the first, whose outer one is the
    mill's.
    """
    made = planned(STRIPS, RIG)
    assert made.totals.finish_metres == pytest.approx(1.2 * 19)
    assert made.totals.finish_minutes == 0
    asked = planned(aimed(STRIPS, finish=True), RIG)
    assert asked.totals.finish_minutes == pytest.approx(1.2 * 19 * RIG.seconds.finish_per_m / 60)
    assert asked.totals.minutes == pytest.approx(made.totals.minutes)


def test_options_are_those_of_the_job() -> None:
    """What is left out means one setting for a width, and class c."""
    assert (Options().aim, Options().general_class, Options().finish) == ("one_setting", "c", False)


def test_parts_that_are_alike_and_all_wrong_are_not_as_good() -> None:
    """Six rails, then four shelves from what they leave:
    the offcut was cut off first, and all shelves came out 118.75 mm for 120.
    """
    sheet = replace(SHEET, length=1250, width=1000, measured=False)
    parts = (Strip(name="rail", width=50, quantity=6), Rectangle(name="shelf", width=120, length=300, quantity=4))
    made = plan(Job(name="first", plates=(sheet,), parts=parts), RIG)
    assert {each[0] for line in made.parts for each in line.size_expected} == {50.25, 120.25}
    assert codes(made).isdisjoint({"unequal", "size_class"})
