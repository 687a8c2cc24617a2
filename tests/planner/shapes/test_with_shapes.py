"""Jobs with straight-sided shapes, from job to replayed plan."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from stripplan import Job, Plate, Rectangle, Rig, Shape, plan
from stripplan.errors import CannotMakeError
from stripplan.files.parts.named_shapes import mitred
from stripplan.model.bevel import Bevel
from stripplan.model.effort import Effort
from stripplan.model.job import Options
from stripplan.model.part import Hole
from stripplan.model.plan.plan import Plan
from stripplan.model.plan.record import from_record, to_record
from stripplan.model.polygon import area
from stripplan.model.rig import Process
from stripplan.replay.verdict import replay
from tests.benchmarks.shapes import drawn_job, drawn_rig
from tests.checking import few

STEEL = Process(name="steel 8", material="mild steel", thickness=8, kerf=1.5, travel_speed=500)
RIG = Rig(processes=(STEEL,))
QUICK = Options(effort=Effort(steps=2))


def sheet(length: float, width: float, quantity: int | None = None) -> Plate:
    """A plate of steel."""
    return Plate(name="sheet", length=length, width=width, thickness=8, material="mild steel", quantity=quantity)


def gusset(quantity: int, **more: object) -> Shape:
    """A right-angled triangle, 120 x 80."""
    return Shape(name="gusset", outline=((0, 0), (120, 0), (0, 80)), quantity=quantity, **more)  # type: ignore[arg-type]


def made(parts: tuple[Shape | Rectangle, ...], *plates: Plate, rig: Rig = RIG, options: Options = QUICK) -> Plan:
    """The plan of a small job; it has passed the replay."""
    return plan(Job(name="small", plates=plates, parts=parts, options=options), rig)


def test_two_gussets_from_a_plate_for_one_and_a_kerf() -> None:
    """A plate as wide as a gusset, and longer by what the kerf takes along that side (k over the cosine of its angle to
    the diagonal), holds two; one that is as wide as a gusset alone holds one."""
    wide = 80 + 1.5 * math.hypot(120, 80) / 120
    just, narrow = (made((gusset(2),), sheet(120, math.ceil(1000 * each) / 1000)) for each in (wide, 80))
    assert (just.totals.plates, narrow.totals.plates) == (1, 2)
    assert [cut.located for cut in just.cuts] == ["mitre"]
    assert {piece.part for piece in just.pieces if piece.kind == "part"} == {"gusset"}


def test_a_frame_and_its_gussets() -> None:
    """Rails of two lengths with mitred ends and 8 gussets: all are made, the bar is set for several cuts at a time,
    plate is saved, and the plan says against what."""
    rails = (
        Shape(name="long", outline=mitred(600, 50, (45, 45), "long"), quantity=2),
        Shape(name="short", outline=mitred(400, 50, (45, 45), "long"), quantity=2),
    )
    found = made((*rails, gusset(8, allowance=1.0), Rectangle(name="plate", width=90, length=200)), sheet(1250, 1000))
    assert [(line.name, line.made) for line in found.parts] == [("long", 2), ("short", 2), ("gusset", 8), ("plate", 1)]
    on_bar = [cut for cut in found.cuts if cut.located == "mitre"]
    assert sum(cut.setup.mitre for cut in on_bar) < 0.7 * len(on_bar)
    alone, total = found.as_rectangles, found.total
    assert alone is not None
    assert total is not None
    used = 1250 * 1000 * found.totals.plates - found.totals.offcut_area
    assert used < alone.used_area
    assert total.bound <= total.total < alone.total
    parts = sum(part.quantity * area(part.outline_as_cut) for part in (*rails, gusset(8, allowance=1.0)))
    assert sum(piece.area for piece in found.pieces if piece.kind == "part") == pytest.approx(parts + 90 * 200, abs=1)
    assert found.proof.plates.bound <= 1
    again = from_record(Plan, to_record(found), "plan")
    assert again == found


def test_a_mitre_at_the_end_of_a_strip_spares_the_straight_cut() -> None:
    """A rail or a trapezium out of a strip as wide as it is takes two cuts: what slants takes off all that is over.
    Nothing is measured from the far end, which lies where the plate's own size has it.
    """
    rail = Shape(name="rail", outline=mitred(600, 50, (45, 45), "long"))
    cheek = Shape(name="cheek", outline=((0, 0), (220, 0), (180, 150), (40, 150)))
    for part, long, wide, lean in ((rail, 1000, 50, 50), (cheek, 300, 150, 40)):
        found = made((part,), sheet(long, wide))
        corners = [cut.mitre.corner[0] for cut in found.cuts if cut.mitre is not None]
        assert len(corners) == len(found.cuts) == 2
        assert max(corners) < long - 1
        over = (long - part.length) * wide + lean * wide / 2 - 1.5 * math.hypot(lean, wide)
        assert max(piece.area for piece in found.pieces if piece.kind == "scrap") == pytest.approx(over, abs=1)


def test_rectangles_come_out_of_what_falls_beside_a_gusset() -> None:
    """A gusset 600 x 500 and four plates of 100 x 150 come from one sheet of 640 x 520, which has no room beside the
    gusset's rectangle; two sheets are dearer. Where somebody asks how true they are, they are cut as ever, as nobody
    could say it. What the list says of their sizes is looked at by the replay.
    """
    large = Shape(name="gusset", outline=((0, 0), (600, 0), (0, 500)))
    small = Rectangle(name="plate", width=100, length=150, quantity=4)
    steel = replace(sheet(640, 520), cost=20.0)
    found = made((small, large), steel)
    assert found.totals.plates == 1
    assert [(line.name, line.made, line.wanted) for line in found.parts] == [("plate", 4, 4), ("gusset", 1, 1)]
    assert all(abs(wide - 100) + abs(long - 150) < 1 for wide, long in found.parts[0].size_expected)
    assert not found.parts[0].accuracy
    wrong = replace(found.parts[0], size_expected=((102.0, 150.0),))
    assert "size_expected" in {each.code for each in replay(replace(found, parts=(wrong, found.parts[1])))}
    assert found.as_rectangles is not None
    assert found.total is not None
    assert (found.as_rectangles.plates, found.as_rectangles.total > found.total.total) == (2, True)
    again = from_record(Plan, to_record(found), "plan")
    assert again == found
    true = made((replace(small, plus_minus=1.0), large), steel)
    assert (true.totals.plates, len(true.parts[0].accuracy)) == (2, 2)


@pytest.mark.long
def test_a_mill_edge_beside_no_part_is_not_trimmed() -> None:
    """Rows of rails and gussets run along a sheet and end before its edge: what is left there has its mill edge still.
    Each strip of scrap as wide as the trim lies a kerf beside what parts come out of."""
    rail = Shape(name="rail", outline=mitred(600, 60, (45, 45), "long"), quantity=2)
    options = replace(QUICK, trim=6.0)
    found = made((rail, gusset(4), Rectangle(name="bar", width=50, length=700)), sheet(1250, 1000), options=options)
    pieces = {piece.id: piece for piece in found.pieces}
    parts = [piece.box for piece in found.pieces if piece.kind == "part"]
    trims = [
        pieces[one].box
        for cut in found.cuts
        for one in cut.makes
        if one is not None and pieces[one].kind == "scrap" and min(_sides(pieces[one].box)) == pytest.approx(6)
    ]
    assert 1 <= len(trims) <= 2, "a sheet so empty has rows at two of its edges at the most"
    for x0, y0, x1, y1 in trims:
        near = (x0 - 1.6, y0 - 1.6, x1 + 1.6, y1 + 1.6)
        assert any(a0 < near[2] and b0 < near[3] and a1 > near[0] and b1 > near[1] for a0, b0, a1, b1 in parts)


def _sides(some: tuple[float, float, float, float]) -> tuple[float, float]:
    return some[2] - some[0], some[3] - some[1]


def test_never_dearer_than_rectangles_and_the_same_again() -> None:
    """Whatever is chosen costs no more than each shape in a rectangle of its own; the same job gives the same plan."""
    job = Job(name="small", plates=(sheet(600, 400),), parts=(gusset(5),), options=QUICK)
    one, other = plan(job, RIG), plan(job, RIG)
    assert to_record(one) == to_record(other)
    assert one.as_rectangles is not None
    assert one.total is not None
    assert one.total.total <= one.as_rectangles.total + 1e-9


def test_what_cannot_be_cut_is_told_with_its_corners() -> None:
    """A corner so flat that no metal is left beside its edges, a shape too narrow, angles that nothing sets: named with
    the place, and left out of a partial plan."""
    blunt = ((0, 0), (55.7, 3.7), (101.3, 36), (103.7, 63.9), (72.2, 53.6), (21.6, 36.9))
    nick = Shape(name="nick", outline=blunt)
    needle = Shape(name="needle", outline=((0, 0), (300, 0), (0, 8)))
    flat = Shape(name="flat", outline=((0, 0), (300, 0), (300, 30), (0, 90)))
    huge = Shape(name="huge", outline=((0, 0), (1700, 0), (0, 800)))
    wide = Shape(name="wide", outline=((0, 0), (800, 0), (0, 400)))
    short = replace(RIG, stroke=850.0, two_pass=False)
    round_it = [2 * math.pi * n / 41 for n in range(41)]
    curve = Shape(name="curve", outline=tuple((100 * math.cos(each), 100 * math.sin(each)) for each in round_it))
    strict = replace(RIG, marked=False, mitre_min=85.0, mitre_max=95.0, bed_length=None)
    cases = (
        (nick, RIG, "beside its edge from corner (103.7 mm, 63.9 mm) to corner (72.2 mm, 53.6 mm) too little metal"),
        (needle, RIG, "at its narrowest it is 7.997 mm as cut, narrower than a torch can part: the least is 12 mm"),
        (flat, strict, "its edge from corner (300 mm, 30 mm) to corner (0 mm, 90 mm) cannot be cut"),
        (
            huge,
            RIG,
            "the rectangle around it: 800 x 1700 mm as cut is bigger than any plate: the largest is 1000 x 500",
        ),
        (wide, short, "to corner (0 mm, 400 mm) is 894.427 mm long as cut, and the rig cuts at most"),
        (curve, RIG, "its outline has 41 corners; more than 40 are a curve"),
    )
    for shape, rig, words in cases:
        with pytest.raises(CannotMakeError) as stopped:
            made((shape,), sheet(1000, 500), rig=rig)
        assert words in str(stopped.value), shape.name
    options = replace(QUICK, partial=True)
    rest = made((nick, Rectangle(name="plate", width=90, length=200)), sheet(1000, 500), options=options)
    assert [(line.name, line.made) for line in rest.parts] == [("nick", 0), ("plate", 1)]
    assert any(each.code == "cannot_make" and "nick" in each.about for each in rest.warnings)


def test_hair_fine_edges_pass_the_replay() -> None:
    """Outlines with an edge of 0.002 to 0.05 mm or a corner a hair off a line failed the plan's own check, or found no
    edge to bevel: they are cut as the outline without it."""
    outlines = (
        ((0, 0), (763.659094, 0), (763.657094, 0.002), (0, 249.99)),
        ((28.205466, 0), (166, 0.002), (0, 97.581638), (0, 0.002)),
        ((0, 0), (60, -0.005), (120, 0), (0, 80)),
        ((0, 0), (120, 0), (120, 0.05), (0, 80)),
    )
    for outline in outlines:
        shape = Shape(name="hair", outline=outline, quantity=2, bevels=(Bevel(edge=1, angle=30.0),))
        assert len(shape.outline) == 3
        assert shape.outline == replace(shape, outline=shape.outline).outline, "the same when asked again"
        found = made((shape,), sheet(1250, 1000), rig=replace(RIG, tilt_max=45.0))
        assert [line.made for line in found.parts] == [2]
        assert len(found.bevels) + len(found.hand_bevels) == 2


def test_a_plan_on_a_trimmed_plate_is_kept_with_its_mill_edges_off() -> None:
    """What falls beside shapes at a mill edge holds its trim: where the plan is kept no part comes to lie there, and
    what stays weighs what it did. Both failed the plan's own check."""
    rectangle = Rectangle(name="rectangle", width=90, length=200, quantity=2)
    large = Shape(name="large", outline=((0, 0), (290, 0), (0, 248.3)), quantity=5)
    foot = Shape(name="foot", outline=((0, 0), (200, 0), (250, 90), (50, 90)), quantity=1)
    gusset_of = Shape(name="gusset", outline=((0, 0), (120, 0), (0, 80)), quantity=3)
    for shapes in ((large,), (foot, gusset_of)):
        options = replace(QUICK, trim=8.0)
        job = Job(name="small", plates=(sheet(1000, 500),), parts=(*shapes, rectangle), options=options)
        before = plan(job, RIG)
        after = plan(job, RIG, keep=before)
        assert [line.made for line in after.parts] == [part.quantity for part in job.parts]
        assert after.totals.plates == before.totals.plates


def test_a_shape_with_holes_that_cannot_be_made_is_told_with_them() -> None:
    """It is left out of a partial plan, which failed its own check; where nothing else is wanted it is said why there
    is no plan, and not that there is no part."""
    outline = ((0, 0), (1900, 0), (1900, 700), (800, 980), (0, 900))
    drilled = Shape(name="drilled", outline=outline, holes=(Hole(x=200, y=200, length=10, width=10),))
    options = replace(QUICK, partial=True)
    found = made((drilled, Rectangle(name="plate", width=90, length=200)), sheet(2000, 1000), options=options)
    told = {each.code for each in found.warnings if "drilled" in each.about}
    assert {"drill_later", "cannot_make"} <= told
    with pytest.raises(CannotMakeError, match="drilled"):
        made((drilled,), sheet(2000, 1000), options=options)


def test_the_bevels_of_a_slender_gusset_that_lies_turned_over() -> None:
    """Its long edges are 0.5 mm apart in length and 4 degrees in direction: turned over, the one is not the other."""
    outline = ((0, 0), (182.150697, 0), (182.150697, 14))
    bevels = (
        Bevel(edge=0, angle=30.0),
        Bevel(edge=1, angle=45.0, face="both"),
        Bevel(edge=2, angle=30.0, face="other"),
    )
    for corners in (outline, tuple((-x, y) for x, y in reversed(outline))):
        slender = Shape(name="slender", outline=corners, bevels=bevels, quantity=2)
        rig = Rig(processes=(replace(STEEL, kerf=0.8),), stroke=1300.0, hoist=True)
        found = made((slender,), sheet(2000, 1000), rig=rig)
        assert len(found.bevels) + len(found.hand_bevels) == 8


def test_a_shape_as_large_as_its_plate() -> None:
    """It takes no cut to come off the plate, however far the rig cuts."""
    whole = Shape(name="whole", outline=((0, 0), (2000, 0), (2000, 1000), (0, 1000)))
    assert not made((whole,), sheet(2000, 1000)).cuts


def test_a_sharp_point_is_told() -> None:
    """A corner below 30 degrees is told with what of it is thinner than the kerf: at an angle a, k / (2 tan(a / 2))."""
    wedge = Shape(name="wedge", outline=((0, 0), (300, 0), (0, 80)))
    (said,) = (each for each in made((wedge, gusset(2)), sheet(1000, 500)).warnings if each.code == "sharp_point")
    over = 1.5 / (2 * math.tan(math.atan2(80, 300) / 2))
    assert said.about == "wedge"
    assert f"at corner (300 mm, 0 mm): its last {over:.1f} mm" in said.text


def test_direction_of_rolling_is_kept() -> None:
    """A shape whose length runs along the rolling direction lies so, or turned by half a turn, or over."""
    rolled = replace(sheet(1000, 500), rolling="width")
    found = made((gusset(3, rolling="length"),), rolled)
    for piece in (each for each in found.pieces if each.kind == "part"):
        x0, y0, x1, y1 = piece.box
        assert (x1 - x0, y1 - y0) == (pytest.approx(80, abs=0.01), pytest.approx(120, abs=0.01))


@pytest.mark.parametrize("seed", few(1, range(401, 701)))
def test_random_jobs_pass_the_replay(seed: int) -> None:
    """Random shapes on random rigs: planned and replayed, or told why not."""
    try:
        found = plan(drawn_job(seed, 1), drawn_rig(seed))
    except CannotMakeError as error:
        assert error.faults
        return
    assert all(line.made == line.wanted for line in found.parts)


def test_the_block_that_can_be_freed_with_what_is_left_is_the_last_of_its_row() -> None:
    """Beside a gusset in the corner of what is left one cut along its long side frees it; beside two that share theirs
    and fill their block the straight cut would be needed. So those come off first: three cuts in all."""
    two = Shape(name="two", outline=((0, 0), (199, 0), (0, 99)), quantity=2)
    one = Shape(name="one", outline=((0, 0), (176, 0), (0, 66)), quantity=1)
    plate = replace(sheet(395, 99, 1), measured=True)
    found = made((two, one), plate, rig=replace(RIG, narrowest_offcut=0.0), options=replace(QUICK, keep=(1e5, 1e5)))
    assert [(line.name, line.made) for line in found.parts] == [("two", 2), ("one", 1)]
    assert len(found.cuts) == 3


def test_a_block_in_waste_on_two_sides_is_freed_by_its_edges_alone() -> None:
    """A parallelogram in the corner of a larger plate: two ends and a long side, and no straight cut beside its box."""
    shape = Shape(name="tread", outline=((0, 0), (161, 0), (193, 70), (32, 70)), quantity=1)
    plate = replace(sheet(283, 107, 1), measured=True)
    found = made((shape,), plate, options=replace(QUICK, keep=(1e5, 1e5)))
    assert len(found.cuts) == 3


def test_a_corner_that_touches_its_block_was_refused() -> None:
    """Of a row in a block as wide as they are but for the rounding every second one lay 0.0003 mm over its side: a
    corner of 177 degrees became two, and the plan was refused though each part was true to a hair."""
    outline = ((95.1, 0.0), (348.2, 12.0), (275.6, 67.9), (237.2, 74.0), (134.8, 67.4), (0.0, 1.3))
    found = made((Shape(name="six corners", outline=outline, quantity=4),), sheet(1250, 90, 1))
    assert [line.made for line in found.parts] == [4]


@pytest.mark.slow
def test_a_bowed_edge_beside_a_row_of_shapes_was_refused() -> None:
    """A row that is cut off against an edge which has bowed says so, though what comes off is no part yet."""
    found = plan(drawn_job(2125, 1), drawn_rig(2125))
    kinds = {piece.id: piece.kind for piece in found.pieces}
    assert any(kinds[cut.makes[0] or ""] == "blank" for cut in found.cuts if cut.edge_bow is not None)
