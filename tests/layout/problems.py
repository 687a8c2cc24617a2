"""Small problems in whole units for tests of the engines."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Any

from stripplan.layout.grid import Grid
from stripplan.layout.problem import MILLIMETRES, Item, Problem, Stock
from stripplan.model.cut_rules import CutRules
from stripplan.model.plate import EdgeState, Plate

FREE = 1e6


def rules(*, kerf: int = 0, narrowest: int = 0, stroke: float = FREE, **limits: Any) -> CutRules:
    """A rig that binds in nothing but what is given."""
    given: dict[str, Any] = {"fence_min": 0.0, "fence_max": FREE, "marked": True, **limits}
    return CutRules(
        kerf=float(kerf), longest_one_pass=stroke, longest_two_pass=stroke, narrowest_offcut=float(narrowest), **given
    )


def stock(
    number: int,
    length: float,
    width: float,
    *,
    cost: float = 1.0,
    limit: int | None = None,
    rig: CutRules | None = None,
    edges: EdgeState = "mill",
    grid: Grid = MILLIMETRES,
) -> Stock:
    """Plates of a size, as many as needed unless told, all their edges alike; trims are the rig's."""
    south, east, north, west = (edges,) * 4
    plate = Plate(name=f"plate {number}", length=length, width=width, quantity=limit, edges=(south, east, north, west))
    return Stock(number, plate, rig or rules(), cost, grid=grid)


def problem(
    plates: Sequence[tuple[int, int, int | None, float]],
    items: Sequence[tuple[int, int, int]],
    *,
    turned: bool = False,
    depth: int | None = None,
    rig: CutRules | None = None,
) -> Problem:
    """Plates (length, width, limit, cost) and items (length, width, copies)."""
    rig = rig or rules()
    stocks = tuple(
        stock(n, length, width, cost=cost, limit=limit, rig=rig)
        for n, (length, width, limit, cost) in enumerate(plates)
    )
    found = []
    for number, (length, width, copies) in enumerate(items):
        ways = [(length, width, False)] + ([(width, length, True)] if turned and length != width else [])
        fits = tuple(tuple(way for way in ways if way[0] <= s.length and way[1] <= s.width) for s in stocks)
        found.append(Item(number, copies, fits, 0, strip=False))
    return Problem(Grid(Fraction(1)), tuple(found), stocks, (0, 0), depth)
