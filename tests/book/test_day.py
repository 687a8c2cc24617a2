"""A day at the rig: ticks stay, what lies on the bench is known, and what goes wrong is counted in."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Literal

import pytest

from stripplan.book.database import Database
from stripplan.book.day import day_of, measured_since, remove_ticks, tick, untick
from stripplan.book.pieces import add, wanted_pieces
from stripplan.book.plans import finish, keep_plan, kept_plan, plates_there, undo
from stripplan.errors import InputError
from stripplan.model.plan.lying import bevels_left, cuts_made, leaves, lying_there
from stripplan.model.plan.measure import to_measure
from stripplan.model.plan.progress import CutProgress
from stripplan.planner import rest_of_job, what_changed
from stripplan.wording.show import worded
from tests.book.workshop import AT, kerf_area, of_job, piece, planned
from tests.replay.bevelled import bevelled

TAG = "0a1b2c3d"


@pytest.fixture
def book(tmp_path: Path) -> Database:
    """With two plates, both promised to a plan."""
    book = Database(tmp_path / "rack.db", create=True)
    add(book, [piece(batch="H7"), piece(batch="H8")], AT)
    keep_plan(book, planned(plates=2), TAG, "{}", {"P1": 1, "P2": 2}, AT)
    return book


def test_ticks_and_what_was_measured(book: Database) -> None:
    """Each with its time; cuts that made a piece count too; all of it can be taken back."""
    plan = planned(plates=2)
    deep = next(cut.number for cut in plan.cuts if len(cuts_made(plan, CutProgress(done=frozenset((cut.number,))))) > 2)
    known = to_measure(plan, plan.cuts[deep - 1])
    assert known is not None
    size = known.expected + 0.2
    with pytest.raises(InputError, match="is no drift"):
        tick(book, plan, TAG, "{}", [deep], AT, measured={deep: size + 250})
    implied = tick(book, plan, TAG, "{}", [deep], AT, minutes=6.0, measured={deep: size})
    day = day_of(book, TAG)
    assert {each.number for each in day.ticked} == {deep, *implied}
    assert implied
    assert [each.minutes for each in day.ticked if each.number == deep] == [6.0]
    (measured,) = measured_since(book)
    assert (measured.size, measured.expected, measured.piece) == (size, known.expected, known.piece)
    with pytest.raises(InputError, match="begun"):
        keep_plan(book, plan, "ffffffff", "{}", {}, AT)
    with pytest.raises(InputError, match="cuts are ticked"):
        finish(book, plan, TAG, "{}", AT)
    assert untick(book, TAG, None, AT) == 1 + len(implied)
    assert measured_since(book) == ()
    keep_plan(book, plan, "ffffffff", "{}", {}, AT)


@pytest.mark.parametrize(
    ("sizes", "left"), [("of these cuts", (False, True)), ("of all cuts", (False, False)), ("stay", (True, True))]
)
def test_which_sizes_go_along_with_a_tick_that_is_taken_back(
    book: Database, sizes: Literal["of these cuts", "of all cuts", "stay"], left: tuple[bool, bool]
) -> None:
    """Those of its cut, all of the plan, or none; another tick stays, with what is still good of what it spoilt."""
    plan = planned(plates=2)
    sized = {cut.number: known.expected for cut in plan.cuts if (known := to_measure(plan, cut)) is not None}
    one, other = sorted(sized)[:2]
    tick(book, plan, TAG, "{}", [one], AT, measured={one: sized[one]})
    tick(book, plan, TAG, "{}", [other], AT, measured={other: sized[other]}, spoilt="right")
    with book.changing() as connection:
        connection.executemany("INSERT INTO salvage VALUES (?, ?, 'right', 100, 50)", [(TAG, one), (TAG, other)])
        assert remove_ticks(connection, TAG, [one, one, 999], sizes=sizes) == (one,)
    day = day_of(book, TAG)
    assert one not in {each.number for each in day.ticked}
    assert [each.spoilt for each in day.ticked if each.number == other] == ["right"]
    assert [number for number, _ in day.progress.usable] == [other]
    assert tuple(number in {each.cut for each in day.measured} for number in (one, other)) == left
    with book.changing() as connection:
        assert other in remove_ticks(connection, TAG, sizes="of all cuts")
    assert not day_of(book, TAG).ticked


def test_a_cut_that_is_ticked_again_keeps_what_was_said_of_it(book: Database) -> None:
    """A second piece that is spoilt does not make the first one good; minutes and notes stay."""
    plan = planned(plates=2)
    tick(book, plan, TAG, "{}", [1], AT, minutes=6.0, spoilt="left", note="slag")
    tick(book, plan, TAG, "{}", [1], AT, spoilt="right")
    (ticked,) = day_of(book, TAG).ticked
    assert (ticked.minutes, ticked.spoilt, ticked.note) == (6.0, "both", "slag")
    untick(book, TAG, [1], AT)
    tick(book, plan, TAG, "{}", [1], AT, spoilt="right")
    assert day_of(book, TAG).ticked[0].spoilt == "right"


def test_what_is_left_of_a_spoilt_piece(book: Database) -> None:
    """It goes onto the rack at its size, its note says to trim it; no metal is lost. What ran through is cut, and the
    edges across an extent of which something went count as mill where one of them was. What cannot be is refused."""
    plan = planned(plates=2)
    first = plan.cuts[0]
    lost = next(each for each in plan.pieces if each.id == first.makes[1])
    assert lost.box[1:] == (0.0, 600.0, 400.0)
    long = lost.box[2] - lost.box[0]
    good = long - 15.0
    for ticked, size, says in ((1, (long + 0.5, 100.0), "does not lie on"), (2, (good, 300.0), "was cut further")):
        tick(book, plan, TAG, "{}", [ticked], AT)
        with pytest.raises(InputError, match=says):
            tick(book, plan, TAG, "{}", [1], AT, spoilt="left", usable={"left": size})
        untick(book, TAG, None, AT)
    with pytest.raises(InputError, match="nothing was spoilt right"):
        tick(book, plan, TAG, "{}", [1], AT, spoilt="left", usable={"right": (50.0, 50.0)})
    tick(book, plan, TAG, "{}", [1], AT, spoilt="left", usable={"left": (good, 400.0)})
    with pytest.raises(InputError, match="was cut further by cut 2"):
        tick(book, plan, TAG, "{}", [2], AT)
    done = finish(book, plan, TAG, "{}", AT, so_far=True)
    (left,) = [each for each in done.offcuts if each.note]
    assert (left.length, left.width, left.measured) == (good, 400.0, True)
    assert left.edges == ("mill", "mill", "mill", "mill")  # y = 0 and y = width are the plate's own; one end was
    assert f"what is left of {lost.id}" in left.note
    scrap = [each for each in done.outcome.left if each.kind == "scrap"]
    assert [each.area for each in scrap] == [pytest.approx(lost.area - good * 400.0)]
    assert done.outcome.kerf_area == pytest.approx(first.length * first.kerf, abs=1e-3)
    undo(book, TAG, AT)
    assert day_of(book, TAG).progress.usable == {(1, "left"): (good, 400.0)}
    untick(book, TAG, None, AT)
    assert not day_of(book, TAG).progress.usable


def test_what_to_expect_of_a_piece_on_the_fence() -> None:
    """Its width is that of the fence as it is read, less half the kerf (the geometry of one cut)."""
    plan = planned()
    for cut in plan.cuts:
        known = to_measure(plan, cut)
        if known is not None and known.on_fence and cut.fence_offset is not None and cut.reading_error is not None:
            assert known.expected == pytest.approx(cut.fence_offset + cut.reading_error - cut.kerf / 2, abs=1e-5)
        if known is not None and not known.on_fence:
            parent = next(each for each in plan.pieces if each.id == cut.piece)
            sides = (parent.box[2] - parent.box[0], parent.box[3] - parent.box[1])
            rest = [side - (cut.fence_offset or 0) - (cut.reading_error or 0) - cut.kerf / 2 for side in sides]
            assert min(abs(known.expected - each) for each in rest) < 1e-5


@pytest.mark.parametrize("spoilt", ["left", "right", "both"])
def test_ended_in_the_middle(book: Database, spoilt: str) -> None:
    """Plates not begun are free again; blanks lie on the rack; what was spoilt is scrap; no metal is lost; undone, all
    is as it was."""
    plan = planned(plates=2)
    first = plan.cuts[0]
    on_plate = [cut.number for cut in plan.cuts if cut.plate == first.plate]
    tick(book, plan, TAG, "{}", on_plate[:3], AT, spoilt=spoilt)
    before = wanted_pieces(book)
    done = finish(book, plan, TAG, "{}", AT, so_far=True)
    used = {each.number for each in done.used}
    assert len(used) == 1
    assert set(done.released) == {1, 2} - used
    assert {each.batch for each in done.offcuts} <= {each.batch for each in done.used}
    third = plan.cuts[on_plate[2] - 1]
    lost = [
        name for name, side in zip(third.makes, ("right", "left"), strict=True) if name and spoilt in (side, "both")
    ]
    scrap = {each.piece for each in done.outcome.left if each.kind == "scrap"}
    assert set(lost) <= scrap
    cuts = [cut for cut in plan.cuts if cut.number in on_plate[:3]]
    assert done.outcome.kerf_area == pytest.approx(kerf_area(replace(plan, cuts=tuple(cuts))), abs=1e-3)
    sound = [
        piece.id for piece, good in leaves(plan, day_of(book, TAG).progress, cuts) if good and piece.kind == "blank"
    ]
    assert {f"stripplan:{TAG}:{each}" for each in sound} <= {each.code for each in done.offcuts}
    undo(book, TAG, AT)
    assert wanted_pieces(book) == before
    assert kept_plan(book, TAG).ticked == 3


def test_an_offcut_that_a_plan_never_came_to_can_be_taken_back(book: Database) -> None:
    """A plan ended before it began an offcut of another: that one can be undone, and the first, undone too, has to buy
    the plate."""
    earlier, later = planned(), of_job(planned(plates=2), "gate")
    keep_plan(book, of_job(earlier, "shelf"), "ffffffff", "{}", {}, AT)
    left = finish(book, of_job(earlier, "shelf"), "ffffffff", "{}", AT).offcuts
    first = later.cuts[0]
    begun, other = first.plate, next(each.id for each in later.plates if each.id != first.plate)
    undo(book, TAG, AT)
    keep_plan(book, later, TAG, "{}", {begun: 1, other: left[0].number}, AT)
    tick(book, later, TAG, "{}", [first.number], AT)
    finish(book, later, TAG, "{}", AT, so_far=True)
    undo(book, "ffffffff", AT)
    assert left[0].number not in {each.number for each in wanted_pieces(book)}
    undo(book, TAG, AT)
    kept = kept_plan(book, TAG)
    assert (kept.plates, kept.ticked) == ({begun: 1}, 1)
    assert other not in plates_there(book, TAG)


def test_bevels_are_cuts_of_the_day(tmp_path: Path) -> None:
    """A bevel has its number, its minutes and what was said of it; the cuts that made its part are made. One that
    spoils its part takes that away, and the rest of the job wants it again; bevels of sound parts are still to be cut.
    """
    plan, book = bevelled(), Database(tmp_path / "rack.db", create=True)
    cuts, numbers = len(plan.cuts), {each.number: each.piece for each in plan.bevels}
    first, second = (number for number, piece in numbers.items() if piece == plan.bevels[0].piece)
    implied = tick(book, plan, TAG, "{}", [first], AT, minutes=4.0)
    assert implied
    assert max(implied) <= cuts
    tick(book, plan, TAG, "{}", [*range(1, cuts + 1)], AT)
    day = day_of(book, TAG)
    assert [each.minutes for each in day.ticked if each.number == first] == [4.0]
    assert [each.number for each in bevels_left(plan, day.progress, plan.cuts)] == sorted(set(numbers) - {first})
    with pytest.raises(InputError, match="nothing was spoilt"):
        tick(book, plan, TAG, "{}", [second], AT, spoilt="left", usable={"left": (100, 50)})
    with pytest.raises(InputError, match="is a bevel"):
        tick(book, plan, TAG, "{}", [second], AT, measured={second: 3.0})
    tick(book, plan, TAG, "{}", [second], AT, spoilt="left")
    progress = day_of(book, TAG).progress
    lying = {each.id for each in lying_there(plan, progress, cuts_made(plan, progress))}
    assert numbers[first] not in lying
    table = {"part": [{"name": line.name, "quantity": line.wanted} for line in plan.parts]}
    assert [(each["name"], each["quantity"]) for each in rest_of_job(plan, table, progress)["part"]] == [("web", 1)]
    (told,) = (each for each in what_changed(plan, progress) if each.code == "rest_bevels")
    assert "15" in worded(told).text
    with pytest.raises(InputError, match="cuts are ticked"):
        finish(book, plan, TAG, "{}", AT)
    tick(book, plan, TAG, "{}", [each for each in numbers if each not in (first, second)], AT)
    made = finish(book, plan, TAG, "{}", AT).outcome
    assert sorted(each.part or "" for each in made.left if each.kind == "part") == ["cap", "foot", "gusset", "web"]
