"""Published and computed figures: offsets, stops, times, duty, masses."""

from __future__ import annotations

from dataclasses import replace

import pytest
from shapely.geometry import box

from stripplan.model.plan.cut import Minutes
from stripplan.model.plan.plan import Plan
from stripplan.model.plan.quotation import CostLine, LeftOut, PartCost, Quotation
from stripplan.model.prices import Prices
from stripplan.model.rig import Process
from stripplan.replay import costs, sums, trueness
from stripplan.replay import metal as m
from stripplan.replay import parts_made as wants
from stripplan.replay.geometry import check_stops
from stripplan.replay.lookup import Bench, from_setting
from stripplan.replay.metal import Metal
from tests.replay.by_hand import one_strip, pushed_up


@pytest.mark.parametrize(
    ("across", "width", "kerf", "offset", "far"),
    [
        (1250.0, 50.0, 1.5, 50.75, 1198.5),  # F = w + k/2, far = across - w - k: computed
        (1250.0, 40.0, 1.6, 40.8, 1208.4),  # the same, computed
        (1250.0, 100.0, 2.0, 101.0, 1148.0),  # the same, computed
    ],
)
def test_offset_leaves_the_width(across: float, width: float, kerf: float, offset: float, far: float) -> None:
    """Set at w + k/2, the metal between fence and kerf is w wide and the far piece has the rest."""
    cut = replace(one_strip().cuts[0], fence_offset=offset, kerf=kerf)
    shape = box(0.0, 0.0, 1000.0, across)
    torch = from_setting(cut, Metal(shape, ()))
    assert torch is not None
    right, left = m.parted(shape, torch, kerf)
    assert right[0].bounds[3] == pytest.approx(width, abs=1e-4)
    assert across - left[0].bounds[1] == pytest.approx(far, abs=1e-4)


def test_strips_from_a_metre() -> None:
    """Of 1000 mm come 19 strips of 50 mm with a kerf of 1.5 mm, and 21.5 mm are left:
    n = floor((across + k)/(w + k)), computed.
    """
    cut, shape, strips = one_strip().cuts[0], box(0.0, 0.0, 1000.0, 1000.0), 0
    while shape.bounds[3] - shape.bounds[1] > 50.75:
        x0, y0, x1, _ = shape.bounds
        torch = from_setting(replace(cut, edge_on_fence=((x0, y0), (x1, y0))), Metal(shape, ()))
        assert torch is not None
        (shape,) = m.parted(shape, torch, 1.5)[1]
        strips += 1
    assert (strips, shape.bounds[3] - shape.bounds[1]) == (19, pytest.approx(21.5, abs=1e-4))


def test_stop_from_home() -> None:
    """Lead-in 30, cut 600, overrun 10 need 640 mm from home: E = lead_in + L + overrun, computed."""
    plan = one_strip()
    plan = replace(plan, rig=replace(plan.rig, lead_in=30.0, overrun=10.0))
    cut = replace(plan.cuts[0], length=600.0)
    passes = [replace(cut.passes[0], length=600.0, end_stop=stop) for stop in (640.0, 635.0)]
    enough, short = (list(check_stops(Bench(plan), replace(cut, passes=(each,)))) for each in passes)
    assert enough == []
    assert [each.code for each in short] == ["end_stop"]


def test_time_of_a_cut() -> None:
    """0.5 s + 640 mm at 600 mm/min + 3 s + 640 mm at 4000 mm/min = 77.1 s; 1 m at 762 mm/min = 78.74 s:
    t = L/v, computed.
    """
    plan = one_strip()
    times = Minutes(arc=64 / 60, return_=9.6 / 60, pre_flow=0.5 / 60, post_flow=3 / 60)
    cut = replace(plan.cuts[0], passes=(replace(plan.cuts[0].passes[0], end_stop=640.0),), minutes=times)
    assert sum((64.0, 9.6, 0.5, 3.0)) == pytest.approx(77.1)
    assert list(sums.check_minutes(Bench(plan), cut)) == []
    on_the_way = replace(plan, rig=replace(plan.rig, post_flow_returning=True))
    assert [each.about for each in sums.check_minutes(Bench(on_the_way), cut)] == ["cut 1, post-flow"]
    quick = replace(cut, minutes=replace(times, post_flow=0.0))  # 9.6 s back, so nothing of 3 s is waited for
    assert list(sums.check_minutes(Bench(on_the_way), quick)) == []
    metre = replace(cut, travel_speed=762.0, passes=(replace(cut.passes[0], end_stop=1000.0),))
    times = replace(times, arc=1000 / 762, return_=1000 / 4000)
    assert times.arc * 60 == pytest.approx(78.74, abs=0.02)
    assert list(sums.check_minutes(Bench(plan), replace(metre, minutes=times))) == []


@pytest.mark.parametrize(
    ("rated", "percent", "current", "share"),
    [
        (40, 35, 30, 62.22),  # square law between ratings, IEC 60974-1 (from memory); computed
        (40, 35, 20, 100.0),
        (45, 50, 40, 63.28),
        (60, 50, 45, 88.89),
    ],
)
def test_share_at_another_current(rated: float, percent: float, current: float, share: float) -> None:
    """I^2 X is constant below a rating, and never more than all the time."""
    given = {"name": "p", "material": "steel", "thickness": 6.0, "kerf": 1.5, "travel_speed": 600.0}
    process = Process(**given, current=current, duty=((rated, percent),))
    assert 100 * sums.share(process) == pytest.approx(share, abs=0.01)


def timed(percent: float, rows: list[tuple[float, float, float]]) -> Plan:
    """Cuts of (rest, pause, arc) seconds under a duty of so many percent."""
    plan = pushed_up()
    process = replace(plan.rig.processes[0], duty=((40.0, percent),))
    cuts = tuple(
        replace(plan.cuts[0], number=n, minutes=Minutes(rest=rest / 60, push=pause / 60, arc=arc / 60))
        for n, (rest, pause, arc) in enumerate(rows, 1)
    )
    return replace(plan, rig=replace(plan.rig, processes=(process,)), cuts=cuts)


def overheated(plan: Plan) -> list[str]:
    """Cuts at whose end the arc has burnt too long."""
    return [each.about for each in sums.check_duty(Bench(plan))]


ARC = 60_000 / 762


@pytest.mark.parametrize(("rest", "found"), [(270.05, []), (269.5, ["cut 3"])])
def test_wait_before_the_third_cut(rest: float, found: list[str]) -> None:
    """1 m cuts at 762 mm/min with 60 s between, 35 %:
    270 s before the third, none before the fourth (computed two ways).
    """
    rows = [(0.0, 0.0, ARC), (0.0, 60.0, ARC), (rest, 60.0, ARC), (0.0, 60.0, ARC)]
    assert overheated(timed(35.0, rows))[:1] == found


@pytest.mark.parametrize(("rest", "found"), [(60.0, []), (59.0, ["cut 7"])])
def test_wait_before_the_seventh_cut(rest: float, found: list[str]) -> None:
    """60 s cuts with 30 s between, 60 %: six fill the 360 s, the seventh waits 60 s more (computed)."""
    rows = [(0.0, 30.0, 60.0)] * 6 + [(rest, 30.0, 60.0)]
    assert overheated(timed(60.0, rows)) == found


@pytest.mark.parametrize(("arc", "found"), [(3.5, False), (3.6, True)])
def test_mean_of_a_long_run(arc: float, found: bool) -> None:
    """Over a long run the arc burns no more than 35 % of the time: 3.5 s in ten pass, 3.6 s do not (computed)."""
    assert bool(overheated(timed(35.0, [(0.0, 10.0 - arc, arc)] * 100))) == found


def test_cut_longer_than_the_whole_allowance() -> None:
    """130 s of arc in one go are more than the 120 s that 20 % allow (computed), whatever the rest."""
    assert overheated(timed(20.0, [(9999.0, 0.0, 130.0)])) == ["cut 1"]


@pytest.mark.parametrize(
    ("length", "width", "thickness", "material", "mass"),
    [
        (2000, 1000, 10, "mild steel", 157.0),  # printed in an engineering tutorial
        (2500, 1250, 6, "steel", 147.188),  # length x width x thickness x density, computed
        (3000, 1500, 12, "mild steel", 423.9),
        (2000, 1000, 3, "stainless", 48.0),
        (2500, 1250, 5, "aluminium", 42.188),
        (2500, 50, 8, "mild steel", 7.85),
        (1000, 1000, 1, "mild steel", 7.85),  # per square metre and millimetre, engineering tutorial
        (300, 200 / 2, 10, "mild steel", 2.355),  # gusset, half of the rectangle, computed
        (2000, 10 * 1.6, 8, "mild steel", 2.01),  # what ten kerfs of 1.6 mm take, computed
        (96 * 25.4, 48 * 25.4, 25.4 / 4, "mild steel", 326.7 * 0.45359237),  # 8 ft x 4 ft x 1/4 in, 0.2836 lb/in3
    ],
)
def test_mass(length: float, width: float, thickness: float, material: str, mass: float) -> None:
    """Mass is area times thickness times density."""
    plate = replace(one_strip().plates[0], thickness=thickness, material=material)
    assert wants.mass_of(length * width, plate) == pytest.approx(mass, abs=0.01)


PRICES = Prices(per_hour=45.0)
LEFT_OUT = (
    "Power: no price.",
    "Air: no price.",
    "Tips: no price.",
    "Electrodes: no price.",
    "Markup: none.",
    "Offcuts kept: no credit.",
)


def quoted() -> Plan:
    """One strip at 45 an hour: 334.691 s at the rig, worked out on paper, are 0.092970 h and 4.18; the plate is 20."""
    plate = CostLine(what="plate: sheet", quantity=1, unit="plate", price=20.0, amount=20.0, how="", assumed=False)
    time = CostLine(what="time at the rig", quantity=0.092970, unit="h", price=45.0, amount=4.18, how="", assumed=False)
    part = PartCost(name="bar", made=1, each=24.18, total=24.18, amounts=(20.0, 4.18))
    found = Quotation(
        job="by hand", currency="", lines=(plate, time), total=24.18, parts=(part,), left_out=LEFT_OUT, how=""
    )
    made = one_strip()
    return replace(made, rig=replace(made.rig, prices=PRICES), quotation=found)


MISSING = tuple(
    LeftOut(code=f"no_price.{what}") for what in ("power", "air", "tips", "electrodes", "markup", "offcuts")
)
"""The same as codes, as later editions have it."""


def of_quotation(made: Plan) -> list[str]:
    """What is found in its quotation."""
    return [each.about for each in costs.check_quotation(Bench(made))]


def test_a_quotation_is_worked_out_anew() -> None:
    """A dearer hour, a line too many, a line that is not said to be left out, a price of one part: each is found."""
    made = quoted()
    assert of_quotation(made) == []
    sound = made.quotation
    assert sound is not None
    plate, time = sound.lines
    assert of_quotation(replace(made, quotation=replace(sound, missing=MISSING))) == []
    for change, about in (
        ({"lines": (plate, replace(time, price=45.1))}, "quotation, time at the rig, price"),
        ({"lines": (plate, replace(time, assumed=True))}, "quotation, time at the rig"),
        ({"left_out": LEFT_OUT[1:]}, "quotation, power"),
        ({"left_out": LEFT_OUT[1:], "missing": MISSING[1:]}, "quotation, power"),
        ({"left_out": LEFT_OUT[1:], "missing": MISSING}, "quotation, left out"),
        ({"currency": "EUR"}, "quotation, currency"),
        ({"parts": (replace(sound.parts[0], each=24.0),)}, "quotation, bar"),
        ({"parts": (replace(sound.parts[0], amounts=(19.0, 5.18)),)}, "quotation, shares of plate: sheet"),
    ):
        assert about in of_quotation(replace(made, quotation=replace(sound, **change)))  # type: ignore[arg-type]
    assert of_quotation(replace(made, quotation=None)) == ["quotation"]


def test_a_quotation_must_add_up() -> None:
    """A total that is a cent more than its lines is found; its own check would not let it be made."""
    made = quoted()
    object.__setattr__(made.quotation, "total", 24.19)
    assert "quotation, total" in of_quotation(made)


def test_how_far_a_strip_bows() -> None:
    """The guide's worked figure: a strip of 1000 x 50 mm with one hot edge, cut at 762 mm/min with a kerf of 1.5 mm,
    bows 2.22 mm.
    """
    constant = trueness.HOT_C * trueness._heat(762, 1.5)
    assert constant == pytest.approx(0.00556, abs=5e-6)
    assert constant * (1000 / 50) ** 2 == pytest.approx(2.22, abs=0.01)


def test_root_of_squares_and_what_acts_alike() -> None:
    """A reading within 0.25, a zero known to 0.10, half a kerf within 0.10, a rail within 0.15:
    u 0.204, so 0.41 is likely (JCGM 100:2008, 5.1.2).
    """
    doubts = {
        "fence reading": trueness._within(0.25, 1), "fence zero": trueness.Doubtful(0.2, 0.1, False, True),
        "kerf": trueness._within(0.10, 1), "rail straightness": trueness._within(0.15, 1),
    }  # fmt: skip
    assert trueness._likely(0.0, doubts) == pytest.approx(0.41, abs=0.005)
    assert trueness._likely(-0.5, doubts | {"bevel": trueness.Doubtful(0.3, 0.0, True, True)}) == pytest.approx(
        1.21, abs=0.005
    )
