"""Plates that are cut across first: too long for one pass, too heavy to be turned over, and with mill edges to trim."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stripplan import plan
from stripplan.model.effort import Effort
from stripplan.model.job import Job, Options
from stripplan.model.part import Part, Rectangle, Strip
from stripplan.model.plan.piece import Piece
from stripplan.model.plan.plan import Plan
from stripplan.model.plate import EdgeState, Plate
from stripplan.model.rig import Process, Rig
from tests.checking import examples, in_turn

PROCESS = Process(name="p", material="mild steel", thickness=6, kerf=1.5, travel_speed=600)
RIG = Rig(processes=(PROCESS,))
SHEET = Plate(name="sheet", length=2000, width=1000, thickness=6, material="mild steel")
LARGE = replace(SHEET, length=2500, width=1250)
LONG = Rectangle(name="a", width=60, length=1100, quantity=6)
FRAME = (
    Rectangle(name="rail", width=80, length=1200, quantity=4),
    Rectangle(name="post", width=80, length=840, quantity=4),
    Rectangle(name="brace", width=60, length=700, quantity=4),
    Rectangle(name="gusset", width=150, length=400, quantity=4),
)
EDGES: tuple[tuple[EdgeState, EdgeState, EdgeState, EdgeState], ...] = (
    ("mill", "mill", "mill", "mill"),
    ("mill", "cut", "mill", "mill"),
    ("cut", "mill", "mill", "cut"),
)


def job(plate: Plate, *parts: Part, trim: float = 6.0, **options: object) -> Job:
    """A job of one plate; few steps."""
    return replace(
        Job(name="heavy", plates=(plate,), parts=parts),
        options=replace(Options(trim=trim, effort=Effort(steps=10)), **options),  # type: ignore[arg-type]
    )


def parts_of(made: Plan) -> list[Piece]:
    """The pieces that are parts."""
    return [each for each in made.pieces if each.kind == "part"]


def trimmed(made: Plan, job: Job) -> bool:
    """Whether no part lies nearer to a mill edge of its plate than the trim: told by outlines alone."""
    plates = {plate.name: plate for plate in job.plates}
    stock = {each.id: plates[each.stock] for each in made.plates}
    for piece in parts_of(made):
        x0, y0, x1, y1 = piece.box
        plate = stock[piece.plate]
        gaps = (y0, plate.length - x1, plate.width - y1, x0)
        if any(state == "mill" and gap < job.options.trim - 0.01 for state, gap in zip(plate.edges, gaps, strict=True)):
            return False
    return True


@pytest.mark.long
@in_turn("plate", [SHEET, LARGE, replace(SHEET, length=1000, width=2000)])
def test_parts_longer_than_half_the_plate_share_one(plate: Plate) -> None:
    """Six strips come from one plate, whichever way it lies, and that is proven."""
    asked = job(plate, LONG)
    made = plan(asked, RIG)
    assert (made.proof.plates.found, made.proof.plates.bound) == (1, 1)
    assert len(parts_of(made)) == 6
    assert trimmed(made, asked)


def test_what_is_not_needed_stays_in_one_piece() -> None:
    """The rest of the plate is one offcut over all of its width: nothing is trimmed that holds no part."""
    made = plan(job(SHEET, LONG), RIG)
    left = max((each for each in made.pieces if each.kind == "offcut"), key=lambda each: each.area)
    assert left.sides[1] == 1000
    assert left.sides[0] >= 2000 - 1100 - 6 - 3 * 1.5


@pytest.mark.long
def test_many_parts_take_as_few_plates_as_without_a_trim() -> None:
    """A frame of 16 parts fills half of a large sheet: the trims cost no plate."""
    asked = job(LARGE, *FRAME)
    made = plan(asked, RIG)
    assert (
        made.proof.plates.found
        == plan(replace(asked, options=replace(asked.options, trim=0.0)), RIG).proof.plates.found
    )
    assert len(parts_of(made)) == 16
    assert trimmed(made, asked)


def test_plates_in_pieces_are_counted_whole() -> None:
    """Of a part that fills more than half of a piece two come from a plate, and of two plates no more than four."""
    wide = Rectangle(name="wide", width=700, length=900, quantity=5)
    asked = job(replace(SHEET, quantity=2), wide, partial=True)
    made = plan(asked, RIG)
    assert made.proof.plates.found == 2
    assert len(parts_of(made)) == 4
    assert [each.about for each in made.warnings if each.code in ("stock_used_up", "not_found")] == ["part wide"]
    asked = job(SHEET, wide)
    assert plan(asked, RIG).proof.plates.found == 3


def test_a_strip_comes_from_a_piece_that_is_as_long_as_the_plate() -> None:
    """A plate parted along its length yields strips; one cut across yields none, as they would be too short."""
    strip = Strip(name="s", width=60, quantity=2)
    turned = plan(job(replace(SHEET, length=1000, width=2000), strip, replace(LONG, length=900)), RIG)
    assert turned.proof.plates.found == 1
    made = plan(job(SHEET, strip, LONG, partial=True), RIG)
    assert {each.part for each in parts_of(made)} == {"a"}


def test_where_it_is_of_no_use_nothing_changes() -> None:
    """Where directions may not change a plate is not cut across before its strips; nor where it can be turned over."""
    assert not parts_of(plan(job(SHEET, LONG, depth=1, partial=True), RIG))
    hoisted = plan(job(SHEET, LONG), replace(RIG, hoist=True))
    assert hoisted.proof.plates.found == 1


@pytest.mark.long
@in_turn("rig", [replace(RIG, far_max=1600.0), replace(RIG, marked=False, far_max=2490.0)])
def test_cuts_in_a_fixed_order_can_be_located(rig: Rig) -> None:
    """With a limit beside the torch, and without marked cuts, pieces come off in an order that can be set."""
    asked = job(LARGE, replace(LONG, length=1000, quantity=8), trim=15.0)
    made = plan(asked, rig)
    assert made.proof.plates.found == 1
    assert trimmed(made, asked)


@st.composite
def heavy(draw: st.DrawFn) -> tuple[Job, Rig]:
    """Plates longer than one pass and heavier than 50 kg, on rigs of several kinds, with parts of all lengths."""
    plates = tuple(
        Plate(
            name=f"s{n}",
            length=draw(st.integers(1400, 3200)),
            width=draw(st.sampled_from([900, 1000, 1250])),
            thickness=6,
            material="mild steel",
            edges=draw(st.sampled_from(EDGES)),
            quantity=draw(st.sampled_from([None, 2])),
        )
        for n in range(draw(st.integers(1, 2)))
    )
    parts = tuple(
        Rectangle(
            name=f"p{n}",
            width=draw(st.integers(40, 300)),
            length=draw(st.integers(300, 1200)),
            quantity=draw(st.integers(1, 5)),
            square=draw(st.sampled_from(["none", "none", "long", "all"])),
        )
        for n in range(draw(st.integers(1, 3)))
    )
    rig = replace(
        RIG,
        stroke=draw(st.sampled_from([900.0, 1300.0])),
        far_max=draw(st.sampled_from([None, None, 1200.0])),
        square_side=draw(st.sampled_from(["fence", "far", "equal"])),
    )
    options = Options(
        trim=draw(st.sampled_from([5.0, 8.0])),
        effort=Effort(steps=3),
        partial=True,
        depth=draw(st.sampled_from([None, None, 2, 3])),
    )
    return Job(name="heavy", plates=plates, parts=parts, options=options), rig


@pytest.mark.long
@examples(3)
@given(drawn=heavy())
def test_random_heavy_plates_are_trimmed_and_kept_count_of(drawn: tuple[Job, Rig]) -> None:
    """Plans pass the replay (plan() replays them), no part keeps a mill edge, no bound is wrong, limits are kept."""
    asked, rig = drawn
    made = plan(asked, rig)
    assert trimmed(made, asked)
    assert made.proof.plates.bound <= made.proof.plates.found
    for plate in asked.plates:
        assert plate.limit is None or sum(each.stock == plate.name for each in made.plates) <= plate.limit
