"""Patterns from columns: every size on the grid that layout counts in."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

import pytest

from stripplan.layout.grid import Grid
from stripplan.layout.problem import Item, Problem, Stock
from stripplan.layout.to_pattern import PatternMaker
from stripplan.model.part import Strip
from stripplan.model.pattern import Blank, Node
from stripplan.model.plate import Plate
from tests.checking import in_turn
from tests.layout.problems import rules


def sizes(node: Node) -> Iterator[float]:
    """Lengths and widths of a pattern, all the way down."""
    yield from (node.length, node.width)
    if isinstance(node, Blank):
        for each in (node.low, *node.children, node.high):
            if each is not None:
                yield from sizes(each)


@in_turn("trim", range(17, 60, 7))
@in_turn("width", range(301, 420, 13))
def test_an_offcut_joined_with_the_far_trim_is_whole_units_wide(width: int, trim: int) -> None:
    """Offcut, kerf and trim add up in units of 0.2 mm; as floats their sum would be off by its last digit."""
    grid, kerf = Grid(Fraction(1, 5)), 7
    rig = replace(rules(), kerf=grid.mm(kerf), trim=grid.mm(trim), narrowest_offcut=grid.mm(10))
    plate = Plate(name="sheet", length=grid.mm(4000), width=grid.mm(1501), edges=("mill", "cut", "mill", "cut"))
    stock = Stock(0, plate, rig, 1.0, grid=grid)
    item = Item(0, 1, (((4000, width, False),),), 0, strip=True)
    maker = PatternMaker(Problem(grid, (item,), (stock,), (50, 50), None), [Strip(name="a", width=grid.mm(width))])
    (pattern,) = maker.of_strips([(0, (1,), 1)])
    for size in sizes(pattern.root):
        assert grid.mm(grid.units(size)) == size


@pytest.mark.parametrize("width", [100, 245])
def test_pieces_between_trims_are_a_row_with_them(width: int) -> None:
    """Six strips and what is left, or nothing: trims are ends of their row, so no strip is cut as the last of a
    row that leaves nothing over.
    """
    rig = replace(rules(), kerf=2, trim=13, narrowest_offcut=10)
    plate = Plate(name="sheet", length=4000, width=1510, edges=("mill", "cut", "mill", "cut"))
    stock = Stock(0, plate, rig, 1.0)
    item = Item(0, 6, (((4000, width, False),),), 0, strip=True)
    maker = PatternMaker(Problem(Grid(Fraction(1)), (item,), (stock,), (50, 50), None), [Strip(name="a", width=width)])
    (pattern,) = maker.of_strips([(0, (6,), 1)])
    assert isinstance(pattern.root, Blank)
    assert [child.width for child in pattern.root.children] == [width] * 6
    assert pattern.root.low is not None
    assert pattern.root.high is not None
