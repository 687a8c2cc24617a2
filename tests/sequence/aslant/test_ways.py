"""How cuts at an angle are set: figures by hand, from plane trigonometry."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from stripplan.model.cut_rules import CutRules
from stripplan.model.plate import Plate
from stripplan.model.polygon import Line, Outline, line_of
from stripplan.model.rig import Process, Rig
from stripplan.model.shapes.block import Falls, Parted
from stripplan.rig.machine.aslant import bar_angle, bar_stop, beyond_exit
from stripplan.rig.machine.limits import cut_rules
from stripplan.sequence.aslant.order import in_order
from stripplan.sequence.aslant.piece import SlantedPiece
from stripplan.sequence.aslant.ways import ways
from stripplan.sequence.conditions import CutConditions

KERF = 2.0
PROCESS = Process(name="steel 8", material="mild steel", thickness=8, kerf=KERF, travel_speed=500)
RIG = Rig(processes=(PROCESS,), lead_in=10, overrun=8, end_stop_min=50, end_stop_step=5)
BLANK: Outline = ((0.0, 0.0), (300.0, 0.0), (300.0, 100.0), (0.0, 100.0))


def conditions(rig: Rig = RIG, **limits: object) -> CutConditions:
    """What the cuts of a plate depend on, with other limits where they are given."""
    rules = cut_rules(rig, Plate(name="sheet", length=2000, width=1000, thickness=8, material="mild steel"), PROCESS)
    rules = replace(rules, **limits)  # type: ignore[arg-type]
    assert isinstance(rules, CutRules)
    return CutConditions(rig, rules, PROCESS, ())


def piece(outline: Outline, line: Line, *, face_up: bool = True, given: CutConditions | None = None) -> SlantedPiece:
    """A piece with clean edges that is to be parted along a line."""
    node = Parted(outline, line, Falls(outline, None), Falls(outline, None))
    return SlantedPiece(given or conditions(), node, outline, ("mill",) * len(outline), face_up)


def test_bar_for_a_mitred_end() -> None:
    """A strip 100 wide is cut at 45 degrees, 200 long at its short point on the lower edge: with that edge on the bar
    and its left end at the stop, the stop is 200 + k / (2 sin 45), and the bar stands at 135 degrees to the travel."""
    at = 200 + KERF / 2 * math.sqrt(2)
    line = line_of(((at, 0.0), (at + 100, 100.0)))
    found = [each for each in ways(piece(BLANK, line)) if each.mitre is not None]
    stops = {(each.mitre.angle, each.mitre.stop, each.bar[2]) for each in found if each.mitre and each.bar}
    upward = {(135.0, round(at, 6), True), (135.0, round(300 - at, 6), False)}
    assert upward <= stops, "up from the lower edge: the kept length lies left of the travel"
    assert bar_stop(200, KERF, 45) == pytest.approx(at)
    assert bar_angle((math.cos(math.pi / 4), math.sin(math.pi / 4)), (1, 0)) == pytest.approx(135)


def test_end_stop_waits_for_all_of_the_kerf() -> None:
    """Beyond the exit half a kerf runs on by k / 2 cot b: at 45 degrees by half the kerf, added before rounding up."""
    line = line_of(((100.0, 0.0), (200.0, 100.0)))
    found = ways(piece(BLANK, line))
    need = RIG.lead_in + 100 * math.sqrt(2) + KERF / 2 + RIG.overrun
    assert {each.least_stop for each in found} == {5 * math.ceil(need / 5)}
    assert beyond_exit(KERF, 45) == pytest.approx(KERF / 2)


def test_slanted_edge_on_the_fence() -> None:
    """A parallelogram with its slanted end on the fence: F is the distance at right angles, and the corner on the fence
    lies ahead of the start line by what the end leans over."""
    lean: Outline = ((0.0, 0.0), (300.0, 0.0), (400.0, 100.0), (100.0, 100.0))
    width = 50.0
    end = line_of((lean[0], lean[3]))
    line = end.moved(width + KERF / 2)
    way = ways(piece(lean, line))[0]
    assert way.located == "fence"
    assert way.setting.offset == pytest.approx(width + KERF / 2)
    assert way.edge_on_fence is not None
    # The torch comes in on the other edge, (F / sin 45) on along it; along the travel that is F / tan 45.
    assert abs(way.corner_at) == pytest.approx((width + KERF / 2) / math.tan(math.pi / 4), abs=1e-6)


def test_the_long_edge_of_a_rail_lies_on_the_bar() -> None:
    """The second mitre of a rail 800 x 60, from either direction: its torch-cut end of 60 would take the bar as it
    stands, but 800 that hang on 60 swing. Only where the bar does not come to the angle of the long edge it may."""
    rail: Outline = ((0.0, 0.0), (800.0, 0.0), (740.0, 60.0), (0.0, 60.0))
    off = KERF / 2 * math.sqrt(2)
    line = line_of(((-off, 0.0), (60.0 - off, 60.0)))
    found = ways(piece(rail, line))
    assert {round(math.dist(*each.mitre.edge)) for each in found if each.mitre} == {740}
    assert any(each.mitre.stop == pytest.approx(60 - off) for each in found if each.mitre)
    near = ways(piece(rail, line, given=conditions(replace(RIG, mitre_max=90.0))))
    assert {round(math.dist(*each.mitre.edge)) for each in near if each.mitre} == {60}


def settings(face_up: bool) -> set[tuple[float, float, bool]]:
    """Angle, stop and its side of all ways on the bar for one cut."""
    line = line_of(((100.0, 0.0), (180.0, 100.0)))
    return {each.bar for each in ways(piece(BLANK, line, face_up=face_up)) if each.bar is not None}


def test_face_down_the_hand_changes() -> None:
    """A piece that lies face down is seen in a mirror: the bar leans the other way, the stop is at the other hand."""
    up, down = settings(True), settings(False)
    assert len(up) == 4
    assert down == {(round(180 - angle, 6), stop, not left) for angle, stop, left in up}


def test_what_no_bar_takes_is_marked() -> None:
    """Out of the bar's angles a cut is marked by two points on the metal; where the rig marks none there is no way."""
    line = line_of(((20.0, 0.0), (280.0, 100.0)))
    tight = replace(RIG, mitre_min=60.0, mitre_max=120.0)
    (way,) = ways(piece(BLANK, line, given=conditions(tight)))
    assert way.marks is not None
    slope = 100 / 260
    for along, away in zip(way.marks.along, way.marks.distance, strict=True):
        (x0, y0), (x1, y1) = way.marks.edge
        dx, dy = (x1 - x0) / math.dist(*way.marks.edge), (y1 - y0) / math.dist(*way.marks.edge)
        x, y = x0 + along * dx - away * dy, y0 + along * dy + away * dx
        assert y == pytest.approx((x - 20) * slope, abs=1e-4)
    assert ways(piece(BLANK, line, given=conditions(tight, marked=False))) == ()


def test_alike_blocks_are_cut_at_one_setting() -> None:
    """Blocks alike, wherever they lie on the plate, are cut one after the other, the bar standing as it stands."""
    moved_by = (0.0, 333.333, 700.1)
    blocks = []
    for n, by in enumerate(moved_by):
        outline = tuple((x + by, y + by / 3) for x, y in BLANK)
        line = line_of(((60 + by, by / 3), (160 + by, 100 + by / 3)))
        node = Parted(outline, line, Falls(outline, None), Falls(outline, None))
        blocks.append((n, SlantedPiece(conditions(), node, outline, ("mill",) * 4, face_up=True)))
    found = in_order(RIG, blocks)
    assert [each.plate for each in found] == [0, 1, 2]
    assert len({(each.cut.bar, each.stop) for each in found}) == 1
