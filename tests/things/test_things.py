"""From a thing to its strips: sums by hand, and pieces that stand where they fit."""

from __future__ import annotations

from itertools import combinations
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import Polygon, box, unary_union

from stripplan.errors import FiguresError, InputError
from stripplan.files.job.read import job_from
from stripplan.files.toml.document import TomlFile
from stripplan.model.part import Shape
from stripplan.things import Base, Box, Bracket, Frame, Maker, Solid, typed_thing
from stripplan.wording.show import Units, worded
from tests.checking import examples, in_turn

BY_HAND: list[tuple[Maker, list[tuple[str, float, float, int]]]] = [
    # a frame of 1000 x 500 of bar 40 x 5, gap 2: 500 - 80 - 4 = 416; 1000 - 80 - 4 = 916; 1000 - 42 = 958, 500 - 42
    (Frame(length=1000, width=500, bar=40, thickness=5, gap=2), [("side bar", 40, 1000, 2), ("end bar", 40, 416, 2)]),
    (Frame(length=1000, width=500, bar=40, thickness=5, gap=2, through="ends"),
     [("side bar", 40, 916, 2), ("end bar", 40, 500, 2)]),
    (Frame(length=1000, width=500, bar=40, thickness=5, gap=2, through="round"),
     [("side bar", 40, 958, 2), ("end bar", 40, 458, 2)]),
    # on edge the thickness counts: 500 - 10 - 4
    (Frame(length=1000, width=500, bar=40, thickness=5, gap=2, on_edge=True),
     [("side bar", 40, 1000, 2), ("end bar", 40, 486, 2)]),
    # mitred: each face half the gap off the diagonal, so 2 x 2 / 2 x 1.414214 = 2.83 less; 997.17 and 497.17
    (Frame(length=1000, width=500, bar=40, thickness=5, gap=2, through="mitred"),
     [("side bar", 40, 997.1, 2), ("end bar", 40, 497.1, 2)]),
    # a box of 600 x 300 x 200, t 4, g 1.5: walls 200 - 4 - 1.5 = 194.5, ends 300 - 8 - 3 = 289
    (Box(length=600, width=300, height=200, thickness=4, gap=1.5),
     [("base", 300, 600, 1), ("side", 194.5, 600, 2), ("end", 194.5, 289, 2)]),
    # base between the walls 289 x 589, lid welded on: walls 200 - 4 - 1.5
    (Box(length=600, width=300, height=200, thickness=4, gap=1.5, base="between", lid="welded", through="ends"),
     [("base", 289, 589, 1), ("side", 194.5, 589, 2), ("end", 194.5, 300, 2), ("lid", 300, 600, 1)]),
    # a loose lid and a base below: 200 - 2 x 4 - 1.5 = 190.5
    (Box(length=600, width=300, height=200, thickness=4, gap=1.5, lid="loose", through="round"),
     [("base", 300, 600, 1), ("side", 190.5, 594.5, 2), ("end", 190.5, 294.5, 2), ("lid", 300, 600, 1)]),
    # a base of 500 x 300 x 60, t 8, four ribs of 6 across, edge 10: (500 - 20 - 24) / 3 - 2 = 150; ribs 300 - 20
    (Base(length=500, width=300, height=60, thickness=8, ribs=4, cross_ribs=1, rib_thickness=6, edge=10, gap=1,
          along="width"),
     [("base plate", 300, 500, 1), ("rib", 51, 280, 4), ("cross rib", 51, 150, 3)]),
    # one rib in the middle, two rows beside it: (300 - 8) / 2 - 1 = 145, four of them
    (Base(length=500, width=300, height=60, thickness=8, ribs=1, cross_ribs=2, gap=1),
     [("base plate", 300, 500, 1), ("rib", 51, 500, 1), ("cross rib", 51, 145, 4)]),
    (Base(length=500, width=300, height=60, thickness=8, ribs=0, cross_ribs=2, gap=1, edge=5),
     [("base plate", 300, 500, 1), ("cross rib", 51, 290, 2)]),
    # a bay that does not come out even, (301 - 8 x 3) / 2 - 2 = 136.5, and with a step of 1/64 in 136.525 at most
    (Base(length=500, width=301, height=60, thickness=8, ribs=3, cross_ribs=1, gap=1, step=25.4 / 64),
     [("base plate", 301, 500, 1), ("rib", 51, 500, 3), ("cross rib", 51, 343 * 25.4 / 64, 2)]),
    # a bracket of 300 x 250, t 8, g 2: leg 250 - 10 with the arm through; strut 100 x 1.414214 - 4 = 137.42
    (Bracket(depth=300, height=250, bar=50, thickness=8, gap=2, through="arm", strut=100),
     [("leg", 50, 240, 1), ("arm", 50, 300, 1), ("strut", 50, 137.4, 1)]),
    (Bracket(depth=300, height=250, bar=50, thickness=8, gap=2), [("leg", 50, 250, 1), ("arm", 50, 290, 1)]),
]  # fmt: skip


@in_turn("maker, pieces", BY_HAND)
def test_sizes_are_those_worked_out_by_hand(maker: Maker, pieces: list[tuple[str, float, float, int]]) -> None:
    """Names, widths, lengths and quantities."""
    made = [(each.name, each.width.mm, each.length.mm, each.quantity) for each in maker.thing().pieces]
    assert [(name, count) for name, _, _, count in made] == [(name, count) for name, _, _, count in pieces]
    for (_, width, length, _), (_, wide, long, _) in zip(made, pieces, strict=True):
        assert (width, length) == pytest.approx((wide, long), abs=1e-5)


_sizes = st.integers(200, 900).map(float)
_thick = st.sampled_from([3.0, 6.35, 10.0])
_gaps = st.sampled_from([0.0, 1.0, 2.5])
_shared: dict[str, Any] = {"thickness": _thick, "gap": _gaps}
MAKERS = st.one_of(
    st.builds(Frame, length=_sizes, width=_sizes, bar=st.sampled_from([30.0, 60.0]), **_shared,
              through=st.sampled_from(["sides", "ends", "round"]), on_edge=st.booleans()),
    st.builds(Box, length=_sizes, width=_sizes, height=_sizes, **_shared,
              lid=st.sampled_from(["none", "loose", "welded"]), through=st.sampled_from(["sides", "ends", "round"]),
              base=st.sampled_from(["under", "between"])),
    st.builds(Base, length=_sizes, width=_sizes, height=st.just(90.0), **_shared, ribs=st.integers(0, 4),
              cross_ribs=st.integers(1, 3), edge=st.sampled_from([0.0, 15.0]),
              along=st.sampled_from(["length", "width"])),
    st.builds(Bracket, depth=_sizes, height=_sizes, bar=st.just(40.0), **_shared,
              through=st.sampled_from(["leg", "arm"]), strut=st.sampled_from([0.0, 150.0])),
)  # fmt: skip


@examples(40)
@given(maker=MAKERS)
def test_pieces_stand_in_the_outer_size_and_none_in_another(maker: Maker) -> None:
    """Each kind stands as often as it is counted, with the volume of its size; together they fill the outer size; no
    two are in one another, and none hangs in the air: each is a gap off another at most, or its rounding beside.
    """
    thing = maker.thing()
    for number, piece in enumerate(thing.pieces):
        stood = [each for each in thing.solids if each.piece == number]
        assert len(stood) == piece.quantity
        for each in stood:
            volume = Polygon(each.outline).area * (each.far - each.near)
            assert volume == pytest.approx(piece.width.mm * piece.length.mm * piece.thickness, rel=1e-6)
    xs, zs = zip(*(point for each in thing.solids for point in each.outline), strict=True)
    ends = (max(xs), max(each.far for each in thing.solids), max(zs))
    assert ends == pytest.approx(thing.outer)
    assert (min(xs), min(each.near for each in thing.solids), min(zs)) == pytest.approx((0, 0, 0))
    gap, step = float(getattr(maker, "gap", 0.0)), 0.2
    apart = {(a, b): distance(thing.solids[a], thing.solids[b]) for a, b in combinations(range(len(thing.solids)), 2)}
    for one, other in apart:
        assert overlap(thing.solids[one], thing.solids[other]) < 1e-6
    for number in range(len(thing.solids)):
        nearest = min(each for pair, each in apart.items() if number in pair)
        assert nearest <= gap + step


@pytest.mark.parametrize("gap", [0.0, 2.0])
def test_a_mitred_frame_fits_together(gap: float) -> None:
    """Its bars are the outlines that the job file asks for, they leave the gap between their faces at each corner and
    nowhere touch, and lie in the outer size up to what was rounded."""
    thing = Frame(length=800, width=600, bar=50, thickness=6, gap=gap, through="mitred").thing()
    table = {"plate": [{"length": 2000, "width": 1000, "thickness": 6, "material": "mild steel"}],
             "part": thing.table(shown={mm: mm for mm in thing.lengths})}  # fmt: skip
    asked = [Polygon(part.outline) for part in job_from(TomlFile("x", "", table, Path()), name="x").job.parts
             if isinstance(part, Shape)]  # fmt: skip
    bars = [Polygon(each.outline) for each in thing.solids]
    for solid, bar in zip(thing.solids, bars, strict=True):
        assert solid.level
        assert (solid.near, solid.far) == (0.0, 6.0)
        assert bar.area == pytest.approx(asked[solid.piece].area)
        assert bar.length == pytest.approx(asked[solid.piece].length)
        assert bar.exterior.is_ccw
    for one, other in combinations(bars, 2):
        parallel = abs(one.centroid.x - other.centroid.x) < 1 or abs(one.centroid.y - other.centroid.y) < 1
        assert one.intersection(other).area == 0
        assert parallel or gap <= one.distance(other) < gap + 0.1  # rounded down to a tenth, so no less
    assert unary_union(bars).envelope.bounds == pytest.approx((0, 0, 800, 600), abs=1e-9)


def overlap(one: Solid, other: Solid) -> float:
    """Volume that two solids share [mm3]."""
    along = min(one.far, other.far) - max(one.near, other.near)
    return max(along, 0.0) * Polygon(one.outline).intersection(Polygon(other.outline)).area


def distance(one: Solid, other: Solid) -> float:
    """How far two solids are apart: in their outlines, and across them [mm]."""
    flat = Polygon(one.outline).distance(Polygon(other.outline))
    across = box(one.near, 0, one.far, 1).distance(box(other.near, 0, other.far, 1))
    return max(flat, across)


@in_turn(
    "maker, code, figures",
    [
        (lambda: Frame(length=800, width=90, bar=50, thickness=6).thing(), "thing.nothing_left", ("90 mm", "100 mm")),
        (lambda: Frame(length=800, width=90, bar=50, thickness=6, through="mitred").thing(), "thing.nothing_left",
         ("90 mm", "100 mm")),
        (lambda: Frame(length=800, width=600, bar=50, thickness=6, through="mitred", on_edge=True).thing(),
         "thing.mitred_on_edge", ("sides",)),
        (lambda: Box(length=800, width=10, height=90, thickness=6).thing(), "thing.nothing_left", ("10 mm", "12 mm")),
        (lambda: Box(length=90, width=90, height=6, thickness=6).thing(), "thing.nothing_left", ("6 mm",)),
        (lambda: Frame(length=800, width=90, bar=0, thickness=6), "thing.no_size", ("0 mm",)),
        (lambda: Frame(length=800, width=90, bar=9, thickness=6, gap=-1), "thing.below_0", ("-1 mm",)),
        (lambda: Base(length=600, width=400, height=80, thickness=8, ribs=60).thing(), "thing.ribs", ("480 mm", "49")),
        (lambda: Base(length=600, width=400, height=80, thickness=8, ribs=49, cross_ribs=1, gap=3).thing(),
         "thing.nothing_left", ("400 mm",)),
        (lambda: Base(length=600, width=400, height=80, thickness=8, ribs=0), "thing.no_rib", ()),
        (lambda: Bracket(depth=250, height=200, bar=40, thickness=6, strut=195).thing(), "thing.strut", ("194 mm",)),
        (lambda: Bracket(depth=250, height=6, bar=40, thickness=6).thing(), "thing.nothing_left", ("6 mm",)),
    ],
)  # fmt: skip
def test_what_cannot_be_names_figure_limit_and_way_out(maker: Any, code: str, figures: tuple[str, ...]) -> None:
    """Thickness above half the size, ribs that do not fit, a strut beyond the arm: each with what would do."""
    with pytest.raises(FiguresError) as refused:
        maker()
    (fault,) = refused.value.faults
    said = worded(fault)
    assert fault.key == code
    assert said.hint
    assert all(figure in f"{said.text}; {said.hint}" for figure in figures), said


def test_the_way_out_is_one() -> None:
    """What a fault asks for does: one rib less than do not fit, a frame a little wider than it says."""
    assert Base(length=600, width=400, height=80, thickness=8, ribs=49).thing().pieces[1].quantity == 49
    assert Frame(length=800, width=100.1, bar=50, thickness=6).thing().pieces[1].length.mm == pytest.approx(0.1)


def test_typed_figures_are_read_in_the_persons_units_and_all_faults_are_told() -> None:
    """Inches for a person who writes inches; what is wrong with one figure hides no other."""
    typed = {"length": "32", "width": "1 ft", "height": "10 in", "thickness": "1/4", "lid": "loose"}
    made = typed_thing("box", typed, units="in", called=str)
    assert [worded(each.length.sum, Units("in", exact=True)).text for each in made.pieces[1:3]] == [
        '32"',
        '12" - 2 x 1/4"',
    ]
    with pytest.raises(InputError) as refused:
        typed_thing("box", {**typed, "length": "1,000", "lid": "glued", "height": ""}, units="mm", called=str)
    assert {each.place for each in refused.value.faults} == {("length",), ("height",), ("lid",), ("thickness",)}
