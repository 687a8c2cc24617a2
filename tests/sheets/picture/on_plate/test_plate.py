"""The picture of a plate: nothing written lies on anything else, and everything stands where it belongs."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import combinations

import pytest

from stripplan.model.plan.cut import Cut
from stripplan.model.plan.plan import Plan
from stripplan.sheets.picture.lettering import Box, meet, text_box
from stripplan.sheets.picture.on_plate.plate import plate_picture
from stripplan.sheets.picture.shapes import Outline, Picture
from stripplan.wording.quantity import show_length
from tests.checking import in_turn
from tests.sheets.plans import PLANS

NAMES = sorted(PLANS)


def shown(name: str) -> tuple[Plan, Picture]:
    """A specimen and its picture."""
    made = PLANS[name]()
    return made, plate_picture(made, "P1")


def around(points: tuple[tuple[float, float], ...]) -> Box:
    """The box of some points."""
    xs, ys = zip(*points, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def holds(outer: Box, inner: Box, slack: float = 1e-6) -> bool:
    """Whether a box lies within another."""
    return all(a <= b + slack for a, b in zip(outer[:2], inner[:2], strict=True)) and all(
        a >= b - slack for a, b in zip(outer[2:], inner[2:], strict=True)
    )


def written(picture: Picture) -> list[Box]:
    """Boxes of all that is written: numbers, arrowheads, labels, letters of the edges, positions."""
    circles = [
        (each.at[0] - each.radius, each.at[1] - each.radius, each.at[0] + each.radius, each.at[1] + each.radius)
        for each in picture.bubbles
    ]
    arrows = [around(each.points) for each in picture.outlines if each.layer == "TEXT"]
    return circles + arrows + [text_box(each) for each in picture.texts + picture.positions]


def travel(cut: Cut) -> tuple[float, float]:
    """Direction of travel in the first pass, of length 1."""
    (x0, y0), (x1, y1) = cut.line
    return (x1 - x0) / cut.length, (y1 - y0) / cut.length


def pointing(arrow: Outline) -> tuple[float, float]:
    """From the middle of an arrowhead's base to its tip, of length 1."""
    (ax, ay), (bx, by), (tx, ty) = arrow.points
    dx, dy = tx - (ax + bx) / 2, ty - (ay + by) / 2
    return dx / math.hypot(dx, dy), dy / math.hypot(dx, dy)


@in_turn("name", NAMES)
def test_nothing_written_lies_on_anything_else(name: str) -> None:
    """Numbers, arrowheads, labels and positions keep apart, also where there are 300 cuts 2 mm apart."""
    _, picture = shown(name)
    clashes = [pair for pair in combinations(written(picture), 2) if _overlap(*pair) > 1e-6]
    assert clashes == []


def _overlap(one: Box, other: Box) -> float:
    if not meet(one, other):
        return 0.0
    return min(min(one[2], other[2]) - max(one[0], other[0]), min(one[3], other[3]) - max(one[1], other[1]))


@in_turn("name", NAMES)
def test_each_label_stays_in_its_piece_and_each_part_has_one(name: str) -> None:
    """A label lies in exactly one piece; every part and offcut is named, by its id if nothing longer fits."""
    made, picture = shown(name)
    ends = {each.id: each.box for each in made.pieces if each.kind in ("part", "offcut", "scrap")}
    labels = [text_box(each) for each in picture.texts if not each.bold]
    homes = [[key for key, box in ends.items() if holds(box, label)] for label in labels]
    assert all(len(each) == 1 for each in homes)
    named = {each.id for each in made.pieces if each.kind in ("part", "offcut")}
    assert named <= {home for (home,) in homes}


@in_turn("name", NAMES)
def test_each_cut_has_its_number_and_arrow_on_its_torch_line(name: str) -> None:
    """The number stands on the line's first half wherever that has room; its arrowhead points along the travel."""
    made, picture = shown(name)
    assert [each.number for each in picture.bubbles] == [each.number for each in made.cuts]
    for cut, bubble in zip(made.cuts, picture.bubbles, strict=True):
        (x0, y0), (dx, dy) = cut.line[0], travel(cut)
        along = (bubble.at[0] - x0) * dx + (bubble.at[1] - y0) * dy
        aside = (bubble.at[1] - y0) * dx - (bubble.at[0] - x0) * dy
        assert aside == pytest.approx(0, abs=1e-6)
        assert 0 < along < cut.length * (0.5 if len(made.cuts) < 10 else 1.0)
    arrows = [each for each in picture.outlines if each.layer == "TEXT"]
    found = sorted(pointing(each) for each in arrows)
    want = sorted(
        (sign * dx, sign * dy)
        for cut in made.cuts
        for dx, dy in [travel(cut)]
        for sign in ((1, -1) if len(cut.passes) == 2 else (1,))
    )
    assert found == [pytest.approx(each, abs=1e-6) for each in want]


@in_turn("name", NAMES)
def test_the_box_holds_all_that_is_drawn(name: str) -> None:
    """Lead-ins, overruns and positions lie inside the picture's box, however small the plate."""
    _, picture = shown(name)
    lines = [around((each.start, each.end)) for each in picture.lines]
    assert all(holds(picture.box, each) for each in lines + written(picture))


def test_the_box_grows_with_a_long_lead_in() -> None:
    """Positions stand beyond the end of a torch line and stay in the box where that reaches far out."""
    made = PLANS["two passes"]()
    picture = plate_picture(replace(made, rig=replace(made.rig, lead_in=120.0)), "P1")
    assert all(holds(picture.box, each) for each in written(picture))
    assert picture.box[0] < -120


def test_positions_are_distances_from_the_edge_they_name() -> None:
    """Beyond the edge that a torch line leaves by: 50.75 and 102.25 from edge A, y = 0; 200.75 from edge D, x = 0."""
    _, picture = shown("two passes")
    assert {each.text for each in picture.positions} == {"A 50.75", "A 102.25", "D 200.75"}
    for each in picture.positions:
        x0, _, x1, y1 = around(((0.0, 0.0), (1000.0, 300.0)))
        box = text_box(each)
        assert box[2] < x0 or (box[1] > y1 and x0 < each.at[0] < x1)
        assert float(each.text[2:]) == (each.at[0] if each.upright else each.at[1])


def test_sizes_are_shown_in_the_units_of_the_job() -> None:
    """A bar of 1000 x 50 mm reads in inches where the job does."""
    texts = [each.text for each in shown("inches")[1].texts]
    assert f"bar  {show_length(1000, 'in')} x {show_length(50, 'in')}" in texts
    assert "bar  1000 x 50" in [each.text for each in shown("two passes")[1].texts]


def test_what_surrounds_a_plate_can_be_sized_for_a_larger_one() -> None:
    """Letters of the edges are as high on a small plate as on the large one beside it; its own labels stay."""
    made = PLANS["pushed up"]()
    alone, beside = plate_picture(made, "P1"), plate_picture(made, "P1", around=3000.0)
    assert [each.height for each in beside.texts if each.bold] == [pytest.approx(3000 / 45)] * 4
    assert [each for each in alone.texts if not each.bold] == [each for each in beside.texts if not each.bold]
    assert holds(beside.box, alone.box)


def test_no_letter_hides_a_figure() -> None:
    """Once the letter D took the place of `A 256.75`: where a torch line leaves the plate near a quarter of its width
    the letter gives way, and the figure stands."""
    made = PLANS["stays on fence"]()
    (width,) = {each.width for each in made.plates}
    cut = made.cuts[0]
    there = tuple((x, width / 4) for x, _ in cut.line)
    moved = replace(made, cuts=(replace(cut, line=there), *made.cuts[1:]))  # type: ignore[arg-type]
    picture = plate_picture(moved, "P1")
    assert f"A {show_length(width / 4, 'mm')}" in {each.text for each in picture.positions}
    letters = {each.text: text_box(each) for each in picture.texts if each.bold}
    assert set(letters) == set("ABCD")
    assert not [text for box in letters.values() for text in picture.positions if meet(box, text_box(text))]
