"""Blocks of shapes: sizes by hand, and that straight cuts free what they hold."""

from __future__ import annotations

import itertools
import math
import random
from collections.abc import Callable, Sequence

import pytest
from shapely import affinity
from shapely.geometry import MultiPoint, Polygon

from stripplan.layout import Mix, Trouble, freed
from stripplan.layout.shapes.blocks import ShapeToPlace, alternating, lying, one_alone, pairs, singles, slides_within
from stripplan.layout.shapes.fits import Fits
from stripplan.layout.shapes.mix import mix_of
from stripplan.layout.shapes.mixes import mixes
from stripplan.layout.shapes.nested import couples
from stripplan.layout.shapes.together import filling
from stripplan.model.polygon import Line, Outline, area, box, chord, edges, moved, moved_outward, normal
from stripplan.model.shapes.block import Block, Freed, Parted, Placed, fallen
from tests.checking import few

KERF = 1.5
NARROWEST = 5.0


def placed(outline: Outline) -> ShapeToPlace:
    """A shape that may be turned at will."""
    return ShapeToPlace(0, outline, True)


GUSSET = placed(((0.0, 0.0), (120.0, 0.0), (0.0, 80.0)))
RAIL = placed(((0.0, 0.0), (600.0, 0.0), (550.0, 50.0), (50.0, 50.0)))


def test_two_gussets_share_their_diagonal() -> None:
    """The kerf lies at right angles to the diagonal: left in line along one side, the block grows along the other by
    k / cos of that side's angle to the diagonal, and the area of the block by k times the diagonal's length and a bit.

    Plane trigonometry: tan = 80 / 120, so 1 / cos = diagonal / 120.
    """
    diagonal = math.hypot(120, 80)
    found = pairs(GUSSET, KERF)[0]
    assert (found.length, found.width) == (120.0, pytest.approx(80 + KERF * diagonal / 120, abs=1e-3))
    assert found.length * found.width < 2 * area(GUSSET.outline) + 1.01 * KERF * diagonal + 1
    tree = freed(found.outline, found.shapes, KERF, NARROWEST)
    assert isinstance(tree, Parted), "one cut frees both"
    assert [each.part for each in fallen(tree)] == [0, 0]
    # The cut runs along the diagonal (similar triangles, Euclid VI.4).
    (x0, y0), (x1, y1) = (end for end in chord(tree.outline, tree.line)[0])  # type: ignore[index]
    assert math.atan2(abs(y1 - y0), abs(x1 - x0)) == pytest.approx(math.atan2(80, 120))


def test_rails_of_a_mitred_frame_lie_by_turns() -> None:
    """Rails 600 long at their long points and 50 wide, ends at 45 degrees, take their middle lengths, a kerf along the
    row between each two, k / sin 45, and half a rail's slope at either end."""
    height, ways = next((height, ways) for height, ways in lying(RAIL) if abs(height - 50) < 1e-6)
    for count in (2, 3, 4):
        row = alternating(0, ways[0], ways[1], count, KERF, turns=True)
        assert row.width == height
        assert row.length == pytest.approx(count * 550 + (count - 1) * KERF * math.sqrt(2) + 50, abs=2e-3)
        tree = freed(row.outline, row.shapes, KERF, NARROWEST)
        assert _cuts(tree) == count + 1, "one between each two, and one at each end"


def test_all_rails_of_a_row_are_equally_long() -> None:
    """What the row is rounded up by makes none of its rails longer: else the last wanted a setting of its own for a
    few ten-thousandths of a millimetre."""
    _, ways = next(each for each in lying(RAIL) if abs(each[0] - 50) < 1e-6)
    for count in (2, 3, 4, 5):
        row = alternating(0, ways[0], ways[1], count, KERF, turns=True)
        tree = freed(row.outline, row.shapes, KERF, NARROWEST)
        assert isinstance(tree, Parted)
        rails = [each for each in fallen(tree) if each.part is not None]
        assert len(rails) == count
        for rail in rails:
            assert max(math.dist(*edge) for edge in edges(rail.outline)) == pytest.approx(600, abs=5e-6)


def test_one_by_itself_lies_in_its_least_box() -> None:
    """A right-angled triangle lies with both sides at its right angle on its box: one cut frees it. What falls off an
    octagon are triangles, 15 x 15 / 2, less what the kerf takes."""
    box = one_alone(GUSSET)
    assert {box.length, box.width} == {120.0, 80.0}
    assert _cuts(freed(box.outline, box.shapes, KERF, NARROWEST)) == 1
    octagon = placed(
        tuple((float(x), float(y)) for x, y in
              ((15, 0), (85, 0), (100, 15), (100, 45), (85, 60), (15, 60), (0, 45), (0, 15)))
    )  # fmt: skip
    corners = [each for each in fallen(_freed(one_alone(octagon))) if each.part is None]
    side = 15 - KERF * math.sqrt(2)  # the kerf takes k / sin 45 of each side
    assert [area(each.outline) for each in corners] == pytest.approx([side * side / 2] * 4, abs=1e-3)


def test_what_leaves_the_torch_no_metal_is_told() -> None:
    """A corner clipped by less than half a kerf across cannot be cut; the edge is named."""
    clip = 0.7 * KERF / 2 * math.sqrt(2)
    shape = placed(((clip, 0.0), (100.0, 0.0), (100.0, 50.0), (0.0, 50.0), (0.0, clip)))
    box = one_alone(shape)
    assert freed(box.outline, box.shapes, KERF, NARROWEST) == Trouble(0, 4)


def test_an_edge_a_hair_off_the_cut_runs_along_it() -> None:
    """Where the far end slants by a thousandth of a millimetre no more metal lies beside the kerf than where it is
    square: 1.7 mm of it were taken for enough."""
    metal = (0.0, 0.0), (68.0, 0.0), (68.0, 1250.0), (0.0, 1250.0)
    for slant in (0.0, 0.001, 0.01):
        shape = Placed(0, ((0.0, 0.0), (68.0, 0.0), (68.0, 1248.3), (0.0, 1248.3 - slant)))
        assert isinstance(freed(metal, (shape,), 2.5, NARROWEST), Trouble), slant


def test_a_hair_on_a_side_is_nothing_at_a_blunt_corner_and_much_at_a_point() -> None:
    """What a block was rounded up by moves a corner of 176 degrees along its side by sixteen times as much, and the
    outline by no more; a point of 5 degrees with it on its lower edge ends over / tan 5 further out."""
    over = 0.001
    # A corner of 179.6 degrees moves by a tenth of a millimetre, and the edges beside it would not be as long as told.
    for low, cut in ((73.0, True), (79.3, False)):
        blunt = placed(((0.0, 0.0), (200.0, 0.0), (200.0, 80.0), (100.0, 80.0), (0.0, low)))
        rectangle = Block(200.0, 80.0 + over, one_alone(blunt).shapes)
        assert isinstance(freed(rectangle.outline, rectangle.shapes, KERF, NARROWEST), Trouble) is not cut
    point = placed(((0.0, 0.0), (200.0, 0.0), (200.0, 200 * math.tan(math.radians(5)))))
    wide = 200 * math.tan(math.radians(5))
    for more, cut in ((0.0, True), (over, False)):
        shapes = (Placed(0, moved(point.outline, 1.0, more)),)
        found = freed(Block(201.0, wide + more, shapes).outline, shapes, KERF, NARROWEST)
        assert isinstance(found, Trouble) is not cut, more


def _freed(block: Block) -> Freed:
    found = freed(block.outline, block.shapes, KERF, NARROWEST)
    assert not isinstance(found, Trouble)
    return found


def _cuts(tree: Freed | Trouble | None) -> int:
    return 1 + _cuts(tree.right) + _cuts(tree.left) if isinstance(tree, Parted) else 0


def _band(line: Line) -> Polygon:
    """All that a torch along a line takes."""
    (x, y), (dx, dy), (rx, ry) = line.at, line.along, line.right
    far, half = 1e4, KERF / 2
    ends = ((x - far * dx, y - far * dy), (x + far * dx, y + far * dy))
    return Polygon(
        [(ax + way * half * rx, ay + way * half * ry) for way, pair in ((1, ends), (-1, ends[::-1])) for ax, ay in pair]
    )


def check_all_fall(block: Block, wanted: Sequence[Polygon]) -> None:
    """By the geometry of a general library: shapes lie apart in their block, no kerf touches them, all of them fall."""
    tree = _freed(block)
    shapes = [Polygon(each.outline) for each in block.shapes]
    frame = Polygon(block.outline).buffer(1e-6)
    assert all(
        frame.contains(each) and abs(each.area - one.area) < 1e-3 for each, one in zip(shapes, wanted, strict=True)
    )
    gaps = [one.distance(other) for n, one in enumerate(shapes) for other in shapes[:n]]
    assert all(each >= KERF - 1e-3 for each in gaps)
    waiting: list[tuple[Freed | None, Polygon]] = [(tree, Polygon(block.outline))]
    fell = 0
    while waiting:
        node, metal = waiting.pop()
        if not isinstance(node, Parted):
            if node is not None:
                assert Polygon(node.outline).symmetric_difference(metal).area < 0.2
            if node is not None and node.part is not None:
                fell += 1
                assert any(metal.symmetric_difference(each).area < 0.01 * each.length for each in shapes)
            continue
        band = _band(node.line)
        here = [each for each in shapes if metal.buffer(0.01).contains(each)]
        assert all(band.intersection(each).area < 0.01 * each.length for each in here)
        pieces = metal.difference(band)
        sides = [each for each in getattr(pieces, "geoms", [pieces]) if each.area > 1e-3]
        for child in (node.right, node.left):
            if child is not None:
                middle = Polygon(child.outline).centroid
                waiting.append((child, next(each for each in sides if each.buffer(1e-3).contains(middle))))
    assert fell == len(shapes)


def hull(rng: random.Random) -> Outline:
    """A random convex outline, some tenths of a metre across."""
    while True:
        long, wide = rng.randint(60, 400), rng.randint(50, 250)
        points = [(rng.uniform(0, long), rng.uniform(0, wide)) for _ in range(rng.randint(3, 7))]
        found = MultiPoint(points).convex_hull
        if isinstance(found, Polygon) and found.area > long * wide / 4:
            return normal([(round(x, 1), round(y, 1)) for x, y in list(found.exterior.coords)[:-1]])


def check_blocks(seed: int, *, outlines: int) -> int:
    """Blocks of random outlines, each looked at by itself; how many could be cut."""
    rng = random.Random(seed)
    tried = 0
    for _ in range(outlines):
        outline = hull(rng)
        shape = placed(outline)
        rows = [
            alternating(0, ways[0], other, 3, KERF, turns=True) for _, ways in lying(shape)[:2] for other in ways[:2]
        ]
        for block in (*singles(shape)[:2], *pairs(shape, KERF)[:2], *rows):
            if not isinstance(freed(block.outline, block.shapes, KERF, NARROWEST), Trouble):
                check_all_fall(block, [Polygon(outline)] * len(block.shapes))
                tried += 1
    return tried


@pytest.mark.parametrize("seed", few(2, range(40)))
def test_blocks_hold_their_shapes(seed: int) -> None:
    """Of random outlines: those by themselves, in pairs and in rows lie a kerf apart, and the cuts free all of them."""
    assert check_blocks(seed, outlines=3) > 6


def least_box_of_two(outline: Outline, grid: int) -> float:
    """By trying: the area of the least box of two of a shape a kerf apart, with any edge of the first on the box; the
    second as it is, turned by half a turn, and both turned over, at every place of a grid."""
    best = math.inf
    for first in placed(outline).laid():
        one = Polygon(first)
        long, wide = one.bounds[2:]
        for over, half in itertools.product((False, True), repeat=2):
            other = affinity.scale(one, -1.0 if over else 1.0, 1.0, origin=(0, 0))
            other = affinity.rotate(other, 180 if half else 0, origin=(0, 0))
            x0, y0, x1, y1 = other.bounds
            for n, m in itertools.product(range(grid + 1), repeat=2):
                x, y = (low + at / grid * (high - low) for at, low, high in (
                    (n, x0 - x1 - KERF, long + KERF), (m, y0 - y1 - KERF, wide + KERF)
                ))  # fmt: skip
                box = (max(long, x + x1 - x0) - min(0, x)) * (max(wide, y + y1 - y0) - min(0, y))
                if box < best and one.distance(affinity.translate(other, x - x0, y - y0)) >= KERF:
                    best = box
    return best


@pytest.mark.parametrize("seed", few(2, range(30)))
def test_no_other_place_of_a_second_shape_is_better(seed: int) -> None:
    """Brute force finds no box of two that is smaller than the pair that is laid out, or two boxes side by side."""
    outline = hull(random.Random(seed))
    pair, one = pairs(placed(outline), KERF)[0], one_alone(placed(outline))
    beside = (one.length + one.length + KERF) * one.width, (one.width + one.width + KERF) * one.length
    assert min(pair.length * pair.width, *beside) <= least_box_of_two(outline, 24) + 1


def mixes_of(wanted: list[tuple[ShapeToPlace, int]], cost: Callable[[Block], float]) -> list[Mix]:
    """Mixes for a large sheet, on a rig that cuts whatever straight cuts free."""

    def tree_of(some: Block) -> Freed | None:
        found = freed(some.outline, some.shapes, KERF, NARROWEST)
        return None if isinstance(found, Trouble) else found

    return mixes(
        wanted,
        KERF,
        [(2500.0, 1250.0)],
        lambda each: tree_of(each) is not None,
        tree_of=tree_of,
        margin=KERF + NARROWEST,
        longest=2500.0,
        cost=cost,
    )


def plate_of(some: Block) -> float:
    """The plate that a block takes."""
    return (some.length + KERF) * (some.width + KERF)


def test_a_small_gusset_comes_out_of_what_a_large_one_leaves() -> None:
    """One large gusset by itself leaves a triangle less than half its box by the kerf: two small ones lie in that, in
    the corner at its right angle and in one that is left, and are freed; the box stays as it is."""
    large, small = ShapeToPlace(0, ((0, 0), (300, 0), (0, 200)), True), ShapeToPlace(1, GUSSET.outline, True)
    found = min(mixes_of([(large, 1), (small, 2)], plate_of), key=lambda each: each.cost(plate_of))
    ((only, count),) = found.blocks
    assert ({only.length, only.width}, only.parts, count) == ({300.0, 200.0}, (0, 1, 1), 1)
    check_all_fall(only, [Polygon(large.outline), *2 * [Polygon(small.outline)]])


def test_mixes_hold_all_shapes_and_waste_less() -> None:
    """The first mix is each shape by itself; each other one holds as many of each, and the next takes less plate. Rails
    of two lengths share a row."""
    long, short = RAIL, ShapeToPlace(1, ((0.0, 0.0), (400.0, 0.0), (350.0, 50.0), (50.0, 50.0)), True)
    wanted = [(long, 2), (short, 2), (ShapeToPlace(2, GUSSET.outline, True), 7)]

    found = mixes_of(wanted, plate_of)
    assert [len(block.shapes) for block, _ in found[0].blocks] == [1, 1, 1]
    for mix in found:
        held = [part for block, count in mix.blocks for part in block.parts * count]
        assert [held.count(n) for n in range(3)] == [2, 2, 7]
    taken = [mix.cost(plate_of) for mix in found]
    assert len(found) > 2
    assert taken[1] < taken[0]
    assert taken[1:] == sorted(taken[1:])
    assert any(set(block.parts) == {0, 1} for mix in found for block, _ in mix.blocks)


def test_what_two_blocks_leave_of_a_plate_goes_to_one_of_them() -> None:
    """Along a plate two blocks and the kerf between them leave 2 mm, less than can be cut off: either takes it, as it
    lies or turned, and its shape lies in a corner of it. Where 7 mm are left they can be cut off; along the width, 20.
    """
    one, other = one_alone(GUSSET), one_alone(RAIL)
    lying = [(120.0, 600.0), (80.0, 600.0), (120.0, 50.0), (80.0, 50.0)]
    for long, wide in lying:
        room = long + KERF + wide
        for left, larger in ((2.0, True), (7.0, False)):
            fits = Fits([(room + left, 900.0)], KERF + NARROWEST, lambda _block: True)
            found = list(filling(mix_of([(one, 1), (other, 1)]), fits, KERF))
            grown = {
                round(sum(map(plate_of, dict(each.blocks))) - plate_of(one) - plate_of(other), 3) for each in found
            }
            assert grown == ({left * (200 - long + KERF), left * (650 - wide + KERF)} if larger else set())
            assert all(len(each.blocks) == 2 for each in found)


def test_allowance_goes_on_at_right_angles() -> None:
    """Each edge moves outward by the allowance; a right-angled triangle grows along its legs by a (1 + cot(b / 2)), b
    the angle at that end: corners move along the bisectors (Euclid IV.4)."""
    grown = normal(moved_outward(GUSSET.outline, 2.0))
    for leg, other, corner in ((120, 80, (1, 0)), (80, 120, (0, 1))):
        angle = math.atan2(other, leg)
        wanted = leg + 2 + 2 / math.tan(angle / 2)
        assert max(x * corner[0] + y * corner[1] for x, y in grown) == pytest.approx(wanted, abs=1e-6)


@pytest.mark.parametrize("seed", few(3, range(40)))
def test_two_shapes_along_one_cut_lie_in_a_room_if_some_place_does(seed: int) -> None:
    """Slid along their cut in small steps, none lies in the room where none is found; what is found lies in it, and no
    place that was tried there takes less."""
    chance = random.Random(seed)
    shapes = [ShapeToPlace(n, hull(chance), True) for n in (0, 1)]
    one, other = (each.outline for each in shapes)
    there = sum(max(x1 - x0, y1 - y0) for x0, y0, x1, y1 in map(box, (one, other)))
    for _ in range(20):
        turn = chance.choice((0.0, math.pi / 2, chance.uniform(0, math.pi)))
        along = math.cos(turn), math.sin(turn)
        room = chance.uniform(0.4, 1.0) * there, chance.uniform(0.4, 1.0) * there

        def extents(slid: float, along: tuple[float, float] = along) -> tuple[float, float]:
            second = moved(other, slid * along[0], slid * along[1])
            x0, y0, x1, y1 = box((*one, *second))
            return x1 - x0, y1 - y0

        within = list(slides_within(one, other, along, room))
        tried = [extents(there * n / 200) for n in range(-400, 401)]
        fit = [each for each in tried if each[0] <= room[0] and each[1] <= room[1]]
        assert all(size <= most + 1e-6 for at in within for size, most in zip(extents(at), room, strict=True))
        assert within or not fit
        if fit:
            assert min(math.prod(extents(at)) for at in within) <= min(map(math.prod, fit)) + 1e-6


def test_two_shapes_that_lay_on_a_plate_only_between_level_corners_were_laid_on_two() -> None:
    """Least boxes of both are longer or wider than the plate; one in between lies on it."""
    trapezium = ((0.0, 0.0), (148.0, 0.0), (112.0, 94.0), (36.0, 94.0))
    gusset = ((0.0, 0.0), (163.0, 0.0), (0.0, 101.0))
    one, other = ShapeToPlace(0, trapezium, True), ShapeToPlace(1, gusset, True)

    def on_plate(some: list[Block]) -> bool:
        return any(each.length <= 301 and each.width <= 101 for each in some)

    assert not on_plate(couples(one, other, 1.5))
    assert on_plate(couples(one, other, 1.5, [(301.0, 101.0)]))
