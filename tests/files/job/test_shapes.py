"""Straight-sided shapes in a job file: each way to name one, and what is said of one that is none."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from stripplan.files.job.read import load_job
from stripplan.files.parts.named_shapes import clipped, mitred
from stripplan.model.part import Shape
from stripplan.model.polygon import area, edges, from_edge
from tests.files.parts.specimens import said, write

PLATE = "[[plate]]\nlength = 2000\nwidth = 1000\n[[part]]\nname = 'a'\n"


def outline(more: str, tmp_path: Path) -> tuple[tuple[float, float], ...]:
    """The outline of the part that is described so."""
    (part,) = load_job(write(tmp_path, PLATE + more))[0].parts
    assert isinstance(part, Shape)
    return tuple((round(x, 3) + 0.0, round(y, 3) + 0.0) for x, y in part.outline)


def test_every_way_to_name_a_shape(tmp_path: Path) -> None:
    """Outline, triangle, ends and corners give the outlines that they say; inches and units of their own are taken."""
    right = ((0.0, 0.0), (120.0, 0.0), (0.0, 80.0))
    assert outline("outline = [[10, 10], [130, 10], [10, 90]]", tmp_path) == right
    assert outline("outline = [[10, 90], [130, 10], [10, 10]]", tmp_path) == right, "clockwise is turned round"
    assert outline("shape = 'triangle'\nlength = 120\nwidth = '80 mm'", tmp_path) == right
    frame = ((0.0, 0.0), (600.0, 0.0), (550.0, 50.0), (50.0, 50.0))
    assert outline("length = 600\nwidth = 50\nends = [45, 45]", tmp_path) == frame
    assert outline("length = 500\nwidth = 50\nends = [45, 45]\nlength_to = 'short'", tmp_path) == frame
    assert outline("length = 550\nwidth = 50\nends = [45, 45]\nlength_to = 'middle'", tmp_path) == frame
    cut = ((10.0, 0.0), (100.0, 0.0), (100.0, 50.0), (20.0, 50.0), (0.0, 45.0), (0.0, 10.0))
    assert outline("length = 100\nwidth = 50\ncorners = [10, 0, 0, [20, 5]]", tmp_path) == cut


def test_what_is_finer_than_a_torch_cuts_is_no_matter(tmp_path: Path) -> None:
    """A corner named twice, or the first again at the end, a corner a hair off the line, an edge of a hundredth of a
    millimetre, and clips that meet in one corner: each is the outline that was meant, where it crashed or failed.
    """
    right = ((0.0, 0.0), (120.0, 0.0), (0.0, 80.0))
    for corners in (
        "[0, 0], [120, 0], [120, 0], [0, 80]",
        "[0, 0], [120, 0], [0, 80], [0, 0]",
        "[0, 0], [60, 0.005], [120, 0], [0, 80]",
        "[0, 0.005], [60, 0], [120, 0.005], [0, 80.005]",
    ):
        assert outline(f"outline = [{corners}]", tmp_path) == right, corners
    hair = outline("outline = [[0, 0], [120, 0], [120, 0.01], [0, 80]]", tmp_path)
    assert len(hair) == 3
    assert max(math.dist(one, other) for one, other in zip(hair, right, strict=True)) < 0.02
    assert len(outline("length = 100.001\nwidth = 50\nends = [45, 45]", tmp_path)) == 3
    assert outline("length = 100\nwidth = 50\ncorners = [0.01, 0, 0, 0]", tmp_path) == (
        (0.0, 0.0), (100.0, 0.0), (100.0, 50.0), (0.0, 50.0)
    )  # fmt: skip
    for corners, count in (("50, 0, 50, 0", 4), ("[100, 50], 0, 0, 0", 3), ("[50, 25], " * 3 + "[50, 25]", 4)):
        assert len(outline(f"length = 100\nwidth = 50\ncorners = [{corners}]", tmp_path)) == count, corners


def test_a_curve_in_short_steps_stays_one() -> None:
    """Each corner of a circle in 3000 steps is near the line between its neighbours; the outline stays near all."""
    turns = [2 * math.pi * n / 3000 for n in range(3000)]
    points = [(100 * math.cos(n), 100 * math.sin(n)) for n in turns]
    made = Shape(name="round", outline=tuple(points)).outline
    assert max(min(from_edge(edge, (x + 100, y + 100)) for edge in edges(made)) for x, y in points[::7]) < 0.03


def test_lengths_of_mitred_pieces() -> None:
    """A piece cut at an angle is longer at its long points by width / tan a at each end, and has the area of its middle
    length times its width: the right triangles at its ends, Euclid I.41."""
    for left, right in ((45.0, 45.0), (30.0, 90.0), (60.0, 120.0), (150.0, 45.0)):
        for to, own in (("long", 700.0), ("short", 400.0), ("middle", 500.0)):
            found = mitred(own, 60.0, (left, right), to)  # type: ignore[arg-type]
            ends = [60 / math.tan(math.radians(each)) for each in (left, right)]
            middle = own + sum(abs(each) for each in ends) / 2 * {"long": -1, "short": 1, "middle": 0}[to]
            assert area(found) == pytest.approx(60 * middle, abs=1e-3), (left, right, to)
    assert area(clipped(200, 100, ((20, 20), (0, 0), (30, 10), (0, 0)))) == 200 * 100 - 200 - 150


def test_what_is_no_shape_is_told_with_its_corner(tmp_path: Path) -> None:
    """Every fault of a shape names key, corner and way out."""
    cases = (
        ("outline = [[0,0], [100,0], [20,20], [0,100]]", "outline: corner 3 points inward: straight cuts"),
        ("outline = [[0,0], [100,100], [100,0], [0,90]]", "the edges after corners 1 and 3 cross each other"),
        ("outline = [[0,0], [100,0], [200,0]]", "the corners lie on one line or are fewer than three"),
        ("outline = [[0,0], [100,0], [0,50]]\nwidth = 50", "width: the outline says how large the part is"),
        ("width = 50\nends = [45, 45]", "ends: the part has ends, but no length"),
        ("width = 50\nlength = 90\nends = [45, 45]", "ends at 45 and 45 degrees meet before the other edge"),
        ("width = 50\nlength = 90\nends = [45, 45]", "make it longer than 100 mm"),
        ("outline = [[0,0], [9,0], [9,9], [0,9], [0,0], [9,0], [9,9]]", "corners 1 and 5 are the same"),
        ("width = 50\nlength = 90\nends = [45, 0]", "0 degrees is no angle of an end"),
        ("width = 50\nlength = 90\ncorners = [60, 40, 0, 0]", "corners 1 and 2 together take 100 mm of a side of"),
        ("width = 50\nlength = 90\ncorners = [[5, 0], 0, 0, 0]", "corner 1 is clipped along one side alone"),
        ("width = 50\nlength = 90\ncorners = [[5, 6, 7], 0, 0, 0]", "3 figures are given for one corner"),
        ("width = 50\nlength = 90\nshape = 'triangle'\nends = [45, 45]", "the part is shaped twice: shape, ends"),
        ("width = 50\nlength = 90\nshape = 'triangle'\nsquare = 'all'", "square: a straight-sided shape has no square"),
        ("width = 50\nlength = 90\nshape = 'triangle'\nfence = 100", "fence: a straight-sided shape has no fence"),
        ("width = 50\nlength_to = 'short'", "length_to: length_to is for slanted ends"),
        ("length = 50", "width: is missing"),
    )  # fmt: skip
    for more, words in cases:
        assert words in said(load_job, write(tmp_path, PLATE + more)), more
