"""The small picture of a bevel: the part lies as the plan says, either face up, and what the words name is written."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from functools import cache

import pytest
from shapely import Polygon, box

from stripplan import plan
from stripplan.model.bevel import Bevel
from stripplan.model.effort import Effort
from stripplan.model.job import Job, Options
from stripplan.model.part import Rectangle, Shape
from stripplan.model.plan.bevel import BevelCut
from stripplan.model.plan.plan import Plan
from stripplan.model.plate import Plate
from stripplan.sheets.paper.text import DESK, width_of
from stripplan.sheets.picture.svg_canvas import bevel_svg
from stripplan.sheets.rows.forms import edges_of
from stripplan.sheets.rows.lookup import Bench
from stripplan.sheets.rows.plan_rows import sheet
from stripplan.sheets.rows.row_types import BevelRow
from tests.replay.bevelled import bevelled, tilting

CLIPPED = ((0.0, 0.0), (260.0, 0.0), (260.0, 90.0), (160.0, 180.0), (0.0, 180.0))
SLANTED = ((0.0, 0.0), (300.0, 0.0), (380.0, 120.0), (80.0, 120.0))


@cache
def tank_corner() -> Plan:
    """Rectangles, slender ones among them, and shapes with bevels from either face on edges of all ways."""
    plates = (Plate(name="sheet", length=1250, width=800, thickness=8, material="S235", measured=True, cost=40),)
    up, under = Bevel(edge=1, angle=30, root_face=2), Bevel(edge=3, angle=30, root_face=2, face="other")
    both = Bevel(edge=0, angle=30, root_face=2, face="both")
    parts = (
        Rectangle(name="side", width=300, length=400, quantity=2, bevels=(up, under)),
        Rectangle(name="strap", width=40, length=700, quantity=2, bevels=(both,)),
        Shape(
            name="corner", outline=CLIPPED, quantity=2,
            bevels=(both, replace(up, edge=2), replace(under, edge=4)),
        ),
        Shape(name="chute", outline=SLANTED, bevels=(replace(up, edge=0), up, under)),
    )  # fmt: skip
    job = Job(name="tank corner", plates=plates, parts=parts, options=Options(effort=Effort(steps=2)))
    return plan(job, tilting(fence_max=400.0))


PLANS = (bevelled, tank_corner)


def found(made: Plan) -> list[tuple[BevelCut, BevelRow]]:
    """Bevels with their rows."""
    rows = [row for group in sheet(made).bevels for row in group.rows]
    return list(zip(made.bevels, rows, strict=True))


@pytest.mark.parametrize("made", PLANS)
def test_the_part_lies_for_a_bevel_as_the_plan_says(made: object) -> None:
    """Turned over it is seen in mirror image; the bevelled edge is left of the torch, what lies on the fence right of
    all, both along the travel; the torch comes to metal that goes at the start line, and leaves it at the end."""
    bench = Bench(made())  # type: ignore[operator]
    turned_over = 0
    for cut, row in found(bench.plan):
        lie, piece = row.lie, bench.pieces[cut.piece]
        shape = Polygon(lie.outline)
        assert shape.exterior.is_ccw == cut.face_up == lie.face_up
        turned_over += not cut.face_up
        here = dict(zip(lie.letters, edges_of(lie.outline), strict=True))
        there = {bench.letter(piece, edge): edge for edge in edges_of(piece.outline)}
        assert here.keys() == there.keys()
        for letter, edge in here.items():
            assert math.dist(*edge) == pytest.approx(math.dist(*there[letter]), abs=0.03)
        left, _, right, _ = shape.bounds
        assert [x for x, _ in here[lie.edge]] == pytest.approx([left, left], abs=0.02)
        assert left == pytest.approx(-lie.inward)
        assert (lie.right == "") == (cut.located == "marked")
        if lie.right:
            assert [x for x, _ in here[lie.right]] == pytest.approx([right, right], abs=0.02)
            assert right == pytest.approx(cut.axis, abs=0.02)
        goes = shape.intersection(box(left, -1e6, left + lie.set_back, 1e6))
        assert (goes.bounds[1], goes.bounds[3]) == pytest.approx((0.0, cut.length), abs=0.05)
        first = min(here[lie.edge], key=lambda point: point[1])
        assert min(math.dist(first, end) for end in here[lie.start]) < 0.02
        if lie.corner is not None:
            assert lie.corner[1] == pytest.approx(cut.corner_at, abs=0.02)
            assert lie.corner == min(here[lie.right or lie.edge], key=lambda point: point[1])
    assert turned_over


@pytest.mark.parametrize("made", PLANS)
def test_the_picture_says_what_the_words_say(made: object) -> None:
    """Letters of the bevelled edge, of those on the fence and at the start line; the face that is up; whether anything
    lies on the fence, or a line is followed."""
    for _, row in found(made()):  # type: ignore[operator]
        words = re.findall(r">([^<>]+)</text>", bevel_svg(row))
        lie = row.lie
        assert {row.edge[0], row.leading[0], "start"} <= set(words)
        assert ("TOP" if lie.face_up else "UNDER") in words
        assert ("UNDER" if lie.face_up else "TOP") not in words
        assert ("FENCE" in words) == bool(row.on_fence)
        assert not row.on_fence or row.on_fence[0] in words


def test_a_slender_part_is_drawn_wider() -> None:
    """One of 700 by 40 finds room for letters and is said not to be to scale; one of 400 by 300 is to scale."""
    rows = {row.name.split(",")[0]: row for _, row in found(tank_corner())}
    assert "not to scale" in bevel_svg(rows["strap"])
    assert "not to scale" not in bevel_svg(rows["side"])


def test_corners_off_the_start_line_are_named() -> None:
    """By the letters of both edges that meet there, one of which lies on the fence, or is bevelled along a line."""
    told = 0
    for cut, row in found(tank_corner()):
        assert bool(row.corner) == (abs(cut.corner_at) > 0.01)
        if row.corner:
            told += 1
            assert (row.on_fence or row.edge)[0] in row.corner.split()[1]
    assert told


def test_the_mark_of_a_corner_lies_on_no_letter_of_the_fence() -> None:
    """It is a square 4 points wide on the fence's face; the word on the fence moves out of its way."""
    half, moved = width_of("FENCE", DESK, bold=True) / 2, set()
    for _, row in found(tank_corner()):
        drawn = bevel_svg(row)
        words = re.search(r"translate\(\S+ (\S+)\)rotate\(-90\)\">FENCE<", drawn)
        mark = re.search(r"M\S+ (\S+)h4v-4h-4Z", drawn)
        if words and mark:
            assert abs(float(words[1]) - (float(mark[1]) - 2)) >= half + 2
            moved.add(float(words[1]))
    assert len(moved) > 1
