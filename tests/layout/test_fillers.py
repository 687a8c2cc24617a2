"""Fillers in what is left: worth as much as can be had, legal, and nothing else moved."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from functools import cache

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stripplan.layout.fillers import with_fillers
from stripplan.layout.grid import Grid
from stripplan.layout.problem import Item, Problem, Stock
from stripplan.model.cut_rules import CutRules
from stripplan.model.pattern import Blank, Leaf, Node, Pattern, leaves
from stripplan.model.plate import Plate
from stripplan.model.rack.offcut import offcut_value
from tests.checking import examples

RULES = CutRules(
    kerf=1, longest_one_pass=2000, longest_two_pass=2000, narrowest_offcut=2, fence_min=0, fence_max=2000, marked=True
)
KEEP = (30.0, 10.0)


def problem(*sizes: tuple[int, int], most: int = 0, rules: CutRules = RULES, trim: int = 0, **more: object) -> Problem:
    """Fillers (length, width) that may lie either way, on a stock of 100 x 60 [mm and units]."""
    stock = Stock(0, Plate(name="sheet", length=100, width=60), replace(rules, trim=float(trim)), 1.0)
    items = tuple(
        Item(n, most, (((x, y, False), (y, x, True)) if x != y else ((x, y, False),),), 0, False)
        for n, (x, y) in enumerate(sizes)
    )
    whole = Problem(Grid(Fraction(1)), items, (stock,), (int(KEEP[1]), int(KEEP[0])), None)
    return replace(whole, **more)


def value(length: float, width: float) -> float:
    """By area."""
    return offcut_value(length, width, KEEP, {})


def left(length: float, width: float) -> Leaf:
    """A rectangle left on a plate."""
    return Leaf("offcut" if value(length, width) else "scrap", length, width)


def plate(x: float, y: float) -> Pattern:
    """A wanted part, index 9, with a rectangle x by y left at its high end; narrower than the plate is wide."""
    part = Leaf("part", x, 59 - y, 9)
    return Pattern(0, Blank(x, 60, "along", (part,), None, left(x, y)))


def fillers_of(patterns: list[Pattern]) -> list[Leaf]:
    """The fillers of all plates."""
    found = [(leaf, each.count) for each in patterns for leaf in leaves(each.root)]
    return [leaf for leaf, count in found for _ in range(count) if leaf.kind == "part" and leaf.part != 9]


def worth(patterns: list[Pattern]) -> float:
    """Area of all fillers."""
    return sum(leaf.length * leaf.width for leaf in fillers_of(patterns))


def check_sizes(node: Node, kerf: float = 1) -> None:
    """Pieces and kerfs fill every blank exactly."""
    if isinstance(node, Leaf):
        return
    pieces = [each for each in (node.low, *node.children, node.high) if each is not None]
    along = node.direction == "along"
    assert all((each.length if along else each.width) == (node.length if along else node.width) for each in pieces)
    sizes = [each.width if along else each.length for each in pieces]
    assert sum(sizes) + kerf * (len(sizes) - 1) == (node.width if along else node.length)
    for each in node.children:
        check_sizes(each, kerf)


def most_worth(x: int, y: int, sizes: tuple[tuple[int, int], ...], kerf: int, narrowest: int) -> int:
    """Brute force: any guillotine cuts at whole units whose scrap is wide enough, fillers any way round."""
    ways = {way for a, b in sizes for way in ((a, b), (b, a))}

    @cache
    def best(x: int, y: int) -> int:
        """What a rectangle is worth; below 0 = it may not be there."""
        found = x * y if (x, y) in ways else 0
        for length, other, flip in ((x, y, False), (y, x, True)):
            for one in range(1, length - kerf):
                rest = length - kerf - one
                pair = (one, rest)
                if one <= rest and all(
                    each >= narrowest or any(each == w for way in ways for w in way) for each in pair
                ):
                    found = max(found, sum(best(other, each) if flip else best(each, other) for each in pair))
        return found

    return best(x, y)


@examples(12)
@given(
    room=st.tuples(st.integers(6, 22), st.integers(6, 22)),
    sizes=st.lists(st.tuples(st.integers(4, 9), st.integers(4, 9)), min_size=1, max_size=2, unique=True),
)
def test_worth_at_most_what_brute_force_finds_and_near_it(room: tuple[int, int], sizes: list[tuple[int, int]]) -> None:
    """On small rectangles the fillers are worth what trying every cut finds, or all but one filler of it."""
    most = most_worth(*room, tuple(sizes), 1, 2)
    got = worth(with_fillers(problem(*sizes), [plate(*room)], fill="all", value=value))
    assert most - max(x * y for x, y in sizes) <= got <= most


@examples(20)
@given(
    sizes=st.lists(st.tuples(st.integers(3, 30), st.integers(3, 30)), min_size=1, max_size=3, unique=True),
    room=st.tuples(st.integers(5, 100), st.integers(5, 57)),
    marked=st.booleans(), depth=st.sampled_from([None, 1, 2, 3]), most=st.sampled_from([0, 1, 4]),
    narrowest=st.sampled_from([0, 2, 6]),
)  # fmt: skip
def test_every_blank_is_filled_exactly_and_limits_hold(
    sizes: list[tuple[int, int]], room: tuple[int, int], marked: bool, depth: int | None, most: int, narrowest: int
) -> None:
    """Whatever the rig, the depth and the limits: sizes and kerfs add up, and no more are made than allowed."""
    rules = replace(RULES, marked=marked, narrowest_offcut=narrowest)
    given_ = problem(*sizes, most=most, rules=rules, depth=depth)
    (made,) = with_fillers(given_, [plate(*room)], fill="all", value=value)
    check_sizes(made.root)
    counts = [sum(leaf.part == n for leaf in fillers_of([made])) for n in range(len(sizes))]
    assert not most or max(counts) <= most
    assert [leaf for leaf in leaves(made.root) if leaf.part == 9] == [Leaf("part", room[0], 59 - room[1], 9)]


def test_rows_and_columns_by_hand() -> None:
    """100 x 20 left, fillers 9 x 9, kerf 1: ten by two, nothing left over."""
    (made,) = with_fillers(problem((9, 9)), [plate(99, 19)], fill="all", value=value)
    assert len(fillers_of([made])) == 20
    assert worth([made]) == 20 * 81


def test_a_sliver_is_never_left() -> None:
    """Beside a filler 9 wide, 12 leaves kerf and 2: enough for the narrowest offcut; 11 leaves 1, so none is made."""
    assert len(fillers_of(with_fillers(problem((9, 9)), [plate(9, 12)], fill="all", value=value))) == 1
    assert fillers_of(with_fillers(problem((9, 9)), [plate(9, 11)], fill="all", value=value)) == []


def test_what_the_rig_cannot_cut_is_left_alone() -> None:
    """Where the fence does not reach and nothing may be marked, or the stroke is too short, no filler is made."""
    far = replace(RULES, marked=False, fence_min=30, fence_max=40)
    short = replace(RULES, longest_one_pass=8, longest_two_pass=8)
    for rules in (far, short):
        assert with_fillers(problem((9, 9), rules=rules), [plate(99, 19)], fill="all", value=value) == [plate(99, 19)]
    near = replace(far, fence_min=8)
    assert len(fillers_of(with_fillers(problem((9, 9), rules=near), [plate(99, 19)], fill="all", value=value))) == 20


@pytest.mark.parametrize(("fill", "filled_"), [("scrap", [9]), ("offcuts", [9, 12]), ("all", [9, 12, 15])])
def test_scrap_first_and_the_most_valuable_offcut_spared(fill: str, filled_: list[int]) -> None:
    """Of plates with 9, 12 and 15 left, 9 is below keep: scrap alone, all but the best, all."""
    plates = [plate(99, width) for width in (12, 15, 9)]
    made = with_fillers(problem((9, 9)), plates, fill=fill, value=value)  # type: ignore[arg-type]
    untouched = [width for width in (9, 12, 15) if plate(99, width) in made]
    assert [width for width in (9, 12, 15) if width not in untouched] == filled_


def test_one_of_several_plates_alike_is_spared() -> None:
    """A pattern used three times becomes two filled plates and one whole offcut."""
    made = with_fillers(problem((9, 9)), [replace(plate(99, 19), count=3)], fill="offcuts", value=value)
    assert sorted((each.count, len(fillers_of([replace(each, count=1)]))) for each in made) == [(1, 0), (2, 20)]


def test_few_fillers_go_into_the_smallest_scrap() -> None:
    """With one filler allowed and two scraps, the smaller is used."""
    plates = [plate(25, 20), plate(25, 9)]
    made = with_fillers(problem((9, 9), most=1), plates, fill="all", value=value)
    assert len(fillers_of(made)) == 1
    assert plate(25, 20) in made


@pytest.mark.parametrize("most", [1, 2, 7])
def test_few_fillers_in_a_large_rectangle(most: int) -> None:
    """Where many would fit, as many as are allowed are made."""
    assert len(fillers_of(with_fillers(problem((9, 9), most=most), [plate(99, 19)], fill="all", value=value))) == most


def test_mill_edges_come_off_first() -> None:
    """What is left in a corner of a trimmed plate is trimmed before a filler is cut from it."""
    given_ = problem((9, 9), trim=3)
    inner = Leaf("part", 92, 29, 9)  # 60 = 3 + 1 + 29 + 1 + 26, the far trim joined to what is left
    row = Blank(100, 29, "across", (inner,), Leaf("scrap", 3, 29), Leaf("scrap", 3, 29))
    pattern = Pattern(0, Blank(100, 60, "along", (row,), Leaf("scrap", 100, 3), left(100, 26)))
    (made,) = with_fillers(given_, [pattern], fill="all", value=value)
    check_sizes(made.root)
    # 100 x 26 less 3 and kerf on three sides: 92 x 22, room for nine by two
    assert len(fillers_of([made])) == 18
    trims = [
        (leaf.length, leaf.width)
        for leaf in leaves(made.root)
        if leaf.kind == "scrap" and 3 in (leaf.length, leaf.width)
    ]
    assert sorted(trims) == [(3, 22), (3, 22), (3, 29), (3, 29), (100, 3), (100, 3)]
    # the plate's far edge stays at the far end, whatever the order of the strips before it
    assert isinstance(made.root, Blank)
    assert made.root.high == Leaf("scrap", 100, 3)


def test_the_far_trim_stays_where_what_is_left_lies_in_a_corner() -> None:
    """What is left beyond cuts across has two far mill edges: the trim of the edge that those cuts run along stays the
    last of their line, or another part would lie there with its mill edge on."""
    given_ = problem((9, 9), trim=3)
    part = Leaf("part", 60, 52, 9)  # 100 = 3 + 1 + 60 + 1 + 35, and 60 = 3 + 1 + 52 + 1 + 3
    column = Blank(60, 56, "along", (part,), None, Leaf("scrap", 60, 3))
    row = Blank(100, 56, "across", (column,), Leaf("scrap", 3, 56), left(35, 56))
    pattern = Pattern(0, Blank(100, 60, "along", (row,), Leaf("scrap", 100, 3)))
    (made,) = with_fillers(given_, [pattern], fill="all", value=value)
    check_sizes(made.root)
    assert isinstance(made.root, Blank)
    (line,) = made.root.children
    assert isinstance(line, Blank)
    assert line.high == Leaf("scrap", 3, 56)
    assert len(fillers_of([made])) == 10  # 31 x 52 are left of it: two by five, as a third would leave a sliver


def test_spacers_beside_square_edges_stay() -> None:
    """Scrap that keeps a square edge is not made into fillers."""
    spacer = Leaf("scrap", 30, 9)
    pattern = Pattern(0, Blank(30, 60, "along", (Leaf("part", 30, 40, 9),), spacer, spacer, square=True))
    assert with_fillers(problem((9, 9)), [pattern], fill="all", value=value) == [pattern]


def test_a_long_list_of_fillers_ends_soon() -> None:
    """Thirty sizes of filler on a large sheet: the search is cut off and still fills most of it."""
    sizes = [(17 + 3 * n, 23 + 2 * n) for n in range(30)]
    given_ = problem(*sizes)
    sheet = Pattern(0, Blank(3000, 1500, "along", (Leaf("part", 3000, 100, 9),), None, left(3000, 1399)))
    (made,) = with_fillers(given_, [sheet], fill="all", value=value)
    check_sizes(made.root)
    assert worth([made]) > 0.85 * 3000 * 1399
