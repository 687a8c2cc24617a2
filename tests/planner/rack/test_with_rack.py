"""A job takes from the rack what serves it, at what it is worth, and nothing that is another's."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stripplan.errors import InputError
from stripplan.model.effort import Effort
from stripplan.model.job import Job, Options
from stripplan.model.part import Part, Rectangle, Strip
from stripplan.model.plate import Plate
from stripplan.model.rack.buying import to_buy
from stripplan.model.rack.piece import RackPiece
from stripplan.model.rig import Process, Rig
from stripplan.planner import left_on_rack, named_pieces, one_larger, plan, to_be_cut, unsound, with_rack
from stripplan.planner.rack.with_rack import FEW_KINDS, MOST_KINDS
from stripplan.sheets.plan_json import as_filed
from stripplan.sheets.rows.plan_rows import sheet

RIG = Rig(
    stroke=1300.0,
    processes=(
        Process(name="steel-6", thickness=6.0, material="mild steel", kerf=1.5, travel_speed=700.0, current=40.0),
    ),
)
PART = Rectangle(name="lug", width=80.0, length=120.0, quantity=4)
SHEET = Plate(name="sheet", length=1000.0, width=500.0, thickness=6.0, material="S235", price_per_kg=2.0)


def job(*parts: Part, plates: tuple[Plate, ...] = (SHEET,)) -> Job:
    return Job(name="gate", plates=plates, parts=parts or (PART,), options=Options(effort=Effort(steps=5)))


def piece(number: int, length: float, width: float, **more: object) -> RackPiece:
    fields = {"thickness": 6.0, "material": "S235", "kind": "offcut", "added": f"2026-01-{number:02}", **more}
    return RackPiece(number=number, length=length, width=width, **fields)  # type: ignore[arg-type]


def test_pieces_alike_are_one_kind_with_the_oldest_first() -> None:
    """Whichever way round they were written down; a dearer one is another kind."""
    pieces = [
        piece(1, 400, 200, cost=5.0),
        piece(2, 200, 400, cost=5.0),
        piece(3, 400, 200, cost=6.0, added="2025-01-01"),
    ]
    pieces[0] = replace(pieces[0], added="2026-02-01")
    found = with_rack(job(), RIG, pieces)
    assert found.kinds == {"R3": (3,), "R1-R2": (2, 1)}
    assert [(each.name, each.quantity, each.cost) for each in found.job.plates] == [
        ("R3", 1, 6.0), ("R1-R2", 2, 5.0), ("sheet", None, pytest.approx(2.0 * SHEET.mass)),
    ]  # fmt: skip


def test_only_what_serves_is_taken() -> None:
    """A quality of the material does, another material or thickness does not, nor what no part fits onto."""
    pieces = [
        piece(1, 400, 200, material="S235JR"), piece(2, 400, 200, material="S355"), piece(3, 400, 200, thickness=8.0),
        piece(4, 119, 300), piece(5, 79, 500),
    ]  # fmt: skip
    found = with_rack(job(), RIG, pieces)
    assert found.kinds == {"R1": (1,)} | {"R4": (4,)}  # 119 x 300 holds 80 x 120 the other way round
    (said,) = [each for each in found.said if each.code == "from_rack"]
    assert (said.facts["there"], said.facts["small"]) == (3, 1)


def test_what_has_no_cost_counts_at_its_share() -> None:
    """An offcut at half the price of new plate by mass, a plate at all of it; without prices nothing has one."""
    pieces = [piece(1, 400, 200), piece(2, 500, 200, kind="plate")]
    costs = {each.name: each.cost for each in with_rack(job(), RIG, pieces).job.plates}
    kilogram = 6 * 7.85e-6
    assert costs["R1"] == pytest.approx(0.5 * 2.0 * 400 * 200 * kilogram, abs=0.005)
    assert costs["R2"] == pytest.approx(2.0 * 500 * 200 * kilogram, abs=0.005)
    bare = job(plates=(replace(SHEET, price_per_kg=None),))
    found = with_rack(bare, RIG, [piece(1, 400, 200, cost=3.0)])
    assert [each.cost for each in found.job.plates] == [None, None]
    assert "rack_prices_unused" in {each.code for each in found.said}


def test_prices_of_some_plates_are_as_little_taken_as_ever() -> None:
    """A job whose plates are not all priced is refused with pieces of the rack too, and no weight becomes money."""
    mixed = job(plates=(SHEET, replace(SHEET, name="other", price_per_kg=None)))
    found = with_rack(mixed, RIG, [piece(1, 400, 200, cost=5.0)])
    assert [each.cost for each in found.job.plates if each.name == "other"] == [None]
    with pytest.raises(InputError):
        plan(found.job, RIG)


def test_a_turned_piece_keeps_its_edges_and_grain() -> None:
    """What lay left lies below after a quarter turn, and the grain runs the other way."""
    stood = piece(1, 200, 400, edges=("mill", "cut", "dressed", "cut"), rolling="length", out_of_square=1.0)
    (plate, _) = with_rack(job(), RIG, [stood]).job.plates
    assert (plate.length, plate.width) == (400, 200)
    assert plate.edges == ("cut", "mill", "cut", "dressed")
    assert (plate.rolling, plate.out_of_square) == ("width", 0.5)


def test_strips_are_as_long_as_their_plate() -> None:
    """So only pieces as long as the job's plates serve; without plates their length has to be given."""
    strips = job(Strip(name="rail", width=50.0, quantity=3))
    found = with_rack(strips, RIG, [piece(1, 1000, 200), piece(2, 300, 1000), piece(3, 1200, 300)])
    assert [(each.name, each.length) for each in found.job.plates][:2] == [("R1", 1000), ("R2", 1000)]
    assert set(found.kinds) == {"R1", "R2"}
    with pytest.raises(InputError) as error:
        with_rack(replace(strips, plates=()), RIG, [piece(1, 1000, 200)])
    assert {each.says for each in error.value.faults} == {"part_open_on_rack", "strip_on_rack"}


def test_what_is_half_cut_is_handed_over_as_it_lies() -> None:
    """Pieces that stay are among the few that are handed over, however dear, and are not turned; the plates of what is
    left of a plan are then named as their kinds, and one that is not there any more is left out."""
    pieces = [piece(n, 310.0 + n, 105.0, cost=1.0) for n in range(1, 40)] + [piece(99, 150.0, 320.0, cost=1000.0)]
    asked = job(Rectangle(name="pad", width=100.0, length=300.0, quantity=2))
    assert 99 not in {number for kind in with_rack(asked, RIG, pieces).kinds.values() for number in kind}
    found = with_rack(asked, RIG, pieces, {99})
    (lies,) = [each for each in found.job.plates if found.kinds.get(each.name) == (99,)]
    assert (lies.length, lies.width) == (150.0, 320.0)
    before = plan(replace(asked, plates=(replace(SHEET, quantity=1),)), RIG)
    left = replace(before, plates=(*before.plates, replace(before.plates[0], id="P2")))
    assert to_be_cut(left, {"P1": 99, "P2": 1}) == {99}
    on_rack = left_on_rack(left, {"P1": 99, "P2": 77}, found)
    assert [(each.id, each.stock) for each in on_rack.plates] == [("P1", lies.name)]
    assert on_rack.cuts == left.cuts


def test_of_thousands_a_few_are_handed_over() -> None:
    """No more kinds than a search has use for, among them the cheapest for each part; the others are counted."""
    pieces = [
        piece(1, 300 + number % 700, 100 + number % 300, cost=number * 0.01 + 1.0, added="2026-01-01")
        for number in range(3000)
    ]
    pieces = [replace(each, number=number) for number, each in enumerate(pieces, 1)]
    large = Rectangle(name="web", width=350.0, length=800.0, quantity=1)
    found = with_rack(job(PART, large), RIG, pieces)
    assert FEW_KINDS <= len(found.kinds) <= MOST_KINDS
    cheapest = min((each.cost or 0, each.number) for each in pieces if each.length >= 800 and each.width >= 350)[1]
    assert cheapest in {number for some in found.kinds.values() for number in some}
    (said,) = [each for each in found.said if each.code == "from_rack"]
    assert said.facts["there"] == 3000
    assert sum(int(str(said.facts[key])) for key in ("small", "more", "handed")) == 3000


def test_a_plan_takes_the_oldest_and_buys_the_rest() -> None:
    """Its plates carry the names of the very pieces, it is as sound as any, and what it lacks is on the list."""
    parts = (
        Rectangle(name="web", width=190.0, length=390.0, quantity=2),
        Rectangle(name="base", width=400.0, length=900.0, quantity=1),
    )
    pieces = [piece(number, 400, 200, cost=1.0, added=f"2026-01-{9 - number:02}") for number in (1, 2, 3)]
    found = with_rack(job(*parts), RIG, pieces)
    made = plan(found.job, RIG)
    taken = found.taken((each.id, each.stock) for each in made.plates)
    assert sorted(taken.values()) == [2, 3]
    named = named_pieces(made, taken)
    assert {each.stock for each in named.plates} == {"R2-R3", "sheet"}
    assert unsound(named) == []
    told = named_pieces(made, taken, {2: "bay 1", 3: "bay 4"})
    assert {each.piece: each.lies for each in told.plates} == {"R2": "bay 1", "R3": "bay 4", "": ""}
    for row, plate in zip(sheet(told).stock, told.plates, strict=True):  # on paper too, as nobody reads a screen there
        assert not plate.piece or row.note.startswith(f"{plate.piece}; lies: {plate.lies}; ")
    fetched = [step.full for row in sheet(told).cuts for step in row.steps if step.kind == "fetch_plate"]
    assert {"(R2) from the rack, bay 1.", "(R3) from the rack, bay 4."} <= {each[15:] for each in fetched}
    assert as_filed(told).plates[0].lies == told.plates[0].lies
    (line,) = to_buy([(named, taken)])
    assert (line.count, line.length, line.width, line.jobs) == (1, 1000.0, 500.0, ("gate",))
    assert line.mass == pytest.approx(SHEET.mass)
    assert line.cost == pytest.approx(2.0 * SHEET.mass, abs=0.01)


def test_one_size_larger() -> None:
    """Webs that need two sheets of 2000 x 1000 come from one of 2500 x 1250; what is off the rack is not compared."""
    web = Rectangle(name="web", width=490.0, length=790.0, quantity=5)
    sheet = Plate(name="sheet", length=2000.0, width=1000.0, thickness=2.0, material="S235", price_per_kg=2.0)
    rig = replace(RIG, processes=(replace(RIG.processes[0], name="steel-2", thickness=2.0),), piece_mass_max=None)
    asked = Job(name="gate", plates=(sheet,), parts=(web,), options=Options(effort=Effort(steps=5)))
    made = plan(asked, rig)
    found = one_larger(made, {})
    assert found is not None
    assert found.sizes == ((2500.0, 1250.0),)
    assert found.plates == (2, 1)
    assert found.mass == pytest.approx((2 * sheet.mass, 2.5 * 1.25 * 2 * 7.85))
    assert found.cost == pytest.approx(tuple(2.0 * each for each in found.mass), abs=0.1)
    assert one_larger(made, {each.id for each in made.plates}) is None
