"""From plates and parts to a Problem in whole units."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from stripplan.layout.grid import Grid
from stripplan.layout.problem import Item, Problem, Stock, spacer
from stripplan.model.cut_rules import CutRules
from stripplan.model.feasible import beside_is_legal, cut_is_legal, lies_on_rig, reaches, split_is_legal
from stripplan.model.part import Part, Rectangle, Strip
from stripplan.model.plate import Plate


@dataclass(frozen=True)
class Ware:
    """A plate of the job with the rules it is cut by and its price; `plate` is its index in the job."""

    index: int
    plate: Plate
    rules: CutRules
    cost: float


def build_problem(
    grid: Grid, wares: Sequence[Ware], parts: Sequence[tuple[int, Part]], keep: tuple[float, float], depth: int | None
) -> Problem:
    """The problem of one material and thickness; `parts` are (index in the job, part)."""
    stocks = tuple(_stock(grid, ware) for ware in wares)
    items = tuple(_item(grid, index, part, wares, stocks) for index, part in parts)
    least = (min(keep), max(keep))
    unit = float(grid.unit)
    return Problem(grid, items, stocks, (round(least[0] / unit), round(least[1] / unit)), depth)


def _stock(grid: Grid, ware: Ware) -> Stock:
    plate, rules = ware.plate, ware.rules
    trim = grid.units(rules.trim) if rules.trim else 0
    kerf = grid.units(rules.kerf)
    south, east, north, west = (trim if state == "mill" else 0 for state in plate.edges)
    lost = [each + kerf if each else 0 for each in (south, east, north, west)]
    length, width = grid.units(plate.length), grid.units(plate.width)
    return Stock(
        plate=ware.index,
        length=max(0, length - lost[1] - lost[3]),
        width=max(0, width - lost[0] - lost[2]),
        full_length=length,
        full_width=width,
        trims=(south, east, north, west),
        kerf=kerf,
        narrowest=grid.units(rules.narrowest_offcut) if rules.narrowest_offcut else 0,
        cost=ware.cost,
        limit=plate.limit,
        rules=rules,
        all_mill=all(state == "mill" for state in plate.edges),
    )


def _item(grid: Grid, index: int, part: Part, wares: Sequence[Ware], stocks: Sequence[Stock]) -> Item:
    over = 0 if part.square != "none" or not part.tolerance else int(part.tolerance / float(grid.unit) + 1e-9)
    both = list(zip(wares, stocks, strict=True))
    sizes = tuple(_ways(grid, part, ware, stock, spaced=True) for ware, stock in both)
    bare = () if part.square == "none" else tuple(_ways(grid, part, ware, stock, spaced=False) for ware, stock in both)
    return Item(index, part.quantity, sizes, over, isinstance(part, Strip) and part.square == "none", bare)


def loosened(problem: Problem, wares: Sequence[Ware], parts: Sequence[tuple[int, Part]]) -> Problem:
    """The problem with every way that a part may lie on a plate as far as sizes and turning go, for bounds alone.

    A part may come from a plate whose trims, say, cannot be cut before anything else.
    """
    items = tuple(
        replace(
            item,
            bare=tuple(
                _lying(problem.grid, part, ware, stock) for ware, stock in zip(wares, problem.stocks, strict=True)
            ),
        )
        for item, (_, part) in zip(problem.items, parts, strict=True)
    )
    return replace(problem, items=items)


def _lying(
    grid: Grid, part: Part, ware: Ware, stock: Stock, round_it: tuple[int, int] = (0, 0)
) -> tuple[tuple[int, int, bool], ...]:
    """(x, y, turned) of a part on a stock: rolling direction and turning considered; `round_it` is added to length and width."""
    width = grid.units(part.width_as_cut) + round_it[1]
    length = (grid.units(part.length_as_cut) if isinstance(part, Rectangle) else stock.length) + round_it[0]
    found = []
    for turned in (False, True):
        x, y = (width, length) if turned else (length, width)
        if may_lie(part, ware.plate, turned=turned) and x <= stock.length and y <= stock.width:
            found.append((x, y, turned))
    return tuple(found[:1] if length == width and not _direction_matters(part) else found)


def _ways(grid: Grid, part: Part, ware: Ware, stock: Stock, *, spaced: bool) -> tuple[tuple[int, int, bool], ...]:
    """(x, y, turned) of a part on a stock: rolling direction and turning considered, spacers for square edges added."""
    if not stock_usable(stock, float(grid.unit)):
        return ()
    around = 0
    if spaced and part.square != "none" and stock.spaced:
        around = 2 * (stock.kerf + spacer(stock.kerf, stock.narrowest))
    width = grid.units(part.width_as_cut) + around
    if isinstance(part, Strip) and width < stock.width and not _strip_cut(grid, stock):
        return ()
    if part.square != "none" and not _square_cuts(part, grid, stock):
        return ()
    return _lying(grid, part, ware, stock, (around if part.square == "all" else 0, around))


def _strip_cut(grid: Grid, stock: Stock) -> bool:
    """Whether the rig can make a cut over the whole usable length."""
    unit = float(grid.unit)
    length, width = stock.length * unit, stock.width * unit
    return cut_is_legal(stock.rules, length) and lies_on_rig(stock.rules, length, width)


def _square_cuts(part: Part, grid: Grid, stock: Stock) -> bool:
    """Whether the cuts beside square edges can be located with the part on the square side, and made in one pass if need be."""
    rules, unit = stock.rules, float(grid.unit)
    if not stock.spaced:
        return True
    gap = spacer(stock.kerf, stock.narrowest) * unit
    length = part.length_as_cut if isinstance(part, Rectangle) else stock.length * unit
    widths = [part.width_as_cut] + ([length] if part.square == "all" else [])
    partly = [each + lost for each in widths for lost in (0.0, rules.kerf + gap)]
    if rules.square_side == "far":  # the part lies beside the torch, and a two-pass cut's far edge is never square
        longest = max(length, part.width_as_cut) + 2 * (rules.kerf + gap)
        sides = [(gap, each) for each in partly]
        if longest > rules.longest_one_pass:
            return False
    else:
        sides = [(each, gap) for each in partly]
    return all(beside_is_legal(rules, beside) and (rules.marked or reaches(rules, on)) for on, beside in sides)


def _direction_matters(part: Part) -> bool:
    return part.rolling != "free" or part.square == "long"


def may_lie(part: Part, plate: Plate, *, turned: bool) -> bool:
    """Whether a part may lie with its length along the plate's width: `rotate`, rolling direction, strips never."""
    if turned and (isinstance(part, Strip) or not part.rotate):
        return False
    if part.rolling == "free" or plate.rolling == "none":
        return True
    rolls_along_part = plate.rolling == ("width" if turned else "length")
    return rolls_along_part == (part.rolling == "length")


def stock_usable(stock: Stock, unit: float) -> bool:
    """Whether a plate may be put on the rig and its trims cut."""
    rules = stock.rules
    x, y = stock.full_length * unit, stock.full_width * unit
    south, east, north, west = stock.trims
    along, across = max(south, north), max(east, west)
    if stock.length <= 0 or stock.width <= 0:
        return False
    sides = ((along, x, y), (across, y, x))
    return all(
        not trim
        or (
            cut_is_legal(rules, travel) and lies_on_rig(rules, travel, size) and _trim_located(rules, trim * unit, size)
        )
        for trim, travel, size in sides
    )


def _trim_located(rules: CutRules, trim: float, size: float) -> bool:
    return split_is_legal(rules, trim, size - trim - rules.kerf)
