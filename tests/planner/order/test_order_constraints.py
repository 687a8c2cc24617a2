"""What the person wants of the order: aims, plates before plates, parts first, and what contradicts itself."""

from __future__ import annotations

import itertools
from dataclasses import replace

import pytest

from stripplan import plan, why
from stripplan.errors import CannotMakeError, InputError
from stripplan.model.effort import Effort
from stripplan.model.job import Aim, Job, Options
from stripplan.model.part import Rectangle
from stripplan.model.plan.plan import Plan
from stripplan.model.plate import Plate
from stripplan.model.rig import Process, Rig
from tests.checking import few
from tests.planned import planned

PROCESS = Process(name="p", material="mild steel", thickness=6, kerf=1.5, travel_speed=600)
RIG = Rig(processes=(PROCESS,))
PLATES = tuple(
    Plate(name=name, length=800, width=400, thickness=6, material="mild steel", quantity=1, measured=True)
    for name in ("one", "two")
)
PARTS = (
    Rectangle(name="tall", width=380, length=300, quantity=2),
    Rectangle(name="wide", width=120, length=450, quantity=4),
    Rectangle(name="tab", width=60, length=90, quantity=6),
)


def made_with(**options: object) -> Plan:
    """The plan with some options."""
    given = Options(effort=Effort(steps=30), **options)  # type: ignore[arg-type]
    return planned(Job(name="wishes", plates=PLATES, parts=PARTS, options=given), RIG)


def plates_in_turn(made: Plan) -> list[str]:
    """Names of plates as cuts come, each run once."""
    names = {plate.id: plate.stock for plate in made.plates}
    return [names[plate] for plate, _ in itertools.groupby(cut.plate for cut in made.cuts)]


def test_a_plate_in_one_go() -> None:
    """Each plate is one run of cuts."""
    assert sorted(plates_in_turn(made_with(aim="plate_by_plate"))) == ["one", "two"]


@pytest.mark.parametrize("before", [("one", "two"), ("two", "one")])
def test_a_plate_before_another(before: tuple[str, str]) -> None:
    """All cuts of the one come before those of the other, either way round."""
    assert plates_in_turn(made_with(before=(before,))) == list(before)


@pytest.mark.parametrize("part", few(1, ("wide", "tall", "tab")))
def test_a_part_first(part: str) -> None:
    """The last of it is there sooner than, or as soon as, without the wish; the plan is sound all the same."""

    def last(made: Plan) -> int:
        wanted = {piece.id for piece in made.pieces if piece.part == part}
        return max(cut.number for cut in made.cuts if wanted.intersection(cut.makes))

    assert last(made_with(first=(part,))) <= last(made_with())


@pytest.mark.parametrize(
    ("aim", "figure"), [("few_settings", "fence_settings"), ("light_hands", "turns")],
)  # fmt: skip
def test_an_aim_is_met_at_least_as_well_as_without_it(aim: Aim, figure: str) -> None:
    """Fewer fence settings, or turns and fetches, or as few."""
    plain, aimed = made_with().totals, made_with(aim=aim).totals
    if figure == "turns":
        assert aimed.turns + aimed.fetches <= plain.turns + plain.fetches
    else:
        assert aimed.fence_settings <= plain.fence_settings


def test_plates_in_a_circle_are_written_out() -> None:
    """One before two before one."""
    with pytest.raises(InputError, match=r"one before two before one|two before one before two"):
        made_with(before=(("one", "two"), ("two", "one")))


def test_unknown_names_are_named() -> None:
    """With what there is."""
    with pytest.raises(InputError, match=r"no plate 'three'.*one of one, two"):
        made_with(before=(("one", "three"),))
    with pytest.raises(InputError, match=r"no part 'x'.*one of tab, tall, wide"):
        made_with(first=("x",))


def test_a_part_first_in_a_plate_that_waits() -> None:
    """The circle goes through the part and both plates."""
    parts = (Rectangle(name="big", width=390, length=790), Rectangle(name="small", width=100, length=100, quantity=12))
    plates = (PLATES[0], replace(PLATES[1], length=700))
    options = Options(before=(("two", "one"),), first=("big",), effort=Effort(steps=5))
    with pytest.raises(InputError, match="big before two before one before big"):
        plan(Job(name="x", plates=plates, parts=parts, options=options), RIG)


def test_one_arc_beyond_the_duty_window() -> None:
    """At 60 A, 40 % of ten minutes allow 240 s, 480 mm at 120 mm/min: the plates need 800 mm.

    The stroke's 1200 mm in 600 s need a share of 1: 0.4 (60 / I)^2 = 1 at I = 37.9 by the square law (common
    engineering practice).
    """
    slow = replace(PROCESS, travel_speed=120, current=60.0, duty=((60.0, 40.0),))
    rig = replace(RIG, processes=(slow,), stroke=1200)
    with pytest.raises(CannotMakeError, match=r"cut at 37 A or less: the power source must rest"):
        plan(Job(name="x", plates=PLATES, parts=PARTS[:1]), rig)


@pytest.mark.long
def test_why_a_cut_stands_where_it_does() -> None:
    """One sentence for each cut that is asked for;
    what it says of another place is never cheaper than the plan's by much.
    """
    job = Job(name="wishes", plates=PLATES, parts=PARTS, options=Options(effort=Effort(steps=30)))
    count = len(plan(job, RIG).cuts)
    said = why(job, RIG, range(1, count + 1))
    assert [each.split(" ")[1] for each in said] == [str(number) for number in range(1, count + 1)]
    assert all("next best place" in each or "no other place" in each for each in said)
    assert any("longer." in each for each in said)
    with pytest.raises(InputError, match=f"cut {count + 1}: the plan has no such cut"):
        why(job, RIG, [count + 1])
