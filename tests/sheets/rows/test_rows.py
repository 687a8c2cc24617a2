"""Rows against the plan they come from: figures, edges, turns, what falls, what changes."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from dataclasses import replace
from functools import cache

import pytest

from stripplan.model.job import Job, Options
from stripplan.model.part import Rectangle
from stripplan.model.plan.cut import Cut, Marks
from stripplan.model.plan.plan import Bound, Plan, PlanWarning
from stripplan.model.plan.record import from_record
from stripplan.model.plate import Plate
from stripplan.model.rig import Process, Rig
from stripplan.planner import plan
from stripplan.sheets.plan_json import plan_text
from stripplan.sheets.rows import plan_rows as rows
from stripplan.sheets.rows.lookup import Bench, edge_letter
from stripplan.sheets.rows.row_types import CutRow
from stripplan.wording.figures import scale_figure, show_minutes

STEEL = Process(name="air 40 A", material="mild steel", thickness=6, kerf=1.5, travel_speed=600, current=40)


@cache
def frame_plan() -> Plan:
    """A press stand from one sheet: trims all round (two of them marked), two-pass cuts,
    pieces turned over and put aside.
    """
    job = Job(
        name="Frame for a press stand",
        plates=(Plate(name="full sheet", length=2500, width=1250, thickness=6, material="mild steel", cost=180),),
        parts=(
            Rectangle(name="long rail", width=80, length=2400, quantity=2),
            Rectangle(name="leg ⌀40 őŁ ≤5", width=100, length=700, quantity=8),
            Rectangle(name="foot", width=150, length=150, quantity=8),
        ),
        options=Options(trim=10, aim="plate"),
    )
    return plan(job, Rig(processes=(STEEL,), stroke=2100, hoist=True, assumed=("stroke",)))


@cache
def two_plate_plan() -> Plan:
    """Bars from two measured offcuts of one size, no price, inches on a scale of sixteenths."""
    inch = 25.4
    job = Job(
        name="Bars",
        units="in",
        plates=(
            Plate(
                name="shelf 3", length=609.6, width=203.2, thickness=6, material="mild steel", quantity=2, measured=True
            ),
        ),
        parts=(Rectangle(name="bar", width=38.1, length=609.6, quantity=9),),
    )
    rig = Rig(
        fence_step=inch / 16,
        end_stop_step=inch / 8,
        end_stop_min=2 * inch,
        dial=((1, 100), (10, 700)),
        processes=(STEEL,),
    )
    return plan(job, rig)


PLANS = (frame_plan, two_plate_plan)


def pairs(made: Plan) -> list[tuple[Cut, CutRow]]:
    """Each cut with its row."""
    return list(zip(made.cuts, rows.sheet(made).cuts, strict=True))


def test_figures_are_those_of_the_plan() -> None:
    """Fence reading, end stop and speed of each row read back as the numbers of the plan."""
    for cut, row in pairs(frame_plan()):
        if cut.fence_reading is not None:
            assert float(row.fence.text) == pytest.approx(cut.fence_reading, abs=1e-9)
        assert {float(each) for each in row.end_stop.text.split(" / ")} == {each.end_stop for each in cut.passes}
        assert row.speed.text == "600"
        assert not row.dial


def test_dial_mark_takes_the_place_of_the_speed() -> None:
    """Where the rig has a dial, the row's big figure is the mark and the speed stays to be read."""
    for cut, row in pairs(two_plate_plan()):
        assert row.dial
        assert float(row.speed.text) == pytest.approx(cut.dial)
        assert row.travel_speed == "23.6 in/min"


@pytest.mark.parametrize("made", PLANS)
def test_what_changes_is_flagged(made: object) -> None:
    """The fence is flagged when its reading differs from the one set before, and only then; so is the end stop."""
    reading: float | None = None
    stop: float | None = None
    for cut, row in pairs(made()):  # type: ignore[operator]
        if cut.fence_reading is not None:
            assert row.fence.changed == (cut.fence_reading != reading)
            reading = cut.fence_reading
        elif "FENCE OUT OF THE WAY" in row.marks[0]:
            reading = None
        assert row.end_stop.changed == any(each.end_stop != stop for each in cut.passes)
        stop = cut.passes[-1].end_stop


@pytest.mark.parametrize("made", PLANS)
def test_edges_named_by_travel_are_those_of_the_plan(made: object) -> None:
    """The letter on the right of the travel is the edge on the fence, the letter behind is the leading edge."""
    job = made()  # type: ignore[operator]
    pieces = {piece.id: piece for piece in job.pieces}
    for cut, row in pairs(job):
        if cut.edge_on_fence is not None:
            assert row.lie.right == edge_letter(pieces[cut.piece], cut.edge_on_fence)
            assert row.on_fence.text.startswith(row.lie.right + " (")
        assert row.lie.start == edge_letter(pieces[cut.piece], cut.passes[0].leading)
        assert row.leading.text.startswith(row.lie.start + " (")


@pytest.mark.parametrize("made", PLANS)
def test_edge_of_a_cut_lies_half_a_kerf_from_it(made: object) -> None:
    """An edge that a row says was made by cut n lies half a kerf from the torch line of cut n;
    a mill edge on the plate's.
    """
    job = made()  # type: ignore[operator]
    pieces = {piece.id: piece for piece in job.pieces}
    plates = {plate.id: plate for plate in job.plates}
    for cut, row in pairs(job):
        xs, ys = zip(*pieces[cut.piece].outline, strict=True)
        at = {"A": min(ys), "B": max(xs), "C": max(ys), "D": min(xs)}
        found = re.fullmatch(r"([ABCD]) \((?:cut (\d+)|mill)\)", row.leading.text)
        assert found is not None
        letter, number = found[1], found[2]
        if number is None:
            plate = plates[cut.plate]
            assert at[letter] == {"A": 0, "B": plate.length, "C": plate.width, "D": 0}[letter]
        else:
            maker = job.cuts[int(number) - 1]
            line = maker.line[0][0 if letter in "BD" else 1]
            assert abs(at[letter] - line) == pytest.approx(maker.kerf / 2)


def turned(lie: tuple[str, str, str, str], quarters: int) -> tuple[str, str, str, str]:
    """Letters at right, end, left, start after so many quarter turns anticlockwise, seen from above."""
    quarters %= 4
    return lie[-quarters:] + lie[:-quarters] if quarters else lie


@pytest.mark.parametrize("made", PLANS)
def test_turns_in_words_bring_the_named_edges_where_they_belong(made: object) -> None:
    """Letters of a piece that stays, turned as the row says, are the letters of the next picture."""
    job = made()  # type: ignore[operator]
    before: tuple[Cut, CutRow] | None = None
    seen = set()
    for cut, row in pairs(job):
        if before is not None and cut.piece in before[0].makes and not cut.setup.fetch:
            old = before[1].lie
            lies = (old.right, old.end, old.left, old.start)
            if len(before[0].passes) == 2:
                lies = (old.right, old.start, old.left, old.end)
            words = " ".join(row.bring)
            seen.add(
                quarters := {"LEFT": 1, "Half": 2, "RIGHT": 3}.get((re.findall("LEFT|Half|RIGHT", words) or [""])[0], 0)
            )
            assert turned(lies, quarters) == (row.lie.right, row.lie.end, row.lie.left, row.lie.start)
        before = (cut, row)
    if made is frame_plan:
        assert seen == {0, 1, 2, 3}


@pytest.mark.parametrize("made", PLANS)
def test_what_is_put_aside_is_fetched_by_the_cut_that_was_named(made: object) -> None:
    """Each piece put aside for cut n is fetched by cut n, which names the cut it comes from."""
    table = rows.sheet(made()).cuts  # type: ignore[operator]
    for row in table:
        for fall in (row.right, row.left):
            if fall is None or fall.kind != "blank":
                continue
            later = table[int(re.findall(r"for cut (\d+)", fall.doing)[0]) - 1]
            assert later.piece == fall.piece
            if "PUT ASIDE" in fall.doing:
                assert f"Fetch {fall.piece} (aside since cut {row.number})." in later.bring
            else:
                assert later.number == row.number + 1
                assert not any(each.startswith("Fetch") for each in later.bring)


@pytest.mark.parametrize("made", PLANS)
def test_sizes_to_measure_agree_with_the_sizes_to_expect(made: object) -> None:
    """Each part's size from the chain of readings is one of those in the plan's list of parts."""
    job = made()  # type: ignore[operator]
    bench = Bench(job)
    expected = {line.name: line.size_expected for line in job.parts}
    for piece in job.pieces:
        if piece.kind == "part":
            size = bench.sizes[piece.id]
            both = [(size.y, size.x), (size.x, size.y)]
            assert any(
                abs(w - a) < 2e-3 and abs(length - b) < 2e-3 for w, length in both for a, b in expected[piece.part]
            )


def test_measure_band_holds_the_width_and_the_fault_of_the_reading() -> None:
    """The band runs from low through the width expected to high, wide enough for half a mark and kerf and rail."""
    for cut, row in pairs(frame_plan()):
        assert row.measure is not None
        low, high = float(row.measure.low), float(row.measure.high)
        assert low < float(row.measure.expected) < high
        assert high - low >= 2 * (0.25 + 0.25) - 0.11
        if cut.located == "fence" and row.measure.piece == cut.makes[0]:
            width = cut.fence_offset - cut.kerf / 2 + cut.reading_error  # type: ignore[operator]
            assert float(row.measure.expected) == pytest.approx(width, abs=0.051)


def test_scrap_on_the_fence_is_not_measured_but_the_piece_beside_it() -> None:
    """Where the fence side is scrap, the row asks for the far piece."""
    found = [row for _, row in pairs(frame_plan()) if row.right is not None and row.right.kind == "scrap"]
    assert found
    assert all(
        row.measure is not None and row.left is not None and row.measure.piece == row.left.piece for row in found
    )


def test_two_passes_are_told_in_the_order_of_doing() -> None:
    """In to the stop, scrape, turn over with the same edge on the fence and the other end leading, back."""
    cut, row = next(pair for pair in pairs(frame_plan()) if len(pair[0].passes) == 2 and pair[0].located == "fence")
    first, over, second = row.passes
    stop = f"{cut.passes[0].end_stop:.0f}"
    assert first.startswith(f"Pass 1: cut in to the stop at {stop}")
    assert "scrape" in first
    assert (
        f"Turn over end for end: edge {row.lie.right} stays on the fence, edge {row.lie.end} to the start line." in over
    )
    assert second.startswith("Pass 2")
    assert "TWO PASSES" in row.length.text


def test_marked_cut_names_edge_distance_and_corner() -> None:
    """A marked cut says from which edge, how far, and where along it, counted from a named corner."""
    cut, row = next(pair for pair in pairs(frame_plan()) if pair[0].located == "marked")
    assert cut.marks is not None
    assert row.scribe == "10.75"
    assert row.scribe_from in ("B", "D")
    near, far = (f"{each:g}" for each in cut.marks.along)
    assert (
        f"10.75 from edge {row.scribe_from} (mill), at {near} and {far} from corner A{row.scribe_from}" in row.marks[0]
    )
    slanted = replace(cut, marks=replace(cut.marks, distance=(10.75, 14.0)))
    assert isinstance(slanted.marks, Marks)
    other = rows.sheet(
        replace(frame_plan(), cuts=tuple(slanted if each == cut else each for each in frame_plan().cuts))
    )
    assert "the second 14 from it" in other.cuts[cut.number - 1].marks[0]


def test_fence_makes_room_for_a_marked_cut_only_where_it_is_in_the_way() -> None:
    """The trim beside a fence that stands far off leaves it;
    a piece that reaches past it moves it, and it is set again.
    """
    trims = [row for cut, row in pairs(frame_plan()) if cut.located == "marked"]
    assert trims
    assert not any("FENCE OUT OF THE WAY" in row.marks[0] for row in trims)
    wide = Job(
        name="wide",
        plates=(Plate(name="sheet", length=900, width=700, thickness=6, material="mild steel"),),
        parts=(Rectangle(name="door", width=300, length=900), Rectangle(name="slat", width=60, length=900, quantity=2)),
    )
    made = plan(wide, Rig(processes=(STEEL,), fence_max=100))
    marked = [row for cut, row in pairs(made) if cut.located == "marked"]
    assert marked
    assert all(("FENCE OUT OF THE WAY" in row.marks[0]) == (row.lie.on_fence > 100) for row in marked)
    assert any(row.lie.on_fence > 100 for row in marked)
    later = [row for row in rows.sheet(made).cuts if row.number > marked[-1].number and row.located == "fence"]
    assert all(row.fence.changed for row in later[:1])


def test_parts_are_counted_through() -> None:
    """Each of several parts of a name carries its own number out of all, and all come up."""
    made = frame_plan()
    names = [fall.name for _, row in pairs(made) for fall in (row.right, row.left) if fall is not None and fall.name]
    assert sorted(each for each in names if each.startswith("foot")) == [f"foot, {n} of 8" for n in range(1, 9)]
    listed = [piece for part in rows.sheet(made).parts for piece in part.pieces]
    assert sorted(listed) == sorted(piece.id for piece in made.pieces if piece.kind == "part")


def test_heavy_pieces_are_for_two() -> None:
    """A piece above the rig's mass, and only such (or a long one above 0.6 of it), is marked for two people."""
    made = frame_plan()
    mass = {piece.id: piece.mass for piece in made.pieces}
    for _, row in pairs(made):
        if mass[row.piece] > 25:
            assert row.lifting
        if mass[row.piece] < 15:
            assert not row.lifting


@pytest.mark.parametrize(
    ("reading", "step", "units", "shown"),
    [
        (81.0, 0.5, "mm", "81.0"),
        (1239.0, 1.0, "mm", "1239"),
        (12.25, 0.05, "mm", "12.25"),
        (38.1, 25.4 / 16, "in", '1 1/2"'),
        (9.921875, 25.4 / 64, "in", '25/64"'),
        (38.1, 25.4 / 100, "in", '1.500"'),
        (317.5, 0.5, "in", "317.5 mm"),
        (38.1, 25.4 / 16, "mm", '1 1/2"'),
        (12.7, 12.7, "mm", "12.7"),
    ],
)
def test_readings_are_shown_as_the_scale_shows_them(reading: float, step: float, units: str, shown: str) -> None:
    """Decimals follow the step; an inch scale is read in inches and a mm scale in mm, whatever the job's units."""
    assert scale_figure(reading, step, units) == shown


def test_inch_job_has_no_bare_millimetres() -> None:
    """Every fence reading and end stop on an inch scale carries the inch sign."""
    for _, row in pairs(two_plate_plan()):
        assert row.fence.text.endswith('"')
        assert row.end_stop.text.endswith('"')


def test_proof_says_proven_or_not() -> None:
    """The proof line tells found, least and whether that is proven, in words."""
    made = frame_plan()
    assert rows.sheet(made).proof[0].startswith("1 plate; at least 1 is needed (")
    assert rows.sheet(made).proof[0].endswith(": proven.")
    open_bound = Bound(found=3, bound=1.2, how="material bound", proven=False)
    worse = replace(made, proof=replace(made.proof, plates=open_bound))
    assert rows.sheet(worse).proof[0] == "3 plates; at least 2 are needed (material bound): not proven best."


def test_doubtful_settings_are_named() -> None:
    """A key that was assumed and a kerf that was not measured are marked so, others are not."""
    doubts = {each.name: each.doubt for each in rows.sheet(frame_plan()).settings}
    assert doubts["stroke"] == "assumed"
    assert doubts["kerf"] == "not measured"
    assert doubts["lead-in"] == ""


def test_cost_without_prices_is_labelled_as_area() -> None:
    """Where no plate has a price the cost is plate area and says so."""
    assert dict(rows.sheet(two_plate_plan()).totals)["plate cost"].endswith("ft² (no price given)")
    assert any(line.startswith("Plate area 2.7 ft²") for line in rows.sheet(two_plate_plan()).proof)
    assert dict(rows.sheet(frame_plan()).totals)["plate cost"] == "180.00"
    assert any(line.startswith("Plate cost 180.00") for line in rows.sheet(frame_plan()).proof)


def test_like_warnings_are_drawn_together_and_ask_for_measuring() -> None:
    """Many pieces of one part with the same warning make one line, and the plate a measure-first line."""
    made = frame_plan()
    feet = [piece.id for piece in made.pieces if piece.part == "foot"]
    text = "foot ({}) takes a size from the plate itself: measure the plate first."
    warned = tuple(PlanWarning(code="rests_on_plate_size", about=each, text=text.format(each)) for each in feet)
    sheet = rows.sheet(replace(made, warnings=warned))
    assert sheet.warnings == (text.format(feet[0]) + " The same goes for 7 more of foot.",)
    assert sheet.measure_first == ("Plate P1 (full sheet): the plan counts on 2500 × 1250.",)
    assert rows.sheet(replace(made, warnings=())).measure_first == ()


def test_plan_id_follows_the_content_and_not_the_date() -> None:
    """The short id is the same for another date and another for another end stop."""
    made = frame_plan()
    assert rows.plan_id(replace(made, made_at="2026-01-01")) == rows.plan_id(made)
    last = made.cuts[-1]
    longer = replace(last, passes=(replace(last.passes[0], end_stop=last.passes[0].end_stop + 5),))
    assert rows.plan_id(replace(made, cuts=(*made.cuts[:-1], longer))) != rows.plan_id(made)


def test_every_cut_and_every_offcut_has_its_row() -> None:
    """Rows of cuts carry the plan's numbers in its order; each offcut of the plan has its line."""
    made = frame_plan()
    assert [row.number for row in rows.sheet(made).cuts] == [cut.number for cut in made.cuts]
    kept = [piece.id for piece in made.pieces if piece.kind == "offcut"]
    assert [row.piece for row in rows.sheet(made).offcuts] == kept


@pytest.mark.parametrize(
    ("minutes", "shown"), [(0.5, "30 s"), (1.0, "1 min"), (59.999, "1 h 0 min"), (61.2, "1 h 1 min")]
)
def test_minutes_are_read_easily(minutes: float, shown: str) -> None:
    """Seconds below a minute, minutes and seconds below an hour, hours and minutes above."""
    assert show_minutes(minutes) == shown


@pytest.mark.parametrize("make", PLANS)
def test_plan_id_is_the_same_for_the_plan_read_from_its_file(make: Callable[[], Plan]) -> None:
    """A sheet made from plan.json carries the id of the sheet made with it."""
    read = from_record(Plan, json.loads(plan_text(make())))
    assert rows.plan_id(read) == rows.plan_id(make())
