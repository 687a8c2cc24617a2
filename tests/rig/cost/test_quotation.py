"""A quotation: worked by hand, shares that add up, what is left out, bad figures."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from fractions import Fraction
from functools import cache
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

import stripplan
from stripplan.model.plan.cut import Cut, Minutes
from stripplan.model.plan.piece import Piece, PieceKind
from stripplan.model.plan.plan import Plan
from stripplan.model.plan.quotation import CostLine, Quotation, cents
from stripplan.model.prices import Prices
from stripplan.model.rig import Process, Rig
from stripplan.rig.cost.quotation import quotation
from tests.checking import examples
from tests.replay import by_hand

ALL = Prices(
    per_hour=60, per_kwh=0.5, per_m3_air=1, tip_price=10, tip_starts=160, tip_hours=2.5, electrode_price=6,
    scrap_per_kg=0.25, markup=10,
)  # fmt: skip
"""A price for everything; the electrode's life is left to be assumed."""


@cache
def paper_plan() -> Plan:
    """1000 x 400 x 6 at 80: two bars of 100, a lug of 50, an offcut of 135.5, 8.5 of scrap;
    four cuts of 2 min each, 1.5 of it arc.
    """
    pieces = [
        by_hand.piece(1, None, "plate", (0, 0, 1000, 400)),
        by_hand.piece(2, 1, "part", (0, 0, 1000, 100), "bar"),
        by_hand.piece(3, 1, "blank", (0, 101.5, 1000, 400)),
        by_hand.piece(4, 3, "part", (0, 101.5, 1000, 201.5), "bar"),
        by_hand.piece(5, 3, "blank", (0, 203, 1000, 400)),
        by_hand.piece(6, 5, "part", (0, 203, 1000, 253), "lug"),
        by_hand.piece(7, 5, "blank", (0, 254.5, 1000, 400)),
        by_hand.piece(8, 7, "offcut", (0, 254.5, 1000, 390)),
        by_hand.piece(9, 7, "scrap", (0, 391.5, 1000, 400)),
    ]
    cuts = []
    for number, (of, at, low) in enumerate(
        ((1, 100.75, 0), (3, 202.25, 101.5), (5, 253.75, 203), (7, 390.75, 254.5)), 1
    ):
        line, edge = [[0.0, at], [1000.0, at]], [[0.0, low], [1000.0, low]]
        only = [(True, [[0.0, 400.0], [0.0, low]], 1000.0, 1020.0)]
        cuts.append(by_hand.fence_cut(number, of, (of + 1, of + 2), line, edge, at - low, at - low, only))
    bar, lug = {**by_hand.PART, "width": 100.0, "quantity": 2}, {**by_hand.PART, "name": "lug"}
    sizes = {"bar": ([[100.0, 1000.0]], [0.0, 0.0]), "lug": ([[50.0, 1000.0]], [0.0, 0.0])}
    made = by_hand.plan_of(pieces, cuts, [bar, lug], sizes, stock={"width": 400.0, "cost": 80.0})
    minutes = Minutes(arc=1.5, pre_flow=0.01, post_flow=0.05, fence=0.44)
    return replace(made, cuts=tuple(replace(cut, minutes=minutes) for cut in made.cuts))


def priced(prices: Prices = ALL, plan: Plan | None = None, **options: Any) -> Quotation:
    """The quotation of the plan on paper, with 120 l/min of air and an efficiency of 0.8."""
    figures: dict[str, Any] = {"flow_of": {"air": 120}, "efficiency": 0.8, "credit_offcuts": True} | options
    return quotation(plan or paper_plan(), prices, **figures)


def line_of(quoted: Quotation, what: str) -> CostLine:
    """The line of that name."""
    return next(line for line in quoted.lines if line.what == what)


def exactly(words: str) -> str:
    """A pattern for these words and no others."""
    return f"^{re.escape(words)}$"


def adds_up(quoted: Quotation) -> None:
    """Shares to lines, lines to the total, shares to parts, parts to the total, all in whole cents."""
    total = cents(quoted.total)
    assert sum(cents(line.amount) for line in quoted.lines) == total
    assert sum(cents(part.total) for part in quoted.parts) == total
    for n, line in enumerate(quoted.lines):
        assert sum(cents(part.amounts[n]) for part in quoted.parts) == cents(line.amount)
        assert cents(line.quantity * line.price) == cents(line.amount)
    for part in quoted.parts:
        assert sum(map(cents, part.amounts)) == cents(part.total)
        assert len(part.amounts) == len(quoted.lines)


@pytest.mark.parametrize(
    ("amount", "whole"),
    [(1.005, 101), (-1.005, -101), (2.675, 268), (0.004999, 0), (-0.0, 0), (1e6 + 0.015, 100000002)],
)
def test_cents(amount: float, whole: int) -> None:
    """The nearest cent of the decimal figure, halves away from 0,
    although 1.005 and 2.675 lie below it as binary fractions.
    """
    assert cents(amount) == whole


def test_lines_worked_by_hand() -> None:
    """Each line of the plan on paper: quantity, price and amount as reckoned with a pencil."""
    quoted = priced()
    expected = [
        ("plate: sheet", 1, 80, 80.00),
        ("offcuts kept: sheet", 0.1355, -200, -27.10),  # 80 for 0.4 m2
        ("time at the rig", 8 / 60, 60, 8.00),
        ("power", 4 * 0.12, 0.5, 0.24),  # 3.84 kW / 0.8 for 1.5 min
        ("air", 4 * 0.1872, 1, 0.75),  # 120 l/min for 1.56 min
        ("tips", 4 / 160 + 0.1 / 2.5, 10, 0.65),
        ("electrodes", 4 / 200 + 0.1 / 3, 6, 0.32),
        ("scrap brought back", 0.40035, -0.25, -0.10),  # 1000 x 8.5 x 6 mm of 7850 kg/m3
        ("markup", 10, 0.6276, 6.28),
    ]
    assert [line.what for line in quoted.lines] == [what for what, *_ in expected]
    for line, (_, *figures) in zip(quoted.lines, expected, strict=True):
        assert [line.quantity, line.price, line.amount] == pytest.approx(figures)
    assert quoted.total == 69.04
    assert quoted.left_out == ()


def test_finishing_is_priced_where_the_job_asks_for_it() -> None:
    """5 m of cut edges at 50 s a metre are 250 s, at 60 an hour 4.17: 3 m of the bars bear 2.50, 2 m of the lug 1.67;
    not asked, there is no line.
    """
    plan = paper_plan()
    assert all(line.what != "finishing" for line in priced().lines)
    job = replace(plan.job, options=replace(plan.job.options, finish=True))
    asked = replace(plan, job=job, totals=replace(plan.totals, finish_metres=5.0, finish_minutes=250 / 60))
    quoted = priced(plan=asked)
    adds_up(quoted)
    line = line_of(quoted, "finishing")
    assert (line.amount, line.unit, line.assumed) == (4.17, "h", False)
    at = quoted.lines.index(line)
    assert [part.amounts[at] for part in quoted.parts] == [2.5, 1.67]
    rig = replace(plan.rig, assumed=("seconds.finish_per_m",))
    assumed = priced(plan=replace(asked, rig=rig))
    assert line_of(assumed, "finishing").assumed
    assert not line_of(assumed, "time at the rig").assumed
    unpriced = priced(replace(ALL, per_hour=None), plan=asked)
    assert any(each.startswith("Finishing: no price") for each in unpriced.left_out)


def test_parts_worked_by_hand() -> None:
    """Bars have 4/5 of the plate and 38/60 of the cuts; fractions of a cent are carried from line to line.

    Cut 1: a bar, and a blank with a bar and a lug (2 : 1). Cut 2: a bar, and a blank with a lug. Cut 3: a lug, and a
    blank without parts (4 : 1 as the plate). Cut 4: offcut and scrap (4 : 1). Of 8 minutes 5.0667 for bars and 2.9333
    for lugs.
    """
    bar, lug = priced().parts
    assert bar.amounts == (64.00, -21.68, 5.07, 0.15, 0.47, 0.42, 0.20, -0.08, 4.86)
    assert lug.amounts == (16.00, -5.42, 2.93, 0.09, 0.28, 0.23, 0.12, -0.02, 1.42)
    assert (bar.made, bar.total, bar.each) == (2, 53.41, 26.71)
    assert (lug.made, lug.total, lug.each) == (1, 15.63, 15.63)
    adds_up(priced())


def test_one_cut_of_the_planner() -> None:
    """One strip off a sheet, planned: (10 + 1000 + 8 -> 1020 mm) / 600 mm/min = 1.7 min of arc, one start,
    142 l/min at 40 A.
    """
    process = Process(name="air", material="mild steel", thickness=6, kerf=1.5, travel_speed=600, current=40)
    plate = stripplan.Plate(name="sheet", length=1000, width=500, thickness=6, material="mild steel", cost=50)
    job = stripplan.Job(
        name="one",
        currency="EUR",
        plates=(replace(plate, quantity=1),),
        parts=(stripplan.Strip(name="bar", width=100),),
    )
    plan = stripplan.plan(job, Rig(processes=(process,)))
    quoted = quotation(plan, Prices(per_hour=45, per_kwh=0.3, per_m3_air=0.04, tip_price=4))
    assert (quoted.job, quoted.currency) == ("one", "EUR")
    assert line_of(quoted, "time at the rig").quantity == pytest.approx(plan.totals.minutes / 60)
    assert line_of(quoted, "power").quantity == pytest.approx(3.84 / 0.85 * 1.7 / 60)
    assert line_of(quoted, "air").quantity == pytest.approx(0.142 * (0.5 / 60 + 1.7 + 3 / 60))
    assert line_of(quoted, "tips").quantity == pytest.approx(1 / 200 + 1.7 / 60 / 3)
    (bar,) = quoted.parts
    assert bar.total == quoted.total
    assert quoted.total == pytest.approx(50 + cents(45 * plan.totals.minutes / 60) / 100 + 0.04 + 0.01 + 0.06)
    adds_up(quoted)


@pytest.mark.parametrize(
    ("price", "what"),
    [
        ("per_hour", "time at the rig"), ("per_kwh", "power"), ("per_m3_air", "air"), ("tip_price", "tips"),
        ("electrode_price", "electrodes"), ("scrap_per_kg", "scrap brought back"), ("markup", "markup"),
    ],
)  # fmt: skip
def test_a_price_twice_as_high_doubles_its_line(price: str, what: str) -> None:
    """And, but for the markup, leaves every other line alone."""
    before, after = priced(), priced(replace(ALL, **{price: 2 * getattr(ALL, price)}))
    old, new = line_of(before, what), line_of(after, what)
    assert new.quantity * new.price == pytest.approx(2 * old.quantity * old.price)
    assert abs(cents(new.amount) - 2 * cents(old.amount)) <= 1
    others = [line for line in before.lines if line.what not in (what, "markup")]
    assert [line for line in after.lines if line.what not in (what, "markup")] == others


def test_without_prices_each_line_is_left_out_in_words() -> None:
    """Nothing asked for: only the plate, and a sentence for each thing that is not in the sum."""
    quoted = priced(Prices(), credit_offcuts=False)
    assert [line.what for line in quoted.lines] == ["plate: sheet"]
    assert quoted.left_out == (
        "Offcuts kept: 0.14 m2 is not taken off the price.",
        "Time at the rig: no price for an hour was given.",
        "Power: no price for a kWh was given.",
        "Air: no price for a m3 and no power of the compressor was given.",
        "Tips: no price was given.",
        "Electrodes: no price was given.",
        "Scrap brought back: no price for a kg was given; there are 0.4 kg.",
        "Markup: none was given.",
    )


def test_a_price_of_0_is_a_line() -> None:
    """0 is a price that was given: the line stands there with 0.00 and nothing is said to be left out."""
    quoted = priced(Prices(per_hour=0))
    assert line_of(quoted, "time at the rig").amount == 0
    assert not any(text.startswith("Time") for text in quoted.left_out)
    adds_up(quoted)


def test_plates_without_prices_are_left_out() -> None:
    """Their cost in the plan is an area, which is no money; neither is it credited for offcuts."""
    plan = paper_plan()
    bare = replace(plan, job=replace(plan.job, plates=(replace(plan.job.plates[0], cost=None),)))
    quoted = priced(plan=bare)
    assert not any(line.unit in ("plate", "m2") for line in quoted.lines)
    assert quoted.left_out == ("Plate: the job gives no price for it; 0.40 m2 of plate is used.",)
    adds_up(quoted)


def test_plates_priced_by_mass() -> None:
    """A price per kg in the job is a price: 18.84 kg at 2.00 are the 37.68 that the plan holds."""
    plan = paper_plan()
    stock = replace(plan.job.plates[0], cost=None, price_per_kg=2.0)
    by_mass = replace(plan, job=replace(plan.job, plates=(stock,)), plates=(replace(plan.plates[0], cost=37.68),))
    assert line_of(priced(plan=by_mass), "plate: sheet").amount == 37.68


def test_offcuts_stay_with_the_parts_unless_they_are_credited() -> None:
    """Without the credit the parts bear the whole plate, with it 27.10 less; either way they add up."""
    for credit, borne in ((False, 80.00), (True, 52.90)):
        quoted = priced(Prices(), credit_offcuts=credit)
        assert quoted.total == borne
        adds_up(quoted)


def test_air_by_the_compressor() -> None:
    """7.5 kW for each m3/min is 0.125 kWh/m3; at 0.50 a kWh a m3 costs 0.0625."""
    quoted = priced(replace(ALL, per_m3_air=None, compressor_kw_per_m3_min=7.5))
    assert line_of(quoted, "air").price == pytest.approx(0.0625)
    assert "compressor 7.5 kW" in line_of(quoted, "air").how


def test_air_on_the_way_home_counts() -> None:
    """Where post-flow runs on the way home its 3 s take no time of their own, but the air is gone:
    1.51 min + 0.05 min.
    """
    plan = paper_plan()
    cuts = tuple(replace(cut, minutes=replace(cut.minutes, post_flow=0.0)) for cut in plan.cuts)
    returning = replace(plan, cuts=cuts, rig=replace(plan.rig, post_flow_returning=True))
    assert line_of(priced(plan=returning), "air").quantity == pytest.approx(4 * 0.12 * 1.56)
    assert line_of(priced(plan=replace(plan, cuts=cuts)), "air").quantity == pytest.approx(4 * 0.12 * 1.51)


def test_each_pass_is_a_start() -> None:
    """Two cuts of two passes and one of one are five starts."""
    quoted = priced(replace(ALL, tip_starts=100, tip_hours=1e9), plan=by_hand.two_passes())
    assert line_of(quoted, "tips").quantity == pytest.approx(0.05)


def test_greater_wear_is_of_each_cut() -> None:
    """1.5 min of 2.5 h is 0.01 a cut, more than 1 start of 160: four times 0.01."""
    assert line_of(priced(replace(ALL, wear="max")), "tips").quantity == pytest.approx(4 * 0.01)


def test_current_given_goes_before_the_rig_s() -> None:
    """20 A in place of the rig's 40: 88 V, 1.76 kW, and 113 l/min of air by the current."""
    quoted = priced(current_of={"air": 20}, flow_of=None)
    assert line_of(quoted, "power").quantity == pytest.approx(4 * 1.76 / 0.8 * 1.5 / 60)
    assert line_of(quoted, "air").quantity == pytest.approx(4 * 0.113 * 1.56)


def test_a_process_without_a_current_is_left_out_in_words() -> None:
    """A process with neither current nor flow: no power and no air is made up for it, and that is said."""
    plan = paper_plan()
    process = replace(plan.rig.processes[0], current=None)
    quoted = priced(plan=replace(plan, rig=replace(plan.rig, processes=(process,))), flow_of=None)
    assert not any(line.what in ("power", "air") for line in quoted.lines)
    assert quoted.left_out == (
        "Power of process air: its current is not known.", "Air of process air: its flow is not known.",
    )  # fmt: skip


def test_of_two_processes_the_one_without_a_current_is_left_out() -> None:
    """Two plates, two processes, one of them without a current:
    the power of the other alone, borne by its own part alone.
    """
    quoted = priced(plan=two_plates())
    assert line_of(quoted, "power").quantity == pytest.approx(4 * 0.12)
    assert "Power of process gas: its current is not known." in quoted.left_out
    assert "Air of process gas: its flow is not known." in quoted.left_out
    n = [line.what for line in quoted.lines].index("power")
    assert [part.amounts[n] for part in quoted.parts] == [0.15, 0.09, 0.0]
    adds_up(quoted)


def test_each_plate_is_borne_by_its_own_parts() -> None:
    """A dear plate and a cheap one of the same area: the part of the cheap one pays for the cheap one alone."""
    quoted = priced(Prices(), plan=two_plates(), credit_offcuts=False)
    assert [line.what for line in quoted.lines] == ["plate: sheet", "plate: rack"]
    assert [part.total for part in quoted.parts] == [64.0, 16.0, 5.0]


def test_a_plate_without_parts_is_borne_by_all() -> None:
    """The second plate makes scrap alone: its 5.00 go to bars and lugs by their area, 4 to 1, and its cut likewise."""
    plan = two_plates()
    pieces = tuple(replace(piece, kind="scrap", part=None) if piece.part == "plug" else piece for piece in plan.pieces)
    quoted = priced(Prices(per_hour=60), plan=replace(plan, pieces=pieces, parts=plan.parts[:2]), credit_offcuts=False)
    bar, lug = quoted.parts
    assert (bar.amounts, lug.amounts) == ((64.0, 4.0, 6.67), (16.0, 1.0, 3.33))  # 5.0667 + 1.6, 2.9333 + 0.4 minutes


def two_plates() -> Plan:
    """The plan on paper and a second plate at 5.00, cut by another process without a current,
    whose one cut makes a plug and scrap.
    """
    plan = paper_plan()
    first = plan.plates[0]
    second = replace(first, id="P2", stock="rack", cost=5.0, process="gas")
    root = Piece(
        id="P2-1", plate="P2", parent=None, kind="plate", part=None, outline=plan.pieces[0].outline, mass=18.84
    )
    half = ((0.0, 0.0), (1000.0, 0.0), (1000.0, 200.0), (0.0, 200.0))
    plug = replace(root, id="P2-2", parent="P2-1", kind="part", part="plug", outline=half)
    rest = replace(root, id="P2-3", parent="P2-1", kind="scrap", mass=1.0)
    cut = replace(plan.cuts[0], number=5, plate="P2", piece="P2-1", makes=("P2-2", "P2-3"))
    stocks = (*plan.job.plates, replace(plan.job.plates[0], name="rack", cost=5.0))
    return replace(
        plan, plates=(first, second), pieces=(*plan.pieces, root, plug, rest), cuts=(*plan.cuts, cut),
        parts=(*plan.parts, replace(plan.parts[1], name="plug")), job=replace(plan.job, plates=stocks),
    )  # fmt: skip


def test_what_is_assumed_is_flagged() -> None:
    """A convention, a trade guide's row and a life that was not given are flagged; what was given is not."""
    assert {line.what for line in priced().lines if line.assumed} == {"power", "electrodes", "markup"}
    guessed = quotation(paper_plan(), replace(ALL, tip_hours=None))
    assert {line.what for line in guessed.lines if line.assumed} == {"power", "air", "tips", "electrodes", "markup"}
    assert "efficiency 0.85 (assumed)" in line_of(guessed, "power").how
    assert "efficiency 0.8;" in line_of(priced(), "power").how
    assert line_of(guessed, "tips").how == "4 of 160 starts and 0.100 of 3 arc hours (assumed), added up"


def test_time_by_assumed_seconds_is_flagged() -> None:
    """Where the rig's own seconds are the built-in ones the time is assumed too."""
    plan = paper_plan()
    assert not line_of(priced(plan=plan), "time at the rig").assumed
    guessed = replace(plan, rig=replace(plan.rig, assumed=("seconds.fence",)))
    assert line_of(priced(plan=guessed), "time at the rig").assumed


def test_parts_that_are_not_in_the_plan_are_named() -> None:
    """Three bars wanted, two made: the third is not in the price, and none of a part not made costs anything each."""
    plan = paper_plan()
    lines = (replace(plan.parts[0], wanted=3), plan.parts[1], replace(plan.parts[1], name="pin", made=0))
    quoted = priced(plan=replace(plan, parts=lines))
    assert quoted.left_out == ("bar: 1 of 3 are not in the plan.", "pin: 1 of 1 are not in the plan.")
    assert (quoted.parts[2].each, quoted.parts[2].total) == (None, 0.0)
    adds_up(quoted)


def test_scrap_worth_more_than_the_job() -> None:
    """Scrap at a silly price: the total falls below 0, no markup is put on that, and all still adds up."""
    quoted = priced(replace(ALL, scrap_per_kg=1000))
    assert quoted.total < 0
    assert line_of(quoted, "markup").amount == 0
    adds_up(quoted)


@pytest.mark.parametrize("name", sorted(by_hand.SOUND))
def test_sound_plans_add_up(name: str) -> None:
    """Whole plates as parts, two passes, a far piece that is not there, marked cuts, trims: every specimen adds up."""
    for credit in (False, True):
        adds_up(priced(plan=by_hand.SOUND[name](), credit_offcuts=credit))


def test_a_cut_with_one_piece_is_borne_by_that_piece() -> None:
    """Half missed: cut 1 makes a bar and the blank of the lug, cut 2 the lug alone.
    Of 2 minutes each the bar bears 1, the lug 3.
    """
    plan = by_hand.half_missed()
    pieces = tuple(replace(piece, part="lug") if piece.id == "P1-4" else piece for piece in plan.pieces)
    cuts = tuple(replace(cut, minutes=Minutes(arc=1.5, fence=0.5)) for cut in plan.cuts)
    lines = (replace(plan.parts[0], made=1, wanted=1), replace(plan.parts[0], name="lug", made=1, wanted=1))
    quoted = priced(Prices(per_hour=60), plan=replace(plan, pieces=pieces, cuts=cuts, parts=lines))
    n = [line.what for line in quoted.lines].index("time at the rig")
    assert [part.amounts[n] for part in quoted.parts] == [1.0, 3.0]


Box = tuple[float, float, float, float]


def parted(draw: st.DrawFn, box: Box) -> list[Box]:
    """Two boxes, or one, left of a box by a cut along or across; none where it is small or stays whole."""
    x0, y0, x1, y1 = box
    if min(x1 - x0, y1 - y0) < 40 or not draw(st.integers(0, 3)):
        return []
    at = draw(st.floats(0.1, 0.9))
    x, y = x0 + at * (x1 - x0), y0 + at * (y1 - y0)
    across: list[Box] = [(x0, y0, x, y1), (x + 1.5, y0, x1, y1)]
    along: list[Box] = [(x0, y0, x1, y), (x0, y + 1.5, x1, y1)]
    return draw(st.sampled_from([across, along]))[: draw(st.sampled_from([1, 2, 2, 2]))]


@st.composite
def trees(draw: st.DrawFn) -> Plan:
    """A plate cut up anyhow into up to four parts, scrap and offcuts; now and then a far piece is not there."""
    base = paper_plan()
    names = [f"part {n}" for n in range(draw(st.integers(1, 4)))]
    pieces: list[Piece] = []
    cuts: list[Cut] = []
    waiting: list[tuple[str | None, Box]] = [(None, (0.0, 0.0, 1000.0, 400.0))]
    while waiting:
        above, box = waiting.pop(0)
        name = f"P1-{len(pieces) + 1}"
        below = parted(draw, box) if len(cuts) < 12 else []
        piece = specimen(name, above, box, "blank" if above else "plate")
        if below:
            first = len(pieces) + len(waiting) + 2  # pieces are numbered in the order in which they wait
            makes = (f"P1-{first}", f"P1-{first + 1}" if len(below) == 2 else None)
            waiting += [(name, each) for each in below]
            cuts.append(drawn_cut(draw, base.cuts[0], len(cuts) + 1, name, makes))
        else:
            lonely = not waiting and not any(each.part for each in pieces)
            kind: PieceKind = "part" if lonely else draw(st.sampled_from(["part", "part", "offcut", "scrap"]))
            piece = replace(piece, kind=kind, part=draw(st.sampled_from(names)) if kind == "part" else None)
        pieces.append(piece)
    made = {name: sum(each.part == name for each in pieces) for name in names}
    lines = tuple(replace(base.parts[0], name=name, wanted=made[name], made=made[name]) for name in names)
    return replace(base, pieces=tuple(pieces), cuts=tuple(cuts), parts=lines)


def specimen(name: str, above: str | None, box: Box, kind: PieceKind) -> Piece:
    """A rectangular piece of 6 mm steel."""
    x0, y0, x1, y1 = box
    outline = ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
    mass = (x1 - x0) * (y1 - y0) * 4.71e-5
    return Piece(id=name, plate="P1", parent=above, kind=kind, part=None, outline=outline, mass=mass)


def drawn_cut(draw: st.DrawFn, like: Cut, number: int, piece: str, makes: tuple[str, str | None]) -> Cut:
    """A cut of one pass or two with some minutes."""
    minutes = Minutes(arc=draw(st.floats(0.01, 9)), post_flow=0.05, fence=draw(st.floats(0, 3)))
    passes = like.passes * draw(st.integers(1, 2))
    return replace(like, number=number, piece=piece, makes=makes, minutes=minutes, passes=passes)


money = st.floats(0, 500).map(lambda value: round(value, 3))


@st.composite
def price_lists(draw: st.DrawFn) -> Prices:
    """Some prices, some not asked for."""
    some = st.one_of(st.none(), money)
    keys = ("per_hour", "per_kwh", "per_m3_air", "tip_price", "electrode_price", "scrap_per_kg", "markup")
    return Prices(**{key: draw(some) for key in keys}, wear=draw(st.sampled_from(["sum", "max"])))


def exact_time_shares(plan: Plan) -> dict[str, Fraction]:
    """Minutes of each part by another way: from the plate downwards, cut by cut, in exact fractions."""
    children: dict[str, list[Piece]] = {}
    for piece in plan.pieces:
        children.setdefault(piece.parent or "", []).append(piece)

    def area(piece: Piece) -> Fraction:
        x0, y0, x1, y1 = map(Fraction, piece.box)
        return (x1 - x0) * (y1 - y0)

    def leaves(piece: Piece) -> list[Piece]:
        below = children.get(piece.id, [])
        return [leaf for each in below for leaf in leaves(each)] if below else [piece] if piece.kind == "part" else []

    shares = {line.name: Fraction(0) for line in plan.parts}
    pieces = {piece.id: piece for piece in plan.pieces}
    for cut in plan.cuts:
        made = [pieces[each] for each in cut.makes if each is not None]
        for piece in made:
            bearing = leaves(piece) or [each for each in plan.pieces if each.kind == "part"]
            for leaf in bearing:
                share = Fraction(cut.minutes.total) / len(made) * area(leaf) / sum(map(area, bearing))
                shares[str(leaf.part)] += share
    return shares


@examples(50)
@given(trees(), price_lists(), st.booleans())
def test_any_plan_adds_up(plan: Plan, prices: Prices, credit: bool) -> None:
    """Random guillotine trees, random prices: shares add up both ways, to the cent."""
    adds_up(priced(prices, plan=plan, credit_offcuts=credit))


@examples(40)
@given(trees(), money)
def test_time_is_shared_as_by_exact_fractions(plan: Plan, rate: float) -> None:
    """Plate and time of each part lie within a cent of the shares found top down in fractions, whatever was carried."""
    quoted = priced(Prices(per_hour=rate), plan=plan, credit_offcuts=False)
    shares, minutes = exact_time_shares(plan), sum(Fraction(cut.minutes.total) for cut in plan.cuts)
    areas = {line.name: Fraction(0) for line in plan.parts}
    for piece in plan.pieces:
        x0, y0, x1, y1 = map(Fraction, piece.box)
        if piece.part:
            areas[piece.part] += (x1 - x0) * (y1 - y0)
    paid = cents(line_of(quoted, "time at the rig").amount)
    for part in quoted.parts:
        exact = 8000 * areas[part.name] / sum(areas.values()) + (paid * shares[part.name] / minutes if minutes else 0)
        assert abs(cents(part.total) - exact) < 1 + 1e-6


@pytest.mark.parametrize(
    ("figures", "words"),
    [
        ({"per_hour": -1}, "per_hour -1 must not be below 0"),
        ({"per_kwh": math.nan}, "per_kwh nan must be a finite number"),
        ({"per_m3_air": math.inf}, "per_m3_air inf must be a finite number"),
        ({"tip_price": "4"}, "tip_price '4' must be a number"),
        ({"tip_starts": 0}, "tip_starts 0 must be above 0"),
        ({"tip_hours": -2}, "tip_hours -2 must be above 0"),
        ({"electrode_price": True}, "electrode_price True must be a number"),
        ({"electrode_starts": 0}, "electrode_starts 0 must be above 0"),
        ({"electrode_hours": 0}, "electrode_hours 0 must be above 0"),
        ({"scrap_per_kg": -0.1}, "scrap_per_kg -0.1 must not be below 0"),
        ({"markup": -5}, "markup -5 must not be below 0"),
        ({"wear": "mean"}, "wear 'mean' must be one of sum, max"),
        ({"compressor_kw_per_m3_min": 7}, "compressor_kw_per_m3_min needs per_kwh, the price of its power"),
        (
            {"compressor_kw_per_m3_min": 7, "per_kwh": 1, "per_m3_air": 1},
            "give per_m3_air or compressor_kw_per_m3_min, not both",
        ),
        ({"per_hour": -1, "markup": -5}, "per_hour -1 must not be below 0; markup -5 must not be below 0"),
    ],
)
def test_bad_prices(figures: dict[str, Any], words: str) -> None:
    """The field is named, with its figure and limit; several faults are said at once."""
    with pytest.raises(ValueError, match=exactly(f"prices: {words}")):
        Prices(**figures)


@pytest.mark.parametrize(
    ("figures", "words"),
    [
        ({"efficiency": 0}, "efficiency 0 must be above 0"),
        ({"efficiency": 85}, "efficiency 85 must not be above 1"),
        ({"current_of": {"air": 0}}, "current_of: air 0 must be above 0"),
        ({"flow_of": {"air": math.nan}}, "flow_of: air nan must be a finite number"),
        ({"current_of": {"gas": 40}}, "current_of: no process is called 'gas'; there are air"),
        (
            {"efficiency": 2, "flow_of": {"water": -1}},
            "efficiency 2 must not be above 1; flow_of: no process is called 'water'; there are air; "
            "flow_of: water -1 must be above 0",
        ),
    ],
)
def test_bad_figures_of_a_quotation(figures: dict[str, Any], words: str) -> None:
    """Processes, currents, flows and efficiency, all at once."""
    with pytest.raises(ValueError, match=exactly(f"quotation: {words}")):
        priced(**figures)


def test_a_plan_without_parts_that_costs() -> None:
    """Scrap alone: there is nobody to bear the plate; without plates and cuts there is nothing to bear."""
    plan = paper_plan()
    none = replace(plan, pieces=(replace(plan.pieces[0], kind="scrap"),), cuts=(), parts=())
    with pytest.raises(ValueError, match=r"plate: sheet costs 80\.00, but the plan makes no part to bear it"):
        priced(plan=none)
    empty = priced(plan=replace(none, pieces=(), plates=()))
    assert (empty.total, empty.parts) == (0.0, ())


def test_a_quotation_checks_its_own_sums() -> None:
    """A total, a part or a share that was changed by a cent is refused."""
    good = priced()
    with pytest.raises(ValueError, match="lines do not add up"):
        replace(good, total=good.total + 0.01)
    short = replace(good.parts[0], total=good.parts[0].total - 0.01)
    with pytest.raises(ValueError, match="parts do not add up"):
        replace(good, parts=(short, good.parts[1]))
    odd = replace(good.parts[0], amounts=(*good.parts[0].amounts[:-1], 0.0))
    with pytest.raises(ValueError, match="shares of part bar do not add up"):
        replace(good, parts=(odd, good.parts[1]))
