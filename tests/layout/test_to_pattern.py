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
from tests.layout.problems import rules


def sizes(node: Node) -> Iterator[float]:
    """Lengths and widths of a pattern, all the way down."""
    yield from (node.length, node.width)
    if isinstance(node, Blank):
        for each in (node.low, *node.children, node.high):
            if each is not None:
                yield from sizes(each)


@pytest.mark.parametrize("trim", range(17, 60, 7))
@pytest.mark.parametrize("width", range(301, 420, 13))
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
