"""What is far from the torch line is drawn nearer, and still looks like what lies there."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stripplan.sheets.picture.on_rig.shape import FAR, NEARER, _Nearer
from stripplan.sheets.rows.aslant import LieShape
from tests.checking import examples

Point = tuple[float, float]


def on_bar(corners: list[Point], angle: float, length: float) -> LieShape:
    """A piece on the mitre bar, its corners told as (along the face from the entry to the left, away from the bar)."""
    turn = math.radians(angle)
    along, off = (-math.sin(turn), math.cos(turn)), (math.cos(turn), math.sin(turn))
    outline = tuple((u * along[0] + v * off[0], u * along[1] + v * off[1]) for u, v in corners)
    return LieShape(outline=outline, letters=("",) * len(outline), right=(), left=(), length=length, angle=angle)


def drawn(shape: LieShape) -> list[Point]:
    """Its corners as they are drawn [mm]."""
    nearer = _Nearer.of(shape)
    return [nearer(point) for point in shape.outline]


def square(points: list[Point], at: int) -> bool:
    """Whether the edges at a corner are at right angles."""
    (ax, ay), (bx, by), (cx, cy) = (points[(at + n) % len(points)] for n in (-1, 0, 1))
    one, two = (ax - bx, ay - by), (cx - bx, cy - by)
    return abs(one[0] * two[0] + one[1] * two[1]) <= 1e-9 * math.hypot(*one) * math.hypot(*two)


def way(points: list[Point], at: int) -> float:
    """The direction of the edge that begins at a corner [deg]."""
    (ax, ay), (bx, by) = points[at], points[(at + 1) % len(points)]
    return math.degrees(math.atan2(by - ay, bx - ax))


@given(st.floats(20, 2000), st.floats(20, 2000), st.floats(20, 2000), st.floats(15, 165), st.floats(20, 120))
@examples(60)
def test_a_rectangle_stays_one(left: float, right: float, wide: float, angle: float, length: float) -> None:
    """All its corners are square, and it finds room."""
    points = drawn(on_bar([(-right, 0), (left, 0), (left, wide), (-right, wide)], angle, length))
    assert all(square(points, n) for n in range(4))
    assert max(math.hypot(*each) for each in points) <= FAR * length * (1 + NEARER) * math.sqrt(2) + 1e-6


def test_a_far_end_keeps_its_slant() -> None:
    """A strip of 60 with mitred ends, 1200 long: all its edges run as they do, though it is drawn half as long; one
    that is near is to scale."""
    shape = on_bar([(-1200.0, 0.0), (60.0, 0.0), (0.0, 60.0), (-1140.0, 60.0)], 45.0, 85.0)
    points = drawn(shape)
    for n in range(4):
        assert way(points, n) == pytest.approx(way(list(shape.outline), n), abs=1e-6)
    assert math.dist(points[0], points[1]) < 630
    near = on_bar([(-90.0, 0.0), (60.0, 0.0), (0.0, 60.0), (-30.0, 60.0)], 45.0, 85.0)
    assert drawn(near) == [pytest.approx(each) for each in near.outline]
